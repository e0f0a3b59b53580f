"""One absolute scale for how a board looks: 0 is best, every point a reason to turn it down.

What the points stand for was judged by eye on numbered boards: turning in hollows that nobody meant
foretells best what is turned down; then lumps, holes off the middle of their tip, pairs of openings
that nearly match, rows that had to give much, and boards that are nearly their own mirror image.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from shapes.checks.subject import Subject, is_round
from shapes.geometry.curve import flatten
from shapes.geometry.overlap import quick_asymmetry

STRAY = math.radians(3.0)  # turning in hollows that is no more than rounding; our choice
_HOLLOW, _LUMP, _HOLE, _LEVEL, _LEAN, _MOVED = 6.0, 2.0, 0.25, 0.1, 0.5, 1.5
_ALIVE, _DEAD = 0.12, 20.0  # asymmetry from which nothing is missing, and points for each 1 of it
_EVEN, _FLOATS = 3.0, 24.0  # mm by which a rim may vary; mm from which a hole floats in the board
_BENDS = 8  # maxima of a drawing that nobody stated; our choice
_DULL, _PLAIN = 1.15, 2.0  # spread of curvature below which four soft corners are alike


@dataclass(frozen=True, slots=True)
class Looks:
    """Measures of a board's line, and its points: none is best."""

    concave_turning: float  # radians, outside a neck's joints
    total_turning: float  # radians
    curvature_maxima: int
    stray: float  # radians of turning in hollows beyond what its row states
    lumps: int  # maxima beyond its stretches
    hole_off: float  # mm by which the wood round a hole is uneven or too wide
    unlike: tuple[float, float]  # of paired openings: mm off level, degrees between them
    points: float


@lru_cache(maxsize=1)  # screening and reports ask twice of the same board
def looks(s: Subject) -> Looks:
    """Measure a board's line; what it was drawn from tells what is meant."""
    turned = s.turning
    joints = _joints(s)
    concave = sum(h[0] for h in turned.hollows) - sum(joints)
    stray = max(turned.hollow - (s.meant_hollow if s.row else sum(joints)), 0.0)
    lumps = max(turned.maxima - (len(s.row.stretches) if s.row else _BENDS), 0)
    hole = max((_uneven(s, i) for i in range(len(s.outline.openings))), default=0.0)
    level, lean = _unlike(s)
    lively = min(quick_asymmetry(s.likeness), _ALIVE)
    points = (
        _HOLLOW * max(stray - STRAY, 0.0)
        + _LUMP * lumps
        + _HOLE * hole
        + _LEVEL * level
        + _LEAN * lean
        + _MOVED * s.moved
        + _DEAD * (_ALIVE - lively)
        + _PLAIN * max(_DULL - turned.spread, 0.0)
    )
    return Looks(
        max(concave, 0.0), turned.total, turned.maxima, stray, lumps, hole, (level, lean), points
    )


def _joints(s: Subject) -> list[float]:
    """Turning of the hollows where a neck joins its body: those near its grip."""
    if not (s.handle or "").startswith("neck") or not s.grips:
        return []
    x, y, _ = s.grips[0]
    reach = 0.5 * math.hypot(*s.box)
    return [h[0] for h in s.turning.hollows if math.hypot(h[1] - x, h[2] - y) < reach]


def _uneven(s: Subject, i: int) -> float:
    """How much the wood round a round hole varies over 50 degrees each way from where it is least.

    A rim so wide that the hole floats counts too.
    """
    curve = s.outline.openings[i]
    if not is_round(curve):
        return 0.0
    ring = flatten(curve)
    middle = (ring.min(axis=0) + ring.max(axis=0)) / 2
    away = s.ring - middle
    far = np.hypot(away[:, 0], away[:, 1])
    near = int(far.argmin())
    angle = np.arctan2(away[:, 1], away[:, 0]) - math.atan2(away[near, 1], away[near, 0])
    angle = np.remainder(angle + np.pi, 2 * np.pi) - np.pi
    within = far[(np.abs(angle) <= math.radians(50)) & (far < 3 * far[near])]
    rim = float(far[near]) - (float(ring[:, 0].max()) - float(middle[0]))
    uneven = float(np.percentile(within, 90) - far[near]) - _EVEN if len(within) else 0.0
    return max(uneven, 0.0) + max(rim - _FLOATS, 0.0)


def _unlike(s: Subject) -> tuple[float, float]:
    """How far a pair of hand openings is off level, mm, and off parallel, degrees.

    Openings that change places when the board is turned half round are a pair at any height.
    """
    hands = [c for c in s.outline.openings if not is_round(c)]
    if len(hands) != 2:
        return 0.0, 0.0
    rings = [flatten(c, 0.2) for c in hands]
    middles = [r.mean(axis=0) for r in rings]
    lines = []
    for ring, middle in zip(rings, middles, strict=True):
        d = ring - middle
        lines.append(
            0.5
            * math.atan2(
                2 * float((d[:, 0] * d[:, 1]).sum()), float((d[:, 0] ** 2 - d[:, 1] ** 2).sum())
            )
        )
    apart = abs(math.remainder(lines[0] - lines[1], math.pi))
    centre = np.array(s.section.centroid)
    opposite = float(np.hypot(*(middles[0] + middles[1] - 2 * centre)))
    level = min(abs(float(middles[0][1] - middles[1][1])), opposite)
    # A mirrored pair leans by the same angle to both sides: that is alike too, if it is clear.
    mirrored = abs(math.remainder(lines[0] + lines[1], math.pi))
    return level, math.degrees(min(apart, mirrored))

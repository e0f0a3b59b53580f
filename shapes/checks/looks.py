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

from shapes.checks.subject import Subject, is_round, round_hole
from shapes.geometry.curve import flatten
from shapes.geometry.overlap import quick_asymmetry
from shapes.handles import is_neck

STRAY = math.radians(3.0)  # turning in hollows that is no more than rounding; our choice
_HOLLOW, _LUMP, _HOLE, _LEVEL, _LEAN, _MOVED = 6.0, 2.0, 0.25, 0.1, 0.5, 10.0
_ALIVE, _DEAD = 0.08, 20.0  # asymmetry from which nothing is missing, and points for each 1 of it
_EVEN = 3.0  # mm by which a rim may vary
# mm of rim from which a hole floats in the board; a large one from this share of what it is across.
_FLOATS, _FLOATS_WIDE = 24.0, 0.45
_WAYS = 40  # directions round a hole
_BENDS = 8  # maxima of a drawing that nobody stated; our choice
_DULL, _PLAIN = 1.15, 2.0  # spread of curvature below which four soft corners are alike


@dataclass(frozen=True, slots=True)
class LineMeasures:
    """Measures of a board's edge alone."""

    concave_turning: float  # radians, outside a neck's joints
    total_turning: float  # radians
    curvature_maxima: int
    stray: float  # radians of turning in hollows beyond what its row states
    lumps: int  # maxima beyond its stretches


@dataclass(frozen=True, slots=True)
class Looks:
    """Measures of a board's line, holes and openings, and its points: none is best."""

    line: LineMeasures
    hole_off: float  # mm by which the wood round a hole is uneven or too wide
    unlike: tuple[float, float]  # of paired openings: mm off level, degrees between them
    points: float


@lru_cache(maxsize=1)  # screening and reports ask twice of the same board
def line(s: Subject) -> LineMeasures:
    """Measure a board's edge; what it was drawn from tells what is meant."""
    turned = s.turning
    joints = sum(_joints(s))
    concave = max(sum(h[0] for h in turned.hollows) - joints, 0.0)
    stray = max(turned.hollow - (s.meant_hollow if s.row else joints), 0.0)
    lumps = max(turned.maxima - (len(s.row.stretches) if s.row else _BENDS), 0)
    return LineMeasures(concave, turned.total, turned.maxima, stray, lumps)


def looks(s: Subject) -> Looks:
    """Judge a board's line, holes and openings, and how lively it is."""
    edge = line(s)
    hole = max((_uneven(s, i) for i in range(len(s.outline.openings))), default=0.0)
    level, lean = _unlike(s)
    lively = min(quick_asymmetry(s.likeness), _ALIVE)
    points = (
        _HOLLOW * max(edge.stray - STRAY, 0.0)
        + _LUMP * edge.lumps
        + _HOLE * hole
        + _LEVEL * level
        + _LEAN * lean
        + _MOVED * s.moved
        + _DEAD * (_ALIVE - lively)
        + _PLAIN * max(_DULL - s.turning.spread, 0.0)
    )
    return Looks(edge, hole, (level, lean), points)


def _joints(s: Subject) -> list[float]:
    """Turning of the hollows where a neck joins its body: those near its grip."""
    if not is_neck(s.handle) or not s.grips:
        return []
    x, y, _ = s.grips[0]
    reach = 0.5 * math.hypot(*s.box)
    return [h[0] for h in s.turning.hollows if math.hypot(h[1] - x, h[2] - y) < reach]


def _uneven(s: Subject, i: int) -> float:
    """How much the wood round a round hole varies over the
    evenest 100 degrees, mm beyond what may be.

    A rim so wide that the hole floats counts too.
    """
    curve = s.outline.openings[i]
    if not is_round(curve):
        return 0.0
    middle, radius = round_hole(curve)
    away = s.ring - middle
    far = np.hypot(away[:, 0], away[:, 1])
    near = float(far.min())
    close = far < 3 * near
    way = np.arctan2(away[close, 1], away[close, 0]) * (_WAYS / (2 * np.pi))
    widest = np.zeros(_WAYS)  # wood towards each 9 degrees, at its widest
    np.maximum.at(widest, np.floor(way).astype(np.intp) % _WAYS, far[close])
    widest[widest == 0] = 3 * near
    window = np.lib.stride_tricks.sliding_window_view(np.tile(widest, 2), 11)
    evenest = float(window.max(axis=1).min())
    floats = max(_FLOATS, _FLOATS_WIDE * 2 * radius)
    return max(evenest - near - _EVEN, 0.0) + max(near - radius - floats, 0.0)


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

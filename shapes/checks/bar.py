"""The bar of a hand opening: the strip of wood between it and the edge that a fist closes on."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from shapes.checks.handle import opening_box
from shapes.checks.subject import Subject, is_round, round_hole
from shapes.geometry.curve import Array, Curve, flatten, pair
from shapes.timber.strength import (
    across_grain,
    section_modulus,
    to_grain,
    twist_stress,
    twisting_strength,
)

SHORTEST_OPENING = 60.0  # mm: a shorter opening is no place for a hand; our choice
# Of the twist, more goes into the nearer end by this share of how far the load lies off the
# middle, in lengths of the opening, and less of that bends the wood there: fitted; ends free to
# turn would give 1.
NEARER, NEARER_BENDS = 0.5, 0.3
# Of the moment of a load that lies off the middle of a bar what bends it: a half would, were the
# hand a point, but a fist takes most of the bar. Fitted.
BESIDE = 0.32
SPREAD = 20.0  # mm of the wood beside a bar's end that bend with it: fitted, see the guide
# Moment of a bar that a board hangs from, as a share of weight times opening: 8 where its ends turn
# freely, 12 where they are held; and more stress at the opening's ends than half of the weight
# makes in the bar's section. Fitted on six bars at five grains, see the guide for contributors.
BUILT_IN, AT_ENDS = 10.8, 3.05
AROUND = math.radians(30.0)  # by which the wood beside a round hole turns where it bends: fitted
Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar: its middle, the way it runs, mm of opening, of
    bar, and of wood beyond the opening's two ends.
    """

    middle: Array
    angle: float  # radians
    length: float
    width: float
    legs: tuple[float, float]
    ends: tuple[Place, Place]  # across it where it is narrowest
    rim: bool = False  # whether it is the rim of a round hole


@dataclass(frozen=True, slots=True)
class Worst:
    """A weak section: MPa and N mm; ``factor`` is strength over stress."""

    factor: float
    why: str
    width: float
    off: float  # radians between the part and the grain
    moment: float
    stress: float
    place: Place
    ends: tuple[Place, Place]
    laden: bool = True


def bars(s: Subject) -> list[Bar]:
    """Return the bars of hand openings, both sides of an
    opening where the edge runs beside both.
    """
    d = s.discs
    edge = shapely.LinearRing(s.ring)
    found = []
    for i, curve in enumerate(s.outline.openings, start=1):
        long, angle = opening_box(curve)
        if long < SHORTEST_OPENING:
            continue
        if is_round(curve):
            found.append(_rim(s, curve, edge))
            continue
        way = np.array([math.cos(angle), math.sin(angle)])
        side = np.array([-way[1], way[0]])
        centre = flatten(curve).mean(axis=0)
        at = d.p + d.inner[:, None] * d.n - centre
        beside = (d.loop == i) & (d.loop[d.inner_at] == 0) & (d.cosine < -0.5)
        beside &= np.abs(at @ way) <= long / 2
        for sign in (1.0, -1.0):
            here = beside & (sign * (at @ side) > 0)
            if not here.any():
                continue
            k = np.flatnonzero(here)[d.inner[here].argmin()]
            n = d.n[k]
            found.append(
                Bar(
                    centre + (at[here] @ side).mean() * side,
                    float(math.atan2(n[0], -n[1])),
                    long,
                    2 * float(d.inner[k]),
                    (_leg(curve, edge, way), _leg(curve, edge, -way)),
                    (pair(d.p[k]), pair(d.p[d.inner_at[k]])),
                )
            )
    return found


def _rim(s: Subject, curve: Curve, edge: shapely.LinearRing) -> Bar:
    """Return the rim of a round hole, on the side away from the board's middle of mass."""
    centre, radius = round_hole(curve)
    out = centre - np.array(s.section.centroid)
    out = out / max(float(np.hypot(*out)), 1e-9)
    way = np.array([-out[1], out[0]])
    wide = _leg(curve, edge, out)
    return Bar(
        centre + (radius + wide / 2) * out,
        float(math.atan2(way[1], way[0])),
        2 * radius,
        wide,
        (_leg(curve, edge, way), _leg(curve, edge, -way)),
        (pair(centre + radius * out), pair(centre + (radius + wide) * out)),
        rim=True,
    )


def _leg(curve: Curve, edge: shapely.LinearRing, way: Array) -> float:
    """Wood, mm, between the end of an opening and the edge, the way that the bar runs."""
    ring = flatten(curve)
    end = ring[int((ring @ way).argmax())]
    ray = shapely.LineString([end, end + 2000.0 * way])
    hits = shapely.get_coordinates(shapely.intersection(ray, edge))
    return float(np.hypot(*(hits - end).T).min()) if len(hits) else 0.0


def level(s: Subject, bar: Bar, weight: float, at: Array) -> list[Worst]:
    """One fist on a bar holds the board level.

    The load, N, at a point, twists the bar and bends it.

    The torque goes into the wood at both ends of the opening, more of it at the nearer one: there
    the bar twists, and a strip of the wood beyond the opening's end bends over the thickness.
    """
    limits = s.limits
    t, bending = limits.thickness, limits.bending
    assert bending is not None
    way = np.array([math.cos(bar.angle), math.sin(bar.angle)])
    from_bar = at - bar.middle
    aside = abs(float(from_bar @ np.array([-way[1], way[0]])))
    off_middle = abs(float(from_bar @ way))
    along = min(off_middle / bar.length, 1.0)
    torque, bends = (weight * aside * (0.5 + n * along) for n in (NEARER, NEARER_BENDS))
    twist = float(twist_stress(torque, bar.width, t))
    strip = sum(min(bar.width + SPREAD, leg) for leg in bar.legs) / 2
    modulus = float(section_modulus(strip, t, 0.0))
    turns = np.array([-AROUND, AROUND] if bar.rim else [0.0])
    across = float(to_grain(bar.angle + math.pi / 2 + turns, s.grain).max())
    off = float(to_grain(bar.angle, s.grain))
    holds = float(twisting_strength(limits.shear_strength, bending, off))
    moment = weight * (bar.length / 8 + BESIDE * off_middle)
    own = float(section_modulus(bar.width, t, limits.round_over))
    return [
        Worst(holds / max(twist, 1e-12), "twists", bar.width, off, torque, twist, *_where(bar)),
        _bent("legs", bar, bends, modulus, bending, across, strip),
        _bent("bar", bar, moment, own, bending, off, bar.width),
    ]


def hanging(s: Subject, bar: Bar, weight: float) -> list[Worst]:
    """The board hangs from a bar.

    A beam as long as the opening, loaded evenly, bent in its plane; and the wood at the opening's
    ends, which is pulled along the way that the board hangs, half of the weight at each.
    """
    limits = s.limits
    bending = limits.bending
    assert bending is not None
    off = float(to_grain(bar.angle, s.grain))
    across = float(to_grain(bar.angle + math.pi / 2, s.grain))
    modulus = float(section_modulus(limits.thickness, bar.width, limits.round_over))
    pulled = AT_ENDS * weight / 2 / (bar.width * limits.thickness)
    factor = bending * float(across_grain(across)) / max(pulled, 1e-12)
    return [
        _bent("hangs", bar, weight * bar.length / BUILT_IN, modulus, bending, off, bar.width),
        Worst(factor, "splits", bar.width, across, 0.0, pulled, *_where(bar)),
    ]


def _bent(
    why: str, bar: Bar, moment: float, modulus: float, bending: float, off: float, width: float
) -> Worst:
    stress = moment / modulus
    factor = bending * float(across_grain(off)) / max(stress, 1e-12)
    return Worst(factor, why, width, off, moment, stress, *_where(bar))


def _where(bar: Bar) -> tuple[Place, tuple[Place, Place]]:
    return pair(bar.middle), bar.ends

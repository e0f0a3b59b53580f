"""The board as a solid: volume, faces and rounded edge, both faces rounded over alike."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from shapes.geometry.curve import Curve, flatten
from shapes.geometry.hull import narrowest_box
from shapes.geometry.measures import least_radii, length, section
from shapes.geometry.outline import Outline
from shapes.reach.closing import quarter_segments
from shapes.tolerances import TOLERANCES

# Centroid of the wood that a quarter-round takes, from the side face: r (10 - 3 pi)/(3 (4 - pi)).
CENTROID = (10 - 3 * math.pi) / (3 * (4 - math.pi))
# Centroid of the quarter circle's line, from the side face: r (1 - 2/pi).
ARC_CENTROID = 1 - 2 / math.pi
COUNTERSINK = 1.5  # mm: holes less than this wider than the bearing are eased by hand
# mm: so are holes no larger, whatever the bearing: a countersink does it; common practice.
BY_HAND = 20.0
_NODES = 12


@dataclass(frozen=True, slots=True)
class Solid:
    """Volume mm3; area mm2 of one face between its round-overs; area of edge and round-overs."""

    volume: float
    face: float
    edge: float


Loops = tuple[list[float], list[float]]


def loops(value: Outline) -> Loops:
    """Length and least outside radius of the edge and each opening, mm."""
    return [length(c) for c in value.curves], [least_radii(c)[1] for c in value.curves]


def solid(
    value: Outline,
    thickness: float,
    round_over: float,
    bearing: float,
    narrowest: float,
    known: Loops | None = None,
) -> Solid:  # narrowest: least width of the wood, mm, to know whether the faces' insets stay whole
    """Volume and areas of a board of ``thickness`` mm; 0.05 % of a computed solid.

    Pappus (Guldin) along each loop where the round-over is smaller than every outward bulge of
    it; elsewhere by insets: the section at depth z is the outline moved in by r - sqrt(r^2 - z^2).
    """
    r = min(round_over, thickness / 2)
    area = section(value.curves).area
    lengths, bulges = known or loops(value)
    whole = Solid(area * thickness, area, sum(lengths) * thickness)
    if r <= 0:
        return whole
    rounded = [c for c in value.curves[1:] if rounds(c, bearing)]
    turns = [(value.edge, lengths[0], 1.0)] + [
        (c, lengths[i + 1], -1.0) for i, c in enumerate(value.curves[1:]) if rounds(c, bearing)
    ]
    bulge = min(b for i, b in enumerate(bulges) if i == 0 or rounds(value.openings[i - 1], bearing))
    if r < bulge and 2 * r < narrowest:
        taken = rim = 0.0
        for _, p, turn in turns:
            taken += r * r * (1 - math.pi / 4) * (p - turn * 2 * math.pi * CENTROID * r)
            rim += math.pi / 2 * r * (p - turn * 2 * math.pi * ARC_CENTROID * r)
        inset = sum(p * r - turn * math.pi * r * r for _, p, turn in turns)
    else:
        taken, rim, inset = _by_insets(value, rounded, r)
    straight = sum(p for _, p, _ in turns)
    return Solid(
        whole.volume - 2 * taken,
        area - inset,
        whole.edge - 2 * r * straight + 2 * rim,
    )


def box_of(opening: Curve) -> tuple[float, float]:
    """Width and length of an opening, mm, however it is turned."""
    if "box" not in opening.memo:
        opening.memo["box"] = np.array(narrowest_box(flatten(opening)))
    wide, long = opening.memo["box"].tolist()
    return wide, long


def rounds(opening: Curve, bearing: float) -> bool:
    """Whether the round-over bit gets into an opening.

    As wide as its bearing and 1.5 mm, no cord's hole.
    """
    wide, long = box_of(opening)
    # Chords lie that much inside a curve at most.
    return wide + TOLERANCES.flatten >= bearing + COUNTERSINK and long > BY_HAND


def _by_insets(value: Outline, rounded: list[Curve], r: float) -> tuple[float, float, float]:
    """Wood taken from one face, area of its round-over, and area lost to the face."""
    wood = shapely.Polygon(flatten(value.edge, 0.002), [flatten(c, 0.002) for c in rounded])
    x, w = np.polynomial.legendre.leggauss(_NODES)
    angle = (x + 1) * math.pi / 4
    # At angle a of the quarter-round the section lies r (1 - sin a) below the face, r (1 - cos a)
    # in.
    insets = np.append(r * (1 - np.cos(angle)), r)
    quads = quarter_segments(r, TOLERANCES.flatten / 10)
    cut = shapely.buffer(wood, -insets, quad_segs=quads)
    lost = wood.area - shapely.area(cut)
    taken = float(np.sum(lost[:-1] * r * np.cos(angle) * w) * math.pi / 4)
    rim = float(np.sum(shapely.length(cut[:-1]) * r * w) * math.pi / 4)
    return taken, rim, float(lost[-1])

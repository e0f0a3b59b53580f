"""Place many boards on one off-cut, each measured again where
it lies against the piece and its neighbours.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from shapes.geometry.outline import Outline
from shapes.geometry.pose import Pose
from shapes.placing.bed import Bed, Clearance
from shapes.placing.fill import Filler
from shapes.placing.ground import LaidBoard, Wanted
from shapes.placing.place import Placement
from shapes.placing.shape import WITHIN, Shape, flat
from shapes.timber.off_cut import Rules


def place_many(
    rules: Rules, wanted: Sequence[Wanted], within: float = WITHIN, seed: int = 1
) -> tuple[list[tuple[int, Placement]], list[int]]:
    """Place boards on an off-cut.

    Return (index among those wanted, placement), and what is left.
    """
    left = [i for i, w in enumerate(wanted) for _ in range(w.quantity)]
    filler = Filler(rules, wanted, within)
    laid = filler.lay(left, seed)
    for one in laid:
        left.remove(one.index)
    return placements(filler, laid), left


def placements(filler: Filler, laid: Sequence[LaidBoard]) -> list[tuple[int, Placement]]:
    """Measure boards where they lie: (index among those wanted, placement)."""
    shapes, poses = [filler.kinds[o.index].shape for o in laid], [o.pose for o in laid]
    found = measured(filler.empty, shapes, poses)
    return [
        (
            o.index,
            Placement(filler.wanted[o.index].board, 1.0, o.pose, one.outline, one.clearances),
        )
        for o, one in zip(laid, found, strict=True)
    ]


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """A board where it lies among others: what it keeps clear of,
    tightest first, and what lies in it that may not.
    """

    outline: Outline
    clearances: tuple[Clearance, ...]
    inside: tuple[str, ...]


def measured(empty: Bed, shapes: Sequence[Shape], poses: Sequence[Pose]) -> list[Measured]:
    """Measure boards as they lie on a piece, against it and one another; they may overlap."""
    lying = [s.lying(p) for s, p in zip(shapes, poses, strict=True)]
    filled = [shapely.Polygon(flat(o).exterior) for o, _ in lying]
    made = []
    for i, (outline, handle) in enumerate(lying):
        clear = empty.allows(outline, handle)
        gaps = [_gap(filled[i], f) for k, f in enumerate(filled) if k != i]
        if gaps:
            clear.append(Clearance("the next board", min(gaps), empty.rules.apart))
        clear.sort(key=lambda c: c.there - c.asked)
        made.append(Measured(outline, tuple(clear), tuple(empty.broken(outline))))
    return made


def _gap(a: shapely.Geometry, b: shapely.Geometry) -> float:
    """Distance of two boards, mm; where they overlap, less than nothing by the depth of it."""
    far = float(shapely.distance(a, b))
    if far > 0:
        return far
    common = shapely.intersection(a, b)
    return -math.sqrt(float(common.area)) if common.area else 0.0

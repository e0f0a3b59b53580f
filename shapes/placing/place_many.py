"""Place many boards on one off-cut, each measured again where
it lies against the piece and its neighbours.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely

from shapes.placing.bed import Bed, Clearance
from shapes.placing.fill import Filler
from shapes.placing.ground import LaidBoard, Wanted
from shapes.placing.place import Placement
from shapes.placing.shape import WITHIN, flat
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
    return [(one.index, _placement(filler, one, laid)) for one in laid]


def _placement(filler: Filler, one: LaidBoard, laid: Sequence[LaidBoard]) -> Placement:
    """Measure a board again where it lies, against the piece and its neighbours."""
    kind, board = filler.kinds[one.index], filler.wanted[one.index].board
    others = [o.filled.buffer(filler.rules.apart, quad_segs=32) for o in laid if o is not one]
    bed = Bed(filler.rules, shapely.union_all(others)) if others else filler.empty
    outline, handle = kind.shape.lying(one.pose)
    near = bed.allows(outline, handle)
    filled = shapely.Polygon(flat(outline).exterior)
    away = min((filled.distance(o.filled) for o in laid if o is not one), default=math.inf)
    clear = [
        c if c.name != "the next board" else Clearance(c.name, away, filler.rules.apart)
        for c in near
    ]
    return Placement(
        board, 1.0, one.pose, outline, tuple(sorted(clear, key=lambda c: c.there - c.asked))
    )

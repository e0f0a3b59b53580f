"""Place one board on an off-cut: the best turn and place, or the largest scale that fits.

Every turn and shift is looked at in boxes, and those that may hold a place are settled exactly.
What is returned has been measured again on the outline itself.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from shapes.collection.board import Board, DrawnBoard
from shapes.geometry.outline import Outline
from shapes.geometry.pose import Parts, Pose, settle
from shapes.placing.bed import Bed, Clearance
from shapes.placing.search import FINE, Boxes, Search
from shapes.placing.shape import (
    WITHIN,
    Shape,
    known_pose,
    resized,
    scales_of,
    shape_of,
    shapes_of,
    turns_of,
)

CLEARANCE_SLACK = 0.02  # mm more than the rules ask for, so that no rounding ever breaks them
TRUE = 0.005  # mm by which a distance may fall short: less than any tape or router shows
_FINER = 1.0006  # ratio of scales that are told apart


@dataclass(frozen=True, slots=True, eq=False)
class Placement:
    """A board on an off-cut.

    At its scale, where it lies, and what it keeps clear of, tightest first.
    """

    board: Board | DrawnBoard
    scale: float
    pose: Pose
    outline: Outline = field(repr=False)
    clearances: tuple[Clearance, ...] = field(repr=False)

    @property
    def turned(self) -> float:
        """By how much it is turned on the piece, degrees, -180 to 180."""
        return math.degrees(math.remainder(self.pose.angle, math.tau))

    @property
    def holds(self) -> bool:
        """Whether it keeps clear of everything as the rules ask."""
        return all(c.asked - c.there <= TRUE for c in self.clearances)

    @property
    def tightest(self) -> Clearance:
        """The clearance with the least to spare."""
        return self.clearances[0]


@dataclass(frozen=True, slots=True)
class Misfit:
    """Why a board does not fit.

    What lacks at its best place, mm, and the largest scale that would.
    """

    lacks: float
    name: str
    largest: float | None


def place_one(
    board: Board | DrawnBoard,
    bed: Bed,
    scales: tuple[float, float] = (1.0, 1.0),
    within: float = WITHIN,
) -> Placement | Misfit:
    """Place a board at the largest scale within ``scales``, or say what lacks.

    ``within``: radians between the grain and the handle's axis.
    """
    at = shapes_of(board)
    ranges = turns_of(board, bed.rules.piece.grain, within)
    low, high = scales
    known = known_pose(board)
    found = None
    if known and low <= 1 <= high:
        found = tried(bed, at, known, 1.0, (1.0, 1.0), ranges, 1.0)
    if found is None or not found.holds or high > 1:
        other = _largest(bed, at, ranges, scales) if high > low else None
        if other is None:
            other = find_place(bed, at, low, (low, low), ranges)
        found = max(
            (f for f in (found, other) if f and f.holds), key=lambda f: f.scale, default=other
        )
    if found is None or not found.holds:
        return with_largest(_misfit(at, low, found), board, bed, within, low)
    made = resized(board, found.scale)
    outline, handle = shape_of(made).lying(found.pose)
    return Placement(made, found.scale, found.pose, outline, tuple(bed.allows(outline, handle)))


def _largest(
    bed: Bed,
    at: Callable[[float], Shape | None],
    ranges: Sequence[tuple[float, float]],
    scales: tuple[float, float],
    *,
    hint: bool = False,
) -> Tried | None:
    """Return the place of the largest scale that holds: none that is _FINER times larger does.

    ``hint``: to within _HINT only, the most being known not to fit.
    """
    least, most = scales
    best = None if hint else find_place(bed, at, most, (most, most), ranges, nearest=False)
    if best is not None:
        return best
    # Coarsely first: no board need be sought to the last tenth, nor be as large as can be where it
    # lies.
    while most / least > (_HINT if hint else _CLOSE):
        scale = _drawable(at, least, most)
        if scale is None:
            break
        found = find_place(bed, at, scale, (scale, scale), ranges, nearest=False, last=_CLOSER)
        if found is None:
            most = scale
        else:
            best, least = found, found.scale
    if best is None:
        best = find_place(bed, at, least, (least, least), ranges, nearest=False)
    if best is None or hint:
        return best
    while True:
        grown = tried(bed, at, best.pose, best.scale, (best.scale, scales[1]), ranges, math.inf)
        if grown is not None and grown.holds and grown.scale > best.scale:
            best = grown
        scale = best.scale * _FINER
        if scale > scales[1] or at(scale) is None:
            return best
        found = find_place(bed, at, scale, (scale, scale), ranges, nearest=False)
        if found is None:
            return best
        best = found


def _drawable(at: Callable[[float], Shape | None], least: float, most: float) -> float | None:
    """Return a scale between two at which a board can be
    drawn, the nearer to the middle the better.
    """
    middle = math.sqrt(least * most)
    other = np.geomspace(least, most, 10)[1:-1]
    every = [middle, *other[np.argsort(np.abs(np.log(other / middle)))].tolist()]
    return next((v for v in every if at(v) is not None), None)


@dataclass(frozen=True, slots=True)
class Tried:
    """Where a settling came to rest: mm that lack there and of what, at which scale."""

    short: float
    name: str
    scale: float
    pose: Pose

    @property
    def holds(self) -> bool:
        """Whether nothing lacks."""
        return self.short <= TRUE


def tried(
    bed: Bed,
    at: Callable[[float], Shape | None],
    start: Pose,
    scale: float,
    scales: tuple[float, float],
    ranges: Sequence[tuple[float, float]],
    lost: float,
) -> Tried | None:
    """Settle from a start and measure by exact distances; None where it is lost or cannot be drawn.

    ``lost``: mm that a point may still lie wrong after settling, and be tried once more.
    """
    turns = range_of(start.angle, ranges)
    spare = CLEARANCE_SLACK
    last = at(scale)
    best: Tried | None = None

    def parts_at(size: float) -> Parts:
        nonlocal last
        last = at(size) or last
        assert last is not None
        return bed.parts(last)

    pose = start
    for _ in range(3):
        done = settle(parts_at, pose, scale, scales=scales, turns=turns, spare=spare)
        shape = at(done.scale)
        if shape is None or done.depth < -lost:
            return best
        outline, handle = shape.lying(done.pose)
        tight = bed.allows(outline, handle)
        short, name = max(((c.asked - c.there, c.name) for c in tight), default=(0.0, ""))
        if bed.breaks(outline):
            return (
                best if short <= TRUE else _better(best, Tried(short, name, done.scale, done.pose))
            )
        best = _better(best, Tried(short, name, done.scale, done.pose))
        if best.holds or short > _STRAY:
            return best
        pose, scale, spare = done.pose, done.scale, spare + min(short, 0.5) + 0.005
    return best


def _better(a: Tried | None, b: Tried) -> Tried:
    return b if a is None or b.short < a.short else a


def find_place(
    bed: Bed,
    at: Callable[[float], Shape | None],
    scale: float,
    scales: tuple[float, float],
    ranges: Sequence[tuple[float, float]],
    *,
    nearest: bool = True,
    last: float = FINE,
) -> Tried | None:
    """Look everywhere for a place: the first that holds.

    Else with ``nearest`` where least lacks, else None.

    What is left out could hold no place, or none where less lacks (``geometry.search``); from the
    most promising of what remains the shape is settled. None where it cannot be drawn.
    ``last``: half the side in mm of the least boxes that are looked at.
    """
    shape = at(scale)
    if shape is None or bed.room.is_empty:
        return None
    search = bed.search(shape, ranges)
    best: Tried | None = None
    levels = search.levels(-math.inf if nearest else 0.0)
    boxes = next(levels, None)
    while boxes is not None:
        most = _TRIES.get(boxes.half, 0)
        for i in _apart(boxes, search, most):
            if boxes.half > _CLOSER and boxes.depth[i] < 0:
                break  # where there is room all round it is found at once
            start = search.pose(boxes.about[i])
            found = tried(bed, at, start, scale, scales, ranges, math.inf)
            if found is not None and found.holds:
                return found
            best = _better(best, found) if found is not None else best
            if boxes.half <= _NARROW and best is not None and best.short > _FAR:
                break  # what lies so far off comes to rest alike from wherever it starts
        short = math.inf if best is None else best.short
        hopeless = boxes.half <= _NARROW and short > _FAR and not (boxes.bound > 0).any()
        if boxes.half <= last or hopeless or (boxes.half <= _NEAR and short > _STRAY):
            break
        floor = (-math.inf if best is None else -best.short) if nearest else 0.0
        try:
            boxes = levels.send(floor)
        except StopIteration:
            boxes = None
    return best if nearest else None


# Places settled from, by half the side of a level's boxes in mm.
_TRIES = {16.0: 1, 8.0: 1, 4.0: 1, 2.0: 2, 0.5: 5, FINE: 5}
# Half the side, and what lacks, mm, from which no smaller boxes are looked at.
_NARROW, _FAR = 2.0, 8.0
_NEAR = 0.5  # mm: boxes smaller than this are looked at only where less than _STRAY lacks
_CLOSER = 2.0  # mm: of boxes larger than this only those are settled from that hold already
_OTHER = 6.0  # mm between places that are settled from: nearer ones come to rest alike
_STRAY = 1.0  # mm that may lack after settling, and be tried once more with so much to spare
_HINT = 1.008  # and those told apart where it is only said what would fit
_CLOSE = 1.02  # ratio of scales below which settling has found the way up, or none is there
_ROOM = 10.0  # mm all round that are as good as more: of such places one along the grain is taken


def _apart(boxes: Boxes, search: Search, most: int) -> list[int]:
    """Take boxes of most depth that lie apart, most first.

    Where there is room, along the grain first.
    """
    at = boxes.about * (1.0, 1.0, search.arm)
    off = np.min([np.abs(boxes.about[:, 2] - (a + b) / 2) for a, b in search.turns], axis=0)
    left = np.lexsort((-boxes.depth, np.where(boxes.depth > _ROOM, np.round(off, 9), math.inf)))
    found: list[int] = []
    while len(left) and len(found) < most:
        found.append(int(left[0]))
        left = left[
            np.abs(at[left] - at[left[0]]).max(axis=1)
            > max(min(_OTHER, 8 * boxes.half), 3 * boxes.half)
        ]
    return found


def range_of(angle: float, ranges: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Return the range nearest to an angle, whole turns aside, about that angle."""
    off = [math.remainder(angle - (a + b) / 2, math.tau) for a, b in ranges]
    i = int(np.argmin(np.abs(off)))
    half = (ranges[i][1] - ranges[i][0]) / 2
    return angle - off[i] - half, angle - off[i] + half


def nearest(
    board: Board | DrawnBoard, bed: Bed, within: float = WITHIN, scale: float = 1.0
) -> Misfit:
    """Say what lacks of a board that fits nowhere on a bed, at the place where least does."""
    at = shapes_of(board)
    found = find_place(
        bed, at, scale, (scale, scale), turns_of(board, bed.rules.piece.grain, within)
    )
    return _misfit(at, scale, found)


def _misfit(at: Callable[[float], Shape | None], scale: float, found: Tried | None) -> Misfit:
    if found is not None:
        return Misfit(found.short, found.name, None)
    drawn = at(scale) is not None
    return Misfit(
        math.inf,
        "the whole piece" if drawn else "its handle does not find room at that scale",
        None,
    )


def with_largest(
    misfit: Misfit, board: Board | DrawnBoard, bed: Bed, within: float = WITHIN, scale: float = 1.0
) -> Misfit:
    """Say as well which smaller scale would do."""
    least = scales_of(board)[0]
    if least >= scale:
        return misfit
    turns = turns_of(board, bed.rules.piece.grain, within)
    found = _largest(bed, shapes_of(board), turns, (least, scale), hint=True)
    return replace(misfit, largest=found.scale if found else None)

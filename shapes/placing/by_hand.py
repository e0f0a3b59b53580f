"""Boards laid on an off-cut by hand.

What each keeps clear of as it lies, and the nearest lawful place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from shapes.collection.board import Board, DrawnBoard
from shapes.geometry.pose import Pose
from shapes.placing.account import account
from shapes.placing.bed import Bed
from shapes.placing.fitted import on_piece, report_on
from shapes.placing.lay_out import Covered, cut_with
from shapes.placing.place import Placement, find_place, tried
from shapes.placing.place_many import measured
from shapes.placing.shape import WITHIN, flat, shape_of, shapes_of, turns_of
from shapes.timber.off_cut import OffCut, Rules


@dataclass(frozen=True, slots=True, eq=False)
class Lying:
    """A board as a hand laid it.

    What it keeps clear of, tightest first, and what it breaks otherwise.
    """

    placement: Placement
    inside: str  # what lies in its wood or an opening that may not; nothing as a rule
    off_grain: float  # degrees beyond what the grain may run off its axis; 0 where it is right

    @property
    def holds(self) -> bool:
        """Whether it may lie there."""
        return self.placement.holds and not self.inside and self.off_grain <= 1e-6


class Table:
    """An off-cut on the bench with boards of one thickness.

    The widest of their cutters cuts all.
    """

    def __init__(self, piece: OffCut, boards: Sequence[Board | DrawnBoard]) -> None:
        """Raise InputError where the piece is too thin for them."""
        cutter = max((b.brief.cutter for b in boards), default=6.0)
        self.rules = Rules(piece, cutter)
        self.boards = [cut_with(on_piece(b, piece), cutter) for b in boards]
        self.shapes = [shape_of(b) for b in self.boards]
        self._empty = Bed(self.rules)

    def lying(self, poses: Sequence[Pose]) -> list[Lying]:
        """Measure every board as it lies."""
        found = measured(self._empty, self.shapes, poses)
        return [
            Lying(
                Placement(board, 1.0, pose, one.outline, one.clearances),
                ", ".join(one.inside),
                self._off_grain(board, pose.angle),
            )
            for board, pose, one in zip(self.boards, poses, found, strict=True)
        ]

    def settled(self, poses: Sequence[Pose], i: int) -> Pose | None:
        """Return the lawful place nearest to where a board was put, or any there is.

        None where there is none.
        """
        others = [
            shapely.Polygon(flat(s.lying(p)[0]).exterior).buffer(self.rules.apart, quad_segs=32)
            for k, (s, p) in enumerate(zip(self.shapes, poses, strict=True))
            if k != i
        ]
        bed = self._empty.taking(shapely.union_all(others)) if others else self._empty
        if bed.room.is_empty:
            return None
        board = self.boards[i]
        at = shapes_of(board)
        ranges = turns_of(board, self.rules.piece.grain, WITHIN)
        near = tried(bed, at, poses[i], 1.0, (1.0, 1.0), ranges, math.inf)
        if near is None or not near.holds:
            near = find_place(bed, at, 1.0, (1.0, 1.0), ranges, nearest=False)
        return near.pose if near is not None and near.holds else None

    def covered(self, poses: Sequence[Pose]) -> Covered:
        """Return the piece with its boards as they lie,
        checked and accounted for, as placing has it.
        """
        placed = [
            (n, one.placement, report_on(one.placement, self.rules.piece))
            for n, one in enumerate(self.lying(poses), start=1)
        ]
        return Covered(self.rules, tuple(placed), account(self.rules, placed))

    def _off_grain(self, board: Board | DrawnBoard, angle: float) -> float:
        ranges = turns_of(board, self.rules.piece.grain, WITHIN)
        off = min(
            abs(math.remainder(angle - (a + b) / 2, math.tau)) - (b - a) / 2 for a, b in ranges
        )
        return max(math.degrees(off), 0.0)

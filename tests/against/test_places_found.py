"""A place is found whenever there is one.

Boards a little smaller than the largest that fits a random piece.

Clearances are judged by Clipper2, which shares no code with the placing. A few dozen pieces here;
by hand as many as are wanted: ``python tests/against/test_places_found.py FIRST LAST``.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace

import pytest
from made_boards import drawn
from made_off_cuts import rough
from placing_judge import CUTTER, judge
from samples import of

from shapes.collection.board import Board
from shapes.collection.brief import Brief
from shapes.collection.draw import draw
from shapes.collection.pool import AtRandom
from shapes.errors import OutlineError
from shapes.placing.bed import Bed
from shapes.placing.ground import Wanted
from shapes.placing.lay_out import LaidOut, lay_out
from shapes.placing.place import Placement, place_one
from shapes.placing.shape import resized, scales_of
from shapes.timber.off_cut import OffCut, Rules

UNDER = (0.001, 0.003, 0.01)  # of the largest scale
OVER = 0.001
PIECES = of(12, 4)


@dataclass(frozen=True, slots=True)
class Case:
    """A board that is as large as a piece takes it, and the piece."""

    board: Board
    piece: OffCut
    largest: float

    def laid(self, scale: float) -> LaidOut | None:
        """Lay the board out at a share of the largest scale; None where it cannot be drawn so."""
        try:
            board = resized(self.board, self.largest * scale)
        except OutlineError:
            return None
        return lay_out([Wanted(board)], [self.piece], CUTTER)


def turned_over(board: Board) -> Board:
    """The same board with its other face up."""
    assert board.genes is not None
    up, end = board.genes.flip
    genes = replace(board.genes, flip=(not up, end))
    return replace(board, genes=genes, sketch=draw(genes))


def cases(first: int, last: int) -> Iterator[Case]:
    """Random boards, every third turned over, on random pieces that take them at some scale."""
    source = AtRandom(Brief(length=420, width=230, max_mass=9.0))
    for seed in range(first, last):
        try:
            board = drawn(source, 3, seed)
        except AssertionError:
            continue
        if seed % 3 == 0:
            board = turned_over(board)
        piece = rough(2000 + seed)
        low, high = scales_of(board)
        span = max(low, 0.3), min(high, 2.0)
        found = place_one(board, Bed(Rules(piece, CUTTER)), span)
        if isinstance(found, Placement) and found.scale < span[1]:
            yield Case(board, piece, found.scale)


def short(made: LaidOut) -> float:
    """What a board lacks that was not laid, mm; infinite where nothing is told."""
    return made.lacks[0][1].lacks if made.lacks else float("inf")


def wrong_with(case: Case) -> list[str]:
    """What is wrong with the ways the boards of a case are laid."""
    found = []
    for under in UNDER:
        made = case.laid(1 - under)
        if made is None:
            continue
        (covered,) = made.covered
        if not covered.placed:
            found.append(
                f"{under:.1%} under the largest it is not laid: lacks {short(made):.3f} mm"
            )
        placed = [(0, p) for _, p, _ in covered.placed]
        found += judge(case.piece, placed)
        found += [
            f"short of {c.name}"
            for _, p in placed
            for c in p.clearances
            if c.asked - c.there > 0.01
        ]
    made = case.laid(1 + OVER)
    if made is not None:
        if made.covered[0].placed:
            found.append(f"{OVER:.1%} over the largest it is laid")
        elif not 0 < short(made) < 2 * OVER * max(case.board.brief.length, 120):
            found.append(f"{OVER:.1%} over the largest it is short by {short(made):.3f} mm")
    return found


@pytest.mark.slow
@pytest.mark.parametrize("chunk", range(2))
def test_a_place_is_found_whenever_there_is_one(chunk: int) -> None:
    size = PIECES // 2
    looked_at = 0
    for case in cases(chunk * size, (chunk + 1) * size):
        assert wrong_with(case) == [], case.piece.name
        looked_at += 1
    assert looked_at >= size / 2


if __name__ == "__main__":
    count = 0
    for case in cases(int(sys.argv[1]), int(sys.argv[2])):
        count += 1
        for line in wrong_with(case):
            print(case.piece.name, line, flush=True)
    print(count, "pieces")

"""Boards as the tool draws them, for tests that want real ones."""

from __future__ import annotations

import contextlib

from shapes.collection.board import Board, DrawnBoard
from shapes.collection.brief import Brief
from shapes.collection.draw import Genes, outline_of
from shapes.collection.pool import ATTEMPTS, AtRandom, Source, board_of
from shapes.errors import OutlineError
from shapes.geometry.curve import polygon
from shapes.geometry.outline import Outline

_MADE: dict[int, tuple[int, list[Outline]]] = {}  # by seed: draws looked at, boards found


def drawn(source: Source, seed: int, k: int) -> Board:
    """Candidate k at its first attempt whose stretches close and whose outline is sound."""
    for j in range(4 * ATTEMPTS):
        with contextlib.suppress(OutlineError):
            board = board_of(source, seed, k, j)
            outline_of(board.sketch)
            return board
    raise AssertionError(f"candidate {k} of seed {seed} cannot be drawn")


def boards(count: int, seed: int = 5) -> list[Outline]:
    """Boards as they are drawn, sound ones only; each is drawn once in a run."""
    k, found = _MADE.get(seed, (0, []))
    while len(found) < count:
        found.append(outline_of(drawn(AtRandom(Brief()), seed, k).sketch))
        k += 1
    _MADE[seed] = k, found
    return found[:count]


def a_box(
    length: float,
    width: float,
    name: str = "box",
    opening: tuple[float, float, float, float] | None = None,
) -> DrawnBoard:
    """Somebody's drawing of a box, with an opening from and to (x, y, x, y) if wanted."""
    edge = polygon([(0, 0), (length, 0), (length, width), (0, width)])
    if opening is None:
        return DrawnBoard(Brief(), Outline(edge), name)
    x0, y0, x1, y1 = opening
    hole = polygon([(x0, y0), (x0, y1), (x1, y1), (x1, y0)])
    return DrawnBoard(Brief(), Outline(edge, (hole,)), name)


def drawn_at_random(form: str, handle: str, seed: int) -> Genes:
    """Genes of a board of a form and a handle."""
    brief = Brief(length=570, width=315, forms=(form,), handles=(handle,))
    for k in range(30):
        with contextlib.suppress(OutlineError):
            board = board_of(AtRandom(brief), seed, k, 0)
            outline_of(board.sketch)
            assert board.genes is not None
            return board.genes
    raise AssertionError(f"no {form} with a {handle} can be drawn")

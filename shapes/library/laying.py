"""Lay boards out on off-cuts."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from shapes.collection.board import Board, DrawnBoard
from shapes.errors import OPTION, InputError, Problem, in_range
from shapes.placing.account import DAMP
from shapes.placing.ground import Wanted
from shapes.placing.lay_out import LaidOut, lay_out
from shapes.timber.off_cut import OffCut
from shapes.timber.thickness import Saw

MOST_TURN = 45.0  # degrees
PATIENCE = (0.1, 86_400.0)  # s
MOST_OF_ONE = 99  # boards of one kind


def place(
    boards: Sequence[Board | DrawnBoard],
    pieces: Sequence[OffCut] | OffCut,
    *,
    quantities: Sequence[int] | int = 1,
    priorities: Sequence[int] | int = 1,
    scales: tuple[float, float] | None = None,
    within: float = 10.0,
    cutter: float | None = None,
    keep_live_edge: bool = False,
    saw: Saw | None = None,
    moisture: tuple[float | None, float] | None = None,
    patience: float = math.inf,
    seed: int = 1,
    not_for_food: bool = False,
    jobs: int = 1,
    tell: Callable[[str], None] = lambda now: None,
) -> LaidOut:
    """Find where boards lie on off-cuts, clear of edges, defects, fixings and one another.

    ``quantities`` and ``priorities`` (1 first) are one a board, or one for all. ``scales``: one
    board on one piece as large as fits between these. ``within``: most angle between grain and
    handle, degrees. ``cutter``: its diameter, mm (the widest of the boards' own).
    ``keep_live_edge``: make natural edges edges of boards, as a board's own brief may ask. ``saw``:
    one that may resaw a thick piece. ``moisture``: percent as found (of the piece) and while damp.
    ``patience``: seconds after which the best found is taken. ``not_for_food``: use pieces that may
    not touch food. ``jobs``: processes to search with. ``tell`` hears what is being done.

    Returns the pieces with the boards on them, checked as they lie and accounted for; what is left
    over; and what a board lacks that fits nowhere. Raises InputError where an argument is out of
    its range, or a piece is too thin or not fit for food.
    """
    pieces = [pieces] if isinstance(pieces, OffCut) else pieces
    if not boards or not pieces:
        raise InputError(
            Problem("boards" if not boards else "pieces", "there are none", "one or more")
        )
    in_range(within, 0, MOST_TURN, "within")
    in_range(seed, 0, 2**63 - 1, "seed")
    if math.isfinite(patience):
        in_range(patience, *PATIENCE, "patience")
    counts, ranks = (
        _each(given, len(boards), name)
        for given, name in ((quantities, "quantities"), (priorities, "priorities"))
    )
    for count in counts:
        in_range(count, 1, MOST_OF_ONE, "quantities")
    if scales is not None:
        one_on_one(sum(counts), len(pieces))
    if not not_for_food:
        _all_for_food(pieces)
    if keep_live_edge or any(b.brief.live_edge == "keep" for b in boards):
        pieces = [replace(p, keep=p.natural is not None) for p in pieces]
    wanted = [Wanted(b, n, r) for b, n, r in zip(boards, counts, ranks, strict=True)]
    return lay_out(
        wanted,
        pieces,
        max(b.brief.cutter for b in boards) if cutter is None else cutter,
        scales=scales,
        within=math.radians(within),
        seed=seed,
        saw=saw,
        moisture=moisture or (None, DAMP),
        patience=patience,
        jobs=jobs,
        tell=tell,
    )


def _all_for_food(pieces: Sequence[OffCut]) -> None:
    """Raise InputError with every piece that may not touch food."""
    unfit = [p for p in pieces if not p.fit_for_food]
    if unfit:
        raise InputError(
            *(
                Problem(
                    p.name,
                    f"is not fit for food: its origin is '{p.origin}'",
                    "only known solid timber",
                    "leave it, or say not_for_food",
                )
                for p in unfit
            )
        )


def one_on_one(boards: int, pieces: int) -> None:
    """Raise InputError where a scale is asked for of more
    than one board, or on more than one piece.
    """
    if (boards, pieces) != (1, 1):
        raise InputError(
            Problem(
                f"{OPTION}: scale",
                f"goes with one board on one off-cut, here {boards} on {pieces}",
                "",
                "leave it out, or name one of each",
            )
        )


def _each(given: Sequence[int] | int, count: int, name: str) -> list[int]:
    """Return a number for each board."""
    each = [given] * count if isinstance(given, int) else list(given)
    if len(each) != count:
        raise InputError(
            Problem(name, f"are {len(each)} for {count} boards", "", "one a board, or one for all")
        )
    return each

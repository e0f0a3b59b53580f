"""Boards and collections as a person looks at them."""

from __future__ import annotations

from shapes.collection.board import Board, DrawnBoard, Report, full_report
from shapes.collection.generate import Collection
from shapes.errors import InputError, Problem, in_range
from shapes.pictures.beside import THINGS
from shapes.pictures.board import RANGE, Shown, as_png, board_picture
from shapes.pictures.sheet import finished_sheet


def picture(
    thing: Board | DrawnBoard | Report | Collection,
    *,
    pixels: int = 1600,
    beside: str | None = None,
    transparent: bool = False,
) -> bytes:
    """Return a PNG of a board finished in its timber, or of a collection's sheet (2480 pixels).

    ``pixels`` wide, ``beside`` a plate, a loaf or a hand, or ``transparent``, without a ground: of
    one board. Raises InputError where ``pixels`` is out of range, CairoMissingError for a sheet
    where the Cairo library is not there.
    """
    if isinstance(thing, Collection):
        return finished_sheet(thing.reports, thing.brief.title).png()
    in_range(pixels, *RANGE, "pixels")
    if beside is not None and beside not in THINGS:
        raise InputError(Problem("beside", f"unknown thing '{beside}'", ", ".join(THINGS)))
    report = thing if isinstance(thing, Report) else full_report(thing)
    shown = Shown(pixels, transparent, beside)
    return as_png(board_picture(report, shown), shown)

"""board.png: one board finished, alone or beside
something of known size, on its ground or on none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shapes.collection.board import Report
from shapes.pictures.beside import beside, breadth
from shapes.pictures.finished import Picture, body_of, drawn_marks, png_of, wide

if TYPE_CHECKING:
    from shapes.workshop.job import Placed

PIXELS = 1600
RANGE = (200, 6000)  # pixels
INK = "#1f2a44"


@dataclass(frozen=True, slots=True)
class Shown:
    """How a board is shown: pixels wide, with no ground, beside a thing."""

    pixels: int = PIXELS
    transparent: bool = False
    beside: str | None = None


SHOWN = Shown()


def board_picture(
    report: Report,
    shown: Shown = SHOWN,
    marks: Sequence[Placed | None] = (None, None),
    ink: str = INK,
    *,
    under: bool = False,
) -> Picture:
    """Return a board, one face up, with its engraving and its print where they are on that face."""
    body = body_of(report, drawn_marks(marks, ink, under=under), under=under)
    return beside(body, shown.beside, shown.pixels) if shown.beside else wide(body, shown.pixels)


def width_of(report: Report, thing: str | None) -> float:
    """Return how much a picture of a board shows from left
    to right, mm, a thing beside it or none.
    """
    return breadth(report.outline, thing)


def as_png(made: Picture, shown: Shown) -> bytes:
    """Return a picture as a file: on its ground, or on none."""
    return png_of(made.cut_out if shown.transparent else made.pixels)

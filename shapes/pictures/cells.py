"""A page of boards to one scale.

Cells side by side, the title and the bar above, words below each.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shapes.collection.board import Report
from shapes.files.page import INK, PAPER, SOFT, text_at
from shapes.files.svg import number

PAGE = (420.0, 297.0)  # mm, a sheet to pin on the wall (ISO 216 A3)
_COLUMNS, _LEAST_ROW = 4, 64.0  # boards side by side at most; mm of height a row wants at least
_TOP, _BOTTOM, _SIDE, _TEXT = 25.0, 7.0, 12.0, 17.0  # mm


@dataclass(frozen=True, slots=True)
class Cells:
    """Cells of ``size`` mm in ``columns``, on a page ``height`` mm high.

    ``scale`` mm of it a mm of board.
    """

    height: float
    columns: int
    size: tuple[float, float]
    scale: float
    widest: float

    def middle(self, i: int) -> tuple[float, float]:
        """Return where the middle of board ``i`` lies."""
        x = _SIDE + self.size[0] * (i % self.columns + 0.5)
        y = _TOP + self.size[1] * (i // self.columns)
        return x, y + (self.size[1] - _TEXT) / 2 - 1.0

    def under(self, i: int) -> float:
        """Return the line that the words under board ``i`` begin at."""
        half = min(self.widest * self.scale / 2, (self.size[1] - _TEXT) / 2)
        return self.middle(i)[1] + half + 8.0


def cells_for(reports: Sequence[Report]) -> Cells:
    """Return cells in which boards lie as large as a page takes them."""
    longest = max(r.subject.box[0] for r in reports)
    widest = max(r.subject.box[1] for r in reports)
    # Width of a caption and board against its length, to fill the page well.
    aspect = min(max((widest + 70.0) / longest, 0.45), 1.3)
    columns = max(1, round(math.sqrt(len(reports) * 1.5 * aspect)))
    columns = min(columns, len(reports), _COLUMNS)
    rows = math.ceil(len(reports) / columns)
    # More boards than the page holds at a size to judge by make it longer.
    height = max(PAGE[1], _TOP + _BOTTOM + rows * _LEAST_ROW)
    size = (PAGE[0] - 2 * _SIDE) / columns, (height - _TOP - _BOTTOM) / rows
    scale = min((size[0] - 10) / longest, (size[1] - _TEXT - 6) / widest)
    return Cells(height, columns, size, scale, widest)


def head(cells: Cells, title: str, about: str) -> list[str]:
    """Begin a page: its ground, title and what holds for
    all boards, a bar of 100 mm and the grain.
    """
    wide, high = PAGE[0], cells.height
    bar = 100 * cells.scale
    right, y = wide - _SIDE, 17.0
    return [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:g}mm" height="{high:g}mm"'
            f' viewBox="0 0 {wide:g} {high:g}">'
        ),
        f'<rect width="{wide:g}" height="{high:g}" fill="{PAPER}"/>',
        text_at(_SIDE, 13.5, min(7.0, 520.0 / max(len(title), 1)), title, INK, "bold"),
        text_at(_SIDE, 20.0, 3.6, about, SOFT),
        (
            f'<path d="M{number(right - bar)},{y - 1.5} v3 M{number(right - bar)},{y}'
            f' h{number(bar)} m0,-1.5 v3" fill="none" stroke="{INK}" stroke-width="0.35"/>'
        ),
        text_at(right - bar / 2, y - 2.6, 3.2, "100 mm", INK, anchor="middle"),
        arrow(right - bar / 2, y + 5.2, bar),
    ]


def words(cells: Cells, i: int, lines: Sequence[str]) -> list[str]:
    """Set the words under a board: a name, then what is to be said of it."""
    x, _ = cells.middle(i)
    under = cells.under(i)
    first = text_at(x, under, 4.2, lines[0], INK, "bold", "middle")
    return [first] + [
        text_at(x, under + 4.4 + 3.9 * k, 3.2, t, SOFT, anchor="middle")
        for k, t in enumerate(lines[1:])
    ]


def short(text: str, most: int) -> str:
    """Return a text of at most so many letters."""
    return text if len(text) <= most else text[: most - 1].rstrip() + "\u2026"


def arrow(x: float, y: float, length: float) -> str:
    """Return the arrow that shows how the grain runs."""
    a, b = number(x - length / 2), number(y)
    return (
        f'<path d="M{a},{b} h{number(length)} m-2.4,-1 l2.4,1 l-2.4,1" fill="none" stroke="{SOFT}"'
        ' stroke-width="0.3"/>' + text_at(x, y + 3.6, 2.8, "grain", SOFT, anchor="middle")
    )

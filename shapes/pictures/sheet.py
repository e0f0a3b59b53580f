"""The sheet to choose from.

Every board finished, to one scale, and under each what a maker chooses by.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from shapes.checks import WARNS
from shapes.checks.finding import WARN
from shapes.collection.board import Report
from shapes.files.raster import pixels
from shapes.files.svg import number
from shapes.geometry.outline import bounds
from shapes.pictures.cells import PAGE, Cells, cells_for, head, short, words
from shapes.pictures.finished import (
    Pixels,
    at_once,
    body_of,
    data_of,
    jpeg_of,
    picture,
    png_of,
)
from shapes.pictures.surface import LEAN
from shapes.units import mass_said, sizes

PIXELS = 2480  # an A3 page at 150 dots an inch
_AROUND = 8.0  # mm of the page for shadows
_LETTERS = 3.6  # mm of a line that letters stand above it
_FADES = 2.5  # mm over which a shadow fades where it would come under the words
_TIGHT = 1.15  # a cutter this many times the brief's or less is worth a word


@dataclass(frozen=True, slots=True, eq=False)
class ContactSheet:
    """A page: its words as an SVG without an end, and
    pictures with the pixel of their first corner.
    """

    words: str
    pictures: tuple[tuple[int, int, Pixels], ...]

    def svg(self) -> bytes:
        """Return one file that holds everything."""
        mm = PAGE[0] / PIXELS
        images = [
            f'<image x="{number(x * mm, 5)}" y="{number(y * mm, 5)}"'
            f' width="{number(p.shape[1] * mm, 5)}" height="{number(p.shape[0] * mm, 5)}"'
            f' href="{data_of(jpeg_of(p))}"/>'
            for x, y, p in self.pictures
        ]
        # Behind the words: a board's shadow may reach under the scale beside it.
        paper = self.words.index("/>") + 2
        return "\n".join([self.words[:paper], *images, self.words[paper:], "</svg>", ""]).encode()

    def png(self) -> bytes:
        """Return the page as pixels, those of the boards untouched but for words.

        Raises CairoMissingError.
        """
        made = pixels(self.words + "</svg>", PIXELS)
        for x, y, p in self.pictures:
            there = made[y : y + p.shape[0], x : x + p.shape[1]]
            np.minimum(there, p, out=there)
        return png_of(made)


def caption(report: Report, place: int, told: Collection[str] = ()) -> list[str]:
    """Return the words under a board: number and name; size and mass.

    What warns, and a tight corner.

    What is ``told`` at the head of the sheet, since it is of all boards, is not said again.
    """
    s, brief = report.subject, report.board.brief
    lines = [
        f"{place}  {short(report.board.name, 26)}",
        f"{sizes(s.box, brief.unit)}, {mass_said(s.mass, brief.unit)}",
    ]
    said = []
    if report.failed:
        said.append(f"FAILS {', '.join(report.failed)}")
    said += [w for w in warnings_of(report) if w not in told]
    largest = next((f.measured for f in report.findings if f.check == "cutter"), None)
    if largest is not None and largest < _TIGHT * brief.cutter:
        said.append(f"cutter to {largest:.1f} mm")
    return [*lines, *(["; ".join(said)] if said else [])]


def warnings_of(report: Report) -> list[str]:
    """Return what warns of a board, in words for the hand."""
    names = dict.fromkeys(f.check for f in report.findings if f.verdict == WARN)
    return [WARNS[n] for n in names if n not in report.failed]


def finished_sheet(reports: Sequence[Report], title: str) -> ContactSheet:
    """Return all boards finished, to one scale."""
    cells = cells_for(reports)
    brief = reports[0].board.brief
    says = f"{brief.species}, {sizes((brief.thickness,), brief.unit)} thick, oiled"
    every = warnings_of(reports[0]) if len(reports) > 1 else []
    told = [w for w in every if all(w in warnings_of(r) for r in reports)]
    parts = head(cells, title, "; ".join([says, *(f"all: {w}" for w in told)]))
    for i, report in enumerate(reports):
        parts += words(cells, i, caption(report, i + 1, told))
    drawn = at_once(lambda pair: _cell(cells, *pair), list(enumerate(reports)))
    return ContactSheet("\n".join(parts), tuple(drawn))


def _cell(cells: Cells, i: int, report: Report) -> tuple[int, int, Pixels]:
    """Return the pixels of a board and where on the page they belong."""
    dense = PIXELS / PAGE[0]
    scale = cells.scale * dense
    body = body_of(report)
    screen = body.screen(scale, _AROUND / cells.scale * 0.6)
    x0, y0, x1, y1 = bounds(report.outline)
    x, y = cells.middle(i)
    # The middle of its box, and half of the edge that is seen below it, lie in the middle of the
    # cell.
    down = (y1 + y0) / 2 - LEAN * body.thickness / 2
    left = round(x * dense + (screen.left - (x0 + x1) / 2) * scale)
    top = round(y * dense - (screen.top - down) * scale)
    # What is ground gives way to the words, and to the cells above and beside.
    last = math.floor((cells.under(i) - _LETTERS) * dense) - top
    made = picture(body, screen)
    fading = np.clip((last - np.arange(screen.rows)) / (_FADES * dense), 0, 1).astype(np.float32)
    return left, top, replace(made, kept=made.kept * fading[:, None]).pixels[:last]

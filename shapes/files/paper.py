"""PDF pages: the fonts they are set in, and a template 1:1 tiled over sheets of paper."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from functools import cache
from typing import Any

import numpy as np

from shapes.files.figure import path_on
from shapes.files.font import fonts
from shapes.geometry.curve import Array, Curve, turn
from shapes.geometry.outline import Outline, bounds
from shapes.units import POINTS_PER_MM as POINTS

PAPER = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # mm: ISO 216; 8.5 x 11 in
PRINTER_MARGIN = 12.0  # mm of paper that a printer leaves blank; our choice
OVERLAP = 12.0  # mm by which neighbouring sheets show the same; our choice
BAR = 100.0  # mm
TEXT, BOLD = "Roboto", "RobotoBold"


@cache
def text_fonts() -> tuple[str, str]:
    """Register the fonts that pages are set in, embedded so that every letter prints."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    known = fonts()
    for name in (TEXT, BOLD):
        pdfmetrics.registerFont(TTFont(name, str(known[name])))
    return TEXT, BOLD


def canvas_of(size: tuple[float, float], title: str) -> tuple[Any, io.BytesIO]:
    """Return an empty PDF of pages of ``size`` mm, the same bytes each time."""
    from reportlab import rl_config
    from reportlab.pdfgen.canvas import Canvas

    rl_config.useA85 = 0  # bytes, not text: smaller and quicker
    held = io.BytesIO()
    canvas = Canvas(
        held, pagesize=(size[0] * POINTS, size[1] * POINTS), invariant=1, pageCompression=1
    )
    canvas.setTitle(title)
    canvas.setCreator("shapes")
    return canvas, held


def fitting(canvas: Any, words: str, font: str, size: float, wide: float) -> str:
    """Return as much of a text as stands on a line of ``wide`` points."""
    while words and canvas.stringWidth(words, font, size) > wide:
        words = words[:-2].rstrip() + "\u2026" if len(words) > 2 else ""
    return words


def template_pdf(outline: Outline, title: str, paper: str = "a4", grain: float = 0.0) -> bytes:
    """Return the outline 1:1 on as few sheets as it takes,
    upright or lying, with marks to join them by.

    An arrow shows the grain, ``grain`` radians from x; words say which face looks up. Every sheet
    has a bar of 100 mm, crosses where it meets its neighbours, and says its row and column.
    """
    text, bold = text_fonts()
    x0, y0, x1, y1 = (b + d for b, d in zip(bounds(outline), (-8, -8, 8, 8), strict=True))
    w, h, columns, rows = _sheets(PAPER[paper], x1 - x0, y1 - y0)
    tile = (w - 2 * PRINTER_MARGIN, h - 2 * PRINTER_MARGIN)
    step = (tile[0] - OVERLAP, tile[1] - OVERLAP)
    # The board is centred in what the sheets cover.
    cover = (columns * step[0] + OVERLAP, rows * step[1] + OVERLAP)
    start = ((x0 + x1 - cover[0]) / 2, (y0 + y1 - cover[1]) / 2)
    canvas, held = canvas_of((w, h), title)
    for row in range(rows):
        for column in range(columns):
            low = (start[0] + column * step[0], start[1] + row * step[1])
            at = ((PRINTER_MARGIN - low[0]) * POINTS, (PRINTER_MARGIN - low[1]) * POINTS)
            canvas.saveState()
            frame = canvas.beginPath()
            frame.rect(
                PRINTER_MARGIN * POINTS, PRINTER_MARGIN * POINTS, tile[0] * POINTS, tile[1] * POINTS
            )
            canvas.clipPath(frame, stroke=0, fill=0)
            canvas.setLineWidth(0.25 * POINTS)
            for curve in outline.curves:
                canvas.drawPath(path_on(canvas, curve, POINTS, at), stroke=1, fill=0)
            for line in [
                *_crosses(start, step, columns, rows),
                *_cross(0.0, 0.0, 8.0),
                *_grain(grain),
            ]:
                canvas.drawPath(path_on(canvas, line, POINTS, at), stroke=1, fill=0)
            canvas.setFont(text, 9)
            canvas.drawCentredString(
                at[0], at[1] - 22 * POINTS, "eating face up; grain along the arrow"
            )
            canvas.restoreState()
            _foot(canvas, title, row, column, (rows, columns), h, (text, bold))
            canvas.showPage()
    canvas.save()
    return held.getvalue()


def _grain(angle: float) -> list[Array]:
    """An arrow along the grain, below the middle of the board."""
    angle = math.remainder(angle, math.pi)
    line, head = np.array([[-30.0, 0], [30, 0]]), np.array([[24.0, 3], [30, 0], [24, -3]])
    return [turn(p, angle) + np.array([0.0, -13.0]) for p in (line, head)]


def _sheets(size: tuple[float, float], wide: float, high: float) -> tuple[float, float, int, int]:
    """Return width and height of a sheet, upright or lying, that takes the fewest.

    Columns and rows.
    """
    found = []
    for w, h in (size, size[::-1]):
        columns, rows = (
            max(1, math.ceil((need - OVERLAP) / (side - 2 * PRINTER_MARGIN - OVERLAP)))
            for side, need in ((w, wide), (h, high))
        )
        found.append((columns * rows, w, h, columns, rows))
    _, w, h, columns, rows = min(found)
    return w, h, columns, rows


def _crosses(
    start: tuple[float, float], step: tuple[float, float], columns: int, rows: int
) -> list[Array]:
    """Crosses in the middle of what neighbouring sheets
    share, at the sheets' corners and halfway.
    """
    found = []
    xs = [start[0] + OVERLAP / 2 + i * step[0] for i in range(columns + 1)]
    ys = [start[1] + OVERLAP / 2 + i * step[1] for i in range(rows + 1)]
    half = [(x + step[0] / 2, y) for x in xs[:-1] for y in ys] + [
        (x, y + step[1] / 2) for x in xs for y in ys[:-1]
    ]
    for x, y in [(x, y) for x in xs for y in ys] + half:
        found += _cross(x, y, 4.0)
    return found


def _cross(x: float, y: float, size: float) -> list[Array]:
    return [np.array([[x - size, y], [x + size, y]]), np.array([[x, y - size], [x, y + size]])]


def _foot(
    canvas: Any,
    title: str,
    row: int,
    column: int,
    of: tuple[int, int],
    high: float,
    named: tuple[str, str],
) -> None:
    """Title, place of the sheet and the bar, in the blank edges."""
    canvas.setFont(named[1], 8)
    canvas.drawString(
        PRINTER_MARGIN * POINTS,
        (high - 8) * POINTS,
        fitting(canvas, title, named[1], 8, 180 * POINTS),
    )
    canvas.setFont(named[0], 7)
    place = (
        f"row {row + 1} of {of[0]} from below, column {column + 1} of {of[1]}: lay the crosses on"
        " one another"
    )
    canvas.drawString(PRINTER_MARGIN * POINTS, (high - 11.2) * POINTS, place)
    low, left = 6.0 * POINTS, PRINTER_MARGIN * POINTS
    canvas.setLineWidth(0.25 * POINTS)
    for x in (left, left + BAR * POINTS):
        canvas.line(x, low - 1.5 * POINTS, x, low + 1.5 * POINTS)
    canvas.line(left, low, left + BAR * POINTS, low)
    canvas.drawString(
        left + (BAR + 3) * POINTS, low - 1 * POINTS, "100 mm: print at 100 %, measure before use"
    )


def filled_pdf(
    shapes: Sequence[Curve] | Sequence[Array], size: tuple[float, float], title: str, colour: str
) -> bytes:
    """Return a page of ``size`` mm with filled shapes, counters left open; (0, 0) is its middle."""
    canvas, held = canvas_of(size, title)
    canvas.setFillColor(colour)
    path = canvas.beginPath()
    middle = (size[0] / 2 * POINTS, size[1] / 2 * POINTS)
    for shape in shapes:
        path_on(canvas, shape, POINTS, middle, closed=True, path=path)
    canvas.drawPath(path, stroke=0, fill=1, fillMode=0)
    canvas.showPage()
    canvas.save()
    return held.getvalue()

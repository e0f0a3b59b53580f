"""A line drawing in millimetres, y up, that is written to SVG and drawn on a PDF page alike."""

from __future__ import annotations

from dataclasses import dataclass, field
from html import escape
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from shapes.files.svg import number, path_data
from shapes.geometry.curve import Array, Curve
from shapes.units import POINTS_PER_MM as POINTS

BLACK, GREY, RED, BLUE, AMBER = "#000000", "#777777", "#c0392b", "#2c6fbb", "#e0a030"
GREEN = "#3c7a3c"


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """A curve or a line through points (n, 2)."""

    shape: Curve | Array
    colour: str = BLACK
    width: float = 0.25  # mm on the page, whatever the scale
    dash: tuple[float, ...] = ()
    fill: str | None = None
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Label:
    """A text: its middle on (x, y), size in mm on the page, turned by an angle in degrees."""

    x: float
    y: float
    text: str
    size: float = 3.0
    colour: str = BLACK
    angle: float = 0.0
    anchor: str = "middle"


@dataclass(slots=True)
class Figure:
    """Strokes and words in the board's millimetres, within a box (x0, y0, x1, y1)."""

    box: tuple[float, float, float, float]
    parts: list[Stroke | Label] = field(default_factory=list)

    def line(self, points: ArrayLike, **how: Any) -> None:
        """Add a line through points."""
        self.parts.append(Stroke(np.asarray(points, dtype=float), **how))

    def words(self, x: float, y: float, text: str, **how: Any) -> None:
        """Add a text."""
        self.parts.append(Label(x, y, text, **how))

    def scale(self, width: float, height: float) -> float:
        """Largest scale at which it fits a place of the page, mm."""
        x0, y0, x1, y1 = self.box
        return min(width / (x1 - x0), height / (y1 - y0))


def as_svg(figure: Figure, width: float, height: float) -> str:
    """Return an SVG that fits ``width`` x ``height`` mm of a page."""
    k = figure.scale(width, height)
    x0, y0, x1, y1 = figure.box
    view = " ".join(number(v) for v in (x0, -y1, x1 - x0, y1 - y0))
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(k * (x1 - x0))}mm"'
        f' height="{number(k * (y1 - y0))}mm" viewBox="{view}">'
    ]
    for p in figure.parts:
        if isinstance(p, Label):
            turned = f' transform="rotate({number(-p.angle)} {number(p.x)} {number(-p.y)})"'
            parts.append(
                f'<text x="{number(p.x)}" y="{number(-p.y)}" font-size="{number(p.size / k)}"'
                f' font-family="sans-serif" text-anchor="{p.anchor}" fill="{p.colour}"'
                f"{turned if p.angle else ''}>{escape(p.text)}</text>"
            )
            continue
        dash = f' stroke-dasharray="{" ".join(number(d / k) for d in p.dash)}"' if p.dash else ""
        parts.append(
            f'<path d="{_data(p)}" fill="{p.fill or "none"}" stroke="{p.colour}"'
            f' stroke-width="{number(p.width / k)}"{dash}/>'
        )
    return "".join([*parts, "</svg>"])


def _data(p: Stroke) -> str:
    if isinstance(p.shape, Curve):
        return path_data(p.shape)
    pairs = " ".join(f"{number(x)},{number(-y)}" for x, y in p.shape)
    return f"M{pairs}" + (" Z" if p.closed else "")


def on_canvas(
    canvas: Any, figure: Figure, left: float, low: float, width: float, height: float, font: str
) -> None:
    """Draw on a PDF page into a place given in points, at the largest scale that fits, centred."""
    k = figure.scale(width, height)
    x0, y0, x1, y1 = figure.box
    dx = left + (width - k * (x1 - x0)) / 2 - k * x0
    dy = low + (height - k * (y1 - y0)) / 2 - k * y0
    for p in figure.parts:
        if isinstance(p, Label):
            _write(canvas, p, dx + k * p.x, dy + k * p.y, font)
            continue
        canvas.setStrokeColor(p.colour)
        canvas.setLineWidth(p.width * POINTS)
        canvas.setDash([d * POINTS for d in p.dash] if p.dash else [])
        if p.fill:
            canvas.setFillColor(p.fill)
        canvas.drawPath(
            path_on(canvas, p.shape, k, (dx, dy), closed=p.closed), stroke=1, fill=int(bool(p.fill))
        )
    canvas.setDash([])


def path_on(
    canvas: Any,
    shape: Curve | Array,
    k: float,
    at: tuple[float, float],
    *,
    closed: bool = False,
    path: Any = None,
) -> Any:
    """Return a PDF path of a curve or a line, scaled by ``k``, then moved to ``at``, points.

    It is added to ``path`` where one is given.
    """
    path = path or canvas.beginPath()
    if isinstance(shape, Curve):
        b = (shape.segments * k + np.array(at)).reshape(-1, 8)
        path.moveTo(*b[0, :2])
        for row in b:
            path.curveTo(*row[2:])
        path.close()
        return path
    points = shape * k + np.array(at)
    path.moveTo(*points[0])
    for x, y in points[1:]:
        path.lineTo(x, y)
    if closed:
        path.close()
    return path


def _write(canvas: Any, p: Label, x: float, y: float, font: str) -> None:
    canvas.saveState()
    canvas.translate(x, y)
    canvas.rotate(p.angle)
    canvas.setFillColor(p.colour)
    canvas.setFont(font, p.size * POINTS)
    draw = {
        "middle": canvas.drawCentredString,
        "start": canvas.drawString,
        "end": canvas.drawRightString,
    }[p.anchor]
    draw(0, 0, p.text)
    canvas.restoreState()

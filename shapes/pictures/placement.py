"""The placement picture: a piece of timber with its boards, to be held beside the wood itself.

The piece lies as the maker measured it, y up; every figure on it is in mm from the datum.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import shapely

from shapes.files.page import INK, PAPER, SOFT, shade, text_at
from shapes.files.svg import number
from shapes.geometry.curve import Array
from shapes.pictures.finished import data_of, jpeg_of
from shapes.pictures.piece import piece_picture
from shapes.pictures.screen import Screen
from shapes.placing.place import Placement
from shapes.timber.off_cut import OffCut
from shapes.units import MM_PER_INCH, with_own

PAGE = (297.0, 210.0)  # mm, ISO 216 A4
_ROOM = (243.0, 118.0)  # mm for the piece
_RED, _BLUE = "#b03a2e", "#2c6fbb"
_DENSE, _RIM = 8.0, 14  # pixels a mm of the page, and pixels of ground round the piece
Point = tuple[float, float]
At = Callable[[Sequence[float]], Point]  # from the piece to the page


def placement_picture(
    piece: OffCut,
    placed: Sequence[tuple[int, Placement, str]],
    datum: Point,
    cutter: float,
    unit: str | None = None,
) -> str:
    """Draw a piece with (number, placement, name) on it and the dimensions that set the datum out.

    Sizes are said in ``unit`` too; places are what the files hold, mm.

    Timber and boards are shown as wood, straight from above, so that what is measured on them is
    true.
    """
    x0, y0, x1, y1 = piece.outline.bounds
    k = min(_ROOM[0] / (x1 - x0), _ROOM[1] / (y1 - y0))
    left = (PAGE[0] - k * (x1 - x0)) / 2 + 6
    low = 30.0 + k * (y1 - y0)

    def at(p: Sequence[float]) -> Point:
        return left + (p[0] - x0) * k, low - (p[1] - y0) * k

    height = max(PAGE[1], low + 32 + 5.2 * len(placed))
    tone = piece.timber.colour
    ring = shapely.get_coordinates(piece.outline.exterior)
    shape = _ring(ring, at)
    parts = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{PAGE[0]:g}mm"'
            f' height="{number(height)}mm" viewBox="0 0 {PAGE[0]:g} {number(height)}">'
        ),
        f'<rect width="{PAGE[0]:g}" height="{number(height)}" fill="{PAPER}"/>',
        text_at(14, 12, 6, piece.name, INK, "bold"),
        text_at(14, 18, 3.4, _about(piece, cutter, unit), SOFT),
        _wood(piece, placed, cutter, k, at),
        f'<path d="{shape}" fill="none" stroke="{shade(tone, 0.5)}" stroke-width="0.3"/>',
    ]
    if piece.natural is not None:
        for line in shapely.get_parts(piece.natural):
            d = _ring(shapely.get_coordinates(line), at).removesuffix(" Z")
            parts.append(f'<path d="{d}" fill="none" stroke="#6a8f3c" stroke-width="1.1"/>')
    for count, placement, _ in placed:
        x, y = at(_inside(placement))
        parts += _label(x, y + 2.4, 7, str(count), INK, "bold", "middle")
    for defect in piece.defects:
        soft = defect.kind in ("sapwood", "stain", "glue line")
        dashes = ' stroke-dasharray="1.2 0.8"' if soft else ""
        parts.append(
            f'<path d="{_ring(shapely.get_coordinates(defect.shape.exterior), at)}" fill="{_RED}"'
            f' fill-opacity="{0 if soft else 0.12}" stroke="{_RED}" stroke-width="0.25"'
            f"{dashes}/>"
        )
        x, y = at((defect.shape.centroid.x, defect.shape.bounds[3]))
        parts += _label(x, y - 0.8, 2.6, defect.name, _RED, anchor="middle")
    for f in piece.fixings:
        x, y = at(f.at)
        r = number(max(f.diameter / 2 * k, 0.8))
        parts.append(
            f'<circle cx="{number(x)}" cy="{number(y)}" r="{r}" fill="#fff" stroke="{INK}"'
            ' stroke-width="0.3"/>'
        )
        parts += _label(x + 1.6, y - 1.2, 2.4, f.name, INK)
    parts += _dimensions(piece, datum, at, unit)
    parts += _legend(piece, k, unit)
    parts += _table(placed, datum, low + 24)
    return "\n".join([*parts, "</svg>", ""])


def _about(piece: OffCut, cutter: float, unit: str | None) -> str:
    wanted = "" if piece.wanted is None else f", boards {_said(piece.wanted, unit)}"
    return (
        f"{piece.species}, {_said(piece.thickness, unit)} thick{wanted}; {_said(cutter, unit)}"
        " cutter; x and y in mm from the datum"
    )


def _said(mm: float, unit: str | None) -> str:
    """A length as it is set, and first in the maker's own unit where that is another."""
    return with_own((mm,), unit, f"{mm:g} mm")


def _figure(mm: float, digits: int, unit: str | None) -> str:
    """A dimension in mm, its unit left out, and first in the
    maker's own unit where that is another.
    """
    return with_own((mm,), unit, f"{mm:.{digits}f}")


def _ring(points: Array, at: At) -> str:
    place = [at(p) for p in points]
    return "M" + " L".join(f"{number(x)},{number(y)}" for x, y in place) + " Z"


def _wood(
    piece: OffCut,
    placed: Sequence[tuple[int, Placement, str]],
    cutter: float,
    k: float,
    at: At,
) -> str:
    """The piece and its boards as an image in its place on the page."""
    x0, y0, x1, y1 = piece.outline.bounds
    scale = k * _DENSE
    columns, rows = (math.ceil(v * scale) + 2 * _RIM for v in (x1 - x0, y1 - y0))
    screen = Screen(x0 - _RIM / scale, y1 + _RIM / scale, scale, columns, rows)
    briefs = [(p.outline, p.board.brief) for _, p, _ in placed]
    bodies = [(o, b.round_over, b.guide_bearing) for o, b in briefs]
    made = piece_picture(piece, bodies, cutter, screen)
    x, y = at((screen.left, screen.top))
    return (
        f'<image x="{number(x, 5)}" y="{number(y, 5)}" width="{number(columns / _DENSE, 5)}"'
        f' height="{number(rows / _DENSE, 5)}" href="{data_of(jpeg_of(made.pixels))}"/>'
    )


def _inside(placement: Placement) -> Point:
    """Return a point well inside the wood, for the number."""
    p = shapely.maximum_inscribed_circle(placement.outline.wood, tolerance=1.0)
    x, y = shapely.get_coordinates(p)[0]
    return float(x), float(y)


def _dimensions(piece: OffCut, datum: Point, at: At, unit: str | None) -> list[str]:
    """Mark the datum, and measure it from the left and the lower edge of the piece."""
    ring = piece.outline.exterior
    x0, y0, x1, y1 = piece.outline.bounds
    dx, dy = datum
    flat = shapely.intersection(ring, shapely.LineString([(x0 - 1, dy), (dx, dy)]))
    upright = shapely.intersection(ring, shapely.LineString([(dx, y0 - 1), (dx, dy)]))
    marks = []
    x, y = at(datum)
    if not flat.is_empty:
        start = float(shapely.get_coordinates(flat)[:, 0].min())
        a = at((start, dy))
        if dx - start > 0.5:
            marks += _measure(a, (x, y), _figure(dx - start, 1, unit))
    if not upright.is_empty:
        start = float(shapely.get_coordinates(upright)[:, 1].min())
        a = at((dx, start))
        if dy - start > 0.5:
            marks += _measure(a, (x, y), _figure(dy - start, 1, unit))
    marks += [
        (
            f'<path d="M{number(x - 4)},{number(y)} h8 M{number(x)},{number(y - 4)} v8"'
            f' stroke="{_BLUE}" stroke-width="0.45"/>'
        ),
        (
            f'<circle cx="{number(x)}" cy="{number(y)}" r="2" fill="none" stroke="{_BLUE}"'
            ' stroke-width="0.45"/>'
        ),
        *_label(x + 3, y - 2.4, 3, "datum", _BLUE, "bold"),
    ]
    a, b = at((x0, y0)), at((x1, y0))
    marks += _overall((a[0], a[1] + 7), (b[0], b[1] + 7), _figure(x1 - x0, 0, unit))
    c = at((x0, y1))
    marks += _overall((a[0] - 7, a[1]), (c[0] - 7, c[1]), _figure(y1 - y0, 0, unit))
    return marks


def _label(
    x: float,
    y: float,
    size: float,
    text: str,
    colour: str,
    weight: str = "normal",
    anchor: str = "start",
) -> list[str]:
    """A line of text with a pale rim, to be read on any wood."""
    line = text_at(x, y, size, text, colour, weight, anchor)
    rim = f'<g stroke="{PAPER}" stroke-width="{size * 0.28:g}" stroke-linejoin="round">'
    return [rim + line.replace(f'fill="{colour}"', f'fill="{PAPER}"') + "</g>", line]


def _measure(a: Point, b: Point, text: str) -> list[str]:
    level = abs(a[1] - b[1]) < 1e-6
    middle = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    x, y = (middle[0], middle[1] - 1.2) if level else (middle[0] + 1.2, middle[1])
    return [
        (
            f'<path d="M{number(a[0])},{number(a[1])} L{number(b[0])},{number(b[1])}"'
            f' stroke="{_BLUE}" stroke-width="0.3" stroke-dasharray="2 1"/>'
        ),
        f'<circle cx="{number(a[0])}" cy="{number(a[1])}" r="0.7" fill="{_BLUE}"/>',
        *_label(x, y, 3.4, text, _BLUE, "bold", "middle" if level else "start"),
    ]


def _overall(a: Point, b: Point, text: str) -> list[str]:
    level = abs(a[1] - b[1]) < 1e-6
    cap = "v2 m0,-4 v2" if level else "h2 m-4,0 h2"
    x, y = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    words = text_at(x, y + 4, 3.2, text, INK, anchor="middle")
    if not level:
        words = (
            f'<g transform="translate({number(x - 1.4)},{number(y)}) rotate(-90)">'
            + text_at(0, 0, 3.2, text, INK, anchor="middle")
            + "</g>"
        )
    return [
        (
            f'<path d="M{number(a[0])},{number(a[1])} {cap} M{number(a[0])},{number(a[1])}'
            f' L{number(b[0])},{number(b[1])} {cap}" fill="none" stroke="{INK}"'
            ' stroke-width="0.25"/>'
        ),
        words,
    ]


def _legend(piece: OffCut, k: float, unit: str | None) -> list[str]:
    """A bar of 100 mm, or 4 in, and the grain's arrow."""
    long, says = (4 * MM_PER_INCH, "4 in") if unit == "in" else (100.0, "100 mm")
    k = k * long / 100
    x, y = PAGE[0] - 14 - 100 * k, 13.0
    angle = math.degrees(piece.grain)
    parts = [
        (
            f'<path d="M{number(x)},{y - 1.5} v3 M{number(x)},{y} h{number(100 * k)} m0,-1.5 v3"'
            f' fill="none" stroke="{INK}" stroke-width="0.35"/>'
        ),
        text_at(x + 50 * k, y - 2.4, 3, says, INK, anchor="middle"),
        (
            f'<g transform="translate({number(x + 50 * k)},20) rotate({number(-angle)})"><path'
            f' d="M-16,0 h32 m-2.4,-1 l2.4,1 l-2.4,1" fill="none" stroke="{SOFT}"'
            ' stroke-width="0.35"/></g>'
        ),
        text_at(x + 50 * k, 25, 2.8, "grain", SOFT, anchor="middle"),
    ]
    if piece.natural is not None:
        parts.append(
            text_at(
                14,
                23.5,
                3,
                "green: natural edge; where a board reaches it nothing is cut and it stays",
                "#6a8f3c",
            )
        )
    return parts


def _table(placed: Sequence[tuple[int, Placement, str]], datum: Point, y: float) -> list[str]:
    """Where each board's own middle lies, how far it is turned, and what is tightest."""
    if not placed:
        return [text_at(14, y, 4, "no board lies on this piece", INK)]
    columns = (14.0, 24.0, 92.0, 118.0, 142.0, 166.0)
    heads = ("no", "name", "x", "y", "turned", "tightest: there is / asked, mm")
    parts = [text_at(c, y, 3, h, SOFT) for c, h in zip(columns, heads, strict=True)]
    for i, (count, p, name) in enumerate(placed, start=1):
        near = p.tightest
        cells = (
            str(count),
            name[:34],
            f"{p.pose.x - datum[0]:.1f}",
            f"{p.pose.y - datum[1]:.1f}",
            f"{math.degrees(math.remainder(p.pose.angle, math.tau)):z.1f}°",
            f"{near.name}: {near.there:z.1f} / {near.asked:.1f}",
        )
        parts += [
            text_at(c, y + 5.2 * i, 3.3, t, INK, "bold" if j == 0 else "normal")
            for j, (c, t) in enumerate(zip(columns, cells, strict=True))
        ]
    return parts

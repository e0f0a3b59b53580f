"""A picture of one board's reach.

Its edge coloured by the cutter it needs, uncut wood filled in.
"""

from __future__ import annotations

import math
import textwrap
from itertools import pairwise
from pathlib import Path

import numpy as np
import shapely

from shapes.collection.board import Report
from shapes.files.page import INK, PAPER, SOFT, text_at
from shapes.files.raster import LineDrawing, write_picture
from shapes.files.svg import number, path_data
from shapes.geometry.curve import Array
from shapes.geometry.outline import Outline, bounds
from shapes.reach.closing import closing

PIXELS = 2000
# Diameters in mm that part the colours: what most shops have, from fine to coarse.
STEPS = (1.0, 3.0, 6.0, 8.0, 12.7, 20.0)
COLOURS = ("#7a0026", "#c2182f", "#e8642c", "#f0a73a", "#8cb369", "#3f8f7b", "#2b5c8a")
UNCUT, WOOD = "#c2182f", "#e9dcc7"


def write_reach(report: Report, path: Path) -> None:
    """Write the picture. Raises InputError for another ending, or where Cairo is missing."""
    write_picture(lambda: LineDrawing(reach_picture(report), PIXELS), path)


def reach_picture(report: Report) -> str:
    """Return the picture as SVG."""
    s = report.subject
    cutter = s.limits.cutter
    x0, y0, x1, y1 = bounds(s.outline)
    size = max(x1 - x0, y1 - y0)
    k = size / 200  # millimetres that are one on a picture 200 wide
    left, top = x0 - 8 * k, -y1 - 30 * k
    w, h = x1 - x0 + 16 * k, y1 - y0 + 64 * k
    body = " ".join(path_data(c) for c in s.outline.curves)
    parts = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(w)}mm" height="{number(h)}mm"'
            f' viewBox="{number(left)} {number(top)} {number(w)} {number(h)}">'
        ),
        (
            f'<rect x="{number(left)}" y="{number(top)}" width="{number(w)}" height="{number(h)}"'
            f' fill="{PAPER}"/>'
        ),
        f'<path d="{body}" fill="{WOOD}" fill-rule="evenodd"/>',
        uncut_path(s.outline, cutter),
        *_edge(report, 1.1 * k),
    ]
    left_over = s.uncut(cutter)
    for i, u in enumerate(left_over[:30], start=1):
        x, y = u.place
        deep = "shut" if math.isinf(u.depth) else f"{u.depth:.1f}"
        parts.append(
            f'<circle cx="{number(x)}" cy="{number(-y)}" r="{number(3.2 * k)}" fill="none"'
            f' stroke="{INK}" stroke-width="{number(0.4 * k)}"/>'
        )
        parts.append(text_at(x + 4 * k, -y - 2.5 * k, 3.4 * k, f"{i}: {deep}", INK))
    title = report.board.name or report.board.form
    found = next(f for f in report.findings if f.check == "cutter")
    parts.append(text_at(x0, top + 9 * k, 6 * k, title, INK, "bold"))
    parts += [
        text_at(x0, top + (15 + 4.6 * i) * k, 3.6 * k, line, SOFT)
        for i, line in enumerate(_broken(found.message, 100))
    ]
    parts += _legend(x0, -y0 + 12 * k, k, cutter)
    return "\n".join([*parts, "</svg>", ""])


def _broken(text: str, width: int) -> list[str]:
    return textwrap.wrap(text, width)[:3]


def uncut_path(outline: Outline, cutter: float) -> str:
    """Wood that a cutter leaves beyond the edge, as a filled path; empty where there is none."""
    filled = closing([outline], cutter / 2)[0]
    left = shapely.difference(filled, outline.wood)
    rings = [
        ring
        for part in shapely.get_parts(left)
        if shapely.area(part) > 0.01
        for ring in (part.exterior, *part.interiors)
    ]
    if not rings:
        return ""
    return (
        f'<path d="{" ".join(_ring(np.asarray(r.coords)) for r in rings)}" fill="{UNCUT}"'
        ' fill-rule="evenodd" fill-opacity="0.8"/>'
    )


def _ring(p: Array) -> str:
    return "M" + " ".join(f"{number(x)},{number(-y)}" for x, y in p) + "Z"


def band(diameter: float) -> int:
    """Index of the colour for the largest cutter that gets to a place."""
    return int(np.searchsorted(STEPS, diameter, side="right"))


def _edge(report: Report, width: float) -> list[str]:
    """The edge in stretches of one colour each."""
    d = report.subject.discs
    bands = np.searchsorted(STEPS, 2 * np.where(np.isfinite(d.outer), d.outer, 1e6), side="right")
    parts = []
    for loop in range(int(d.loop.max()) + 1):
        own = np.flatnonzero(d.loop == loop)
        p, b = d.p[own], bands[own]
        cuts = np.flatnonzero(b != np.roll(b, 1))
        starts = cuts if len(cuts) else np.array([0])
        for i, start in enumerate(starts):
            stop = starts[(i + 1) % len(starts)]
            count = (stop - start) % len(own) or len(own)
            run = (start + np.arange(count + 1)) % len(own)
            line = "M" + " ".join(f"{number(x)},{number(-y)}" for x, y in p[run])
            parts.append(
                f'<path d="{line}" fill="none" stroke="{COLOURS[b[start]]}"'
                f' stroke-width="{number(width)}" stroke-linecap="round" stroke-linejoin="round"/>'
            )
    return parts


def _legend(x: float, y: float, k: float, cutter: float) -> list[str]:
    names = [
        f"under {STEPS[0]:g}",
        *(f"{a:g} to {b:g}" for a, b in pairwise(STEPS)),
        f"over {STEPS[-1]:g}",
    ]
    parts = [text_at(x, y - 2.5 * k, 3.4 * k, "largest cutter that gets there, mm", SOFT)]
    for i, (name, colour) in enumerate(zip(names, COLOURS, strict=True)):
        at = x + 25 * k * i
        parts.append(
            f'<rect x="{number(at)}" y="{number(y)}" width="{number(22 * k)}"'
            f' height="{number(2 * k)}" fill="{colour}"/>'
        )
        parts.append(text_at(at, y + 6 * k, 3.2 * k, name, INK))
    parts.append(
        f'<rect x="{number(x)}" y="{number(y + 9 * k)}" width="{number(4 * k)}"'
        f' height="{number(3 * k)}" fill="{UNCUT}" fill-opacity="0.8"/>'
    )
    parts.append(
        text_at(
            x + 6 * k,
            y + 11.6 * k,
            3.4 * k,
            f"wood that a {cutter:g} mm cutter leaves; numbers give its depth in mm",
            INK,
        )
    )
    return parts

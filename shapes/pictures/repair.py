"""A picture of a repair: what was there, what is there now, and the stretches that changed."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from shapes.files.page import INK, PAPER, SOFT, text_at
from shapes.files.svg import number, path_data
from shapes.geometry.curve import flatten
from shapes.geometry.outline import bounds
from shapes.mending.loops import Loops
from shapes.mending.repair import Repaired

WOOD, ADDED, GONE, OLD, NEW = "#e9dcc7", "#3f8f7b", "#c2182f", "#c2182f", "#1d5c4c"


def repair_picture(
    before: Sequence[Loops], after: Sequence[Repaired], title: str, why: Sequence[str]
) -> str:
    """Return the picture as SVG: before in thin red under after in green, one scale."""
    boxes = np.array([bounds(r.outline) for r in after])
    (x0, y0), (x1, y1) = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    k = max(x1 - x0, y1 - y0) / 200
    lines = [text for text in why if text][:8]
    top, foot = 16 + 4.6 * len(lines), 24
    left = x0 - 8 * k
    w, h = x1 - x0 + 16 * k, y1 - y0 + (top + foot) * k
    over = -y1 - top * k
    parts = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(w)}mm" height="{number(h)}mm"'
            f' viewBox="{number(left)} {number(over)} {number(w)} {number(h)}">'
        ),
        (
            f'<rect x="{number(left)}" y="{number(over)}" width="{number(w)}" height="{number(h)}"'
            f' fill="{PAPER}"/>'
        ),
        text_at(x0, over + 8 * k, 5.5 * k, title, INK, "bold"),
    ]
    parts += [text_at(x0, over + (14 + 4.6 * i) * k, 3.4 * k, t, SOFT) for i, t in enumerate(lines)]
    for old, new in zip(before, after, strict=True):
        body = " ".join(path_data(c) for c in new.outline.curves)
        parts.append(f'<path d="{body}" fill="{WOOD}" fill-rule="evenodd"/>')
        parts += _changes(old, new)
        first = " ".join(path_data(c) for c in (old.edge, *old.openings))
        parts.append(
            f'<path d="{first}" fill="none" stroke="{OLD}" stroke-width="{number(0.3 * k)}"/>'
        )
        parts.append(
            f'<path d="{body}" fill="none" stroke="{INK}" stroke-width="{number(0.45 * k)}"/>'
        )
        for path in new.stretches:
            d = "M" + " ".join(f"{number(x)},{number(-y)}" for x, y in path)
            parts.append(
                f'<path d="{d}" fill="none" stroke="{NEW}" stroke-width="{number(1.0 * k)}"'
                ' stroke-linecap="round"/>'
            )
    y = -y0 + 9 * k
    keys = ((OLD, 0.3, "before"), (INK, 0.45, "kept"), (NEW, 1.0, "new stretch"))
    for i, (colour, wide, name) in enumerate(keys):
        at = x0 + 34 * k * i
        parts.append(
            f'<path d="M{number(at)},{number(y)} h{number(10 * k)}" stroke="{colour}"'
            f' stroke-width="{number(wide * k)}"/>'
        )
        parts.append(text_at(at + 12 * k, y + 1.2 * k, 3.4 * k, name, INK))
    for i, (colour, name) in enumerate(((ADDED, "wood more"), (GONE, "wood less"))):
        at = x0 + (102 + 34 * i) * k
        parts.append(
            f'<rect x="{number(at)}" y="{number(y - 1.5 * k)}" width="{number(10 * k)}"'
            f' height="{number(3 * k)}" fill="{colour}" fill-opacity="0.6"/>'
        )
        parts.append(text_at(at + 12 * k, y + 1.2 * k, 3.4 * k, name, INK))
    return "\n".join([*parts, "</svg>", ""])


def _changes(old: Loops, new: Repaired) -> list[str]:
    """Wood gained and lost, filled."""
    was = shapely.make_valid(shapely.Polygon(flatten(old.edge)))
    for c in old.openings:
        was = shapely.difference(was, shapely.make_valid(shapely.Polygon(flatten(c))))
    parts = []
    for value, colour in (
        (shapely.difference(new.outline.wood, was), ADDED),
        (shapely.difference(was, new.outline.wood), GONE),
    ):
        rings = [
            ring
            for p in shapely.get_parts(value)
            if isinstance(p, shapely.Polygon) and p.area > 0.05
            for ring in (p.exterior, *p.interiors)
        ]
        if rings:
            d = " ".join(
                "M" + " ".join(f"{number(x)},{number(-y)}" for x, y in r.coords) + "Z"
                for r in rings
            )
            parts.append(f'<path d="{d}" fill="{colour}" fill-rule="evenodd" fill-opacity="0.6"/>')
    return parts

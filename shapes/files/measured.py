"""The outline of an off-cut as it was measured: corners, a rectangle, offsets, or a drawing."""

from __future__ import annotations

import math
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Any, Protocol

import numpy as np
import shapely

from shapes.errors import InputError
from shapes.files.drawing import read_drawing
from shapes.files.page import INK, PAPER, SOFT, text_at
from shapes.files.safe import write_checked
from shapes.files.svg import number
from shapes.geometry.curve import Array, flatten
from shapes.parameters import Range
from shapes.timber.off_cut import KINDS, Defect

AGAIN = 10.0  # mm: a last corner this near the first is the first measured again; our choice
SMALLEST = 10_000.0  # mm2: less is no off-cut
EVERY = 50.0  # mm between offsets
_WAYS = ("corners", "rectangle", "offsets", "drawing")
_SIDE = Range(20, 5000, "a length", "mm")


class Reader(Protocol):
    """Collects problems, as files/off_cut.py does."""

    def wrong(self, name: str, what: str, allowed: str = "", remedy: str = "") -> None:
        """Note a problem."""

    def number(self, name: str, value: Any, about: Range, kind: str = "length") -> float:
        """Read a number, or note a problem and return nan."""

    def numbers(self, name: str, value: Any, count: int, says: str) -> list[float] | None:
        """Read a list of coordinates, or note a problem."""

    def unknown(self, table: dict[str, Any], known: tuple[str, ...], place: str = "") -> None:
        """Note settings that are unknown."""


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """The outline, anticlockwise; its natural stretches; its first corner; holes and notes."""

    outline: shapely.Polygon
    natural: shapely.Geometry | None
    corner: tuple[float, float]
    holes: tuple[Defect, ...] = ()
    notes: tuple[str, ...] = ()


def measured(table: Any, path: Path, r: Reader) -> Measured | None:
    """Read the outline; None, with problems noted in ``r``, where it cannot be used."""
    if not isinstance(table, dict):
        r.wrong("outline", "is no table", "", "write [outline] and one of " + ", ".join(_WAYS))
        return None
    r.unknown(table, (*_WAYS, "every", "length", "unit", "natural"), "outline: ")
    given = [w for w in _WAYS if w in table]
    if len(given) != 1:
        r.wrong(
            "outline", f"has {', '.join(given) or 'no way to it'}", "one of " + ", ".join(_WAYS)
        )
        return None
    if given[0] == "drawing":
        return _from_drawing(table, path, r)
    made = {"corners": _corners, "rectangle": _rectangle, "offsets": _offsets}[given[0]](table, r)
    if made is None:
        return None
    points, notes, along = made
    polygon = shapely.Polygon(points)
    if not polygon.is_valid:
        _refuse(points, path, r)
        return None
    if polygon.area < SMALLEST:
        r.wrong("outline", f"encloses {polygon.area / 100:.0f} cm2", "at least 100 cm2", "are the figures in mm?")  # fmt: skip
        return None
    natural = _natural(table.get("natural"), points, along, r)
    corner = float(points[0, 0]), float(points[0, 1])
    return Measured(shapely.orient_polygons(polygon), natural, corner, (), tuple(notes))


Made = tuple[Array, list[str], list[int]] | None  # points, notes, sides along a measured live edge


def _corners(table: dict[str, Any], r: Reader) -> Made:
    rows = table["corners"]
    if not isinstance(rows, list) or len(rows) < 3:
        r.wrong("outline: corners", "wants three corners or more", "", "write [[x, y], ...]")
        return None
    read = [r.numbers(f"outline: corners, number {i}", p, 2, "a corner [x, y]") for i, p in enumerate(rows, 1)]  # fmt: skip
    points = np.array([p for p in read if p is not None])
    if len(points) < len(rows):
        return None
    notes = []
    off = math.dist(points[0], points[-1])
    if len(points) > 3 and off <= AGAIN:
        points = points[:-1]
        if off > 0.5:
            notes.append(f"the last corner is {off:.1f} mm from the first, so taken for it again")
    double = [i + 1 for i in range(len(points) - 1) if math.dist(points[i], points[i + 1]) < 0.5]
    for i in double:
        r.wrong("outline: corners", f"corners {i} and {i + 1} are the same", "", "leave one out")
    return None if double else (points, notes, [])


def _rectangle(table: dict[str, Any], r: Reader) -> Made:
    sides = table["rectangle"]
    if not isinstance(sides, list) or len(sides) != 2:
        r.wrong(
            "outline: rectangle", f"{sides!r} is not [length, width]", "", "write numbers in mm"
        )
        return None
    a, b = (r.number("outline: rectangle", v, _SIDE) for v in sides)
    if math.isnan(a + b):
        return None
    return np.array([(0.0, 0.0), (a, 0.0), (a, b), (0.0, b)]), [], []


def _offsets(table: dict[str, Any], r: Reader) -> Made:
    rows = table["offsets"]
    every = r.number("outline: every", table.get("every", EVERY), Range(5, 500, "mm between offsets", "mm"))  # fmt: skip
    if not isinstance(rows, list) or len(rows) < 2:
        r.wrong("outline: offsets", "wants two widths or more", "", "write [210, 214, ...]")
        return None
    wide = np.array([r.number(f"outline: offsets, number {i}", v, Range(5, 2000, "a width", "mm")) for i, v in enumerate(rows, 1)])  # fmt: skip
    full = every * (len(rows) - 1)
    length = r.number("outline: length", table.get("length", full), _SIDE)
    if np.isnan(wide).any() or math.isnan(every + length):
        return None
    if not full - every < length <= full + 1e-9:
        r.wrong(
            "outline: length",
            f"{length:g} mm does not end at the last of {len(rows)} offsets every {every:g} mm",
            f"over {full - every:g}, up to {full:g} mm",
            "measure the last offset at the end of the piece",
        )
        return None
    x = np.append(every * np.arange(len(rows) - 1), length)
    live = np.stack([x, wide], axis=1)[::-1]
    points = np.concatenate([[(0.0, 0.0), (length, 0.0)], live])
    return points, [], list(range(3, 2 + len(rows)))


def _natural(value: Any, points: Array, along: list[int], r: Reader) -> shapely.Geometry | None:
    """Return the stretches marked natural: true for measured offsets, or sides by their number."""
    if value is None or value is False:
        return None
    if value is True and along:
        sides = along
    elif (
        isinstance(value, list)
        and value
        and all(
            isinstance(v, int) and not isinstance(v, bool) and 1 <= v <= len(points) for v in value
        )
    ):
        sides = value
    else:
        r.wrong(
            "outline: natural",
            f"{value!r} names no sides",
            f"a list of 1 to {len(points)}" + (", or true for the measured edge" if along else ""),
            "side 1 runs from corner 1 to corner 2",
        )
        return None
    n = len(points)
    return shapely.line_merge(
        shapely.MultiLineString([[points[s - 1], points[s % n]] for s in dict.fromkeys(sides)])
    )


def _from_drawing(table: dict[str, Any], path: Path, r: Reader) -> Measured | None:
    name, unit = table["drawing"], table.get("unit")
    if not isinstance(name, str):
        r.wrong("outline: drawing", f"{name!r} is no file name")
        return None
    if "natural" in table:
        r.wrong(
            "outline: natural", "is not told of drawings", "", "give corners or offsets instead"
        )
    try:
        drawing = read_drawing(path.parent / name, unit)
    except InputError as error:
        for p in error.problems:
            r.wrong("outline: drawing", f"{p.where}: {p.what}", p.allowed, p.remedy.replace("--unit", "unit ="))  # fmt: skip
        return None
    loops = max(drawing.boards, key=lambda b: shapely.Polygon(flatten(b.edge)).area)
    ring = flatten(loops.edge)
    low = ring.min(axis=0)  # x, y count from the lower left of the outline's box
    polygon = shapely.Polygon(ring - low)
    if not polygon.is_valid or not SMALLEST <= polygon.area <= 25e6:
        r.wrong("outline: drawing", f"{name} holds no outline of a piece", "100 cm2 to 25 m2, no line crossing itself")  # fmt: skip
        return None
    holes = tuple(
        Defect(f"hole {i} of the drawing", "hole", shapely.Polygon(flatten(c) - low), KINDS["hole"].clearance, KINDS["hole"].may_lie_in)
        for i, c in enumerate(loops.openings, 1)
    )  # fmt: skip
    notes = [*drawing.notes, "x and y count from the lower left of the drawing's outline"]
    if len(drawing.boards) > 1:
        notes.append(f"{len(drawing.boards)} outlines in the drawing: the largest is the piece")
    return Measured(shapely.orient_polygons(polygon), None, (0.0, 0.0), holes, tuple(notes))


def _refuse(points: Array, path: Path, r: Reader) -> None:
    """Say where the sides cross, which order would do, and draw what was measured."""
    n = len(points)
    sides = [shapely.LineString([points[i], points[(i + 1) % n]]) for i in range(n)]
    at = [
        (i + 1, j + 1, shapely.intersection(sides[i], sides[j]).centroid)
        for i in range(n)
        for j in range(i + 1, n)
        if shapely.intersects(sides[i], sides[j]) and j - i not in (1, n - 1)
    ]
    picture = path.with_name(path.stem + "-as-measured.svg")
    middle = points.mean(axis=0)
    order = np.argsort(np.arctan2(*(points - middle).T[::-1]), kind="stable")
    order = np.roll(order, -int(np.flatnonzero(order == 0)[0]))
    would = shapely.Polygon(points[order]).is_valid
    hint = (
        f"the order {', '.join(str(i + 1) for i in order)} would do" if would else "measure again"
    )
    try:
        write_checked(picture, _picture(points, [(p.x, p.y) for _, _, p in at]).encode())
        hint += f"; see {picture}"
    except InputError:
        pass  # a folder that takes no picture still gets the message
    if at:
        a, b, p = at[0]
        what = f"side {a} crosses side {b} at ({p.x:.0f}, {p.y:.0f})"
    else:
        what = "a side runs back over the next"
    r.wrong("outline: corners", what, "corners in order round the piece", hint)


def _picture(points: Array, crossings: list[tuple[float, float]]) -> str:
    """Draw corners and sides in the order they were given, with each crossing ringed."""
    low, high = points.min(axis=0), points.max(axis=0)
    size = float((high - low).max())
    k = size / 100
    x0, y0 = low - 12 * k
    w, h = high - low + 24 * k
    path = " ".join(f"{number(x)},{number(-y)}" for x, y in points)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{number(x0)} {number(-y0 - h)} {number(w)} {number(h)}" width="800">',
        f"<title>{escape('The corners in the order they were measured')}</title>",
        f'<rect x="{number(x0)}" y="{number(-y0 - h)}" width="{number(w)}" height="{number(h)}" fill="{PAPER}"/>',
        f'<polygon points="{path}" fill="none" stroke="{SOFT}" stroke-width="{number(0.5 * k)}"/>',
    ]
    parts += [
        f'<circle cx="{number(x)}" cy="{number(-y)}" r="{number(2.5 * k)}" fill="none" stroke="#c0392b" stroke-width="{number(0.7 * k)}"/>'
        for x, y in crossings
    ]
    parts += [
        text_at(x + 1.2 * k, -y - 1.2 * k, 4 * k, str(i), INK, "bold")
        for i, (x, y) in enumerate(points, 1)
    ]
    return "\n".join([*parts, "</svg>", ""])

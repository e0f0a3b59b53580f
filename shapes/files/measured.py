"""The outline of an off-cut as it was measured: corners, a rectangle, offsets, or a drawing."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

import numpy as np
import shapely

from shapes.errors import InputError, Problem
from shapes.files.drawing import UNITS, read_drawing
from shapes.geometry.curve import Array, flatten
from shapes.parameters import Range
from shapes.settings import Many, Number, Numbers, Text, UnreadableError, Word, declared, setting
from shapes.text import TEXT, shown
from shapes.timber.off_cut import KINDS, Defect

AGAIN = 10.0  # mm: a last corner this near the first is the first measured again; our choice
SMALLEST = 10_000.0  # mm2: less is no off-cut
EVERY = 50.0  # mm between offsets
SAME = 0.5  # mm: nearer corners are one
FEW = 40  # corners whose right order is said
_WAYS = ("corners", "rectangle", "offsets", "drawing")


AT = Number(Range(-5000, 5000, "a coordinate", "mm"))
POINT = Numbers(AT, 2, "a point [x, y]")
_LENGTH = Number(Range(20, 5000, "a length", "mm"))
_CORNERS = Many(Numbers(AT, 2, "a corner [x, y]"), 3, 500, "three corners or more, [[x, y], ...]")


@dataclass(frozen=True, slots=True)
class _Corners:
    """Reads corners, no two neighbours the same."""

    def __call__(self, value: Any) -> tuple[Any, ...]:
        """Read them."""
        points: tuple[Any, ...] = _CORNERS(value)
        double = [
            i + 1 for i in range(len(points) - 1) if math.dist(points[i], points[i + 1]) < SAME
        ]
        if double:
            raise ExceptionGroup(
                "",
                [
                    UnreadableError(f"corners {i} and {i + 1} are the same", "", "leave one out")
                    for i in double
                ],
            )
        return points

    def __str__(self) -> str:
        """Name what is taken."""
        return str(_CORNERS)


@dataclass(frozen=True, slots=True)
class _Sides:
    """Reads which sides are natural: true for the measured edge, or sides by their number."""

    def __call__(self, value: Any) -> bool | tuple[int, ...]:
        """Read it."""
        if isinstance(value, bool):
            return value
        if (
            not isinstance(value, list)
            or not value
            or not all(isinstance(v, int) and not isinstance(v, bool) for v in value)
        ):
            raise UnreadableError(
                f"{shown(value)} names no sides", str(self), "side 1 runs from corner 1 to corner 2"
            )
        return tuple(value)

    def __str__(self) -> str:
        """Name what is taken."""
        return "a list of sides by number, or true for the measured edge"


@dataclass(frozen=True, slots=True)
class MeasuredOutline:
    """The outline as it is written."""

    corners: tuple[Any, ...] | None = declared(None, _Corners(), "corners in order round the piece")
    rectangle: tuple[float, ...] | None = declared(
        None, Numbers(_LENGTH, 2, "[length, width]"), "its sides"
    )
    offsets: tuple[float, ...] | None = declared(
        None,
        Many(Number(Range(5, 2000, "a width", "mm")), 2, 500, "two widths or more"),
        "widths measured from a straight edge",
    )
    drawing: str | None = declared(None, Text(TEXT), "a DXF or SVG file beside this one")
    every: float = setting(EVERY, 5, 500, "distance between offsets", "mm")
    length: float | None = setting(None, 20, 5000, "length at the last offset", "mm")
    unit: str | None = declared(
        None, Word(tuple(UNITS), "is no unit of a drawing"), "of a drawing that states none"
    )
    natural: bool | tuple[int, ...] = declared(
        False, _Sides(), "sides that are the tree's own edge"
    )


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """The outline, anticlockwise; its natural stretches; its first corner; holes and notes."""

    outline: shapely.Polygon
    natural: shapely.Geometry | None
    corner: tuple[float, float]
    holes: tuple[Defect, ...] = ()
    notes: tuple[str, ...] = ()


def measured(table: MeasuredOutline, path: Path) -> Measured:
    """Work out the outline. Raises InputError, for crossing sides with the order that would do."""
    given = [w for w in _WAYS if getattr(table, w) is not None]
    if len(given) != 1:
        _wrong(
            path,
            "outline",
            f"has {', '.join(given) or 'no way to it'}",
            "one of " + ", ".join(_WAYS),
        )
    if table.drawing is not None:
        return _from_drawing(table, path)
    made = {"corners": _corners, "rectangle": _rectangle}.get(given[0])
    points, notes, along = made(table) if made else _offsets(table, path)
    polygon = shapely.Polygon(points)
    if not polygon.is_valid:
        _refuse(points, path)
    if polygon.area < SMALLEST:
        _wrong(
            path,
            "outline",
            f"encloses {polygon.area / 100:.0f} cm2",
            "at least 100 cm2",
            "are the figures in mm?",
        )
    natural = _natural(table.natural, points, along, path)
    corner = float(points[0, 0]), float(points[0, 1])
    return Measured(shapely.orient_polygons(polygon), natural, corner, (), tuple(notes))


def _wrong(path: Path, name: str, what: str, allowed: str = "", remedy: str = "") -> NoReturn:
    raise InputError(Problem(f"{path.name}: {name}", what, allowed, remedy))


Made = tuple[Array, list[str], list[int]]  # points, notes, sides along a measured live edge


def _corners(table: MeasuredOutline) -> Made:
    points = np.array(table.corners)
    notes = []
    off = math.dist(points[0], points[-1])
    if len(points) > 3 and off <= AGAIN:
        points = points[:-1]
        if off > SAME:
            notes.append(f"the last corner is {off:.1f} mm from the first, so taken for it again")
    return points, notes, []


def _rectangle(table: MeasuredOutline) -> Made:
    a, b = table.rectangle or (0.0, 0.0)
    return np.array([(0.0, 0.0), (a, 0.0), (a, b), (0.0, b)]), [], []


def _offsets(table: MeasuredOutline, path: Path) -> Made:
    wide, every = np.array(table.offsets), table.every
    full = every * (len(wide) - 1)
    length = full if table.length is None else table.length
    if not full - every < length <= full + 1e-9:
        _wrong(
            path,
            "outline: length",
            f"{length:g} mm does not end at the last of {len(wide)} offsets every {every:g} mm",
            f"over {full - every:g}, up to {full:g} mm",
            "measure the last offset at the end of the piece",
        )
    x = np.append(every * np.arange(len(wide) - 1), length)
    live = np.stack([x, wide], axis=1)[::-1]
    points = np.concatenate([[(0.0, 0.0), (length, 0.0)], live])
    return points, [], list(range(3, 2 + len(wide)))


def _natural(
    value: bool | tuple[int, ...], points: Array, along: list[int], path: Path
) -> shapely.Geometry | None:
    """Return the stretches marked natural: true for measured offsets, or sides by their number."""
    if value is False:
        return None
    sides = along if value is True else list(value)
    n = len(points)
    if not sides or not all(1 <= v <= n for v in sides):
        _wrong(
            path,
            "outline: natural",
            f"{shown(list(value) if isinstance(value, tuple) else value)} names no sides",
            f"a list of 1 to {n}" + (", or true for the measured edge" if along else ""),
            "side 1 runs from corner 1 to corner 2",
        )
    return shapely.line_merge(
        shapely.MultiLineString([[points[s - 1], points[s % n]] for s in dict.fromkeys(sides)])
    )


def _from_drawing(table: MeasuredOutline, path: Path) -> Measured:
    if table.natural:
        _wrong(
            path,
            "outline: natural",
            "is not told of drawings",
            "",
            "give corners or offsets instead",
        )
    name = str(table.drawing)
    try:
        drawing = read_drawing(path.parent / name, table.unit)
    except InputError as error:
        raise InputError(
            *(
                Problem(
                    f"{path.name}: outline: drawing",
                    f"{p.where}: {p.what}",
                    p.allowed,
                    p.remedy.replace("--unit", "unit ="),
                )
                for p in error.problems
            )
        ) from None
    loops = max(drawing.boards, key=lambda b: shapely.Polygon(flatten(b.edge)).area)
    ring = flatten(loops.edge)
    low = ring.min(axis=0)  # x, y count from the lower left of the outline's box
    polygon = shapely.Polygon(ring - low)
    if not polygon.is_valid or not SMALLEST <= polygon.area <= 25e6:
        _wrong(
            path,
            "outline: drawing",
            f"{name} holds no outline of a piece",
            "100 cm2 to 25 m2, no line crossing itself",
        )
    holes = tuple(
        Defect(
            f"hole {i} of the drawing",
            "hole",
            shapely.Polygon(flatten(c) - low),
            KINDS["hole"].clearance,
            KINDS["hole"].may_lie_in,
        )
        for i, c in enumerate(loops.openings, 1)
    )
    notes = [*drawing.notes, "x and y count from the lower left of the drawing's outline"]
    if len(drawing.boards) > 1:
        notes.append(f"{len(drawing.boards)} outlines in the drawing: the largest is the piece")
    return Measured(shapely.orient_polygons(polygon), None, (0.0, 0.0), holes, tuple(notes))


def _refuse(points: Array, path: Path) -> NoReturn:
    """Say where the sides cross and which order would do."""
    n = len(points)
    sides = [shapely.LineString([points[i], points[(i + 1) % n]]) for i in range(n)]
    at = [
        (i + 1, j + 1, shapely.intersection(sides[i], sides[j]).centroid)
        for i in range(n)
        for j in range(i + 1, n)
        if shapely.intersects(sides[i], sides[j]) and j - i not in (1, n - 1)
    ]
    middle = points.mean(axis=0)
    order = np.argsort(np.arctan2(*(points - middle).T[::-1]), kind="stable")
    order = np.roll(order, -int(np.flatnonzero(order == 0)[0]))
    hint = "measure again"
    if n <= FEW and shapely.Polygon(points[order]).is_valid:
        hint = f"the order {', '.join(str(i + 1) for i in order)} would do"
    what = "a side runs back over the next"
    if at:
        a, b, p = at[0]
        what = f"side {a} crosses side {b} at ({p.x:.0f}, {p.y:.0f})"
    _wrong(path, "outline: corners", what, "corners in order round the piece", hint)

"""An off-cut's TOML: what a maker writes at the bench, read into an OffCut.

Every problem is told at once. A first corner measured again at the end is dropped; corners whose
sides cross are refused, with the order that would do, where there is one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import MISSING, dataclass
from pathlib import Path
from typing import Any

import shapely

from shapes.errors import InputError, Problem
from shapes.files.measured import AT, POINT, Measured, MeasuredOutline, measured
from shapes.parameters import Range
from shapes.settings import (
    KEEP,
    Many,
    Number,
    Numbers,
    Table,
    Tables,
    Text,
    UnreadableError,
    Word,
    WordList,
    YesNo,
    declared,
    read,
    setting,
    stem,
)
from shapes.text import TEXT
from shapes.text_files import read_toml
from shapes.timber.density import DENSITIES, MOISTURE
from shapes.timber.off_cut import (
    EDGE_MARGIN,
    KINDS,
    ORIGINS,
    PARTS,
    PRICES,
    Defect,
    Fixing,
    OffCut,
    Price,
)
from shapes.timber.sawn import steepness
from shapes.timber.species import known_species

_ACROSS = Number(Range(0.5, 1000, "width or diameter", "mm"))
_CIRCLE = Numbers(AT, 3, "a circle [x, y, diameter]")
_STRIP = Numbers(AT, 5, "a strip [x1, y1, x2, y2, width]")
_POLYGON = Many(POINT, 3, 1000, "three points or more, [[x, y], [x, y], [x, y]]")


def _circle(value: Any) -> shapely.Polygon:
    x, y, wide = _CIRCLE(value)
    return shapely.Polygon(shapely.Point(x, y).buffer(_ACROSS(wide) / 2, quad_segs=24))


def _strip(value: Any) -> shapely.Polygon:
    x1, y1, x2, y2, wide = _STRIP(value)
    line = shapely.LineString([(x1, y1), (x2, y2)])
    if line.length < 0.5:
        raise UnreadableError("has no length", "", "give both its ends")
    return shapely.Polygon(line.buffer(_ACROSS(wide) / 2, cap_style="flat"))


def _polygon(value: Any) -> shapely.Polygon:
    made = shapely.Polygon(_POLYGON(value))
    if not made.is_valid or made.area <= 0:
        raise UnreadableError(
            "crosses itself or has no area", "", "give its points in order round it"
        )
    return made


@dataclass(frozen=True, slots=True)
class _Shape:
    """Reads one shape of a defect; ``says`` how it is written."""

    made: Any
    says: Any

    def __call__(self, value: Any) -> shapely.Polygon:
        """Read it."""
        return self.made(value)

    def __str__(self) -> str:
        """Name what is taken."""
        return str(self.says)


@dataclass(frozen=True, slots=True)
class DefectTable:
    """A defect as it is written."""

    kind: str = declared(MISSING, Word(tuple(KINDS), "is no defect known here"), "what it is")
    circle: shapely.Polygon | None = declared(None, _Shape(_circle, _CIRCLE), "where it is")
    polygon: shapely.Polygon | None = declared(None, _Shape(_polygon, _POLYGON), "where it is")
    strip: shapely.Polygon | None = declared(None, _Shape(_strip, _STRIP), "where it is")
    clearance: float | None = setting(None, 0, 200, "wood kept clear round it", "mm")
    may_lie_in: tuple[str, ...] | None = declared(
        None, WordList(("waste", *PARTS)), "parts of a board that may hold it"
    )


@dataclass(frozen=True, slots=True)
class FixingTable:
    """A screw or clamp as it is written."""

    at: tuple[float, ...] = declared(MISSING, POINT, "its middle")
    diameter: float = declared(8.0, _ACROSS, "its diameter")
    proud: bool = declared(False, YesNo(), "whether it stands above the face")


@dataclass(frozen=True, slots=True)
class PriceTable:
    """A price as it is written: one of these."""

    per_piece: float | None = setting(None, 0.01, 1e6, "of the piece", "", "number")
    per_m3: float | None = setting(None, 0.01, 1e6, "of a cubic metre", "", "number")
    per_board_foot: float | None = setting(None, 0.01, 1e6, "of a board foot", "", "number")


@dataclass(frozen=True, slots=True)
class _Prices(Table):
    """Reads a price: one amount."""

    def __call__(self, value: Any) -> Price:
        """Read it."""
        table = Table.__call__(self, value)
        given = [(p, v) for p in PRICES if (v := getattr(table, "per_" + p.replace(" ", "_")))]
        if len(given) != 1:
            raise UnreadableError(
                "wants one amount",
                "",
                "write [price] and per_piece, per_m3 or per_board_foot = ...",
            )
        return Price(given[0][1], given[0][0])


@dataclass(frozen=True, slots=True)
class OffCutTable:
    """An off-cut as it is written."""

    outline: MeasuredOutline = declared(
        MISSING,
        Table(MeasuredOutline),
        "its outline as measured: one of corners, rectangle, offsets, drawing",
    )
    thickness: float = setting(MISSING, 8, 200, "thickness of the piece as found", "mm")
    species: str = declared(MISSING, known_species, "species of the timber")
    name: str = declared("", Text(), "what you call it; else the file's name")
    wanted: float | None = setting(None, 8, 60, "thickness of the finished boards", "mm")
    moisture: float = setting(8.0, *MOISTURE, "moisture content of the timber", "%", "number")
    mass: float | None = setting(None, 0.05, 200, "mass of the piece, weighed", "kg", "number")
    grain: float = setting(0.0, -180, 180, "angle of the grain to the x axis", "degrees", "number")
    margin: float = setting(
        EDGE_MARGIN, 0, 50, "wood left between the kerf and the piece's edge", "mm"
    )
    origin: str | None = declared(
        None, Word(ORIGINS, "is unknown here"), "where the wood comes from; else known solid timber"
    )
    source: str = declared("", Text(TEXT), "where you have it from")
    defects: tuple[DefectTable, ...] = declared((), Tables(DefectTable), "what is wrong in it")
    fixings: tuple[FixingTable, ...] = declared(
        (), Tables(FixingTable), "screws and clamps that hold it"
    )
    price: Price | None = declared(None, _Prices(PriceTable), "what it cost")
    mark: tuple[float, ...] | None = declared(None, POINT, "the point that the machine is set to")
    rings: float | None = declared(None, steepness, "how steeply the rings stand to the face")
    live_edge: str | None = declared(None, KEEP, "keep the natural edge where it can be")


def read_off_cut(path: Path) -> tuple[OffCut, list[str]]:
    """Read an off-cut, and notes on what was mended. Raises InputError with every problem."""
    where = path.name
    t = read(OffCutTable, read_toml(path), where)
    shape = measured(t.outline, path)
    defects, fixings = list(_defects(t, shape)), list(_fixings(t, shape))
    problems = [
        Problem(f"{where}: {p.where}", p.what, p.allowed, p.remedy)
        for p in (
            *_conflicts(t, shape),
            *(x for x in (*defects, *fixings) if isinstance(x, Problem)),
        )
    ]
    if problems:
        raise InputError(*problems)
    piece = OffCut(
        name=t.name or stem(path),
        outline=shape.outline,
        thickness=t.thickness,
        species=t.species,
        wanted=t.wanted,
        moisture=t.moisture,
        mass=t.mass,
        grain=math.radians(t.grain),
        natural=shape.natural,
        defects=(*shape.holes, *(d for d in defects if isinstance(d, Defect))),
        fixings=tuple(f for f in fixings if isinstance(f, Fixing)),
        origin=t.origin or ORIGINS[0],
        price=t.price,
        margin=t.margin,
        mark=(t.mark[0], t.mark[1]) if t.mark else None,
        corner=shape.corner,
        rings=t.rings,
        keep=t.live_edge is not None,
        source=t.source,
    )
    if piece.mass is not None and not DENSITIES[0] <= piece.density <= DENSITIES[1]:
        raise InputError(
            Problem(
                f"{where}: mass",
                f"{piece.mass:g} kg comes to {piece.density:.0f} kg/m3",
                "wood has 200 to 1400",
                "weigh and measure again",
            )
        )
    notes = [f"{where}: {text}" for text in shape.notes]
    if t.origin is None:
        notes.append(f"{where}: origin is not stated, so taken for {ORIGINS[0]}")
    return piece, notes


def _conflicts(t: OffCutTable, shape: Measured) -> Iterator[Problem]:
    """Settings that are each in range and together impossible."""
    if t.live_edge and shape.natural is None:
        yield Problem(
            "live_edge",
            "the outline has no natural edge to keep",
            "",
            "say which: natural = true, or the sides by number",
        )
    if t.wanted is not None and t.wanted > t.thickness:
        yield Problem(
            "wanted",
            f"{t.wanted:g} mm is more than the piece has",
            f"allowed 8 to {t.thickness:g} mm",
            "take a thicker piece or thinner boards",
        )


def _defects(t: OffCutTable, shape: Measured) -> Iterator[Defect | Problem]:
    counts = dict.fromkeys(KINDS, 0)
    for i, row in enumerate(t.defects, start=1):
        counts[row.kind] += 1
        given = [g for g in (row.circle, row.polygon, row.strip) if g is not None]
        if len(given) != 1:
            yield Problem(
                f"defects {i}",
                "wants one of circle, polygon, strip",
                "",
                "see: shapes list settings",
            )
            continue
        if row.kind == "pith" and "handle" in (row.may_lie_in or ()):
            yield Problem(
                f"defects {i}: may_lie_in",
                "pith may never lie in a handle",
                "waste, opening, body",
                "it splits there",
            )
        if not shapely.intersects(shape.outline, given[0]):
            x, y = shapely.get_coordinates(given[0].centroid)[0]
            x0, y0, x1, y1 = shape.outline.bounds
            yield Problem(
                f"defects {i}",
                f"the {row.kind} at ({x:.0f}, {y:.0f}) lies outside the piece",
                f"x {x0:.0f} to {x1:.0f}, y {y0:.0f} to {y1:.0f}",
                "measure it again from the same edge",
            )
            continue
        usual = KINDS[row.kind]
        clearance = usual.clearance if row.clearance is None else row.clearance
        lies = usual.may_lie_in if row.may_lie_in is None else row.may_lie_in
        name = f"{row.kind} {counts[row.kind]}"
        yield Defect(name, row.kind, given[0], clearance, tuple(p for p in PARTS if p in lies))


def _fixings(t: OffCutTable, shape: Measured) -> Iterator[Fixing | Problem]:
    for i, row in enumerate(t.fixings, start=1):
        x, y = row.at
        if not row.proud and not shapely.intersects_xy(shape.outline, x, y):
            yield Problem(
                f"fixings {i}",
                f"the screw at ({x:g}, {y:g}) lies outside the piece",
                "",
                "measure it again, or say proud = true for a clamp beside the piece",
            )
            continue
        yield Fixing(f"{'clamp' if row.proud else 'screw'} {i}", (x, y), row.diameter, row.proud)

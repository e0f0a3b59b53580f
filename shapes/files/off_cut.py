"""An off-cut's TOML: what a maker writes at the bench, read into an OffCut.

Every problem is told at once. A first corner measured again at the end is dropped; corners whose
sides cross are refused, with a picture and, where there is one, the order that would do.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import shapely

from shapes.errors import InputError, Problem, did_you_mean
from shapes.files.measured import Measured, measured
from shapes.parameters import Range
from shapes.settings import number, read_toml
from shapes.timber.density import MOISTURE
from shapes.timber.off_cut import (
    KINDS,
    MARGIN,
    ORIGINS,
    PARTS,
    PRICES,
    Defect,
    Fixing,
    OffCut,
    Price,
)
from shapes.timber.sawn import steepness
from shapes.timber.species import find_species

REACH = 5000.0  # mm: largest coordinate
_NUMBERS = {
    "thickness": (Range(8, 200, "thickness of the piece as found", "mm"), "length"),
    "wanted": (Range(8, 60, "thickness of the finished boards", "mm"), "length"),
    "moisture": (Range(*MOISTURE, "moisture content of the timber", "%"), "number"),
    "mass": (Range(0.05, 200, "mass of the piece, weighed", "kg"), "number"),
    "grain": (Range(-180, 180, "angle of the grain to the x axis", "degrees"), "number"),
    "margin": (Range(0, 50, "wood left between the kerf and the piece's edge", "mm"), "length"),
}
_WORDS = ("name", "species", "origin", "source")
_TABLES = ("outline", "defects", "fixings", "price", "mark")
_KNOWN = (*_WORDS, *_NUMBERS, *_TABLES, "rings", "live_edge")
_AT = Range(-REACH, REACH, "a coordinate", "mm")
_ACROSS = Range(0.5, 1000, "width or diameter", "mm")


class _Reader:
    """Collects values and problems of one file."""

    def __init__(self, where: str) -> None:
        self.where = where
        self.problems: list[Problem] = []

    def wrong(self, name: str, what: str, allowed: str = "", remedy: str = "") -> None:
        self.problems.append(Problem(f"{self.where}: {name}", what, allowed, remedy))

    def number(self, name: str, value: Any, about: Range, kind: str = "length") -> float:
        try:
            return float(number(f"{self.where}: {name}", value, about, kind))
        except InputError as error:
            self.problems += error.problems
            return math.nan

    def numbers(self, name: str, value: Any, count: int, says: str) -> list[float] | None:
        """Read a list of ``count`` coordinates; None, with a problem, where it is none."""
        if not isinstance(value, list) or len(value) != count:
            self.wrong(name, f"{value!r} is not {says}", "", "write numbers in mm")
            return None
        read = [self.number(name, v, _AT) for v in value]
        return None if any(math.isnan(v) for v in read) else read

    def unknown(self, table: Mapping[str, Any], known: tuple[str, ...], place: str = "") -> None:
        for name in table:
            if name not in known:
                hint = did_you_mean(name, known, "settings: " + ", ".join(known))
                self.wrong(place + name, "is no setting of an off-cut", "", hint)


def read_off_cut(path: Path) -> tuple[OffCut, list[str]]:
    """Read an off-cut, and notes on what was mended. Raises InputError with every problem."""
    table = read_toml(path)
    r = _Reader(path.name)
    r.unknown(table, _KNOWN)
    for name in ("outline", "thickness", "species"):
        if name not in table:
            r.wrong(name, "is missing", "", "an off-cut wants outline, thickness and species")
    figures = {
        name: r.number(name, table[name], *about)
        for name, about in _NUMBERS.items()
        if name in table
    }
    words = {name: _text(r, name, table[name]) for name in _WORDS if name in table}
    if words.get("species"):
        try:
            words["species"] = find_species(words["species"], f"{r.where}: species").name
        except InputError as error:
            r.problems += error.problems
    if words.get("origin") and words["origin"] not in ORIGINS:
        hint = did_you_mean(words["origin"], ORIGINS, "")
        r.wrong("origin", f"'{words['origin']}' is unknown here", ", ".join(ORIGINS), hint)
    shape = measured(table["outline"], path, r) if "outline" in table else None
    grain = math.radians(figures.get("grain", 0.0))
    defects = [*(shape.holes if shape else ()), *_defects(r, table.get("defects", []), shape)]
    fixings = _fixings(r, table.get("fixings", []), shape)
    price = _price(r, table["price"]) if "price" in table else None
    mark = r.numbers("mark", table["mark"], 2, "a point [x, y]") if "mark" in table else None
    rings = None
    if "rings" in table:
        try:
            rings = steepness(f"{r.where}: rings", table["rings"])
        except InputError as error:
            r.problems += error.problems
    if "live_edge" in table and table["live_edge"] != "keep":
        r.wrong("live_edge", f"{table['live_edge']!r} says nothing of a natural edge", "keep", "leave it out where it need not be kept")  # fmt: skip
    if "live_edge" in table and shape is not None and shape.natural is None:
        r.wrong("live_edge", "the outline has no natural edge to keep", "", "say which: natural = true, or the sides by number")  # fmt: skip
    if figures.get("wanted", 0) > figures.get("thickness", math.inf):
        r.wrong(
            "wanted",
            f"{figures['wanted']:g} mm is more than the piece has",
            f"allowed 8 to {figures['thickness']:g} mm",
            "take a thicker piece or thinner boards",
        )
    if r.problems or shape is None:
        raise InputError(*r.problems)
    piece = OffCut(
        name=words.get("name") or path.stem,
        outline=shape.outline,
        thickness=figures["thickness"],
        species=words["species"],
        wanted=figures.get("wanted"),
        moisture=figures.get("moisture", 8.0),
        mass=figures.get("mass"),
        grain=grain,
        natural=shape.natural,
        defects=tuple(defects),
        fixings=tuple(fixings),
        origin=words.get("origin", ORIGINS[0]),
        price=price,
        margin=figures.get("margin", MARGIN),
        mark=(mark[0], mark[1]) if mark else None,
        corner=shape.corner,
        rings=rings,
        keep="live_edge" in table,
        source=words.get("source", ""),
    )
    if piece.mass is not None and not 200 <= piece.density <= 1400:
        r.wrong(
            "mass",
            f"{piece.mass:g} kg comes to {piece.density:.0f} kg/m3",
            "wood has 200 to 1400",
            "weigh and measure again",
        )
        raise InputError(*r.problems)
    notes = [f"{path.name}: {text}" for text in shape.notes]
    if "origin" not in table:
        notes.append(f"{path.name}: origin is not stated, so taken for {ORIGINS[0]}")
    return piece, notes


def _text(r: _Reader, name: str, value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        r.wrong(name, f"{value!r} is no text", "", 'write it as "..."')
        return ""
    return value.strip()


def _rows(r: _Reader, name: str, value: Any) -> list[dict[str, Any]]:
    if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
        r.wrong(name, "is no list of tables", "", f"write [[{name}]] above each")
        return []
    return value


def _defects(r: _Reader, rows: Any, shape: Measured | None) -> list[Defect]:
    found, counts = [], dict.fromkeys(KINDS, 0)
    for i, row in enumerate(_rows(r, "defects", rows), start=1):
        place = f"defects {i}"
        forms = ("circle", "polygon", "strip")
        r.unknown(row, ("kind", *forms, "clearance", "may_lie_in"), f"{place}: ")
        kind = row.get("kind")
        if not isinstance(kind, str) or kind not in KINDS:
            hint = did_you_mean(str(kind), KINDS, "")
            r.wrong(f"{place}: kind", f"{kind!r} is no defect known here", ", ".join(KINDS), hint)
            continue
        counts[kind] += 1
        given = [f for f in forms if f in row]
        if len(given) != 1:
            r.wrong(place, "wants one of circle, polygon, strip", "", "see the README")
            continue
        outline = _shape(r, f"{place}: {given[0]}", given[0], row[given[0]])
        clearance = r.number(
            f"{place}: clearance",
            row.get("clearance", KINDS[kind].clearance),
            Range(0, 200, "wood kept clear round it", "mm"),
        )
        lies = _parts(r, f"{place}: may_lie_in", kind, row.get("may_lie_in"))
        name = f"{kind} {counts[kind]}"
        if outline is None:
            continue
        if shape is not None and not shapely.intersects(shape.outline, outline):
            x, y = shapely.get_coordinates(outline.centroid)[0]
            x0, y0, x1, y1 = shape.outline.bounds
            r.wrong(
                place,
                f"the {kind} at ({x:.0f}, {y:.0f}) lies outside the piece",
                f"x {x0:.0f} to {x1:.0f}, y {y0:.0f} to {y1:.0f}",
                "measure it again from the same edge",
            )
            continue
        found.append(Defect(name, kind, outline, clearance, lies))
    return found


def _shape(r: _Reader, place: str, form: str, value: Any) -> shapely.Polygon | None:
    if form == "circle":
        if read := r.numbers(place, value, 3, "a circle [x, y, diameter]"):
            wide = r.number(place, read[2], _ACROSS)
            if not math.isnan(wide):
                made = shapely.Point(read[0], read[1]).buffer(wide / 2, quad_segs=24)
                return shapely.Polygon(made)
        return None
    if form == "strip":
        if read := r.numbers(place, value, 5, "a strip [x1, y1, x2, y2, width]"):
            wide = r.number(place, read[4], _ACROSS)
            line = shapely.LineString([read[:2], read[2:4]])
            if line.length < 0.5:
                r.wrong(place, "has no length", "", "give both its ends")
            elif not math.isnan(wide):
                return shapely.Polygon(line.buffer(wide / 2, cap_style="flat"))
        return None
    points = value if isinstance(value, list) else []
    read_all = [r.numbers(place, p, 2, "a point [x, y]") for p in points]
    if len(points) < 3:
        r.wrong(place, "wants three points or more", "", "write [[x, y], [x, y], [x, y]]")
        return None
    if any(p is None for p in read_all):
        return None
    made = shapely.Polygon(read_all)
    if not made.is_valid or made.area <= 0:
        r.wrong(place, "crosses itself or has no area", "", "give its points in order round it")
        return None
    return made


def _parts(r: _Reader, place: str, kind: str, value: Any) -> tuple[str, ...]:
    if value is None:
        return KINDS[kind].may_lie_in
    rows = [value] if isinstance(value, str) else value
    known = ("waste", *PARTS)
    if not isinstance(rows, list) or any(v not in known for v in rows):
        r.wrong(place, f"{value!r} is no part of a board", ", ".join(known))
        return ()
    if kind == "pith" and "handle" in rows:
        r.wrong(place, "pith may never lie in a handle", "waste, opening, body", "it splits there")
    return tuple(p for p in PARTS if p in rows)


def _fixings(r: _Reader, rows: Any, shape: Measured | None) -> list[Fixing]:
    found = []
    for i, row in enumerate(_rows(r, "fixings", rows), start=1):
        place = f"fixings {i}"
        r.unknown(row, ("at", "diameter", "proud"), f"{place}: ")
        at = r.numbers(f"{place}: at", row.get("at"), 2, "a point [x, y]")
        wide = r.number(f"{place}: diameter", row.get("diameter", 8.0), _ACROSS)
        proud = row.get("proud", False)
        if not isinstance(proud, bool):
            r.wrong(f"{place}: proud", f"{proud!r} is neither true nor false")
            continue
        if at is None or math.isnan(wide):
            continue
        if shape is not None and not shapely.intersects_xy(shape.outline, *at) and not proud:
            r.wrong(
                place,
                f"the screw at ({at[0]:g}, {at[1]:g}) lies outside the piece",
                "",
                "measure it again, or say proud = true for a clamp beside the piece",
            )
            continue
        found.append(Fixing(f"{'clamp' if proud else 'screw'} {i}", (at[0], at[1]), wide, proud))
    return found


def _price(r: _Reader, value: Any) -> Price | None:
    if not isinstance(value, dict) or len(value) != 1 or next(iter(value)) not in _PER:
        r.wrong("price", "wants one amount", "", "write [price] and per_piece, per_m3 or per_board_foot = ...")  # fmt: skip
        return None
    name, amount = next(iter(value.items()))
    read = r.number(
        f"price.{name}", amount, Range(0.01, 1e6, "what the timber costs", ""), "number"
    )
    return None if math.isnan(read) else Price(read, _PER[name])


_PER = {"per_" + p.replace(" ", "_"): p for p in PRICES}

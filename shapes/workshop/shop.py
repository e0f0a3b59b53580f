"""workshop.toml: optional, written once by the maker: machines, bits, rates, oil, layer colours."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any, TypeVar

from shapes.errors import InputError, Problem
from shapes.parameters import Range, setting
from shapes.settings import number, read_toml, unknown
from shapes.timber.thickness import Saw
from shapes.units import SHOWN
from shapes.workshop.finishing import Step, steps_from

LAYERS = ("EDGE", "OPENING", "BLANK", "DATUM", "GRAIN", "FIXING", "DEFECT", "AREA", "ENGRAVE", "PATH-ROUGH", "PATH-FINISH", "TAB")  # fmt: skip
_SAW = {
    "kerf": Range(0.3, 5, "what the blade turns to dust", "mm"),
    "height": Range(40, 1000, "highest piece it takes", "mm"),
}
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Machine:
    """The router: its table and what it can do; defaults are our choice."""

    length: float = setting(1200.0, 100, 6000, "length of the table", "mm")
    width: float = setting(800.0, 100, 3000, "width of the table", "mm")
    height: float = setting(100.0, 20, 600, "room under the collet", "mm")
    least_rpm: float = setting(8000.0, 1000, 30000, "slowest speed of the spindle", "", "number")
    most_rpm: float = setting(24000.0, 2000, 60000, "fastest speed of the spindle", "", "number")
    feed: float = setting(6000.0, 200, 40000, "fastest feed, mm a minute", "", "number")
    plunge: float = setting(800.0, 50, 5000, "feed downwards, mm a minute", "", "number")


@dataclass(frozen=True, slots=True)
class Cutter:
    """A straight or spiral cutter; a length that is not known is None."""

    name: str = field(default="", metadata={"kind": "text"})
    diameter: float = setting(6.0, 1, 80, "nominal diameter", "mm")
    measured: float | None = setting(None, 1, 80, "measured diameter", "mm")
    cutting_length: float | None = setting(None, 2, 120, "length that cuts", "mm")
    edges: int = setting(2, 1, 6, "cutting edges", "", "count")
    rpm: float | None = setting(None, 1000, 60000, "speed marked on it", "", "number")

    @property
    def true(self) -> float:
        """Diameter that it cuts, mm."""
        return self.measured if self.measured is not None else self.diameter

    @property
    def called(self) -> str:
        """What the sheet calls it."""
        return self.name or f"{self.diameter:g} mm cutter"


@dataclass(frozen=True, slots=True)
class RoundOver:
    """A round-over bit for the trimmer."""

    radius: float = setting(6.0, 1, 25, "radius", "mm")
    bearing: float = setting(12.7, 3, 40, "diameter of its guide bearing", "mm")
    rpm: float | None = setting(None, 1000, 60000, "speed marked on it", "", "number")


@dataclass(frozen=True, slots=True)
class Rates:
    """Money an hour, and minutes to set a machine up; in the maker's own money."""

    machine: float | None = setting(None, 0, 1e4, "machine time, an hour", "", "number")
    bench: float | None = setting(None, 0, 1e4, "bench time, an hour", "", "number")
    set_up: float = setting(20.0, 0, 600, "minutes to set up, once a batch", "min", "number")


@dataclass(frozen=True, slots=True)
class Oil:
    """The finish, and what its tin says."""

    name: str = field(default="hard-wax type oil stated fit for food contact", metadata={"kind": "text"})  # fmt: skip
    price_per_litre: float | None = setting(None, 0, 1e4, "price of a litre", "", "number")
    first: float = setting(42.0, 5, 300, "first coat", "ml/m2", "number")
    second: float = setting(30.0, 0, 300, "second coat", "ml/m2", "number")
    hours: float = setting(12.0, 0.5, 120, "hours between coats", "h", "number")
    cure_days: float = setting(21.0, 0, 90, "days to full cure", "days", "number")


@dataclass(frozen=True, slots=True)
class Laser:
    """The engraver."""

    spot: float = setting(0.4, 0.02, 2, "finest line it burns", "mm")
    length: float | None = setting(None, 50, 6000, "length of its bed", "mm")
    width: float | None = setting(None, 50, 3000, "width of its bed", "mm")


@dataclass(frozen=True, slots=True)
class Printer:
    """The flat-bed printer."""

    length: float | None = setting(None, 50, 6000, "length of its bed", "mm")
    width: float | None = setting(None, 50, 3000, "width of its bed", "mm")


@dataclass(frozen=True, slots=True)
class Shop:
    """A workshop; what a maker leaves out keeps its default, lists that are empty say nothing."""

    layer_colours: dict[str, str] = field(default_factory=dict)
    saw: Saw | None = None
    machine: Machine = field(default_factory=Machine)
    cutters: tuple[Cutter, ...] = ()
    round_overs: tuple[RoundOver, ...] = ()
    rates: Rates = field(default_factory=Rates)
    oil: Oil = field(default_factory=Oil)
    laser: Laser = field(default_factory=Laser)
    printer: Printer = field(default_factory=Printer)
    markup: float | None = setting(None, 0, 400, "percent on all costs", "%", "number")
    margin: float | None = setting(None, 0, 95, "percent of the price before tax that is no cost", "%", "number")  # fmt: skip
    tax: float = setting(0.0, 0, 50, "percent on the price", "%", "number")
    unit: str | None = None  # in which people are shown sizes and masses; files stay mm
    finishing: tuple[Step, ...] = ()  # the maker's own; else the standard steps
    stated: tuple[str, ...] = ()  # what the file says something of; nothing without one

    @property
    def markup_share(self) -> float:
        """What is put on costs, as a share of them: m, or g / (1 - g) for a margin g of the price."""
        if self.margin is not None:
            return self.margin / (100 - self.margin)
        return (self.markup or 0.0) / 100

    @property
    def margin_share(self) -> float:
        """The same as a share of the price before tax: m / (1 + m)."""
        return self.markup_share / (1 + self.markup_share)

    def has(self, tool: Cutter | RoundOver) -> bool:
        """Whether a tool is one of the shop's own, not one that is assumed."""
        return tool in self.cutters or tool in self.round_overs

    def cutter(self, diameter: float) -> Cutter:
        """Return the shop's cutter of a nominal diameter, or one of which no more is known."""
        near = [c for c in self.cutters if abs(c.diameter - diameter) <= 0.05]
        return near[0] if near else Cutter(diameter=diameter)

    def round_over(self, radius: float, bearing: float) -> RoundOver:
        """Return the shop's bit of a radius, or one of which no more is known."""
        near = [b for b in self.round_overs if abs(b.radius - radius) <= 0.05]
        return near[0] if near else RoundOver(radius, bearing)

    @property
    def skimmer(self) -> Cutter:
        """The widest cutter: what faces are skimmed with; 25 mm where none is known, our choice."""
        usual = Cutter("25 mm skim cutter", 25.0)
        return max(self.cutters, key=lambda c: c.diameter, default=usual)


_TABLES: dict[str, Any] = {
    "machine": Machine,
    "rates": Rates,
    "oil": Oil,
    "laser": Laser,
    "printer": Printer,
}
_LISTS: dict[str, Any] = {"cutters": Cutter, "round_overs": RoundOver}
_KNOWN = (
    "layer_colours",
    "bandsaw",
    *_TABLES,
    *_LISTS,
    "markup",
    "margin",
    "tax",
    "unit",
    "finishing",
)


def read_shop(path: Path | None) -> Shop:
    """Read a workshop; an empty one where there is no file. Raises InputError."""
    if path is None:
        return Shop()
    table, where = read_toml(path), path.name
    table = {("unit" if name == "units" else name): value for name, value in table.items()}
    problems = unknown(table, _KNOWN, where, "a workshop")
    values: dict[str, Any] = {}
    for name, value in table.items():
        place = f"{where}: {name}"
        try:
            if name == "layer_colours":
                values[name] = _colours(value, where, problems)
            elif name == "bandsaw":
                values["saw"] = _saw(value, where, problems)
            elif name in _TABLES:
                values[name] = _made(_TABLES[name], value, place)
            elif name in _LISTS:
                values[name] = tuple(_made(_LISTS[name], v, f"{where}: {name} {i}") for i, v in enumerate(_list(value, place, name), start=1))  # fmt: skip
            elif name in ("markup", "margin", "tax"):
                about = next(f.metadata for f in fields(Shop) if f.name == name)
                values[name] = number(place, value, about["range"], "number")
            elif name == "unit":
                if value not in SHOWN:
                    raise InputError(Problem(place, f"{value!r} is no unit to show sizes in", ", ".join(SHOWN)))  # fmt: skip
                values[name] = value
            elif name == "finishing":
                values[name] = steps_from(_list(value, place, name), place)
        except InputError as error:
            problems += error.problems
    if "markup" in table and "margin" in table:
        problems.append(Problem(f"{where}: markup", "goes without margin", "", "markup is percent on costs, margin percent of the price: give one"))  # fmt: skip
    if problems:
        raise InputError(*problems)
    return Shop(**values, stated=tuple(table))


def _list(value: Any, place: str, name: str) -> list[Any]:
    if not isinstance(value, list):
        raise InputError(Problem(place, "is no list of tables", "", f"write [[{name}]]"))
    return value


def _made(kind: type[T], table: Any, place: str) -> T:
    """Make a dataclass of settings from a table. Raises InputError with every problem."""
    if not isinstance(table, dict):
        raise InputError(Problem(place, "is no table"))
    known = {f.name: f for f in fields(kind)}  # type: ignore[arg-type]
    problems = unknown(table, tuple(known), place, "it")
    values: dict[str, Any] = {}
    for name, value in table.items():
        if name not in known:
            continue
        about = known[name].metadata
        try:
            if about["kind"] == "text":
                if not isinstance(value, str):
                    raise InputError(Problem(f"{place}.{name}", f"{value!r} is no text"))
                values[name] = value
            else:
                values[name] = number(f"{place}.{name}", value, about["range"], about["kind"])
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(*problems)
    return kind(**values)


def _colours(colours: Any, where: str, problems: list[Problem]) -> dict[str, str]:
    if not isinstance(colours, dict):
        problems.append(
            Problem(f"{where}: layer_colours", "is no table", "", "write [layer_colours]")
        )
        return {}
    for name, colour in colours.items():
        place = f"{where}: layer_colours.{name}"
        if name not in LAYERS:
            problems.append(Problem(place, "is no layer", "", "layers: " + ", ".join(LAYERS)))
        elif not isinstance(colour, str) or not re.fullmatch(r"#[0-9a-fA-F]{6}", colour):
            problems.append(Problem(place, f"{colour!r} is no colour", "#000000 to #ffffff"))
    return dict(colours)


def _saw(table: Any, where: str, problems: list[Problem]) -> Saw | None:
    if not isinstance(table, dict):
        problems.append(Problem(f"{where}: bandsaw", "is no table", "", "write [bandsaw]"))
        return None
    read: dict[str, float] = {}
    problems += unknown(table, tuple(_SAW), f"{where}: bandsaw", "a bandsaw")
    for name, value in table.items():
        try:
            if name in _SAW:
                read[name] = float(number(f"{where}: bandsaw.{name}", value, _SAW[name]))
        except InputError as error:
            problems += error.problems
    return Saw(**read)

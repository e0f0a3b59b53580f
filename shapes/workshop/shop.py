"""workshop.toml: optional, written once by the maker: machines, bits, rates, oil, layer colours."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from shapes.errors import InputError, Problem
from shapes.settings import (
    UNIT,
    Table,
    Tables,
    Text,
    UnreadableError,
    declared,
    read,
    setting,
    with_unit,
)
from shapes.text import shown
from shapes.text_files import read_toml
from shapes.timber.thickness import Saw
from shapes.workshop.finishing import Step

LAYERS = (
    "EDGE",
    "OPENING",
    "BLANK",
    "DATUM",
    "GRAIN",
    "FIXING",
    "DEFECT",
    "AREA",
    "ENGRAVE",
    "PATH-ROUGH",
    "PATH-FINISH",
    "TAB",
)


@dataclass(frozen=True, slots=True)
class Colours:
    """Reads colours of layers: a table of #rrggbb."""

    def __call__(self, value: Any) -> dict[str, str]:
        """Read it."""
        if not isinstance(value, dict):
            raise UnreadableError("is no table", "", "write [layer_colours]")
        wrong = [
            (
                UnreadableError(f"{shown(n)} is no layer", "", "layers: " + ", ".join(LAYERS))
                if n not in LAYERS
                else UnreadableError(f"{n}: {shown(c)} is no colour", "#000000 to #ffffff")
            )
            for n, c in value.items()
            if n not in LAYERS or not isinstance(c, str) or not re.fullmatch(r"#[0-9a-fA-F]{6}", c)
        ]
        if wrong:
            raise ExceptionGroup("", wrong)
        return value

    def __str__(self) -> str:
        """Name what is taken."""
        return "table of " + ", ".join(LAYERS)


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

    name: str = declared("", Text(), "what the sheet calls it")
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

    name: str = declared(
        "hard-wax type oil stated fit for food contact", Text(), "what the tin says"
    )
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
class Workshop:
    """A workshop; what a maker leaves out keeps its default, lists that are empty say nothing."""

    layer_colours: dict[str, str] = declared(
        dict, Colours(), "colours of the layers in DXF, #rrggbb"
    )
    bandsaw: Saw | None = declared(None, Table(Saw), "a bandsaw, where there is one")
    machine: Machine = declared(Machine, Table(Machine), "the router")
    cutters: tuple[Cutter, ...] = declared((), Tables(Cutter), "cutters of the router")
    round_overs: tuple[RoundOver, ...] = declared((), Tables(RoundOver), "bits of the trimmer")
    rates: Rates = declared(Rates, Table(Rates), "rates and times")
    oil: Oil = declared(Oil, Table(Oil), "the finish")
    laser: Laser = declared(Laser, Table(Laser), "the engraver")
    printer: Printer = declared(Printer, Table(Printer), "the flat-bed printer")
    markup: float | None = setting(None, 0, 400, "percent on all costs", "%", "number")
    margin: float | None = setting(
        None, 0, 95, "percent of the price before tax that is no cost", "%", "number"
    )
    tax: float = setting(0.0, 0, 50, "percent on the price", "%", "number")
    unit: str | None = declared(None, UNIT, "what people are shown sizes in; files stay mm")
    finishing: tuple[Step, ...] = declared(
        (), Tables(Step, 1), "your own steps, in place of the standard ones"
    )
    stated: tuple[str, ...] = ()  # what the file says something of; nothing without one

    @property
    def markup_share(self) -> float:
        """What is put on costs, as a share of them.

        M, or g / (1 - g) for a margin g of the price.
        """
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


def read_shop(path: Path | None) -> Workshop:
    """Read a workshop; an empty one where there is no file. Raises InputError."""
    if path is None:
        return Workshop()
    table = with_unit(read_toml(path))
    shop = read(Workshop, table, path.name)
    if "markup" in table and "margin" in table:
        raise InputError(
            Problem(
                f"{path.name}: markup",
                "goes without margin",
                "",
                "markup is percent on costs, margin percent of the price: give one",
            )
        )
    return replace(shop, stated=tuple(table))

"""A brief: what a maker writes down about the wood, the cutter and the boards they want."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import MISSING, dataclass, fields
from functools import cache
from pathlib import Path
from typing import Any

from shapes.checks.subject import HOLLOW_ALLOWANCE, Limits
from shapes.collection.draw import Size, suits
from shapes.errors import InputError, Problem
from shapes.forms import FORMS
from shapes.handles import HANDLES
from shapes.handles.hand import NECK_WIDTH, Needs
from shapes.settings import (
    KEEP,
    UNIT,
    Table,
    Text,
    UnreadableError,
    WordList,
    YesNo,
    declared,
    read,
    setting,
    with_unit,
)
from shapes.text_files import read_toml
from shapes.timber.density import BAND, DENSITIES, MOISTURE, density
from shapes.timber.estimate import Allowances
from shapes.timber.sawn import steepness
from shapes.timber.species import Species, find_species, known_species
from shapes.units import unit_said

FIRST_LIGHT = 0.75  # kg: a little under what three fingers may hold


@dataclass(frozen=True, slots=True)
class Weighed:
    """A squared piece of the same timber, weighed: density then comes from it."""

    mass: float = setting(MISSING, 0.01, 100, "mass of the piece", "kg", "number")
    length: float = setting(MISSING, 20, 5000, "length of the piece", "mm")
    width: float = setting(MISSING, 20, 2000, "width of the piece", "mm")
    thickness: float = setting(MISSING, 5, 200, "thickness of the piece", "mm")

    @property
    def density(self) -> float:
        """Density in kg/m3."""
        return self.mass / (self.length * self.width * self.thickness * 1e-9)


@dataclass(frozen=True, slots=True)
class _Weighs(Table):
    """Reads the weighed piece, and refuses what is no wood."""

    def __call__(self, value: Any) -> Weighed:
        """Read it."""
        piece: Weighed = Table.__call__(self, value)
        if not DENSITIES[0] <= piece.density <= DENSITIES[1]:
            raise UnreadableError(
                f"comes to {piece.density:.0f} kg/m3",
                "wood has 200 to 1400",
                "weigh and measure again",
            )
        return piece


_weighed = _Weighs(Weighed)


WEIGHED_BAND = 0.03  # the piece itself was weighed: tape and scales err by about this; our choice
DIAMETERS = 1.0, 30.0  # mm: cutters that boards are cut with


@dataclass(frozen=True, slots=True)
class Brief:
    """Every setting of a brief; lengths in mm, masses in kg."""

    title: str = declared("boards", Text(), "what stands over the collection")
    length: float = setting(420.0, 120, 1500, "most length along the grain", "mm")
    width: float = setting(240.0, 80, 800, "most width across the grain", "mm")
    thickness: float = setting(20.0, 8, 60, "thickness of the finished board", "mm")
    species: str = declared("black walnut", known_species, "species of the timber")
    moisture: float = setting(8.0, *MOISTURE, "moisture content of the timber", "%", "number")
    cutter: float = setting(6.0, *DIAMETERS, "diameter of the router's cutter", "mm")
    round_over: float = setting(6.0, 0, 25, "radius rounded over on both faces", "mm")
    guide_bearing: float = setting(12.7, 3, 40, "diameter of the round-over's guide bearing", "mm")
    max_mass: float = setting(1.8, 0.05, 30, "most a board may weigh", "kg", "number")
    least_inside_radius: float | None = setting(None, 1, 60, "least radius of hollows", "mm")
    load: float = setting(
        2.0, 0, 20, "food the handle has to bear, beside the board", "kg", "number"
    )
    jerk: float = setting(2.0, 1, 5, "factor for a jerk of the hand", "", "number")
    strength_divisor: float = setting(
        3.0, 1.5, 10, "times that a part bears more than it has to", "", "number"
    )
    neck_width: float | None = setting(None, *NECK_WIDTH, "width of necks", "mm")
    live_edge: str | None = declared(None, KEEP, "keep the piece's natural edge where it can be")
    for_food: bool = declared(True, YesNo(), "whether food is to lie on it")
    count: int = setting(12, 1, 99, "how many boards", "", "count")
    forms: tuple[str, ...] = declared((), WordList(FORMS), "forms to draw; else the usual ones")
    handles: tuple[str, ...] = declared(
        (), WordList(tuple(HANDLES)), "handles to draw; else all that fit"
    )
    asymmetry: bool = declared(True, YesNo(), "whether boards alike on both sides are refused")
    allowance: float = setting(15.0, 0, 100, "wood round the board on its blank, each side", "mm")
    thickness_allowance: float = setting(4.0, 0, 40, "wood to skim off, both faces together", "mm")
    price_per_m3: float | None = setting(
        None, 0, 1e6, "price of the timber, in your own money", "", "number"
    )
    weighed: Weighed | None = declared(
        None, _weighed, "a squared piece of the same timber, weighed: its density then counts"
    )
    rings: float | None = declared(None, steepness, "how steeply the rings stand to the face")
    unit: str | None = declared(None, UNIT, "what people are shown sizes in; files stay mm")

    @property
    def timber(self) -> Species:
        """The species."""
        return find_species(self.species)

    @property
    def density(self) -> float:
        """Density of the timber in kg/m3, of the weighed piece where there is one."""
        return self.weighed.density if self.weighed else density(self.timber, self.moisture)

    @property
    def band(self) -> float:
        """Share by which the mass may differ."""
        return WEIGHED_BAND if self.weighed else BAND

    @property
    def inside_radius(self) -> float:
        """Least inside radius of the boards drawn: as stated, or 12 mm and what the bits need."""
        if self.least_inside_radius is not None:
            return self.least_inside_radius
        return max(
            12.0,
            self.cutter / 2 * (1 + 2 * HOLLOW_ALLOWANCE),
            self.guide_bearing / 2 * (1 + HOLLOW_ALLOWANCE),
        )

    @property
    def allowed(self) -> tuple[tuple[str, str], ...]:
        """Pairs of form and handle that may be drawn, in a fixed order."""
        return _allowed(self)

    def unfit(self, handle: str) -> str:
        """Why a handle cannot be made on this brief; empty where it can."""
        room = HANDLES[handle].room
        if self.length < room[0] or self.width < room[1]:
            return f"needs a board of {room[0]:g} x {room[1]:g} mm or more"
        hole = HANDLES[handle].bored
        if self.cutter * (1 + HOLLOW_ALLOWANCE) > hole:
            return f"a {self.cutter:g} mm cutter does not get into its {hole:g} mm hole"
        return ""

    def limits(self) -> Limits:
        """Return what a board drawn for this brief is held to."""
        return Limits(
            thickness=self.thickness,
            density=self.density,
            band=self.band,
            length=self.length,
            width=self.width,
            cutter=self.cutter,
            round_over=self.round_over,
            guide_bearing=self.guide_bearing,
            max_mass=self.max_mass,
            least_inside_radius=self.inside_radius,
            neck_width=self.neck_width,
            bending=self.timber.bending_mpa,
            shear=self.timber.shear_mpa,
            load=self.load,
            jerk=self.jerk,
            divisor=self.strength_divisor,
            asymmetry=self.asymmetry,
            generated=True,
        )

    def size(self) -> Size:
        """Return the box a board is drawn into and what its handle needs."""
        return Size(
            self.length,
            self.width,
            Needs(self.thickness, self.neck_width, self._light),
        )

    @property
    def _light(self) -> bool:
        """Whether a board with a neck will be light: half its box, at the stated thickness."""
        return self.length * self.width * self.thickness * 0.5e-9 * self.density < FIRST_LIGHT

    def allowances(self) -> Allowances:
        """Return the wood added for the blank."""
        return Allowances(self.allowance, self.thickness_allowance)

    def as_table(self) -> dict[str, Any]:
        """Return what was set, as plain values for TOML and JSON; unset ones are left out."""
        table: dict[str, Any] = {}
        for f in fields(self):
            value = getattr(self, f.name)
            if value is None or value == ():
                continue
            if isinstance(value, Weighed):
                value = {g.name: getattr(value, g.name) for g in fields(value)}
            table[f.name] = list(value) if isinstance(value, tuple) else value
        return table


@cache
def _allowed(brief: Brief) -> tuple[tuple[str, str], ...]:
    fit = [h for h in brief.handles or HANDLES if not brief.unfit(h)]
    if not brief.handles:
        fit = [
            h for h in fit if brief.length >= HANDLES[h].small[0] or HANDLES[h].small[1] not in fit
        ]

    def pairs(forms: Iterable[str]) -> tuple[tuple[str, str], ...]:
        return tuple((f, h) for f in forms for h in fit if suits(h, f))

    if brief.forms:
        return pairs(brief.forms)
    return pairs(f for f in FORMS if not FORMS[f].seldom) or pairs(FORMS)


def read_brief(path: Path) -> Brief:
    """Read a brief from a TOML file. Raises InputError with every problem in it."""
    return brief_from(read_toml(path), path.name)


def brief_from(table: Mapping[str, Any], where: str = "brief") -> Brief:
    """Make a brief from plain values. Raises InputError with every problem at once."""
    table = with_unit(table)
    if "unit" not in table and (said := unit_said(table.get("length"))):
        table["unit"] = said  # a maker who writes inches reads inches
    brief = read(Brief, table, where)
    if problems := _conflicts(brief, where):
        raise InputError(*problems)
    return brief


def _conflicts(brief: Brief, where: str) -> list[Problem]:
    """Settings that are each in range and together impossible."""
    found = []
    if brief.round_over > brief.thickness / 2:
        found.append(
            Problem(
                f"{where}: round_over",
                f"{brief.round_over:g} mm on both faces is more than the thickness of"
                f" {brief.thickness:g} mm",
                f"allowed 0 to {brief.thickness / 2:g} mm",
                "take a smaller bit or thicker timber",
            )
        )
    if brief.neck_width is not None and brief.neck_width * 2 > brief.width:
        found.append(
            Problem(
                f"{where}: neck_width",
                f"a neck of {brief.neck_width:g} mm leaves no body on a board {brief.width:g} mm"
                " wide",
                f"allowed up to {brief.width / 2:g} mm",
                "narrow the neck or widen the board",
            )
        )
    least = brief.cutter / 2 * (1 + HOLLOW_ALLOWANCE)
    if brief.least_inside_radius is not None and brief.least_inside_radius < least:
        found.append(
            Problem(
                f"{where}: least_inside_radius",
                f"{brief.least_inside_radius:g} mm is less than a {brief.cutter:g} mm cutter"
                " reaches",
                f"allowed {least:.2f} to 60 mm",
                "enlarge it or take a thinner cutter",
            )
        )
    for handle in brief.handles:
        why = brief.unfit(handle)
        if why:
            found.append(
                Problem(
                    f"{where}: handles", f"'{handle}' {why}", "", "leave it out or change the size"
                )
            )
    if not found and not brief.allowed:
        found.append(
            Problem(
                f"{where}: handles",
                "none of these handles suits any of these forms",
                "",
                "see: shapes list handles",
            )
        )
    return found

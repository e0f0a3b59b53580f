"""The species table, read once from species.toml; the source stands beside every value."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from shapes.errors import InputError, Problem, did_you_mean
from shapes.settings import Text


@dataclass(frozen=True, slots=True)
class Look:
    """How oiled wood is drawn.

    Colours as #rrggbb, lengths mm, the rest without a unit: see species.toml.
    """

    early: str
    late: str
    ring: float
    power: float
    line: float
    line_width: float
    contrast: float
    pores: str
    pore: float
    vessel: float
    fibre: float
    streak: float
    years: float
    rays: float
    ray_height: float
    stripe: float
    waver: float
    sapwood: str
    group: str


@dataclass(frozen=True, slots=True)
class Species:
    """One species: a specific gravity at 12 % or a basic one, or a density at 12 %."""

    name: str
    source: str
    colour: str
    look: Look
    specific_gravity: float | None = None
    basic_gravity: float | None = None
    density_kg_m3: float | None = None
    bending_mpa: float | None = None  # clear wood, along the grain
    shear_mpa: float | None = None
    strength_source: str = ""
    radial: float | None = None  # change across the grain for each % of moisture, as a share
    tangential: float | None = None
    movement_source: str = ""
    open_pores: bool = False
    caution: str = ""


@cache
def species_table() -> dict[str, Species]:
    """Every species by name."""
    text = files("shapes.timber").joinpath("species.toml").read_text(encoding="utf-8")
    rows = tomllib.loads(text).items()
    return {n: Species(n, **{**row, "look": Look(**row["look"])}) for n, row in rows}


def find_species(name: str, where: str = "species") -> Species:
    """Look a species up; InputError names the nearest known one."""
    table = species_table()
    if name.lower() in table:
        return table[name.lower()]
    kin = [n for n in table if name.lower() in n.split()]
    if kin:
        raise InputError(
            Problem(
                where,
                f"there are several kinds of {name.lower()}",
                "",
                f"say which: {', '.join(kin)}",
            )
        )
    hint = f"{did_you_mean(name.lower(), table, '')} see: shapes list species".strip()
    raise InputError(Problem(where, f"unknown species {name!r}", "", hint))


@dataclass(frozen=True, slots=True)
class _Known:
    """Reads the name of a species; one that is not known is told with the nearest that is."""

    def __call__(self, value: Any) -> str:
        """Read it."""
        return find_species(Text()(value)).name

    def __str__(self) -> str:
        """Name what is taken."""
        return "a name of shapes list species"


known_species = _Known()

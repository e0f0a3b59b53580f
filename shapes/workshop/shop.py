"""workshop.toml: optional, written once by the maker: layer colours, and a bandsaw if there is one."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from shapes.errors import InputError, Problem, did_you_mean
from shapes.parameters import Range
from shapes.settings import number, read_toml
from shapes.timber.thickness import Saw

LAYERS = ("EDGE", "OPENING", "BLANK", "DATUM", "GRAIN", "FIXING", "DEFECT")
_KNOWN = ("layer_colours", "bandsaw")
_SAW = {
    "kerf": Range(0.3, 5, "what the blade turns to dust", "mm"),
    "height": Range(40, 1000, "highest piece it takes", "mm"),
}


@dataclass(frozen=True, slots=True)
class Shop:
    """A workshop: colours by layer name, and a bandsaw or None."""

    layer_colours: dict[str, str] = field(default_factory=dict)
    saw: Saw | None = None


def read_shop(path: Path | None) -> Shop:
    """Read a workshop; an empty one where there is no file. Raises InputError."""
    if path is None:
        return Shop()
    table: dict[str, Any] = read_toml(path)
    problems = [
        Problem(
            f"{path.name}: {name}",
            "is no setting of a workshop",
            "",
            did_you_mean(name, _KNOWN, "settings: " + ", ".join(_KNOWN)),
        )
        for name in table
        if name not in _KNOWN
    ]
    colours = _colours(table.get("layer_colours", {}), path.name, problems)
    saw = _saw(table["bandsaw"], path.name, problems) if "bandsaw" in table else None
    if problems:
        raise InputError(*problems)
    return Shop(colours, saw)


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
    for name, value in table.items():
        place = f"{where}: bandsaw.{name}"
        if name not in _SAW:
            problems.append(Problem(place, "is no setting of a bandsaw", "", "settings: " + ", ".join(_SAW)))  # fmt: skip
            continue
        try:
            read[name] = float(number(place, value, _SAW[name]))
        except InputError as error:
            problems += error.problems
    return Saw(**read)

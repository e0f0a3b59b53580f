"""workshop.toml: optional, written once by the maker. For now it holds layer colours."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from shapes.collection.brief import read_toml
from shapes.errors import InputError, Problem

LAYERS = ("EDGE", "OPENING", "BLANK", "DATUM", "GRAIN", "FIXING", "DEFECT")


def layer_colours(path: Path | None) -> dict[str, str]:
    """Read the maker's own layer colours, ``#rrggbb`` by layer name. Raises InputError."""
    if path is None:
        return {}
    table: dict[str, Any] = read_toml(path)
    colours = table.pop("layer_colours", {})
    problems = [
        Problem(
            f"{path.name}: {name}", "is no setting of a workshop", "", "settings: layer_colours"
        )
        for name in table
    ]
    if not isinstance(colours, dict):
        problems.append(
            Problem(f"{path.name}: layer_colours", "is no table", "", "write [layer_colours]")
        )
        colours = {}
    for name, colour in colours.items():
        where = f"{path.name}: layer_colours.{name}"
        if name not in LAYERS:
            problems.append(Problem(where, "is no layer", "", "layers: " + ", ".join(LAYERS)))
        elif not isinstance(colour, str) or not re.fullmatch(r"#[0-9a-fA-F]{6}", colour):
            problems.append(Problem(where, f"{colour!r} is no colour", "#000000 to #ffffff"))
    if problems:
        raise InputError(*problems)
    return dict(colours)

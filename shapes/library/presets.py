"""Presets by their names: briefs and off-cuts."""

from __future__ import annotations

from pathlib import Path

import shapes
from shapes.errors import InputError, Problem, did_you_mean


def folder() -> Path:
    """The folder of presets: in the installed package, or in the source tree."""
    inside = Path(shapes.__file__).parent / "presets"
    return inside if inside.is_dir() else inside.parents[1] / "presets"


def briefs() -> dict[str, Path]:
    """Every preset brief by name."""
    return {p.stem: p for p in sorted(folder().glob("*.toml")) if p.stem != "workshop"}


def off_cuts() -> dict[str, Path]:
    """Every preset off-cut by name."""
    return {p.stem: p for p in sorted((folder() / "off-cuts").glob("*.toml"))}


def file_of(name: str | Path, known: dict[str, Path], where: str, kind: str = "preset") -> Path:
    """Return the file of a name: a file itself, or a preset. Raises InputError where it is neither."""
    path = Path(name)
    if path.exists() or path.suffix == ".toml":
        return path
    if str(name) in known:
        return known[str(name)]
    hint = did_you_mean(str(name), known, "presets: " + ", ".join(known), 0.4)
    raise InputError(Problem(where, f"there is no file and no {kind} '{name}'", "", hint))

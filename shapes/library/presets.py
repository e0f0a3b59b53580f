"""Briefs and off-cuts, from their files or by the names of presets.

Light, since lists need no more.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import shapes
from shapes.collection.brief import Brief
from shapes.collection.brief import read_brief as read_file
from shapes.errors import OPTION, InputError, Problem, did_you_mean

if TYPE_CHECKING:
    from shapes.timber.off_cut import OffCut


def silent(text: str) -> None:
    """Hear a note, and say it to nobody."""


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


def file_of(name: str | Path, known: dict[str, Path], where: str) -> Path:
    """Return the file of a name: a file itself, or a preset.

    Raises InputError where it is neither.
    """
    path = Path(name)
    if path.exists() or path.suffix == ".toml":
        return path
    if str(name) in known:
        return known[str(name)]
    hint = did_you_mean(str(name), known, "presets: " + ", ".join(known), 0.4)
    raise InputError(Problem(where, f"there is no file and no preset '{name}'", "", hint))


def read_brief(name: str | Path) -> Brief:
    """Read a brief from its TOML file, or a preset by its name.

    Raises InputError with every problem at once.
    """
    return read_file(file_of(name, briefs(), "brief"))


def read_piece(name: str | Path, *, note: Callable[[str], None] = silent) -> OffCut:
    """Read an off-cut from its TOML file, or a preset by its name.

    ``note`` hears what was taken for granted. Raises InputError with every problem at once.
    """
    from shapes.files.off_cut import read_off_cut

    piece, notes = read_off_cut(file_of(name, off_cuts(), f"{OPTION}: off-cut"))
    for text in notes:
        note(text)
    return piece

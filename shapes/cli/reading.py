"""How boards are read for a command: its options, and what is said of what was read."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shapes.collection.board import Board
    from shapes.collection.brief import Brief
    from shapes.library.reading import Found, Reading

_TAKEN = {
    "thickness": "thickness {thickness:g} mm",
    "species": "{species}",
    "cutter": "cutter {cutter:g} mm",
    "round_over": "round-over {round_over:g} mm",
    "guide_bearing": "guide bearing {guide_bearing:g} mm",
}


def say_taken(given: Iterable[str], names: Sequence[str] = tuple(_TAKEN)) -> None:
    """Say which settings a drawing, having none of its own, was given."""
    from shapes.cli.common import note
    from shapes.collection.brief import Brief

    left = [_TAKEN[n].format(**Brief().as_table()) for n in names if n not in given]
    if left:
        note(f"not stated, so taken for drawings: {', '.join(left)}")


def say(found: Found) -> None:
    """Say notes on standard error, then raise what could not be read."""
    from shapes.cli.common import note
    from shapes.errors import InputError

    for text in found.notes:
        note(text)
    if found.problems:
        raise InputError(*found.problems)


def read_all(paths: Sequence[Path], reading: Reading, brief: Brief | None = None) -> Found:
    """Read every board and say what is to be said, or raise every problem at once."""
    from shapes.library import reading as door

    found = door.read_all(paths, reading, brief)
    say(found)
    return found


def read_recipes(paths: Sequence[Path]) -> list[Board]:
    """Read board recipes; a folder stands for its board.toml or for those of a collection."""
    from shapes.collection.board import Board
    from shapes.library.reading import Reading, find

    found = find(paths, Reading(), drawings=False)
    say(found)
    return [b for b in found if isinstance(b, Board)]


def a_grip(text: str) -> tuple[float, float, float]:
    """Read ``X,Y`` or ``X,Y,DEG``. Raises InputError."""
    from shapes.errors import InputError, Problem
    from shapes.settings import numbers_in

    try:
        parts = numbers_in(text, 2, 3)
    except ValueError:
        raise InputError(
            Problem("--grip", f"'{text}' is no point", "", "write X,Y in mm, or X,Y,DEG")
        ) from None
    return parts[0], parts[1], math.radians(parts[2]) if len(parts) == 3 else 0.0


def reading_from(
    unit: str | None,
    layer: Sequence[str] | None,
    gap: str | None,
    grips: Sequence[str] = (),
    grain: float = 0.0,
    *,
    looks: bool = False,
    centred: bool = False,
) -> Reading:
    """Read the options that say how drawings are read. Raises InputError."""
    from shapes.cli.common import in_range
    from shapes.errors import InputError, Problem, did_you_mean
    from shapes.files.drawing import GAP, UNITS
    from shapes.library.reading import Reading
    from shapes.units import length

    if unit is not None and unit not in UNITS:
        hint = did_you_mean(unit, UNITS, "known: " + ", ".join(UNITS))
        raise InputError(Problem("--unit", f"'{unit}' is no unit known here", "", hint))
    try:
        wide = GAP if gap is None else length(gap)
    except ValueError as error:
        raise InputError(Problem("--gap", str(error), "allowed 0 to 5 mm")) from None
    in_range(wide, 0, 5, "--gap")
    in_range(grain, -180, 180, "--grain")
    layers = tuple(name.strip() for text in layer or () for name in text.split(",") if name.strip())
    turned = math.radians(grain)
    return Reading(unit, layers, wide, tuple(a_grip(g) for g in grips), turned, looks, centred)

"""What areas and prepare share: faces, angles and lengths from the options of a command."""

from __future__ import annotations

import math
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shapes.geometry.rectangle import Rectangle
    from shapes.workshop.face import Face


class OnFace(str, Enum):
    """Where a mark goes."""

    underside = "underside"
    handle = "handle"
    eating = "eating"


def an_angle(text: str) -> float | None:
    """Read degrees, or ``any``. Raises InputError."""
    from shapes.cli.common import in_range
    from shapes.errors import InputError, Problem

    if text == "any":
        return None
    try:
        value = float(text)
    except ValueError:
        raise InputError(
            Problem("--angle", f"'{text}' is no angle", "-90 to 90, or any", "degrees to the grain")
        ) from None
    in_range(value, -90, 90, "--angle")
    return math.radians(value)


def colour(text: str, where: str) -> str:
    """Read a colour as #rrggbb. Raises InputError."""
    import re

    from shapes.errors import InputError, Problem

    if not re.fullmatch(r"#[0-9a-fA-F]{6}", text):
        raise InputError(Problem(where, f"'{text}' is no colour", "#000000 to #ffffff"))
    return text


def line(text: str | None, where: str) -> str | None:
    """Read text that is written on a board, its lines kept apart; None where none is said."""
    from shapes.cli.common import plain_text
    from shapes.text import TEXT

    return None if text is None else plain_text(text.replace("\n", "\\n"), where, TEXT)


def a_length(text: str | None, low: float, high: float, where: str) -> float | None:
    """Read a length within a range; None where none is said. Raises InputError."""
    from shapes.cli.common import number_or_text
    from shapes.parameters import Range
    from shapes.settings import Number, at

    if text is None:
        return None
    return float(at(where, Number(Range(low, high, "", "mm")), number_or_text(text)))


def a_point(text: str | None, where: str) -> tuple[float, float] | None:
    """Read ``X,Y`` in mm; None where none is said. Raises InputError."""
    from shapes.errors import InputError, Problem
    from shapes.settings import numbers_in

    if text is None:
        return None
    try:
        x, y = numbers_in(text, 2)
    except ValueError:
        raise InputError(Problem(where, f"'{text}' is no point", "", "write X,Y in mm")) from None
    return x, y


MOST_NAMES = 200


def read_names(path: Path, text: str | None) -> tuple[str, ...]:
    """Read the first column of a CSV, a name a line. Raises InputError."""
    import csv

    from shapes.errors import InputError, Problem
    from shapes.settings import Text, at
    from shapes.text_files import LARGEST_FILE, read_text

    if text is None or "{name}" not in text:
        raise InputError(
            Problem(
                "--names",
                "has no place to go to",
                "",
                'write {name} into --text, as --text "{name}"',
            )
        )
    try:
        rows = list(csv.reader(read_text(path, LARGEST_FILE).splitlines()))
    except (InputError, csv.Error):
        raise InputError(
            Problem("--names", f"{path} cannot be read as a CSV", "", "write one name a line")
        ) from None
    names = tuple(row[0].strip() for row in rows if row and row[0].strip())[: MOST_NAMES + 1]
    if not 1 <= len(names) <= MOST_NAMES:
        raise InputError(
            Problem("--names", f"{path} holds {len(names)} names or more", f"1 to {MOST_NAMES}")
        )
    return tuple(at(f"{path}: name {i}", Text(), name) for i, name in enumerate(names, start=1))


def told_area(area: Rectangle, face: Face) -> list[str]:
    """Cells of a table row for an area."""
    return [
        face.name,
        f"{area.length:.1f}",
        f"{area.width:.1f}",
        f"{area.x:.1f}",
        f"{area.y:.1f}",
        f"{math.degrees(area.angle):.1f}",
    ]

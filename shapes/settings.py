"""Settings that a maker writes in TOML: reading the file, and numbers within their range."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from shapes.errors import InputError, Problem, did_you_mean
from shapes.parameters import Range
from shapes.units import length as read_length
from shapes.units import mass as read_mass


def read_toml(path: Path) -> dict[str, Any]:
    """Read a TOML file. Raises InputError with one line where that cannot be done."""
    try:
        text = path.read_bytes().decode("utf-8")
    except FileNotFoundError:
        raise InputError(
            Problem(str(path), "there is no such file", "", "check the name")
        ) from None
    except IsADirectoryError:
        raise InputError(Problem(str(path), "is a folder", "", "name the file in it")) from None
    except UnicodeDecodeError:
        raise InputError(Problem(str(path), "is not text", "", "write it as TOML")) from None
    except OSError as error:
        raise InputError(Problem(str(path), f"cannot be read: {error.strerror}")) from None
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        comma = re.search(r"=\s*(\d+),(\d+)", text)
        hint = f"write {comma[1]}.{comma[2]}" if comma else ""
        raise InputError(Problem(str(path), f"is no TOML: {error}", "", hint)) from None


def unknown(table: dict[str, Any], known: Sequence[str], where: str, what: str) -> list[Problem]:
    """Problems of names in a table that are not known, each with the nearest that is."""
    hint = "settings: " + ", ".join(known)
    return [
        Problem(f"{where}: {n}", f"is no setting of {what}", "", did_you_mean(n, known, hint))
        for n in table
        if n not in known
    ]


def numbers_in(text: str, *counts: int) -> tuple[float, ...]:
    """Read finite numbers between commas, as many as one of ``counts``. Raises ValueError.

    >>> numbers_in("40,2.5", 2)
    (40.0, 2.5)
    """
    found = tuple(float(part) for part in text.split(","))
    if len(found) not in counts or not all(math.isfinite(v) for v in found):
        raise ValueError(f"{text!r} is not so many numbers")
    return found


def number(place: str, value: Any, allowed: Range, kind: str = "length") -> float | int:
    """Read a number within a range; lengths may be text with a unit. Raises InputError."""
    span = f"allowed {allowed.low:g} to {allowed.high:g} {allowed.unit}".rstrip()
    if kind == "length" and isinstance(value, str):
        try:
            value = read_length(value)
        except ValueError as error:
            raise InputError(Problem(place, str(error), span)) from None
    if allowed.unit == "kg" and isinstance(value, str):
        try:
            value = read_mass(value)
        except ValueError as error:
            raise InputError(Problem(place, str(error), span)) from None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError(Problem(place, f"{value!r} is no number", span, allowed.says))
    if kind == "count" and value != int(value):
        raise InputError(Problem(place, f"{value:g} is no whole number", span))
    if not allowed.low <= value <= allowed.high:  # also catches nan
        raise InputError(Problem(place, f"{value:g} is out of range", span, allowed.says))
    return int(value) if kind == "count" else float(value)

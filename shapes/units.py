"""Units at the edge of the program: inside everything is in mm, kg and radians."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from fractions import Fraction

MM_PER_INCH = 25.4  # exact: international inch, 1959
POINTS_PER_MM = 72 / MM_PER_INCH  # exact: 72 points to the inch
MM3_PER_BOARD_FOOT = 144 * MM_PER_INCH**3  # 144 cubic inches
UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH}
SHOWN = {"mm": 0, "cm": 1, "in": 2}  # units that people are shown sizes in, with their decimals

_LENGTH = re.compile(r"^\s*(-?\d+(?:\.\d+)?(?:\s+\d+/\d+|/\d+)?)\s*([a-z]*)\s*$")


def length(text: str) -> float:
    """Read a length in mm from ``20``, ``20.5``, ``2 cm``, ``1/4 in`` or ``1 1/2 in``.

    Raises ValueError with one sentence that says what to write instead.

    >>> length("1/4 in")
    6.35
    """
    if re.fullmatch(r"\s*-?\d+,\d+\s*[a-z]*\s*", text):
        raise ValueError(f"{text!r} has a decimal comma: write {text.strip().replace(',', '.')}")
    match = _LENGTH.match(text)
    if not match or (unit := match[2] or "mm") not in UNITS:
        raise ValueError(f'{text!r} is not a length: write 20, 20.5 or "1/4 in"')
    try:
        value = sum(Fraction(part) for part in match[1].split())
    except ZeroDivisionError:
        raise ValueError(f'{text!r} divides by zero: write 20, 20.5 or "1/4 in"') from None
    return float(value) * UNITS[unit]


def at_most(value: float, digits: int = 1) -> str:
    """Write what is allowed, or what falls short: rounded down, so that what is written holds.

    >>> at_most(5.96), at_most(6.0)
    ('5.9', '6.0')
    """
    k = 10**digits
    return f"{math.floor(value * k + 1e-6) / k:.{digits}f}"


def at_least(value: float, digits: int = 1) -> str:
    """Write what is wanted, or what is lacking: rounded up.

    >>> at_least(0.02), at_least(6.0)
    ('0.1', '6.0')
    """
    k = 10**digits
    return f"{math.ceil(value * k - 1e-6) / k:.{digits}f}"


def unit_said(value: object) -> str | None:
    """Return the unit that a length was written with, where people are shown sizes in it."""
    match = _LENGTH.match(value) if isinstance(value, str) else None
    return match[2] if match and match[2] in SHOWN else None


def sizes(mm: Iterable[float], unit: str | None) -> str:
    """Return lengths side by side in a unit, mm where none is said.

    >>> sizes((457.2, 254.0), "in")
    '18.00 x 10.00 in'
    """
    shown = unit or "mm"
    return " x ".join(f"{v / UNITS[shown]:.{SHOWN[shown]}f}" for v in mm) + f" {shown}"

"""Units at the edge of the program: inside everything is in mm, kg and radians."""

from __future__ import annotations

import re
from fractions import Fraction

MM_PER_INCH = 25.4  # exact: international inch, 1959
POINTS_PER_MM = 72 / MM_PER_INCH  # exact: 72 points to the inch
MM3_PER_BOARD_FOOT = 144 * MM_PER_INCH**3  # 144 cubic inches
UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH}

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

"""Units at the edge of the program: inside everything is in mm, kg and radians."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from fractions import Fraction

MM_PER_INCH = 25.4  # exact: international inch, 1959
POINTS_PER_MM = 72 / MM_PER_INCH  # exact: 72 points to the inch
MM3_PER_BOARD_FOOT = 144 * MM_PER_INCH**3  # 144 cubic inches
UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH, "ft": 12 * MM_PER_INCH}
SHOWN_DECIMALS = {
    "mm": 0,
    "cm": 1,
    "in": 2,
}  # units that people are shown sizes in, with their decimals
SIXTEENTHS = 16  # of an inch: what a rule shows
KG_PER_POUND = 0.45359237  # exact: international pound, 1959
MASSES = {"kg": 1.0, "g": 0.001, "lb": KG_PER_POUND, "oz": KG_PER_POUND / 16}
_SAME = {
    "inch": "in",
    "inches": "in",
    '"': "in",
    "foot": "ft",
    "feet": "ft",
    "'": "ft",
    "lbs": "lb",
    "pounds": "lb",
    "pound": "lb",
    "ounces": "oz",
    "ounce": "oz",
}

_LENGTH = re.compile(r"^\s*(-?\d+(?:\.\d+)?(?:\s+\d+/\d+|/\d+)?)\s*([a-z]*|\"|')\s*$")


def length(text: str) -> float:
    """Read a length in mm from ``20``, ``20.5``, ``2 cm``, ``1/4 in`` or ``1 1/2 in``.

    Raises ValueError with one sentence that says what to write instead.

    >>> length("1/4 in")
    6.35
    """
    if re.fullmatch(r"\s*-?\d+,\d+\s*[a-z]*\s*", text):
        raise ValueError(f"{text!r} has a decimal comma: write {text.strip().replace(',', '.')}")
    return _read(text, UNITS, "mm", 'a length: write 20, 20.5 or "1/4 in"')


def mass(text: str) -> float:
    """Read a mass in kg from ``1.2``, ``900 g``, ``2 lb`` or ``24 oz``. Raises ValueError.

    >>> round(mass("2 lb"), 6)
    0.907185
    """
    return _read(text, MASSES, "kg", 'a mass: write 1.2, "900 g" or "2 1/2 lb"')


def _read(text: str, units: Mapping[str, float], usual: str, what: str) -> float:
    match = _LENGTH.match(text)
    unit = _SAME.get(match[2], match[2] or usual) if match else ""
    if not match or unit not in units:
        raise ValueError(f"{text!r} is not {what}")
    try:
        value = sum(Fraction(part) for part in match[1].split())
    except ZeroDivisionError:
        raise ValueError(f"{text!r} divides by zero: it is not {what}") from None
    return float(value) * units[unit]


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
    unit = _SAME.get(match[2], match[2]) if match else None
    return {"ft": "in"}.get(unit, unit) if unit in SHOWN_DECIMALS or unit == "ft" else None


def sizes(mm: Iterable[float], unit: str | None) -> str:
    """Return lengths side by side in a unit, mm where none is said; inches as a rule shows them.

    >>> sizes((457.2, 252.4), "in")
    '18 x 9 15/16 in'
    """
    shown = unit or "mm"
    return " x ".join(figure(v, shown) for v in mm) + f" {shown}"


def figure(mm: float, unit: str | None) -> str:
    """Return a length as a figure in a unit, without the unit: inches to the nearest sixteenth."""
    shown = unit or "mm"
    if shown != "in":
        return f"{mm / UNITS[shown]:.{SHOWN_DECIMALS[shown]}f}"
    whole, part = divmod(round(mm / MM_PER_INCH * SIXTEENTHS), SIXTEENTHS)
    fraction = Fraction(part, SIXTEENTHS)
    return f"{whole} {fraction}" if whole and part else f"{fraction if part else whole}"


def with_own(lengths: Iterable[float], unit: str | None, plain: str) -> str:
    """Return what is said of lengths in mm, and before it the
    same in the maker's own unit, if that is another.

    >>> with_own((25.4,), "in", "25.4 mm"), with_own((25.4,), None, "25.4 mm")
    ('1 in (25.4 mm)', '25.4 mm')
    """
    return plain if unit in (None, "mm") else f"{sizes(lengths, unit)} ({plain})"


def fine(mm: float, unit: str | None, digits: int = 1) -> str:
    """Return a small length as a figure in a unit, without the unit: inches to the thousandth.

    >>> fine(1.27, "in"), fine(1.27, None)
    ('0.050', '1.3')
    """
    return f"{mm / MM_PER_INCH:.3f}" if unit == "in" else f"{mm:.{digits}f}"


_SAID = re.compile(
    r"(?<! in \()(?<! x )(?<![\w.-])(\d+(?:\.\d+)?(?: x \d+(?:\.\d+)?)*) mm(/min)?(?![\w/])"
)
_FINE_INCHES = 2.0  # below it a length is said to the thousandth, above it as a rule shows it


def in_both(text: str) -> str:
    """Write inches behind every length and feed in mm, but for those that stand behind inches.

    Small ones to the thousandth, as a depth is set, larger ones to the nearest sixteenth.

    >>> in_both("skim 1.5 mm off, 18 x 9 15/16 in (457 x 252 mm), at 2540 mm/min")
    'skim 1.5 mm (0.059 in) off, 18 x 9 15/16 in (457 x 252 mm), at 2540 mm/min (100 in/min)'
    """

    def both(match: re.Match[str]) -> str:
        each = [float(v) for v in match[1].split(" x ")]
        if match[2]:
            return f"{match[0]} ({' x '.join(f'{v / MM_PER_INCH:.0f}' for v in each)} in/min)"
        return f"{match[0]} ({' x '.join(_inches(v) for v in each)} in)"

    return _SAID.sub(both, text)


def _inches(mm: float) -> str:
    return (fine if mm < _FINE_INCHES * MM_PER_INCH else figure)(mm, "in")


def mass_said(kg: float, unit: str | None) -> str:
    """Return a mass as people read it: pounds to those who read inches."""
    return f"{kg / KG_PER_POUND:.2f} lb" if unit == "in" else f"{kg:.2f} kg"

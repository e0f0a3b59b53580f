"""Lumber measure: board feet, exact and by the trade's rounding.

Rules as lumber-measure pages give them (secondary; the grading rules' own text was not seen):
surface measure is whole feet of length times inches of width over 12, rounded to a whole number,
then times the thickness in inches; stock under an inch counts as an inch.
"""

from __future__ import annotations

import math

from shapes.units import MM3_PER_BOARD_FOOT, MM_PER_INCH


def board_feet(volume: float) -> float:
    """Board feet of ``volume`` mm3: 144 cubic inches each."""
    return volume / MM3_PER_BOARD_FOOT


def tally(length: float, width: float, thickness: float) -> float:
    """Board feet of a piece by the trade's rounding, sizes in mm.

    Under a foot long it counts nothing.

    >>> tally(8.9 * 304.8, 7.5 * 25.4, 19)
    5.0
    """
    feet = math.floor(length / (12 * MM_PER_INCH) + 1e-9)
    surface = math.floor(feet * width / MM_PER_INCH / 12 + 0.5)
    return surface * max(thickness / MM_PER_INCH, 1.0)

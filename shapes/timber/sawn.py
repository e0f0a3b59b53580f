"""How a piece was sawn from its log: how steeply the rings stand to its face, seen on its end."""

from __future__ import annotations

from typing import Any

from shapes.errors import InputError, Problem
from shapes.parameters import Range
from shapes.settings import number

STEEP = (0.0, 90.0)  # degrees
# The trade's words; common practice, from memory: rings under 30 degrees are called flat-sawn, 30 to 60
# rift-sawn, over 60 quarter-sawn. The middle of each stands for it.
SAWN = {"flat-sawn": 12.0, "rift-sawn": 45.0, "quarter-sawn": 80.0}


def steepness(place: str, value: Any) -> float:
    """Return the rings' angle to the face, degrees, from a word of the trade or a number. Raises InputError."""
    if isinstance(value, str):
        word = value.lower().replace(" ", "-").replace("sawn", "-sawn").replace("--", "-")
        if word in SAWN:
            return SAWN[word]
        raise InputError(Problem(place, f"{value!r} says nothing of the rings", ", ".join(SAWN), "or write their angle to the face in degrees"))  # fmt: skip
    return float(
        number(place, value, Range(*STEEP, "angle of the rings to the face", "degrees"), "number")
    )

"""How a piece was sawn from its log: how steeply the rings stand to its face, seen on its end."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from shapes.parameters import Range
from shapes.settings import Number, UnreadableError
from shapes.text import shown

STEEP = (0.0, 90.0)  # degrees
# The trade's words; common practice, from memory: rings under 30 degrees are called flat-sawn, 30
# to 60 rift-sawn, over 60 quarter-sawn. The middle of each stands for it.
SAWN = {"flat-sawn": 12.0, "rift-sawn": 45.0, "quarter-sawn": 80.0}


@dataclass(frozen=True, slots=True)
class _Steepness:
    """Reads the rings' angle to the face, degrees, from a word of the trade or a number."""

    angle: Number

    def __call__(self, value: Any) -> float:
        """Read it. Raises UnreadableError."""
        if not isinstance(value, str):
            return self.angle(value)
        word = value.lower().replace(" ", "-").replace("sawn", "-sawn").replace("--", "-")
        if word in SAWN:
            return SAWN[word]
        raise UnreadableError(
            f"{shown(value)} says nothing of the rings",
            ", ".join(SAWN),
            "or write their angle to the face in degrees",
        )

    def __str__(self) -> str:
        """Name what is taken."""
        return f"{', '.join(SAWN)}, or {self.angle}"


steepness = _Steepness(Number(Range(*STEEP, "angle of the rings to the face", "degrees"), "number"))

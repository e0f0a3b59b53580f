"""From thickness as found to thickness wanted: skim it, or saw it into thinner pieces?"""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapes.settings import setting

REST = 5.0  # mm taken off in all, above which the wood rests a day: common practice
FLATTEN = 1.5  # mm a sawn or rough face needs to come flat; our choice on common practice


@dataclass(frozen=True, slots=True)
class Saw:
    """A bandsaw: what its blade turns to dust, and the highest piece it takes, mm."""

    kerf: float = setting(
        1.5, 0.3, 5, "what the blade turns to dust", "mm"
    )  # 0.6 to 1.5, from memory
    height: float = setting(300.0, 40, 1000, "highest piece it takes", "mm")


@dataclass(frozen=True, slots=True)
class Way:
    """One way to the thickness wanted: pieces, mm off each face, kg, and what to mind."""

    name: str  # "skim" or "resaw"
    pieces: int
    faces: tuple[float, float]  # mm skimmed off the first and the second face of each piece
    kerfs: float  # mm sawn to dust in all
    chips: float  # mm of thickness turned to chips and dust, of all that is found
    mass_before: float  # kg of the blank as found, over the board's own outline
    mass_after: float  # kg of one board
    rest: bool

    @property
    def advice(self) -> str:
        """What to do, in one line."""
        a, b = self.faces
        text = f"skim {a:.1f} mm off one face, turn over on the long edge, {b:.1f} mm off the other"
        if self.name == "resaw":
            text = f"saw in {self.pieces}, then each: {text}"
        if self.rest:
            text += "; then let it rest a day and look for cup before the last millimetre"
        return text


def ways(
    found: float,
    wanted: float,
    area: float,
    density: float,
    mass: float,
    saw: Saw | None,
    width: float,
) -> list[Way]:
    """Return the ways to boards of ``wanted`` mm out of ``found`` mm, skimming first.

    ``area`` mm2 of the board's outline, ``density`` kg/m3, ``mass`` kg of the finished board, and
    the piece's ``width`` in mm, which stands up on the saw's table. None where it is too thin.
    """
    before = area * found * 1e-9 * density
    made: list[Way] = []
    off = found - wanted
    if off >= 0:
        made.append(Way("skim", 1, (off / 2, off / 2), 0.0, off, before, mass, off > REST))
    if saw is not None and width <= saw.height:
        most = math.floor((found + saw.kerf) / (wanted + 2 * FLATTEN + saw.kerf) + 1e-9)
        if most >= 2:
            kerfs = (most - 1) * saw.kerf
            each = (found - kerfs) / most - wanted
            rest = each > REST or most > 1  # sawing frees the tension that is in the wood
            made.append(
                Way(
                    "resaw",
                    most,
                    (each / 2, each / 2),
                    kerfs,
                    found - most * wanted,
                    before,
                    mass,
                    rest,
                )
            )
    return made

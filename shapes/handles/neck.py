"""A neck to hold the board by: the rows of its two sides and its end, each with a character."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from shapes.geometry.row import Stretch
from shapes.geometry.trace import across
from shapes.handles.hand import (
    CORD_HOLE,
    CORD_RIM,
    GRIP,
    GRIP_LIGHT,
    NECK_WIDTH,
    NECK_WIDTH_THIN,
    THIN,
    Needs,
)
from shapes.parameters import ranged

ENDS = ("round", "swelling", "tapered", "squared", "slanting")
_PAST = 14.0  # mm from the middle of a hole to where a hand holds on
_HOLED = 2 * CORD_RIM + CORD_HOLE[0] + 0.5  # mm: least width of an end with a hole in it


@dataclass(frozen=True, slots=True)
class Neck:
    """A neck along the grain."""

    width: float = ranged(34.0, 39.0, "width of the neck", "mm")
    spare: float = ranged(0.0, 12.0, "length beyond what the hand needs", "mm")
    flare: float = ranged(
        1.6, 3.4, "how far each side of a swelling or tapered neck slants", "degrees"
    )
    end: float = ranged(0.0, 4.99, "character of the end: " + ", ".join(ENDS))


@dataclass(frozen=True, slots=True)
class HoledNeck:
    """A neck whose end runs round a hole to hang it by."""

    width: float = ranged(38.6, 39.6, "width of the neck", "mm")
    spare: float = ranged(14.0, 22.0, "length beyond what the hand needs", "mm")
    flare: float = ranged(
        1.6, 3.2, "how far each side of a swelling or tapered neck slants", "degrees"
    )
    end: float = ranged(0.0, 1.99, "character of the end: " + ", ".join(ENDS[:2]))


def width_of(width: float, needs: Needs, *, hole: bool) -> float:
    """Width, mm, of a neck: as stated, or as drawn and no less than thin timber wants."""
    if needs.neck_width is not None:
        return max(needs.neck_width, _HOLED) if hole else needs.neck_width
    least = NECK_WIDTH_THIN + 1.0 if needs.thickness < THIN else NECK_WIDTH[0] + 1.0
    return max(width, least, _HOLED if hole else 0.0)


def length_of(width: float, spare: float, needs: Needs, *, hole: bool) -> float:
    """Length, mm, of a neck's straight sides.

    The grip begins in the round of its end, or past its hole.
    """
    grip = GRIP_LIGHT if needs.light else GRIP
    return grip - 0.25 * width + spare + (_PAST if hole else 0.0)


def shaped(stretches: list[Stretch], width: float, flare: float, end: str) -> list[Stretch]:
    """Give a neck its character; what its end turns more or less, its shoulders turn too.

    A neck without an upper shoulder keeps its sides parallel.
    """
    found = {s.name: s for s in stretches}
    slant = math.radians(flare) if "top shoulder" in found else 0.0
    slant = {"swelling": slant, "tapered": -slant}.get(end, 0.0)
    less = abs(slant)
    cap = math.pi + 2 * slant
    made = []
    for s in stretches:
        if s.name in ("low shoulder", "top shoulder") and less:
            turn = s.turn + less
            made.append(replace(s, turn=turn, length=s.length * turn / s.turn))
        elif s.name in ("neck low", "neck top"):
            made.append(replace(s, turn=-2 * slant if slant > 0 else 0.0))
        elif s.name == "tip":
            made += _end(end, cap, width)
        else:
            made.append(s)
    return made


def _end(end: str, cap: float, width: float) -> list[Stretch]:
    """Return the stretches of an end, eased sides as far apart as the neck is wide."""
    made = _shape(end, cap, width)
    plain = _shape(end, math.pi, width)
    scale = 1.0
    for _ in range(4):
        scale *= width / across([replace(s, length=s.length * scale) for s in plain])
    return [replace(s, length=s.length * scale) for s in made]


def _shape(end: str, cap: float, width: float) -> list[Stretch]:
    if end == "squared":
        flat = math.radians(14)
        corner = (cap - flat) / 2
        return [
            Stretch(corner, corner * 0.34 * width, 0.0, "tip's far corner"),
            Stretch(flat, 0.36 * width, 0.0, "tip"),
            Stretch(corner, corner * 0.34 * width, 0.0, "tip's near corner"),
        ]
    if end == "slanting":
        return [
            Stretch(0.56 * cap, 0.56 * cap * 0.62 * width, 0.0, "tip"),
            Stretch(0.44 * cap, 0.44 * cap * 0.31 * width, 0.0, "tip's corner"),
        ]
    return [Stretch(cap, cap * width / 2, 0.0, "tip")]


def slant_of(stretches: list[Stretch]) -> float:
    """Radians by which the lower side of a neck slants at its end, to be added to the heading."""
    cap = sum(s.turn for s in stretches if s.name.startswith("tip"))
    return (cap - math.pi) / 2

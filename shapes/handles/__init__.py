"""Handles: each kind adds one place for the hand to a form that has what it wants."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from shapes.handles import hole, neck, opening, plain
from shapes.handles.hand import (
    CORD_HOLE,
    CORD_RIM,
    OPENING_DISC,
    RING_FROM,
    RING_HOLE,
    RING_RIM,
    THUMB_FROM,
    THUMB_HOLE,
    THUMB_RIM,
)


@dataclass(frozen=True, slots=True)
class Handle:
    """A kind of handle.

    Its parameters, one line about it, what it wants, and what else is to be known of it.

    ``room`` is the least length and width of board, mm; ``wants`` the trait that a form must have:
    a neck, a tip, a bar, two ends, a hollow, two hollows, or an edge; ``also`` what it must have
    besides. ``bored``: least width, mm, of its hole or opening, into which the cutter has to get;
    infinite where it has none.
    ``rims``: mm that a round hole is across, and of wood round it, each from least to most.
    ``swallows``: a defect of the piece may lie in that opening. ``carried``: it is no hold; the
    board is carried in both hands. ``kin``: the handle that it counts as where a collection is
    spread over handles. ``small``: the board's length, mm, below which another handle of that name
    looks better, where nobody asked for this one.
    """

    kind: Any
    says: str
    room: tuple[float, float]
    wants: str
    bored: float = math.inf
    rims: tuple[tuple[float, float], tuple[float, float]] | None = None
    also: str = ""
    swallows: bool = False
    carried: bool = False
    kin: str = ""
    small: tuple[float, str] = (0.0, "")

    @property
    def holed(self) -> bool:
        """Whether it has a hole or an opening."""
        return math.isfinite(self.bored)

    def suits(self, traits: frozenset[str]) -> bool:
        """Whether a form of these traits has what it wants."""
        return self.wants in traits and (not self.also or self.also in traits)


HANDLES: dict[str, Handle] = {
    "neck": Handle(neck.Neck, "a neck along the grain, grown out of the body", (270, 110), "neck"),
    "neck-hole": Handle(
        neck.HoledNeck,
        "a neck whose end runs round a hole to hang it by",
        (270, 110),
        "neck",
        CORD_HOLE[0],
        (CORD_HOLE, (CORD_RIM, math.inf)),
        kin="neck",
    ),
    "opening": Handle(
        opening.Opening,
        "an opening for one hand beside an edge",
        (260, 150),
        "bar",
        OPENING_DISC,
        swallows=True,
    ),
    "two-openings": Handle(
        opening.Opening,
        "an opening for a hand at each end",
        (420, 220),
        "two ends",
        OPENING_DISC,
        swallows=True,
    ),
    "hollow": Handle(
        plain.Plain, "a long hollow in one side that takes the fingers", (240, 130), "hollow"
    ),
    "two-hollows": Handle(
        plain.Plain, "two hollows that answer each other, for both hands", (360, 150), "two hollows"
    ),
    "ring": Handle(
        hole.Ring,
        "a large hole in a tip: a hand through it lifts and hangs the board; laden, fingers lie below",
        (300, 190),
        "tip",
        RING_HOLE[0],
        (RING_HOLE, RING_RIM),
        also="broad tip",
        swallows=True,
        small=(RING_FROM, "thumb-hole"),
    ),
    "thumb-hole": Handle(
        hole.ThumbHole,
        "a hole for the thumb in a tip, the fingers below",
        (200, 120),
        "tip",
        THUMB_HOLE[0],
        (THUMB_HOLE, THUMB_RIM),
        swallows=True,
        small=(THUMB_FROM, "cord-hole"),
    ),
    "cord-hole": Handle(
        hole.CordHole,
        "a small hole in a tip to hang the board by",
        (120, 80),
        "tip",
        CORD_HOLE[0],
        (CORD_HOLE, (CORD_RIM, math.inf)),
        carried=True,
    ),
    "none": Handle(
        plain.Plain,
        "no handle: picked up by its rounded underside",
        (100, 60),
        "edge",
        carried=True,
    ),
}


def is_neck(handle: str | None) -> bool:
    """Whether a hand takes hold of a neck; of a drawing, whose handle nobody named, no."""
    return handle is not None and handle in HANDLES and HANDLES[handle].wants == "neck"


def called(handle: str) -> str:
    """Return a handle as one says it."""
    return "no handle" if handle == "none" else handle.replace("-", " ")

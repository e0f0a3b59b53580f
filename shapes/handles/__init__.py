"""Handles: each kind adds one place for the hand to a form that has what it wants."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from shapes.handles import hole, neck, opening, plain


@dataclass(frozen=True, slots=True)
class Handle:
    """A kind of handle: its parameters, one line about it, and what it wants.

    ``room`` is the least length and width of board, mm; ``wants`` the trait that a form must have:
    a neck, a tip, a bar, two ends, a hollow, two hollows, or an edge.
    """

    kind: Any
    says: str
    room: tuple[float, float]
    wants: str


HANDLES: dict[str, Handle] = {
    "neck": Handle(neck.Neck, "a neck along the grain, grown out of the body", (270, 110), "neck"),
    "neck-hole": Handle(neck.HoledNeck, "a neck whose end runs round a hole to hang it by", (270, 110), "neck"),
    "opening": Handle(opening.Opening, "an opening for one hand beside an edge", (260, 150), "bar"),
    "two-openings": Handle(opening.Opening, "an opening for a hand at each end", (420, 220), "two ends"),
    "hollow": Handle(plain.Plain, "a long hollow in one side that takes the fingers", (240, 130), "hollow"),
    "two-hollows": Handle(plain.Plain, "two hollows that answer each other, for both hands", (360, 150), "two hollows"),
    "thumb-hole": Handle(hole.ThumbHole, "a hole for the thumb in a tip, the fingers below", (200, 120), "tip"),
    "cord-hole": Handle(hole.CordHole, "a small hole in a tip to hang the board by", (120, 80), "tip"),
    "none": Handle(plain.Plain, "no handle: picked up by its rounded underside", (100, 60), "edge"),
}  # fmt: skip

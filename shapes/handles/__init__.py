"""Handles: each file adds one kind of place for the hand to a body."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.handles import hole, hollow, neck, none, opening
from shapes.handles.hand import Needs, Sketch

NOISE = 18  # normal numbers that a handle may use


@dataclass(frozen=True, slots=True)
class Handle:
    """A kind of handle: its parameters, its fitting, one line about it, where it makes sense.

    ``room`` is the least length and width of board, mm; ``forms`` names the forms it suits, or,
    with ``but`` set, those it does not suit.
    """

    kind: Any
    fit: Callable[[Body, Any, Array, Needs], Sketch]
    says: str
    room: tuple[float, float]
    forms: tuple[str, ...] = ()
    but: bool = True

    def suits(self, form: str) -> bool:
        """Whether the handle makes sense on a form."""
        return (form in self.forms) != self.but


HANDLES: dict[str, Handle] = {
    "neck": Handle(neck.Neck, neck.fit, "a neck along the grain, grown out of the body", (360, 130), ("crescent", "lobed", "bean", "gourd", "driftwood", "river")),
    "neck-hole": Handle(neck.Neck, neck.fit_with_hole, "a neck whose end swells round a hole to hang it by", (370, 130), ("crescent", "lobed", "bean", "gourd", "driftwood", "river")),
    "opening": Handle(opening.Opening, opening.fit, "an opening for one hand, at an end or a side", (300, 190), ("driftwood", "crescent", "river", "leaf", "lobed", "drop", "gourd", "bean", "fan")),
    "two-openings": Handle(opening.Opening, opening.fit_two, "an opening for a hand at each end", (440, 260), ("slab", "raft"), but=False),
    "hollow": Handle(hollow.Hollow, hollow.fit, "a hollow in one side that takes the fingers", (300, 150), ("crescent", "lobed", "bean", "river", "gourd", "driftwood", "drop", "sail", "flint", "leaf")),
    "two-hollows": Handle(hollow.Hollow, hollow.fit_two, "a hollow for the fingers at each end", (440, 260), ("slab",), but=False),
    "thumb-hole": Handle(hole.ThumbHole, hole.fit_thumb, "a hole for the thumb, the fingers below", (240, 150), ("crescent",)),
    "cord-hole": Handle(hole.CordHole, hole.fit_cord, "a small hole to hang the board by", (120, 80)),
    "none": Handle(none.Plain, none.fit, "no handle: picked up by its rounded underside", (100, 60)),
}  # fmt: skip

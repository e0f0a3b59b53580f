"""Tear-out: where the cutter lifts the fibres, by direction of travel and grain.

Seen from above a bit turns clockwise. Travelling with the wood on its left (anticlockwise round the
edge, clockwise in an opening) each cutting edge starts on the new surface and moves along the
travel; where the fibres run into the wood ahead of it, it lifts them, as a plane does against the
grain. With the wood on the right it comes from outside, presses the fibres in, and its chip ends at
nothing on the new surface: in the same places far less is lifted (taken as none here), but it pulls
itself along: a rigid machine only, never by hand. Common practice.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from shapes.geometry.along import stretches, walk
from shapes.geometry.curve import Array, Flags
from shapes.geometry.outline import Outline, flip_of, turned_over
from shapes.timber.solid import rounds

FLAT, STEEP = (
    math.radians(8.0),
    math.radians(70.0),
)  # fibre to edge: between them it lifts; our choice
SHORTEST = 8.0  # mm: shorter stretches are left aside; our choice


@dataclass(frozen=True, slots=True, eq=False)
class Lifted:
    """A stretch where fibres are lifted.

    Its loop (0 the edge), its points (n, 2), its length, mm.
    """

    loop: int
    points: Array
    length: float


@dataclass(frozen=True, slots=True, eq=False)
class TearOut:
    """Stretches lifted on a trimmer's one safe way round,
    eating face up and underside up, seen from above.

    ``flat`` is the height of edge, mm, that the round-over leaves of each loop.

    That way is anticlockwise round the edge and clockwise in openings. The round-over takes the
    rest of the height away, and lifted fibres with it.
    """

    lifted: tuple[Lifted, ...]
    under: tuple[Lifted, ...]
    flat: tuple[float, ...]

    def within(self, cut: Callable[[Array], Flags]) -> TearOut:
        """Return what of it lies where something is cut: ``cut`` tells for points (n, 2)."""
        return replace(
            self,
            lifted=tuple(p for f in self.lifted for p in _parts(f, cut(f.points))),
            under=tuple(p for f in self.under for p in _parts(f, cut(f.points))),
        )

    def length(self, *, edge: bool) -> float:
        """Lifted length, mm, of the edge or of all openings."""
        return sum(f.length for f in self.lifted if (f.loop == 0) == edge)

    def router(self) -> list[str]:
        """What a router may do about it, of the edge and of the openings."""
        return [
            f"router, {name}: {long:.0f} mm would lift; if the machine is rigid and the board well"
            f" held, run it {way}, roughing too"
            for edge, name, way in (
                (True, "edge", "clockwise"),
                (False, "openings", "anticlockwise"),
            )
            if (long := self.length(edge=edge))
        ]

    def trimmer(self) -> list[str]:
        """What a hand trimmer may do about it: never the other direction."""
        if not self.lifted and not self.under:
            return []
        return [
            "never change direction; take half the depth at a time there, or leave the last 0.5 mm"
            " to sanding"
        ]


def _parts(lifted: Lifted, kept: Flags) -> list[Lifted]:
    """Runs of a stretch where a flag holds, short ones left aside."""
    if kept.all():
        return [lifted]
    ends = np.flatnonzero(np.diff(np.concatenate([[False], kept, [False]]).astype(int)))
    found = []
    for a, b in zip(ends[::2], ends[1::2], strict=True):
        p = lifted.points[a:b]
        long = float(np.hypot(*np.diff(p, axis=0).T).sum())
        if long >= SHORTEST:
            found.append(Lifted(lifted.loop, p, long))
    return found


def lifts(tangent: Array, grain: float, *, wood_left: bool) -> Flags:
    """Whether fibres are lifted at tangents (n, 2) of
    travel, the grain at ``grain`` radians from x.

    >>> import numpy as np
    >>> climbing = np.array([[0.8, 0.6]])  # ahead, fibres along x leave the wood on the left ...
    >>> bool(lifts(climbing, 0.0, wood_left=True)[0])
    False
    >>> bool(lifts(climbing * (1, -1), 0.0, wood_left=True)[0])  # ... or run into it
    True
    """
    if not wood_left:
        return np.zeros(len(tangent), dtype=bool)
    outward = np.stack([tangent[:, 1], -tangent[:, 0]], axis=1)
    fibre = np.array([math.cos(grain), math.sin(grain)])
    along, out = tangent @ fibre, outward @ fibre
    angle = np.arctan2(np.abs(out), np.abs(along))
    return np.asarray((along * out < 0) & (angle > FLAT) & (angle < STEEP))


def tear_out(
    outline: Outline, grain: float, thickness: float, round_over: float, bearing: float
) -> TearOut:
    """Find the lifted stretches of every loop; ``grain`` in radians."""
    flip = flip_of(outline)
    under = [
        Lifted(f.loop, f.points * flip, f.length) for f in _lifted(turned_over(outline), -grain)
    ]
    flat = [
        thickness - (2 * round_over if i == 0 or rounds(c, bearing) else 0.0)
        for i, c in enumerate(outline.curves)
    ]
    return TearOut(tuple(_lifted(outline, grain)), tuple(under), tuple(flat))


def _lifted(outline: Outline, grain: float) -> list[Lifted]:
    """Stretches where fibres lift when every loop is travelled with the wood on the left."""
    found = []
    for loop, curve in enumerate(outline.curves):
        walked = walk(curve)
        flags = lifts(walked.tangent, grain, wood_left=True)
        found += [
            Lifted(loop, walked.p[run], long)
            for run, long in stretches(walked, flags)
            if long >= SHORTEST
        ]
    return found

"""Every turn and shift of a shape at once: the space of poses is halved again and again.

A box of poses goes when even its best could be no better than what is known: moving by a millimetre
changes a depth by no more than that, and turning moves a point by its arm (branch and bound over a
function of known slope).
"""

from __future__ import annotations

import math
from collections.abc import Generator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from shapes.geometry.curve import Array, turn
from shapes.geometry.pose import Pose
from shapes.placing.field import Field

COARSE, FINE = 16.0, 0.125  # mm: half the side of the first boxes, and of the last
MOST_BOXES = 30_000  # boxes kept at a level: those of most depth
_SOME = 8  # of so many points one is looked at before all others
_CHUNK = 60_000  # points looked at together: few enough to stay near


@dataclass(frozen=True, slots=True, eq=False)
class HeldPoints:
    """Points (n, 2) of the shape that a field holds.

    They are to lie where its depth is not negative.
    """

    points: Array
    field: Field


@dataclass(frozen=True, slots=True, eq=False)
class Clear:
    """Points (n, 2) of the ground that no part of the shape may cover.

    ``field`` is negative on the shape.
    """

    points: Array
    field: Field


@dataclass(frozen=True, slots=True, eq=False)
class Boxes:
    """Boxes of poses (n, 3) about (x, y, angle), half their side in mm and radians.

    Depth and bound (n,).
    """

    about: Array
    half: float
    swing: float
    depth: Array
    bound: Array


class Search:
    """Looks for the poses of most depth."""

    def __init__(
        self,
        held: Sequence[HeldPoints],
        clear: Sequence[Clear],
        room: tuple[float, float, float, float],
        turns: Sequence[tuple[float, float]],
    ) -> None:
        """``room``: the box that the first of ``held`` lies in.

        ``turns``: ranges of angles, radians.
        """
        self.clear, self.turns, self.room = clear, turns, room
        edge = held[0].points
        self.centre = (edge.min(axis=0) + edge.max(axis=0)) / 2
        self.held = [HeldPoints(h.points - self.centre, h.field) for h in held if len(h.points)]
        self.error = max(f.error for f in (*(h.field for h in held), *(c.field for c in clear)))
        self.arm = max(float(np.hypot(*h.points.T).max()) for h in self.held)

    def levels(self, floor: float = -math.inf) -> Generator[Boxes, float | None]:
        """Give ever smaller boxes.

        ``floor``, or what is sent back, is the depth that must be exceeded.
        """
        half, swing = COARSE, COARSE / self.arm
        about = self._first(half, swing)
        while len(about):
            boxes = self._measured(about, half, swing, floor)
            if not len(boxes.about):
                return
            sent = yield boxes
            floor = floor if sent is None else sent
            if half <= FINE:
                return
            # What one box has for sure, no box needs to be kept for that cannot reach it.
            sure = max(floor, float(boxes.depth[0]) - 2 * self.error)
            half, swing = half / 2, swing / 2
            about = self._halved(boxes.about[boxes.bound > sure], half, swing)

    def pose(self, about: Array) -> Pose:
        """Return the pose of the shape itself in the middle of a box."""
        x, y = about[:2] - turn(self.centre, float(about[2]))
        return Pose(float(x), float(y), float(about[2]))

    def _first(self, half: float, swing: float) -> Array:
        """Boxes that hold every pose in which the shape's box may lie within the room's."""
        x0, y0, x1, y1 = self.room
        found = []
        for a, b in self.turns:
            count = max(math.ceil((b - a) / (2 * swing) - 1e-9), 1)
            for k in range(count):
                angle = a + (b - a) * (k + 0.5) / count
                ring = turn(self.held[0].points, angle)
                low, high = ring.min(axis=0), ring.max(axis=0)
                # Where the shape is larger than the room it lies in its middle, and is short by
                # what it lacks; turned by the swing its box is that much smaller.
                spans = [
                    sorted((p - q, r - s))
                    for p, q, r, s in zip((x0, y0), low, (x1, y1), high, strict=True)
                ]
                steps = [
                    m + (np.arange(n) - (n - 1) / 2) * 2 * half
                    for m, n in (
                        (sum(s) / 2, math.ceil((s[1] - s[0]) / (2 * half)) + 1) for s in spans
                    )
                ]
                x, y = (v.ravel() for v in np.meshgrid(*steps))
                found.append(np.stack([x, y, np.full(len(x), angle)], axis=1))
        return np.concatenate(found)

    def _halved(self, about: Array, half: float, swing: float) -> Array:
        ways = np.array([(i, j, k) for i in (-1, 1) for j in (-1, 1) for k in (-1, 1)])
        if all(b - a < 1e-9 for a, b in self.turns):
            ways = ways[ways[:, 2] > 0] * (1, 1, 0)
        steps = ways * np.array([half, half, swing])
        return np.asarray((about[:, None, :] + steps).reshape(-1, 3))

    def _measured(self, about: Array, half: float, swing: float, floor: float) -> Boxes:
        """Measure boxes that may exceed the floor, those of most
        depth first and no more than MOST of them.
        """
        depth = np.full(len(about), math.inf)
        bound = depth.copy()
        for clear in self.clear:
            self._covered(clear, about, half, swing, depth, bound)
        for every in (
            slice(None, None, _SOME),
            slice(None),
        ):  # a few points show what most boxes lack
            left = bound > floor
            about, depth, bound = about[left], depth[left], bound[left]
            for held in self.held:
                self._lying(held, every, about, half, swing, depth, bound)
            floor = (
                max(floor, float(depth.max(initial=-math.inf)) - 2 * self.error)
                if every.step is None
                else floor
            )
        left = bound > floor
        about, depth, bound = about[left], depth[left], bound[left]
        order = np.argsort(-depth, kind="stable")[:MOST_BOXES]
        return Boxes(about[order], half, swing, depth[order], bound[order])

    def _lying(
        self,
        held: HeldPoints,
        every: slice,
        about: Array,
        half: float,
        swing: float,
        depth: Array,
        bound: Array,
    ) -> None:
        """Lower depth and bound of boxes by what a part's points lack."""
        points = held.points[every]
        px, py = points.T
        slack = swing * np.hypot(px, py) + math.sqrt(2) * half + held.field.error
        rows = max(_CHUNK // len(points), 1)
        for i in range(0, len(about), rows):
            x, y, angle = (v[:, None] for v in about[i : i + rows].T)
            c, s = np.cos(angle), np.sin(angle)
            there = held.field.at(x + c * px - s * py, y + s * px + c * py)
            part = slice(i, i + rows)
            depth[part] = np.minimum(depth[part], there.min(axis=1))
            bound[part] = np.minimum(bound[part], (there + slack).min(axis=1))

    def _covered(
        self, clear: Clear, about: Array, half: float, swing: float, depth: Array, bound: Array
    ) -> None:
        for p in clear.points:
            off = p - about[:, :2]
            c, s = np.cos(about[:, 2]), np.sin(about[:, 2])
            x, y = c * off[:, 0] + s * off[:, 1], c * off[:, 1] - s * off[:, 0]
            there = clear.field.at(x + self.centre[0], y + self.centre[1])
            slack = swing * np.hypot(*off.T) + math.sqrt(2) * half + clear.field.error
            np.minimum(depth, there, out=depth)
            np.minimum(bound, there + slack, out=bound)


def inside(shape: shapely.Geometry) -> Array:
    """Return a point (n, 2) in each part of a geometry."""
    parts = [p for p in shapely.get_parts(shape) if not p.is_empty]
    points = [shapely.point_on_surface(p) for p in parts]
    return np.asarray(shapely.get_coordinates(points)).reshape(-1, 2)

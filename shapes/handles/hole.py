"""A round hole near the edge: for the thumb, or to hang the board by a cord."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.handles.edge import edge_of
from shapes.handles.hand import CORD_HOLE, Needs, Round, Sketch
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class ThumbHole:
    """A hole for the thumb, the fingers under the board."""

    across: float = ranged(30.5, 33.5, "width of the hole", "mm")
    rim: float = ranged(19.0, 24.0, "wood between the hole and the edge", "mm")
    place: float = ranged(0.0, 1.0, "where round the end it lies")


@dataclass(frozen=True, slots=True)
class CordHole:
    """A small hole to hang the board by."""

    rim: float = ranged(14.0, 20.0, "wood between the hole and the edge", "mm")
    place: float = ranged(0.0, 1.0, "where round the end it lies")


def fit_thumb(body: Body, p: ThumbHole, noise: Array, needs: Needs) -> Sketch:
    """Set a thumb hole near an end, as far in as its rim says."""
    hole, run = _set(body, p.across / 2, p.rim, p.place)
    return Sketch(body.control, (hole,), ((hole.x, hole.y, run),))


def fit_cord(body: Body, p: CordHole, noise: Array, needs: Needs) -> Sketch:
    """Set a cord hole near an end."""
    hole, run = _set(body, CORD_HOLE / 2, p.rim, p.place)
    return Sketch(body.control, (hole,), ((hole.x, hole.y, run),))


_ROUND = 40.0  # mm each way over which the edge must bulge beside a hole


def _set(body: Body, radius: float, rim: float, place: float) -> tuple[Round, float]:
    """Find a place within 60 degrees of the head where the wood round the hole is as wanted."""
    edge = edge_of(body.control)
    facing = -edge.inward[:, 0]
    spread = np.ones(2 * int(_ROUND / edge.step) + 1)
    wide = len(spread) // 2
    turn = np.convolve(
        np.concatenate([edge.turn[-wide:], edge.turn, edge.turn[:wide]]), spread, "valid"
    )
    near = np.flatnonzero((facing > 0.5) & (turn > 0.05))
    if not len(near):
        near = np.flatnonzero(facing > 0.5)
    centres = edge.points[near] + (rim + radius) * edge.inward[near]
    ring = shapely.linearrings(edge.points)
    wood = shapely.distance(ring, shapely.points(centres)) - radius
    good = near[np.abs(wood - rim) < 0.5]
    if not len(good):
        good = near[[int(wood.argmax())]]
    # Near the long axis through the middle of the board, so that it hangs and is held straight.
    middle = shapely.Polygon(edge.points).centroid
    d = edge.points[good] - [middle.x, middle.y]
    off = np.abs(np.arctan2(d[:, 1], d[:, 0]))
    good = good[np.argsort(off, kind="stable")][: max(len(good) // 3, 1)]
    good = np.sort(good)
    i = int(good[min(int(place * len(good)), len(good) - 1)])
    at = edge.points[i] + (rim + radius) * edge.inward[i]
    run = math.atan2(-edge.inward[i, 0], edge.inward[i, 1])
    return Round(float(at[0]), float(at[1]), radius), run

"""Where a shape lies: a turn and a shift; and the way to settle it into a region exactly.

``settle`` moves a shape a little, and grows it if it may, until all its points lie where they are
allowed: a chain of linear programmes, each true near the last place (sequential linear
programming).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.optimize import linprog

from shapes.geometry.curve import Array, Ints, turn


@dataclass(frozen=True, slots=True)
class Pose:
    """Turned anticlockwise by ``angle`` radians about the origin, then moved by (x, y) mm."""

    x: float
    y: float
    angle: float

    def of(self, points: Array) -> Array:
        """Points (n, 2) where they come to lie."""
        return np.asarray(turn(points, self.angle) + np.array([self.x, self.y]))


@dataclass(frozen=True, slots=True, eq=False)
class Region:
    """Where points may lie: within ``wood``, or with ``out`` set outside of it."""

    wood: shapely.Geometry
    out: bool = False

    def depth(self, points: Array) -> tuple[Array, Array]:
        """Distance of points (n, 2) to the region's border, and
        the unit vectors along which it grows.

        Negative where they may not lie.
        """
        line = self.wood.boundary
        p = shapely.points(points)
        ends = shapely.get_coordinates(shapely.shortest_line(p, line)).reshape(-1, 2, 2)
        away = ends[:, 0] - ends[:, 1]
        far = np.hypot(away[:, 0], away[:, 1])
        shapely.prepare(self.wood)
        inside = shapely.contains_xy(self.wood, points[:, 0], points[:, 1]) != self.out
        sign = np.where(inside, 1.0, -1.0)
        way = away / np.maximum(far, 1e-12)[:, None] * sign[:, None]
        return far * sign, way


Parts = Sequence[
    tuple[Array, Region]
]  # points of the shape in its own frame, and where they may lie

Row = tuple[Ints, Array, Array]  # points near the border: index, depth, the way it grows


@dataclass(frozen=True, slots=True)
class Settled:
    """A pose, the scale it holds for, and the least depth of any point in its region, mm."""

    pose: Pose
    scale: float
    depth: float


def settle(
    parts_at: Callable[[float], Parts],
    start: Pose,
    scale: float,
    *,
    scales: tuple[float, float],
    turns: tuple[float, float],
    spare: float,
    steps: int = 14,
    reach: float = 8.0,
    push: tuple[float, float] = (0.0, 0.0),
) -> Settled:
    """Settle a shape near ``start``.

    Every point ``spare`` mm in its region, then as large as may be.

    ``parts_at`` gives the shape at a scale; ``scales`` and ``turns`` are the least and the most.
    With a ``push`` (x, y) it is moved that way as far as it goes. Returns the best place found,
    with what depth it has.
    """
    pose, reach_now = start, reach
    parts = parts_at(scale)
    depth, rows = _rows(parts, pose, spare + 3 * reach)
    best = Settled(pose, scale, depth)
    for _ in range(steps):
        held = scales[0] == scales[1] and depth >= spare - 1e-6 and push == (0.0, 0.0)
        if reach_now < 0.01 or held:
            break
        radius = max(float(np.hypot(*p.T).max()) for p, _ in parts)
        grow = _growth(parts_at, parts, scale, scales)
        move = _programme(
            rows, parts, pose, grow, scale, scales, turns, spare, reach_now, radius, push
        )
        if move is None:
            break
        dx, dy, more = (float(v) for v in move[:3])
        tried = Pose(pose.x + dx, pose.y + dy, pose.angle + more)
        size = float(np.clip(scale + move[3], *scales))
        new_parts = parts_at(size) if size != scale else parts
        new_depth, new_rows = _rows(new_parts, tried, spare + 3 * reach)
        way = push[0] * dx + push[1] * dy
        if (
            _merit(size, new_depth, spare, radius) + way
            > _merit(scale, depth, spare, radius) + 1e-9
        ):
            gain = (size - scale) * radius + way
            pose, scale, parts, depth, rows = tried, size, new_parts, new_depth, new_rows
            ahead = push[0] * (pose.x - best.pose.x) + push[1] * (pose.y - best.pose.y)
            if _merit(scale, depth, spare, radius) + ahead > _merit(
                best.scale, best.depth, spare, radius
            ):
                best = Settled(pose, scale, depth)
            if depth >= spare - 1e-6 and 0 <= gain < 0.02:
                break
            reach_now = min(reach_now * 1.5, reach)
        else:
            reach_now /= 3
    return best


def _merit(scale: float, depth: float, spare: float, radius: float) -> float:
    """Scale is worth what it moves the rim by; a point that lies wrong costs far more."""
    return scale * radius + 20 * min(depth - spare, 0.0)


def _rows(parts: Parts, pose: Pose, near: float) -> tuple[float, list[Row]]:
    """Least depth, and for each part the points near its border: index, depth, way it grows."""
    least = math.inf
    rows: list[Row] = []
    for points, region in parts:
        depth, way = region.depth(pose.of(points))
        least = min(least, float(depth.min()))
        index = np.flatnonzero(depth < near)
        rows.append((index, depth[index], way[index]))
    return least, rows


def _growth(
    parts_at: Callable[[float], Parts], parts: Parts, scale: float, scales: tuple[float, float]
) -> list[Array]:
    """How each point moves with the scale."""
    if scales[0] == scales[1]:
        return [np.zeros_like(p) for p, _ in parts]
    step = 0.01 if scale + 0.01 <= scales[1] else -0.01
    other = parts_at(scale + step)
    if [len(p) for p, _ in other] != [len(p) for p, _ in parts]:
        return [p / scale for p, _ in parts]
    return [(q - p) / step for (p, _), (q, _) in zip(parts, other, strict=True)]


def _programme(
    rows: list[Row],
    parts: Parts,
    pose: Pose,
    grow: list[Array],
    scale: float,
    scales: tuple[float, float],
    turns: tuple[float, float],
    spare: float,
    reach: float,
    radius: float,
    push: tuple[float, float],
) -> Array | None:
    """Solve for (dx, dy, turn, growth) with the one violation that is left, as small as can be."""
    lines, bounds = [], []
    for (index, depth, way), (points, _), more in zip(rows, parts, grow, strict=True):
        arm = turn(points[index], pose.angle + math.pi / 2)
        wider = turn(more[index], pose.angle)
        slope = np.column_stack(
            [way, (way * arm).sum(axis=1), (way * wider).sum(axis=1), np.ones(len(index))]
        )
        lines.append(-slope)
        bounds.append(depth - spare)
    table, limit = np.concatenate(lines), np.concatenate(bounds)
    if not len(table):
        table, limit = np.zeros((1, 5)), np.zeros(1)
    box = [
        (-reach, reach),
        (-reach, reach),
        (max(-reach / radius, turns[0] - pose.angle), min(reach / radius, turns[1] - pose.angle)),
        (max(-reach / radius, scales[0] - scale), min(reach / radius, scales[1] - scale)),
        (0, None),
    ]
    box = [(min(a, 0.0), b if b is None else max(b, 0.0)) for a, b in box]
    found = linprog(
        [-push[0], -push[1], 0, -radius, 20], A_ub=table, b_ub=limit, bounds=box, method="highs"
    )
    return np.asarray(found.x[:4]) if found.success else None

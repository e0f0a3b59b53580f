"""Several shapes moved together until each lies where it may and all keep their distance.

As ``pose.settle`` for one: a chain of linear programmes, each true near the last places, of all
shifts and turns at once. What one shape alone cannot give way to, all together can.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.optimize import linprog
from scipy.sparse import csr_array

from shapes.geometry.curve import Array, turn
from shapes.geometry.pose import Parts, Pose, Region

STEPS = 40  # programmes, at most
REACH = 8.0  # mm that a shape may move at once
TRUE = 0.005  # mm that may lack: a quarter of what is left to spare
_GAIN = 0.02  # of the step: a programme that closes less of what lacks is not gone on from
# share of what lacked that a slow step leaves; slow ones after which the search ends
_SLOW, _STALLED = 0.9, 3
# mm from the border where a point touches it; share of the way to the middle of its edge
_TOUCHING, _INWARD = 1e-7, 1e-4
_NEARLY = 0.2  # mm that lack, below which no step is slow
# mm that may lack at the start, and after so many steps
_AT_FIRST, _SOON, _FAR = 60.0, 6, 12.0


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """A shape in its own frame: what its points are held to, its edge, and the turns it may take.

    ``edge`` (n, 2) are points of the boundary of ``filled``, all its corners among them; ``turns``
    the least and the most, radians.
    """

    parts: Parts
    edge: Array
    filled: shapely.Polygon
    turns: tuple[float, float]


Line = tuple[Array, Array]  # slopes (n, 3 a body) and depths (n,) of points


def pressed(
    bodies: Sequence[Body], start: Sequence[Pose], apart: float, spare: float
) -> tuple[list[Pose], float]:
    """Move shapes from ``start`` until all lie ``spare`` mm within what they are held to.

    And ``apart`` and ``spare`` mm from one another. Returns the poses and by how much, mm, the
    worst of them falls short: 0 where none does.
    """
    poses, reach, slow = list(start), REACH, 0
    lines = _lines(bodies, poses, apart, spare + 3 * REACH)
    short = _short(lines, spare)
    for step in range(STEPS):
        if short < TRUE or slow == _STALLED or short > (_AT_FIRST if step < _SOON else _FAR):
            break
        moves = _programme(bodies, poses, lines, spare, reach)
        if moves is None:
            break
        tried = [
            Pose(p.x + dx, p.y + dy, p.angle + a)
            for p, (dx, dy, a) in zip(poses, moves, strict=True)
        ]
        there = _lines(bodies, tried, apart, spare + 3 * REACH)
        left = _short(there, spare)
        slow = 0 if left < _SLOW * short or short < _NEARLY else slow + 1
        if left < short - _GAIN * min(reach, short):
            poses, lines, short = tried, there, left
            reach = min(reach * 1.5, REACH)
        else:
            reach /= 3
    return poses, max(short, 0.0)


def _short(lines: Sequence[Line], spare: float) -> float:
    return max((spare - float(depth.min()) for _, depth in lines if len(depth)), default=0.0)


def _lines(bodies: Sequence[Body], poses: Sequence[Pose], apart: float, near: float) -> list[Line]:
    """Depths of all points that lie near what they are held to, and how they grow."""
    made = []
    for i, body in enumerate(bodies):
        for points, region in body.parts:
            made.append(_line(bodies, poses, points, region, near, (i, None)))
    filled = [shapely.transform(b.filled, p.of) for b, p in zip(bodies, poses, strict=True)]
    for i, body in enumerate(bodies):
        for j in range(len(bodies)):
            if i != j and shapely.distance(filled[i], filled[j]) < apart + near:
                region = Region(filled[j], out=True)
                slope, depth = _line(bodies, poses, body.edge, region, near + apart, (i, j))
                made.append((slope, depth - apart))
    return made


def _line(
    bodies: Sequence[Body],
    poses: Sequence[Pose],
    points: Array,
    region: Region,
    near: float,
    of: tuple[int, int | None],
) -> Line:
    """Points of shape ``of[0]`` in a region, which moves with shape ``of[1]`` if there is one."""
    i, j = of
    at = poses[i].of(points)
    if j is not None:  # only what lies in its box, widened, can be near
        x0, y0, x1, y1 = region.wood.bounds
        x, y = at.T
        at = at[(x > x0 - near) & (x < x1 + near) & (y > y0 - near) & (y < y1 + near)]
    depth, way = region.depth(at)
    touching = np.abs(depth) < _TOUCHING  # no way leads from there to the border
    if touching.any():  # seen from a little further in the shape itself
        inward = poses[i].of(bodies[i].edge).mean(axis=0) - at[touching]
        way[touching] = region.depth(at[touching] + _INWARD * inward)[1]
    index = np.flatnonzero(depth < near)
    depth, way, at = depth[index], way[index], at[index]
    slope = np.zeros((len(index), 3 * len(bodies)))
    slope[:, 3 * i : 3 * i + 3] = _slopes(way, at, poses[i])
    if j is not None:  # the nearest point of the other moves as it does
        slope[:, 3 * j : 3 * j + 3] = -_slopes(way, at - way * depth[:, None], poses[j])
    return slope, depth


def _slopes(way: Array, at: Array, pose: Pose) -> Array:
    """How far points go ``way`` as their shape is moved by x, by y, and turned."""
    arm = turn(at - np.array([pose.x, pose.y]), math.pi / 2)
    return np.column_stack([way, (way * arm).sum(axis=1)])


def _programme(
    bodies: Sequence[Body],
    poses: Sequence[Pose],
    lines: Sequence[Line],
    spare: float,
    reach: float,
) -> Array | None:
    """Solve for all (dx, dy, turn) with the worst that is left, as small as can be."""
    slopes = np.concatenate([s for s, _ in lines])
    depths = np.concatenate([d for _, d in lines])
    table = csr_array(np.column_stack([-slopes, -np.ones(len(slopes))]))
    box: list[tuple[float, float | None]] = []
    for body, pose in zip(bodies, poses, strict=True):
        turned = reach / float(np.hypot(*body.edge.T).max())
        least, most = body.turns
        box += [(-reach, reach), (-reach, reach)]
        box.append(
            (min(max(-turned, least - pose.angle), 0.0), max(min(turned, most - pose.angle), 0.0))
        )
    cost = np.zeros(3 * len(bodies) + 1)
    cost[-1] = 1.0
    found = linprog(cost, A_ub=table, b_ub=depths - spare, bounds=[*box, (0, None)], method="highs")
    return np.asarray(found.x[:-1]).reshape(-1, 3) if found.success else None

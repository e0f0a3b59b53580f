"""A hand opening that follows the edge: one at an end or a side, or one at both ends."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from shapes.geometry.body import Body
from shapes.geometry.curve import Array, flatten, spline
from shapes.handles.edge import Edge, calm_places, edge_of
from shapes.handles.hand import BAR_RUN, Needs, Sketch
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Opening:
    """An opening for the hand, with a bar of wood between it and the edge."""

    length: float = ranged(122.0, 132.0, "length of the opening", "mm")
    height: float = ranged(42.0, 47.0, "height of the opening in its middle", "mm")
    bar: float = ranged(0.25, 0.6, "width of the bar, as a share of what is allowed there")
    place: float = ranged(0.0, 1.0, "where along the end or side it lies")


def fit(body: Body, p: Opening, noise: Array, needs: Needs) -> Sketch:
    """Cut one opening, at the head or along a side, whichever the noise says."""
    edge = edge_of(body.control)
    toward = (
        np.array([1.0, 0.0]) if noise[0] > 0.3 else np.array([0.0, math.copysign(1.0, noise[1])])
    )
    points, grip = _cut(edge, p, noise[2:], toward)
    return Sketch(body.control, (points,), (grip,))


def fit_two(body: Body, p: Opening, noise: Array, needs: Needs) -> Sketch:
    """Cut an opening at each end."""
    edge = edge_of(body.control)
    one = _cut(edge, p, noise[2:], np.array([1.0, 0.0]), both_ends=True)
    two = _cut(edge, p, noise[9:], np.array([-1.0, 0.0]), both_ends=True)
    return Sketch(body.control, (one[0], two[0]), (one[1], two[1]))


def _cut(
    edge: Edge, p: Opening, noise: Array, toward: Array, *, both_ends: bool = False
) -> tuple[Array, tuple[float, float, float]]:
    """Try calm places until the wood round the opening is what a bar should be; else the best."""
    wood = shapely.Polygon(edge.points)
    best: tuple[float, Array, tuple[float, float, float]] | None = None
    ways = (toward,) if both_ends else (toward, toward[::-1], -toward[::-1], -toward)
    for way, spread in [(w, k) for k in (_STRAIGHT, 0.75) for w in ways]:
        order = calm_places(edge, p.length + 10, way, spread)
        start = 0 if both_ends else int(p.place * min(len(order) / 3, _TRIES))
        for middle in order[start :: 1 if both_ends else 2][:_TRIES]:
            points, grip, bar = _at(edge, p, noise, int(middle))
            opening = shapely.Polygon(flatten(spline(points), 1.0))
            inside = shapely.contains_properly(wood, opening)
            short = bar - shapely.distance(wood.exterior, opening) if inside else _OUTSIDE
            if best is None or short < best[0]:
                best = short, points, grip
            if short <= _SHORT:
                return points, grip
    assert best is not None
    return best[1], best[2]


_OUTSIDE = 1e3
_STRAIGHT = 0.95  # cosine: within 18 degrees of the grain, or of its normal at an end
_TRIES = 8
_SHORT = 3.0  # mm by which the bar may be narrower than wanted where the edge bends away


def _at(
    edge: Edge, p: Opening, noise: Array, middle: int
) -> tuple[Array, tuple[float, float, float], float]:
    """Control points of the opening inside one place of the edge, its grip, and its bar."""
    o, n = edge.points[middle], edge.inward[middle]
    across = abs(n[0]) > abs(n[1])
    low, high = (34.0, 36.0) if across else (24.0, 31.0)
    bar = low + p.bar * (high - low)
    t = np.array([n[1], -n[0]])
    d = edge.points[edge.window(middle, 0.9 * p.length)] - o
    x, y = d[:, 0] * t[0] + d[:, 1] * t[1], d[:, 0] * n[0] + d[:, 1] * n[1]
    # The opening follows the edge as the parabola a x^2 + b x + c, bent no more than a hand likes.
    a, b = _bend(x, y)
    rest = (y - a * x * x - b * x)[np.abs(x) <= BAR_RUN / 2 + 2]
    c = float((rest.max() + rest.min()) / 2)
    u, w = _round_ended(p.length, p.height, noise[:5].clip(-1, 1))
    u = u / max(1 - 2 * a * (bar + p.height / 2), 0.6)  # the inner side of a bend is shorter
    depth = a * u * u + b * u + c + bar * math.sqrt(1 + b * b) + w
    slope = 2 * a * u + b
    points = o + (u - slope * (depth - a * u * u - b * u))[:, None] * t + depth[:, None] * n
    grip = o + (c + bar / 2) * n
    return points[::-1], (float(grip[0]), float(grip[1]), math.atan2(t[1], t[0])), bar


_CAP = np.radians([-60.0, 0.0, 60.0])
_SHRINK = (2 + math.cos(math.radians(60))) / 3  # of a cubic spline in its polygon of 60 degrees


def _round_ended(length: float, height: float, lively: Array) -> tuple[Array, Array]:
    """Control points of a round-ended opening: along it, and up from its outer side."""
    right, left = (height / 2 * (0.93 + 0.06 * v) for v in lively[:2])
    a, b = right / _SHRINK, left / _SHRINK
    inner = height * (1.0 + 0.05 * lively[2])
    x = length / 2 - right, -length / 2 + left
    u = np.concatenate(
        [
            x[0] + a * np.cos(_CAP),
            [0.16 * length, -0.16 * length],
            x[1] - b * np.cos(_CAP),
            [-0.16 * length, 0.16 * length],
        ]
    )
    low, high = right + 0.05 * height * lively[3], left + 0.05 * height * lively[4]
    w = np.concatenate(
        [low + a * np.sin(_CAP), [inner, inner * 1.02], high - b * np.sin(_CAP), [0.0, 0.0]]
    )
    return u, w


def _bend(x: Array, y: Array) -> tuple[float, float]:
    """Least squares of y = a x^2 + b x + c by hand; a at most 1 / (2 * 350 mm)."""
    q = x * x
    dx, dq, dy = x - x.mean(), q - q.mean(), y - y.mean()
    xx, qq, xq = float((dx * dx).sum()), float((dq * dq).sum()), float((dx * dq).sum())
    xy, qy = float((dx * dy).sum()), float((dq * dy).sum())
    det = xx * qq - xq * xq
    a = min(max((qy * xx - xy * xq) / det, -1 / 900), 1 / 700)
    return a, (xy - a * xq) / xx

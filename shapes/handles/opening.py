"""A hand opening that follows the edge: one at an end or a side, or one at both ends."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from shapes.geometry.body import Body
from shapes.geometry.curve import Array, through
from shapes.handles.edge import Edge, calmest, edge_of
from shapes.handles.hand import Needs, Sketch
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Opening:
    """An opening for the hand, with a bar of wood between it and the edge."""

    length: float = ranged(122.0, 134.0, "length of the opening", "mm")
    height: float = ranged(42.0, 48.0, "height of the opening in its middle", "mm")
    bar: float = ranged(0.25, 0.6, "width of the bar, as a share of what is allowed there")
    place: float = ranged(0.0, 1.0, "where along the end or side it lies")


def fit(body: Body, p: Opening, noise: Array, needs: Needs) -> Sketch:
    """Cut one opening, at the head or along a side, whichever the noise says."""
    edge = edge_of(body.control)
    toward = np.array([1.0, 0.0]) if noise[0] > 0.3 else np.array([0.0, math.copysign(1.0, noise[1])])
    points, grip = _cut(edge, p, noise[2:], toward)
    return Sketch(body.control, (points,), (grip,))


def fit_two(body: Body, p: Opening, noise: Array, needs: Needs) -> Sketch:
    """Cut an opening at each end."""
    edge = edge_of(body.control)
    one = _cut(edge, p, noise[2:], np.array([1.0, 0.0]))
    two = _cut(edge, p, noise[9:], np.array([-1.0, 0.0]))
    return Sketch(body.control, (one[0], two[0]), (one[1], two[1]))


def _cut(
    edge: Edge, p: Opening, noise: Array, toward: Array
) -> tuple[Array, tuple[float, float, float]]:
    middle = calmest(edge, p.length + 10, toward, 0.8, p.place)
    tangent = edge.inward[middle]
    across = abs(tangent[0]) > abs(tangent[1])
    low, high = (31.0, 39.0) if across else (21.5, 33.0)
    bar = low + p.bar * (high - low)
    window = edge.window(middle, p.length)
    o, n = edge.points[middle], edge.inward[middle]
    t = np.array([n[1], -n[0]])
    d = edge.points[window] - o
    x, y = d[:, 0] * t[0] + d[:, 1] * t[1], d[:, 0] * n[0] + d[:, 1] * n[1]
    # The opening follows the edge as the parabola a x^2 + b x + c, bent no more than a hand likes.
    a, b = _bend(x, y)
    c = float(np.median(y - a * x * x - b * x))
    lively = noise[:4].clip(-1, 1)
    h = p.height
    u = np.array([-0.33, -0.11, 0.11, 0.33, 0.51, 0.32, 0.02, -0.32, -0.51])
    u = (u + np.array([0, 0, 0, 0, 0, 0.03, 0.08, 0.03, 0]) * lively[0]) * p.length
    u = u / max(1 - 2 * a * (bar + h / 2), 0.6)  # the inner side of a bend is shorter
    w = np.array([0.03, 0.0, 0.0, 0.03, 0.48, 0.94, 1.0, 0.94, 0.48]) * h
    w += np.array([0, 0, 0, 0, 0.05 * lively[1], 0.09 * lively[3], 0, -0.09 * lively[3], 0.05 * lively[2]]) * h
    depth = a * u * u + b * u + c + bar * math.sqrt(1 + b * b) + w
    slope = 2 * a * u + b
    points = o + (u - slope * (depth - a * u * u - b * u))[:, None] * t + depth[:, None] * n
    grip = o + (c + bar / 2) * n
    run = math.atan2(t[1], t[0])
    return through(points[::-1]), (float(grip[0]), float(grip[1]), run)


def _bend(x: Array, y: Array) -> tuple[float, float]:
    """Least squares of y = a x^2 + b x + c by hand; a at most 1 / (2 * 120 mm), never hollow."""
    q = x * x
    dx, dq, dy = x - x.mean(), q - q.mean(), y - y.mean()
    xx, qq, xq = float((dx * dx).sum()), float((dq * dq).sum()), float((dx * dq).sum())
    xy, qy = float((dx * dy).sum()), float((dq * dy).sum())
    det = xx * qq - xq * xq
    a = min(max((qy * xx - xy * xq) / det, -1 / 900), 1 / 240)
    return a, (xy - a * xq) / xx

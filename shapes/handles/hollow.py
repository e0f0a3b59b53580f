"""A finger hollow in the edge: control points of the same spline pushed in between two lips."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from shapes.geometry.body import Body
from shapes.geometry.curve import Array, evaluate, spline
from shapes.handles.edge import Edge, calm_places, eased, edge_of
from shapes.handles.hand import Needs, Sketch
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Hollow:
    """A hollow in the edge that takes the fingers."""

    length: float = ranged(138.0, 154.0, "length of the hollow from lip to lip", "mm")
    depth: float = ranged(26.5, 31.0, "depth of the hollow", "mm")
    place: float = ranged(0.0, 1.0, "where along the side it lies")
    skew: float = ranged(-0.1, 0.1, "how far its deepest point lies off its middle")


def fit(body: Body, p: Hollow, noise: Array, needs: Needs) -> Sketch:
    """Push one hollow into a side."""
    toward = np.array([0.0, math.copysign(1.0, noise[0])])
    control, grip = _push(body.control, p, noise[2:], toward, 0.88)
    return Sketch(control, (), (grip,))


def fit_two(body: Body, p: Hollow, noise: Array, needs: Needs) -> Sketch:
    """Push a hollow into each end."""
    control, one = _push(body.control, p, noise[2:], np.array([1.0, 0.0]), 0.8)
    control, two = _push(control, p, noise[7:], np.array([-1.0, 0.0]), 0.8)
    return Sketch(control, (), (one, two))


def _push(
    control: Array, p: Hollow, noise: Array, toward: Array, spread: float
) -> tuple[Array, tuple[float, float, float]]:
    edge = edge_of(control)
    middle = _level(edge, p, toward, spread)
    o, n = edge.points[middle], edge.inward[middle]
    t = np.array([n[1], -n[0]])
    x = np.array([-0.6, -0.4, -0.2, 0.0, 0.2, 0.4, 0.6]) * p.length
    x[2:5] += p.skew * p.length
    y = np.array([0.0, -0.05, 0.86, 1.24, 0.86, -0.05, 0.0]) * p.depth
    sag = _sag(edge, middle, x[[0, 1, 5, 6]])
    y[[0, 1, 5, 6]] += sag
    y[2:5] += sag[1] + (sag[2] - sag[1]) * np.array([0.25, 0.5, 0.75])
    y[2:5] += 0.07 * p.depth * noise[:3].clip(-1, 1)
    points = o + x[:, None] * t + y[:, None] * n
    # Control points of the body that the hollow replaces: those beside it, by nearest place.
    first, last = _nearest(control, points[0]), _nearest(control, points[-1])
    gap = 0.5
    keep, i = [], math.ceil(last + gap)
    count = len(control)
    stop = math.floor(first - gap)
    while i % count != (stop + 1) % count:
        keep.append(i % count)
        i += 1
        if len(keep) > count:
            break
    # Travel is anticlockwise, and t runs the same way.
    grip = o + 0.9 * p.depth * n
    joined = np.concatenate([control[keep], points])
    joined = eased(joined, [0, 1, len(keep) - 2, len(keep) - 1])
    return joined, (float(grip[0]), float(grip[1]), math.atan2(t[1], t[0]))


def _level(edge: Edge, p: Hollow, toward: Array, spread: float) -> int:
    """Choose a place whose two lips lie level: off corners and tapers, where one would be a beak."""
    places = calm_places(edge, p.length, toward, spread)
    ends = np.array([-0.55, 0.55]) * p.length
    sags = np.array([_sag(edge, int(i), ends) for i in places])
    uneven = np.abs(sags[:, 0] - sags[:, 1]) + 0.5 * np.abs(sags).max(axis=1)
    order = places[np.argsort(uneven, kind="stable")]
    keep = np.sort(order[: max(len(order) // 3, 1)])
    return int(keep[min(int(p.place * len(keep)), len(keep) - 1)])


def _nearest(control: Array, point: Array) -> float:
    """Return the place on the spline of ``control`` nearest to a point, as a control-point index."""
    curve = spline(control)
    t = np.arange(8) / 8
    s = (np.arange(len(control))[:, None] + t).ravel()
    p = evaluate(curve, s)[0]
    return float(s[np.hypot(*(p - point).T).argmin()])


def _sag(edge: Edge, middle: int, x: Array) -> Array:
    """How far the edge falls back from its tangent at ``middle``, x mm along."""
    n = len(edge.points)
    o, inward = edge.points[middle], edge.inward[middle]
    i = np.round(middle + x / edge.step).astype(np.intp) % n
    d = edge.points[i] - o
    return np.asarray(d[:, 0] * inward[0] + d[:, 1] * inward[1])

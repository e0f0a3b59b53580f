"""Stretches of a curve, split exactly, and smooth new stretches between them."""

from __future__ import annotations

import numpy as np
import shapely

from shapes.geometry.curve import Array, Curve, dot, evaluate, places, steps_within

CHORD_ERROR = 0.0005  # mm: chord error of the polygons worked on


def fine_ring(curve: Curve) -> tuple[Array, Array]:
    """Places (n,) and vertices (n, 2) of a polygon within FINE of a curve."""
    if "fine" not in curve.memo:
        curve.memo["fine"] = places(steps_within(curve, CHORD_ERROR))
    s = curve.memo["fine"]
    return s, evaluate(curve, s)[0]


def between(curve: Curve, start: float, stop: float) -> Array:
    """Segments (k, 4, 2) of the curve from place ``start`` on to ``stop``, split exactly.

    Travelled forwards; ``stop`` at or before ``start`` goes round. Bits under 1e-9 of a segment are
    left out.
    """
    m = len(curve)
    start %= m
    stop = start + (stop - start) % m
    if stop - start < 1e-12:
        stop += m
    parts = []
    i = int(np.floor(start))
    while i < stop - 1e-9:
        low, high = max(start - i, 0.0), min(stop - i, 1.0)
        if high - low > 1e-9:
            parts.append(_cut(curve.segments[i % m], low, high))
        i += 1
    return np.array(parts).reshape(-1, 4, 2)


def _cut(b: Array, low: float, high: float) -> Array:
    """Part of one cubic between parameters, by de Casteljau's construction (blossoms)."""
    if low <= 0.0 and high >= 1.0:
        return b

    def blossom(*t: float) -> Array:
        p = b
        for u in t:
            p = p[:-1] + (p[1:] - p[:-1]) * u
        return np.asarray(p[0])

    made = [(low, low, low), (low, low, high), (low, high, high), (high, high, high)]
    cut = np.array([blossom(*t) for t in made])
    # Ends that are ends of the segment stay what they are to the last bit.
    if low <= 0.0:
        cut[0] = b[0]
    if high >= 1.0:
        cut[3] = b[3]
    return cut


def nearest(curve: Curve, places: Array, points: Array, targets: Array) -> Array:
    """Places of the curve nearest to ``targets`` (k, 2).

    Its polygon has ``points`` at ``places``.
    """
    m = len(curve)
    after = np.roll(points, -1, axis=0)
    sides = shapely.linestrings(np.stack([points, after], axis=1))
    marks = shapely.points(targets)
    i = shapely.STRtree(sides).nearest(marks)
    share = shapely.line_locate_point(sides[i], marks, normalized=True)
    step = np.mod(np.roll(places, -1)[i] - places[i], m)
    s = np.mod(places[i] + share * step, m)
    for _ in range(20):
        p, v, a = evaluate(curve, s, 2)
        e = targets - p
        bend = dot(v, v) - dot(e, a)
        step = dot(e, v) / np.where(bend > 0.1 * dot(v, v), bend, np.maximum(dot(v, v), 1e-300))
        step = np.clip(step, -0.25, 0.25)
        # No step leads past the end of a segment at once: there the tangent may turn.
        whole = np.floor(s)
        moved = np.clip(s + step, whole - 1e-9, whole + 1)
        if np.abs(moved - s).max() < 1e-12:
            break
        s = np.mod(moved, m)
    return np.asarray(s)


def smooth(path: Array, width: float, *, closed: bool = False) -> Array:
    """A path (n, 2) whose heading is averaged over ``width`` mm, tapering to nothing at its ends.

    A mean of the heading never bends more than the path does, and makes curvature run on where it
    jumped. Ends, their directions and curvatures stay.
    """
    p = _evenly(path, width / 12, closed=closed)
    step = np.diff(np.concatenate([p, p[:1]]) if closed else p, axis=0)
    size = np.hypot(step[:, 0], step[:, 1])
    heading = np.unwrap(np.arctan2(step[:, 1], step[:, 0]))
    run = np.concatenate([[0.0], np.cumsum(size)])
    middle = (run[:-1] + run[1:]) / 2
    for _ in range(2):
        heading = _averaged(heading, run, middle, width / 2, closed=closed)
    made = np.cumsum(np.stack([np.cos(heading), np.sin(heading)], axis=1) * size[:, None], axis=0)
    made = p[0] + np.concatenate([np.zeros((1, 2)), made])
    # What the averaging moved the far end by is given back along the way, smoothly at both ends.
    off = (p[0] if closed else p[-1]) - made[-1]
    u = (run / run[-1])[:, None]
    made = made + off * (u**3 * (10 - 15 * u + 6 * u * u))
    if not closed:
        made[-1] = p[-1]
        return np.asarray(made)
    return np.asarray(made[:-1])


def _evenly(path: Array, gap: float, *, closed: bool) -> Array:
    q = np.concatenate([path, path[:1]]) if closed else path
    step = np.hypot(*np.diff(q, axis=0).T)
    keep = np.concatenate([[True], step > 1e-9])
    q = q[keep]
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(q, axis=0).T))])
    count = int(np.clip(np.ceil(run[-1] / gap), 24, 20_000))
    at = np.linspace(0, run[-1], count + 1)
    made = np.stack([np.interp(at, run, q[:, 0]), np.interp(at, run, q[:, 1])], axis=1)
    return made[:-1] if closed else made


def _averaged(heading: Array, run: Array, middle: Array, width: float, *, closed: bool) -> Array:
    """Mean of a heading, constant on each step, over a window that shrinks toward open ends."""
    total = run[-1]
    if closed:
        turn = (
            heading[-1]
            - heading[0]
            + np.arctan2(np.sin(heading[0] - heading[-1]), np.cos(heading[0] - heading[-1]))
        )
        heading = np.concatenate([heading - turn, heading, heading + turn])
        run = np.concatenate([run[:-1] - total, run[:-1], run + total])
    area = np.concatenate([[0.0], np.cumsum(heading * np.diff(run))])
    half = np.full(len(middle), width / 2)
    if not closed:
        # Slopes of at most a half keep the window within the path and its width smooth to the end.
        room = np.minimum(middle, total - middle)
        half = np.minimum(half, room * np.minimum(1.0, room / width + 0.0))
        half = np.minimum(half, room)
    low, high = middle - half, middle + half
    mean = (np.interp(high, run, area) - np.interp(low, run, area)) / np.maximum(high - low, 1e-12)
    flat = high - low < 1e-9
    return np.where(flat, np.interp(middle, (run[:-1] + run[1:]) / 2, heading), mean)


def through_path(
    path: Array, gap: float, start: Array | None = None, stop: Array | None = None
) -> Array:
    """Cubics (k, 4, 2) with continuous curvature through a dense path, a knot every ``gap`` mm.

    ``start`` and ``stop`` are unit tangents at its ends; a closed path has none and is not
    repeated.
    """
    from scipy.interpolate import CubicSpline

    closed = start is None or stop is None
    p = np.concatenate([path, path[:1]]) if closed else path
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(p, axis=0).T))])
    count = int(np.clip(np.ceil(run[-1] / gap), 3, len(p) - 1))
    at = np.unique(np.round(np.linspace(0, len(p) - 1, count + 1)).astype(int))
    kind = "periodic" if closed else ((1, start), (1, stop))
    spline = CubicSpline(run[at], p[at], bc_type=kind)
    t = run[at]
    h = np.diff(t)[:, None]
    q, v = spline(t), spline(t, 1)
    if closed:
        q[-1] = q[0]
    return np.stack([q[:-1], q[:-1] + h * v[:-1] / 3, q[1:] - h * v[1:] / 3, q[1:]], axis=1)

"""Lines, arcs, bulges and splines of any degree as runs of cubics (k, 4, 2)."""

from __future__ import annotations

import math

import numpy as np

from shapes.geometry.curve import SPAN, Array

FOLLOWED = 1e-4  # mm: how near rational pieces and degrees other than three are followed
_MOST_CUBICS = 4096  # cubics that one such spline may take


def lines(points: Array) -> Array:
    """Straight cubics through points (n, 2), n >= 2."""
    return lines_between(points[:-1], points[1:])


def lines_between(a: Array, b: Array) -> Array:
    """Straight cubics from points a to points b (n, 2), evenly travelled."""
    return np.stack([a, a + (b - a) / 3, a + 2 * (b - a) / 3, b], axis=1)


def arc_pieces(centre: Array, u: Array, v: Array, start: float, stop: float) -> Array:
    """Cubics of centre + u cos t + v sin t, t from ``start`` to ``stop`` radians.

    u and v are conjugate half axes; pieces span 22.5 degrees at most: error 6.6e-8 of the larger.
    """
    n = max(1, math.ceil(abs(stop - start) / SPAN - 1e-9))
    t = np.linspace(start, stop, n + 1)
    k = 4 / 3 * math.tan((stop - start) / n / 4)
    p = centre + np.cos(t)[:, None] * u + np.sin(t)[:, None] * v
    d = k * (-np.sin(t)[:, None] * u + np.cos(t)[:, None] * v)
    return np.stack([p[:-1], (p + d)[:-1], (p - d)[1:], p[1:]], axis=1)


def bulged(points: Array, bulges: Array, closed: bool) -> Array:
    """Cubics of a polyline (n, 2) whose segment i has bulge
    i (tangent of a quarter of its angle).
    """
    after = np.roll(points, -1, axis=0)
    last = len(points) if closed else len(points) - 1
    parts: list[Array] = []
    straight: list[int] = []

    def flush() -> None:
        if straight:
            parts.append(lines(np.concatenate([points[straight], after[straight[-1:]]])))
            straight.clear()

    for i in range(last):
        if abs(bulges[i]) < 1e-9 or np.array_equal(points[i], after[i]):
            straight.append(i)
            continue
        flush()
        parts.append(_bulge(points[i], after[i], float(bulges[i])))
    flush()
    return np.concatenate(parts)


def _bulge(a: Array, b: Array, g: float) -> Array:
    half = (b - a) / 2
    normal = np.array([-half[1], half[0]])
    centre = a + half + normal * (1 - g * g) / (2 * g)
    u = a - centre
    made = arc_pieces(centre, u, np.array([-u[1], u[0]]), 0.0, 4 * math.atan(g))
    made[-1, 3] = b
    return made


def spline_pieces(
    control: Array, knots: Array, degree: int, weights: Array | None = None
) -> Array | None:
    """Cubics of a B-spline over its domain, clamped or not, rational or not; None where it is none.

    Degrees up to three without weights come out exactly; others within CLOSE mm.
    """
    from scipy.interpolate import BSpline, PPoly

    n = len(control)
    if degree < 1 or degree > 15 or n < degree + 1 or len(knots) != n + degree + 1:
        return None
    if not np.isfinite(knots).all() or (np.diff(knots) < 0).any() or knots[degree] >= knots[n]:
        return None
    if weights is not None and (len(weights) != n or not (weights > 0).all()):
        return None
    if weights is not None and np.ptp(weights) < 1e-12 * weights.max():
        weights = None
    whole = control if weights is None else np.column_stack([control * weights[:, None], weights])
    spans = np.unique(knots[degree : n + 1])
    each = [PPoly.from_spline(BSpline(knots, column, degree)) for column in whole.T]
    pp = PPoly(np.stack([one.c for one in each], axis=-1), each[0].x)
    if weights is None and degree <= 3:
        return _exact(pp, spans)
    return _followed(pp, spans, weights is not None)


def _exact(pp: object, spans: Array) -> Array:
    """Bezier form from values and slopes at the ends of each span: exact for cubics."""
    a, b = spans[:-1], spans[1:]
    h = (b - a)[:, None]
    slope = pp.derivative()  # type: ignore[attr-defined]
    # Ends from within each span: at a knot of full multiplicity the two sides differ.
    p0, p3 = pp(a), _end(pp, a, b)  # type: ignore[operator]
    d0, d3 = slope(a), _end(slope, a, b)
    return np.stack([p0, p0 + h * d0 / 3, p3 - h * d3 / 3, p3], axis=1)


def _end(pp: object, a: Array, b: Array) -> Array:
    """Value at the end b of the span that starts at a, from that span's own polynomial."""
    x, c = pp.x, pp.c  # type: ignore[attr-defined]
    k = np.searchsorted(x, a, side="right") - 1
    h = (b - x[k])[:, None]
    value = np.zeros((len(a), c.shape[2]))
    for power in range(c.shape[0]):
        value = value * h + c[power, k]
    return value


def _followed(pp: object, spans: Array, rational: bool) -> Array | None:
    """Hermite cubics cut until points between their ends lie within CLOSE of the spline."""
    slope = pp.derivative()  # type: ignore[attr-defined]

    def at(t: Array) -> tuple[Array, Array]:
        w, dw = pp(t), slope(t)  # type: ignore[operator]
        if not rational:
            return w, dw
        p = w[:, :2] / w[:, 2:]
        return p, (dw[:, :2] - p * dw[:, 2:]) / w[:, 2:]

    cuts = spans
    for _ in range(40):
        a, b = cuts[:-1], cuts[1:]
        h = (b - a)[:, None]
        inward = (b - a) * 1e-12
        (p0, d0), (p3, d3) = at(a + inward), at(b - inward)
        made = np.stack([p0, p0 + h * d0 / 3, p3 - h * d3 / 3, p3], axis=1)
        worst = np.zeros(len(a))
        for t in (0.25, 0.5, 0.75):
            want = at(a + t * (b - a))[0]
            w = np.array([(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3])
            got = (made * w[:, None]).sum(axis=1)
            worst = np.maximum(worst, np.hypot(*(got - want).T))
        bad = worst > FOLLOWED / 2
        if not bad.any():
            made[:-1, 3] = made[1:, 0]
            return made
        if len(a) + bad.sum() > _MOST_CUBICS:
            return None
        cuts = np.sort(np.concatenate([cuts, ((a + b) / 2)[bad]]))
    return None

"""Measures of closed curves as integrals along the chain; no polygon in between.

Area, centroid and second moments are exact to rounding (Gauss-Legendre of sufficient order).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.polynomial.legendre import leggauss

from shapes.errors import OutlineError
from shapes.geometry.curve import Array, Curve, Flags, cross, cyclic_runs, dot, evaluate, on_grid


def _nodes(count: int) -> tuple[Array, Array]:
    x, w = leggauss(count)
    return (x + 1) / 2, w / 2


_SIX, _FOURTEEN, _TWENTYEIGHT = _nodes(6), _nodes(14), _nodes(28)


@dataclass(frozen=True, slots=True)
class Section:
    """Area mm2, centroid mm, second moments mm4 about axes through the centroid."""

    area: float
    centroid: tuple[float, float]
    ixx: float  # integral of y^2 dA
    iyy: float  # integral of x^2 dA
    ixy: float  # integral of x y dA


def area(curves: Sequence[Curve]) -> float:
    """Signed area in mm2 of the loops together (openings run clockwise and count as negative)."""
    return section(curves).area


def section(curves: Sequence[Curve]) -> Section:
    """Area, centroid and second moments of what the loops enclose.

    Green's theorem; x^3 dy has degree 11, so 6 nodes are exact. Centred before squaring.
    Raises OutlineError where the loops enclose nothing.
    """
    t, w = _SIX
    chain = np.concatenate([c.power for c in curves])
    middle = chain[:, 0].mean(axis=0)
    c = chain[:, None]
    tt = t[None, :, None]
    p = c[:, :, 0] - middle + tt * (c[:, :, 1] + tt * (c[:, :, 2] + tt * c[:, :, 3]))
    v = c[:, :, 1] + tt * (2 * c[:, :, 2] + tt * 3 * c[:, :, 3])
    x, y, dx, dy = p[..., 0], p[..., 1], v[..., 0], v[..., 1]

    def integral(value: Array) -> float:
        return float(np.sum(value * w))

    a = integral(x * dy - y * dx) / 2
    scale = float(np.abs(p).max())
    if not abs(a) > 1e-12 * scale * scale:
        raise OutlineError("the loops enclose no area")
    cx, cy = integral(x * x * dy) / 2 / a, -integral(y * y * dx) / 2 / a
    x, y = x - cx, y - cy
    return Section(
        a,
        (cx + float(middle[0]), cy + float(middle[1])),
        -integral(y**3 * dx) / 3,
        integral(x**3 * dy) / 3,
        integral(x * x * y * dy) / 2,
    )


def length(curve: Curve, relative: float = 1e-9) -> float:
    """Return the length of a curve in mm, to ``relative``, by halving until two orders agree."""
    chain = curve.power
    total = 0.0
    for _ in range(30):
        coarse, fine = _lengths(chain, _FOURTEEN), _lengths(chain, _TWENTYEIGHT)
        whole = float(fine.sum()) + total
        bad = np.abs(fine - coarse) > relative * whole / 4 / max(len(fine), 1)
        total += float(fine[~bad].sum())
        if not bad.any():
            return total
        chain = _halves(chain[bad])
    return total + float(_lengths(chain, _TWENTYEIGHT).sum())


def _lengths(chain: Array, rule: tuple[Array, Array]) -> Array:
    t, w = rule
    c, tt = chain[:, None], t[None, :, None]
    v = c[:, :, 1] + tt * (2 * c[:, :, 2] + tt * 3 * c[:, :, 3])
    return np.asarray(np.sum(np.hypot(v[..., 0], v[..., 1]) * w, axis=1))


def _halves(chain: Array) -> Array:
    c0, c1, c2, c3 = (chain[:, i] for i in range(4))
    first = np.stack([c0, c1 / 2, c2 / 4, c3 / 8], axis=1)
    second = np.stack(
        [c0 + c1 / 2 + c2 / 4 + c3 / 8, c1 / 2 + c2 / 2 + 3 * c3 / 8, c2 / 4 + 3 * c3 / 8, c3 / 8],
        axis=1,
    )
    return np.concatenate([first, second])


def curvature(curve: Curve, s: Array) -> Array:
    """Signed curvature 1/mm at places s: positive where the wood bulges; 0 on a straight line.

    Not a number where the curve stands still (a cusp of the parametrisation).
    """
    _, v, a = evaluate(curve, s, 2)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(cross(v, a) / dot(v, v) ** 1.5)


def curvature_slope(curve: Curve, s: Array) -> Array:
    """Return dk/ds in 1/mm2 at places s."""
    return _curvature_and_slope(curve, s)[1]


def _curvature_and_slope(curve: Curve, s: Array) -> tuple[Array, Array]:
    return _bends(*evaluate(curve, s, 3)[1:])


def _bends(v: Array, a: Array, j: Array) -> tuple[Array, Array]:
    """Curvature and its slope by length from the first three derivatives."""
    with np.errstate(invalid="ignore", divide="ignore"):
        vv = dot(v, v)
        va = cross(v, a)
        return va / (vv * np.sqrt(vv)), (cross(v, j) * vv - 3 * va * dot(v, a)) / (vv * vv * vv)


# Places of a segment where turns of dk/dt are looked for: its numerator has degree 6.
_PLACES = np.append(np.arange(12) / 12, 1 - 1e-9)


def extremes(curve: Curve, *, rough: bool = False) -> tuple[Array, Array]:
    """Places (n,) and curvatures (n,) of the local extremes of curvature, knots included.

    Turns of dk/dt are bracketed at 13 places a segment and closed in on; an extreme of k errs by
    1e-9. ``rough`` leaves them at the nearest place.
    """
    if straight(curve).all():
        return np.empty(0), np.empty(0)
    s = (np.arange(len(curve))[:, None] + _PLACES).ravel()
    slope = _bends(*on_grid(curve, _PLACES)[1:])[1].ravel()
    # Rounding on a circle or a straight line makes no extremes: a slope counts from 0.5 / L^2.
    legs = curve.segments[:, 1:] - curve.segments[:, :-1]
    around = float(np.hypot(legs[..., 0], legs[..., 1]).sum())
    floor = max(1e-7 * float(np.nanmax(np.abs(slope))), 0.5 / (around * around))
    moving = np.flatnonzero(np.abs(slope) > floor)
    if not len(moving):
        return np.empty(0), np.empty(0)
    sign = slope[moving] > 0
    turns = np.flatnonzero(sign != np.roll(sign, -1))
    low = s[moving[turns]]
    high = s[np.roll(moving, -1)[turns]]
    high = np.where(high < low, high + len(curve), high)
    f_low, f_high = slope[moving[turns]], slope[np.roll(moving, -1)[turns]]
    for _ in range(
        0 if rough else _HALVINGS
    ):  # regula falsi, the stale end's value halved (Illinois)
        middle = low + (high - low) * (f_low / np.where(f_low == f_high, 1, f_low - f_high)).clip(
            0.001, 0.999
        )
        f = curvature_slope(curve, middle)
        left = (f > 0) == (f_low > 0)
        low, high = np.where(left, middle, low), np.where(left, high, middle)
        f_low, f_high = np.where(left, f, f_low / 2), np.where(left, f_high / 2, f)
    at = np.mod(np.where(np.abs(f_low) < np.abs(f_high), low, high), len(curve))
    return at, curvature(curve, at)


_HALVINGS = 3


def least_radii(curve: Curve) -> tuple[float, float]:
    """Least radius where the wood is hollow and where it bulges, mm; inf where it never does.

    0 at a corner (a kink over 3 degrees) of that side.
    """
    return radii_from(curve, extremes(curve)[1])


def radii_from(curve: Curve, k: Array) -> tuple[float, float]:
    """Least radii as least_radii, from curvature extremes that are known already."""
    _, v, a, j = on_grid(curve, np.array([0.0]))
    everywhere = np.concatenate([k, _bends(v, a, j)[0].ravel()])
    inside = 1 / -everywhere.min() if everywhere.min() < -STRAIGHT_CURVATURE else np.inf
    outside = 1 / everywhere.max() if everywhere.max() > STRAIGHT_CURVATURE else np.inf
    bend = kinks(curve)
    if (bend < -KINK).any():
        inside = 0.0
    if (bend > KINK).any():
        outside = 0.0
    if np.isfinite(facets := kink_radii(curve)).any():
        inside = min(inside, -float(facets[facets < 0].max(initial=-np.inf)))
        outside = min(outside, float(facets[facets > 0].min(initial=np.inf)))
    return float(inside), float(outside)


STRAIGHT_CURVATURE = 1e-9  # 1/mm: a radius over a kilometre is a straight line
KINK = float(np.deg2rad(3.0))  # design section 2: a kink of at most 3 degrees is smooth


def kink_radii(curve: Curve) -> Array:
    """Signed radius (m,), mm, of the small kink at the start of each segment: + where it bulges.

    min(l1, l2) / (2 tan(phi / 2)) for a kink of at most 3 degrees between straight neighbours, as
    in a polyline that follows a curve; inf where there is none, or beside what is curved itself.
    """
    if "kink_radii" not in curve.memo:
        flat = straight(curve)
        if not flat.any():
            curve.memo["kink_radii"] = np.full(len(curve), np.inf)
            return curve.memo["kink_radii"]
        bend = kinks(curve)
        legs = curve.segments[:, 3] - curve.segments[:, 0]
        chord = np.hypot(legs[:, 0], legs[:, 1])
        least = np.minimum(chord, np.roll(chord, 1))
        small = (np.abs(bend) <= KINK) & (np.abs(bend) > _NO_KINK) & flat & np.roll(flat, 1)
        with np.errstate(divide="ignore"):
            radius = least / (2 * np.tan(bend / 2))
        curve.memo["kink_radii"] = np.where(small, radius, np.inf)
    return curve.memo["kink_radii"]


_NO_KINK = 1e-6  # radians: rounding


def straight(curve: Curve) -> Flags:
    """Which segments (m,) are straight to 1e-6 mm, evenly travelled or not."""
    if "straight" not in curve.memo:
        b = curve.segments
        chord = b[:, 3] - b[:, 0]
        size = np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-12)
        flat = np.abs(cross(b[:, 1] - b[:, 0], chord)) < 1e-6 * size
        if flat.any():
            flat &= np.abs(cross(b[:, 2] - b[:, 0], chord)) < 1e-6 * size
        curve.memo["straight"] = flat.astype(float)
    return curve.memo["straight"] > 0


def kinks(curve: Curve) -> Array:
    """Angle (m,), radians, by which the direction jumps at the start of each segment; + bulges."""
    if "kinks" not in curve.memo:
        b = curve.segments
        leave = _first_step(b)
        arrive = -_first_step(b[:, ::-1])
        before = np.concatenate([arrive[-1:], arrive[:-1]])
        bend = np.arctan2(cross(before, leave), dot(before, leave))
        # At a cusp the sign is rounding's: the points a little before and after tell the side.
        for i in np.flatnonzero(np.abs(bend) > np.pi - _CUSP):
            p = evaluate(curve, np.array([i - _ASIDE, i, i + _ASIDE]) % len(curve))[0]
            bend[i] = np.copysign(bend[i], cross(p[1] - p[0], p[2] - p[1]))
        curve.memo["kinks"] = bend
    return curve.memo["kinks"]


_CUSP, _ASIDE = 1e-3, 0.05  # radians; of a segment


def _first_step(b: Array) -> Array:
    """Direction in which a segment leaves its first point, handles of no length passed over."""
    step = b[:, 1] - b[:, 0]
    for k in (2, 3):
        still = np.hypot(step[:, 0], step[:, 1]) < 1e-9
        if not still.any():
            break
        step = np.where(still[:, None], b[:, k] - b[:, 0], step)
    return np.asarray(step)


def curvature_jumps(curve: Curve) -> bool:
    """Whether curvature jumps where segments meet, as in a chain of lines and arcs."""
    _, v, a, j = on_grid(curve, np.array([0.0, 1.0]))
    k = _bends(v, a, j)[0]
    return bool((np.abs(k[:, 0] - np.concatenate([k[-1:, 1], k[:-1, 1]])) > 1e-4).any())


def fairness(curve: Curve, skip: Array | None = None) -> tuple[float, float]:
    """Return (bending, variation), scale-free: L int k^2 ds / 4 pi^2 and L^3 int (dk/ds)^2 ds.

    A circle gives (1, 0). ``skip``, (k, 2) pairs of places, leaves stretches out of variation.
    Moreton, Minimum curvature variation curves (Berkeley 1992). Error about 1e-6 on fair curves.
    """
    t, w = _FOURTEEN
    s = np.arange(len(curve))[:, None] + t
    _, v, a, j = on_grid(curve, t)
    speed = np.hypot(v[..., 0], v[..., 1]) * w
    k, slope = _bends(v, a, j)
    total = float(speed.sum())
    keep = np.ones(s.shape)
    for start, stop in [] if skip is None else skip:
        inside = (s >= start) & (s <= stop) if start <= stop else (s >= start) | (s <= stop)
        keep[inside] = 0.0
    bending = total * float(np.sum(k * k * speed)) / (4 * np.pi**2)
    return bending, total**3 * float(np.sum(slope * slope * speed * keep))


PROMINENT = 0.3  # of a circle's curvature (2 pi over the length): flatter waves do not show; by eye


@dataclass(frozen=True, slots=True)
class Turning:
    """How an edge turns: radians in hollows, radians in all, maxima of curvature that show.

    ``hollows``: each hollow run as (radians, x, y of its middle). A circle has 0, 2 pi, 0 maxima.
    ``spread``: standard deviation of curvature over the way, times the root of the area.
    """

    hollow: float
    total: float
    maxima: int
    hollows: tuple[tuple[float, float, float], ...]
    spread: float


def turning(curve: Curve) -> Turning:
    """Integrate the curvature of an edge by its sign, kinks included, and count its maxima.

    A maximum counts where curvature falls by PROMINENT times 2 pi / length to both sides of it.
    """
    t, w = _SIX
    p, v, a, j = on_grid(curve, t)
    speed = np.hypot(v[..., 0], v[..., 1])
    k = np.nan_to_num(_bends(v, a, j)[0])
    bend = kinks(curve)
    turned = (k * speed * w).ravel()
    turned[:: len(t)] += bend
    hollow = np.minimum(turned, 0.0)
    way = (speed * w).ravel()
    length_ = float(way.sum())
    mean = float(turned.sum()) / length_
    spread = float(np.sum((turned / np.maximum(way, 1e-12) - mean) ** 2 * way)) / length_
    swept = (p[..., 0] * v[..., 1] - p[..., 1] * v[..., 0]) * w
    scale = math.sqrt(abs(float(swept.sum())) / 2)
    return Turning(
        -float(hollow.sum()),
        float(np.abs(turned).sum()),
        _maxima(turned / np.maximum(way, 1e-12), PROMINENT * 2 * np.pi / length_),
        _hollow_runs(hollow, p.reshape(-1, 2)),
        math.sqrt(spread) * scale,
    )


RIPPLE = 0.005  # radians: a hollow that turns less is a straight side as a spline follows it


def _hollow_runs(hollow: Array, p: Array) -> tuple[tuple[float, float, float], ...]:
    flags = hollow < 0
    if not flags.any():
        return ()
    found = []
    for run in cyclic_runs(flags):
        size = -float(hollow[run].sum())
        if size > RIPPLE:
            x, y = (p[run] * hollow[run, None]).sum(axis=0) / hollow[run].sum()
            found.append((size, float(x), float(y)))
    return tuple(sorted(found, reverse=True))


def _maxima(k: Array, fall: float) -> int:
    """Count the maxima of a periodic row of values that stand out by ``fall`` on both sides."""
    start = int(k.argmin())
    row = np.concatenate([k[start:], k[: start + 1]]).tolist()
    count, low, high, rising = 0, row[0], row[0], False
    for value in row:
        if rising:
            high = max(high, value)
            if high - value >= fall:
                count, rising, low = count + 1, False, value
        else:
            low = min(low, value)
            if value - low >= fall:
                rising, high = True, value
    return count

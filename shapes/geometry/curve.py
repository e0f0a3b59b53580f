"""A closed chain of cubic Bezier segments, and the ways to make and read one.

A place on a Curve is one number s in [0, m): the whole part is the segment, the rest its t.
Left of the direction of travel is the wood.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shapes.errors import OutlineError
from shapes.tolerances import TOLERANCES

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
Flags = NDArray[np.bool_]

SPAN = math.radians(22.5)  # widest arc in one cubic: error 6.6e-8 of the radius


def _to_power(b: Array) -> Array:
    """Coefficients (m, 4, 2) of 1, t, t2, t3, without BLAS: no result depends on batch size."""
    power = np.empty_like(b)
    power[:, 0] = b[:, 0]
    power[:, 1] = 3 * (b[:, 1] - b[:, 0])
    power[:, 2] = 3 * (b[:, 0] - 2 * b[:, 1] + b[:, 2])
    power[:, 3] = b[:, 3] - b[:, 0] + 3 * (b[:, 1] - b[:, 2])
    return power


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """A closed chain: ``segments`` (m, 4, 2) in mm, ``power`` the same in powers of t.

    ``memo`` keeps measures that several ask for; it never changes what a curve is.

    Raises OutlineError where a chain is not finite or not closed.
    """

    segments: Array
    power: Array = field(init=False, repr=False)
    memo: dict[str, Array] = field(init=False, repr=False, default_factory=dict)

    def __post_init__(self) -> None:
        """Check, close exactly, freeze."""
        segments = np.array(self.segments, dtype=float)
        if segments.ndim != 3 or segments.shape[1:] != (4, 2) or len(segments) < 1:
            raise OutlineError(f"a chain has shape (m, 4, 2), not {segments.shape}")
        if not np.isfinite(segments).all() or np.abs(segments).max() > 1e6:
            raise OutlineError("a coordinate is not a number below 1 000 000 mm")
        following = np.concatenate([segments[1:, 0], segments[:1, 0]])
        step = segments[:, 3] - following
        gap = np.hypot(step[:, 0], step[:, 1])
        worst = int(gap.argmax())
        if gap[worst] > TOLERANCES.closed:
            place = segments[worst, 3]
            raise OutlineError(f"a gap of {gap[worst]:.4g} mm", (float(place[0]), float(place[1])))
        segments[:, 3] = following
        power = _to_power(segments)
        segments.setflags(write=False)
        power.setflags(write=False)
        object.__setattr__(self, "segments", segments)
        object.__setattr__(self, "power", power)

    def __len__(self) -> int:
        """Count the segments."""
        return len(self.segments)


def spline(control: ArrayLike) -> Curve:
    """Return the periodic uniform cubic B-spline of control points (n, 2), n >= 3, exactly."""
    p = np.asarray(control, dtype=float)
    if p.ndim != 2 or p.shape[1] != 2 or len(p) < 3:
        raise OutlineError(f"a closed spline takes 3 control points or more, not {p.shape}")
    around = np.concatenate([p[-1:], p, p[:1]])
    before, after = around[:-2], around[2:]
    chain = np.empty((len(p), 4, 2))
    chain[:, 0] = (before + 4 * p + after) / 6
    chain[:, 1] = (2 * p + after) / 3
    chain[:, 2] = (p + 2 * after) / 3
    chain[:-1, 3], chain[-1, 3] = chain[1:, 0], chain[0, 0]
    return Curve(chain)


def refine(control: Array) -> Array:
    """Twice as many control points of exactly the same periodic cubic spline (knot insertion)."""
    before, after = np.roll(control, 1, axis=0), np.roll(control, -1, axis=0)
    pairs = np.stack([(before + 6 * control + after) / 8, (control + after) / 2], axis=1)
    return np.asarray(pairs.reshape(-1, 2))


def circle(centre: tuple[float, float], radius: float, *, clockwise: bool = False) -> Curve:
    """Return a circle of 16 cubics, true to 6.6e-8 of its radius."""
    a = np.arange(17) * SPAN * (-1 if clockwise else 1)
    p = np.stack([np.cos(a), np.sin(a)], axis=1)
    k = 4 / 3 * math.tan(SPAN / 4) * (-1 if clockwise else 1)
    tangent = np.stack([-p[:, 1], p[:, 0]], axis=1) * k
    chain = np.stack([p[:-1], (p + tangent)[:-1], (p - tangent)[1:], p[1:]], axis=1)
    return Curve(chain * radius + np.asarray(centre))


def polygon(points: ArrayLike) -> Curve:
    """Return the closed chain of straight lines through ``points`` (n, 2)."""
    p = np.asarray(points, dtype=float)
    step = np.roll(p, -1, axis=0) - p
    return Curve(np.stack([p, p + step / 3, p + 2 * step / 3, p + step], axis=1))


def evaluate(curve: Curve, s: ArrayLike, order: int = 0) -> tuple[Array, ...]:
    """Return points and derivatives up to ``order`` at places s (any shape), by dt, as (..., 2)."""
    s = np.asarray(s, dtype=float)
    whole = np.floor(s)
    t = (s - whole)[..., None]
    c = curve.power[whole.astype(np.intp) % len(curve)]
    c0, c1, c2, c3 = c[..., 0, :], c[..., 1, :], c[..., 2, :], c[..., 3, :]
    result: tuple[Array, ...] = (c0 + t * (c1 + t * (c2 + t * c3)),)
    if order > 0:
        result += (c1 + t * (2 * c2 + t * 3 * c3),)
    if order > 1:
        result += (2 * c2 + t * 6 * c3,)
    if order > 2:
        result += (6 * c3 + 0 * t,)
    return result


def on_grid(curve: Curve, t: Array) -> tuple[Array, Array, Array, Array]:
    """Points and three derivatives (m, len(t), 2) at the same t of every segment: no gathering."""
    c, t = curve.power[:, :, None, :], t[:, None]
    c0, c1, c2, c3 = c[:, 0], c[:, 1], c[:, 2], c[:, 3]
    third = 6 * c3
    return (
        c0 + t * (c1 + t * (c2 + t * c3)),
        c1 + t * (2 * c2 + t * 3 * c3),
        2 * c2 + t * third,
        third + 0 * t,
    )


def cross(a: Array, b: Array) -> Array:
    """Return the z part of the cross product of plane vectors (..., 2)."""
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def dot(a: Array, b: Array) -> Array:
    """Return the scalar product of plane vectors (..., 2)."""
    return np.asarray(a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1])


def reverse(curve: Curve) -> Curve:
    """Return the same curve travelled the other way."""
    return Curve(curve.segments[::-1, ::-1])


def transform(
    curve: Curve, angle: float = 0.0, scale: float = 1.0, shift: tuple[float, float] = (0.0, 0.0)
) -> Curve:
    """Turn by ``angle`` (radians), scale, then move by ``shift`` mm."""
    return Curve(turn(curve.segments, angle) * scale + np.asarray(shift))


def turn(points: Array, angle: float) -> Array:
    """Turn points (..., 2) anticlockwise about the origin by ``angle`` radians."""
    c, s = math.cos(angle), math.sin(angle)
    x, y = points[..., 0], points[..., 1]
    return np.stack([c * x - s * y, s * x + c * y], axis=-1)


def mirror(curve: Curve) -> Curve:
    """Mirror in the x axis and keep the wood on the left."""
    return Curve((curve.segments * np.array([1.0, -1.0]))[::-1, ::-1])


def flatten(curve: Curve, deviation: float = TOLERANCES.flatten) -> Array:
    """Return vertices (n, 2), end not repeated, of a
    polygon within ``deviation`` mm of the curve.
    """
    if deviation != TOLERANCES.flatten:
        return evaluate(curve, places(steps_within(curve, deviation)))[0]
    if "flat" not in curve.memo:  # asked for again and again while an outline is made
        made = evaluate(curve, places(steps_within(curve, deviation)))[0]
        made.setflags(write=False)
        curve.memo["flat"] = made
    return curve.memo["flat"]


def steps_within(curve: Curve, deviation: float) -> Ints:
    """Equal steps of t (m,) in which chords of each segment lie within ``deviation`` mm of it.

    A cubic cut in n equal steps of t errs by at most max |B''| / (8 n^2).
    """
    b = curve.segments
    bend = np.maximum(
        np.hypot(*(b[:, 0] - 2 * b[:, 1] + b[:, 2]).T),
        np.hypot(*(b[:, 1] - 2 * b[:, 2] + b[:, 3]).T),
    )
    steps: Ints = np.maximum(np.ceil(np.sqrt(6 * bend / (8 * deviation))), 1).astype(np.intp)
    return steps


def steps_apart(curve: Curve, apart: float) -> Ints:
    """Equal steps of t (m,) whose points lie at most some ``apart`` mm from the next."""
    b = curve.segments
    long = np.hypot(*(b[:, 1:] - b[:, :-1]).transpose(2, 0, 1)).sum(axis=1)
    steps: Ints = np.maximum(np.ceil(long / apart), 1).astype(np.intp)
    return steps


def places(steps: Ints) -> Array:
    """Places s that cut segment i in ``steps[i]`` equal parts of t."""
    owner = np.repeat(np.arange(len(steps)), steps)
    first = np.repeat(np.cumsum(steps) - steps, steps)
    return np.asarray(owner + (np.arange(len(owner)) - first) / steps[owner])


def pair(point: Array) -> tuple[float, float]:
    """Return a point (2,) as plain numbers."""
    return float(point[0]), float(point[1])


def cyclic_runs(flags: Flags) -> list[Ints]:
    """Runs of true flags round a loop, as index arrays in order; all of it where all are true."""
    if flags.all():
        return [np.arange(len(flags))]
    start = int(np.flatnonzero(~flags)[0])
    order = (np.arange(len(flags)) + start) % len(flags)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags[order].astype(int), [0]])))
    return [order[a:b] for a, b in zip(edges[::2], edges[1::2], strict=True)]


def bounds(curve: Curve) -> tuple[float, float, float, float]:
    """Return (xmin, ymin, xmax, ymax), exact: ends and the roots of the first derivative."""
    c1, c2, c3 = curve.power[:, 1], curve.power[:, 2], curve.power[:, 3]
    a, b, c = 3 * c3, 2 * c2, c1
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.sqrt(b * b - 4 * a * c)
        q = -0.5 * (b + np.copysign(root, b))
        t = np.stack([q / a, c / q])
    t = np.where((t > 0) & (t < 1), t, 0.0)
    k = curve.power
    x = k[None, :, 0] + t * (k[None, :, 1] + t * (k[None, :, 2] + t * k[None, :, 3]))
    low, high = x.min(axis=(0, 1)), x.max(axis=(0, 1))
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])

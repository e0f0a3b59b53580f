"""Discs tangent to an outline, from within the wood and from outside it: one engine for both.

A disc that touches at p with unit normal n and also passes through q has radius d^2 / (2 n.d),
d = q - p: positive on the side of n (the wood), negative outside. The least over all q is the
largest disc at p, so one table of samples gives the reach of a cutter, the width of the wood and
the largest inscribed disc. Samples find the contacts; Newton polishes them on the curves.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.geometry.curve import Array, Curve, Ints, cross, dot, turn
from shapes.geometry.measures import KINK, kinks
from shapes.geometry.outline import Outline

_BLOCK = 96  # rows of the table at a time: stays in the cache


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """All loops of an outline end to end: a place is the first segment of its loop plus s."""

    power: Array  # (m, 4, 2)
    first: Ints  # (loops,) first segment of each loop
    count: Ints  # (loops,) segments of each loop

    def wrap(self, s: Array, loop: Ints) -> Array:
        """Bring places back into their own loop."""
        first, count = self.first[loop], self.count[loop]
        return np.asarray(first + np.mod(s - first, count))

    def at(self, s: Array) -> tuple[Array, Array, Array]:
        """Points, first and second derivatives (..., 2) at places s."""
        whole = np.floor(s)
        t = (s - whole)[..., None]
        c = self.power[np.minimum(whole.astype(np.intp), len(self.power) - 1)]
        c0, c1, c2, c3 = c[..., 0, :], c[..., 1, :], c[..., 2, :], c[..., 3, :]
        return (
            c0 + t * (c1 + t * (c2 + t * c3)),
            c1 + t * (2 * c2 + t * 3 * c3),
            2 * c2 + t * 6 * c3,
        )


@dataclass(frozen=True, slots=True, eq=False)
class Discs:
    """The largest discs at n samples of an outline; radii in mm, inf where nothing limits."""

    chain: Chain
    loop: Ints  # 0 the edge, 1... the openings
    s: Array  # places on the chain
    p: Array  # (n, 2) points
    n: Array  # (n, 2) unit normals into the wood
    inner: Array  # radius of the largest disc in the wood that touches here
    inner_at: Ints  # the sample it touches besides
    outer: Array  # radius of the largest disc outside the wood that touches here
    outer_at: Ints
    cosine: Array  # of the angle between the contacts of the inner disc, seen from its centre
    turned: Array  # radians from the curve's normal: other than 0 in the fan at a corner


def chain_of(curves: tuple[Curve, ...]) -> Chain:
    """Put the loops of an outline end to end."""
    count = np.array([len(c) for c in curves], dtype=np.intp)
    return Chain(np.concatenate([c.power for c in curves]), np.cumsum(count) - count, count)


def spaced(curve: Curve, fine: float, coarse: float) -> Ints:
    """Steps a segment so that samples lie ``fine`` to ``coarse`` mm apart, denser where it bends."""
    b = curve.segments
    legs = np.hypot(*(b[:, 1:] - b[:, :-1]).transpose(2, 0, 1)).sum(axis=1)
    d2 = np.hypot(*(b[:, :3] - b[:, 1:2] + b[:, 2:3] - b[:, 1:2])[:, 0].T)
    e2 = np.hypot(*(b[:, 1] - 2 * b[:, 2] + b[:, 3]).T)
    bend = 6 * np.maximum(d2, e2) / np.maximum(legs * legs, 1e-12)  # about the curvature
    gap = np.clip(0.3 / np.maximum(bend, 1e-9), fine, coarse)
    steps: Ints = np.maximum(np.ceil(legs / gap), 2).astype(np.intp)
    return steps


def discs(value: Outline, fine: float = 1.5, coarse: float = 5.0) -> Discs:
    """Sample an outline every ``fine`` to ``coarse`` mm and find the largest disc at each sample.

    Radii are those of the samples: polish what you report.
    """
    curves = value.curves
    chain = chain_of(curves)
    parts = [_samples(c, fine, coarse) for c in curves]
    s = np.concatenate([part[0] + first for part, first in zip(parts, chain.first, strict=True)])
    loop = np.repeat(np.arange(len(parts)), [len(part[0]) for part in parts])
    p, _, n, curvature = frame(chain, s)
    turned = np.concatenate([part[1] for part in parts])
    n = turn_each(n, turned)
    jump = np.concatenate([part[2] for part in parts])
    side = np.sign(jump)  # +1 at an outward corner, -1 at an inward one, 0 where it is smooth
    inner, inner_at, outer, outer_at = _table(p, n)
    with np.errstate(divide="ignore", invalid="ignore"):
        own = 1 / curvature
    bulge = (own > 0) & (own < inner) & (side == 0)
    hollow = (own < 0) & (-own < outer) & (side == 0)
    here = np.arange(len(s))
    inner, inner_at = np.where(bulge, own, inner), np.where(bulge, here, inner_at)
    outer, outer_at = np.where(hollow, -own, outer), np.where(hollow, here, outer_at)
    # At a corner: no disc fits into its narrow side, a fan of discs stands on its point.
    inner, outer = np.where(side > 0, 0.0, inner), np.where(side < 0, 0.0, outer)
    away = p[inner_at] - p - np.where(np.isfinite(inner), inner, 0)[:, None] * n
    cosine = dot(-n, away) / np.maximum(np.hypot(away[:, 0], away[:, 1]), 1e-12)
    # Discs that shrink into an outward corner touch both its sides: as far apart as it turns.
    cosine = np.where(side > 0, np.cos(jump), cosine)
    return Discs(chain, loop, s, p, n, inner, inner_at, outer, outer_at, cosine, turned)


def turn_each(v: Array, angle: Array) -> Array:
    """Turn each of n vectors by its own angle."""
    if not angle.any():
        return v
    return np.concatenate([turn(v[i : i + 1], float(angle[i])) for i in range(len(v))])


def _samples(curve: Curve, fine: float, coarse: float) -> tuple[Array, Array, Array]:
    """Places, turn of the normal there, and the jump of direction at a corner (+ outward)."""
    steps = spaced(curve, fine, coarse)
    owner = np.repeat(np.arange(len(steps)), steps)
    first = np.repeat(np.cumsum(steps) - steps, steps)
    s = owner + (np.arange(len(owner)) - first) / steps[owner]
    jump = kinks(curve)
    corners = np.flatnonzero(np.abs(jump) > KINK)
    if not len(corners):
        nothing = np.zeros(len(s))
        return s, nothing, nothing
    here = np.where(np.isin(s, corners), jump[np.floor(s).astype(np.intp)], 0.0)
    places, turns, jumps = [s], [np.zeros(len(s))], [here]
    for c in corners:
        fan = np.linspace(-jump[c], 0, max(3, int(abs(jump[c]) / 0.1)))[:-1]
        places.append(np.full(len(fan), float(c)))
        turns.append(fan)
        jumps.append(np.full(len(fan), jump[c]))
    # In order along the loop; the fan at a corner before the corner's own sample.
    turned = np.concatenate(turns)
    s = np.concatenate(places)
    order = np.lexsort((-np.abs(turned), s))
    return s[order], turned[order], np.concatenate(jumps)[order]


def _table(p: Array, n: Array) -> tuple[Array, Ints, Array, Ints]:
    count = len(p)
    inner, outer = np.empty(count), np.empty(count)
    inner_at, outer_at = np.empty(count, dtype=np.intp), np.empty(count, dtype=np.intp)
    x, y = p[:, 0], p[:, 1]
    for i in range(0, count, _BLOCK):
        rows = slice(i, i + _BLOCK)
        dx, dy = x - x[rows, None], y - y[rows, None]
        d2 = dx * dx + dy * dy
        dx *= 2 * n[rows, 0:1]
        dy *= 2 * n[rows, 1:2]
        dx += dy
        np.maximum(d2, 1e-300, out=dy)
        dx[d2 < 1e-12] = 0.0
        dx /= dy  # 1 / signed radius
        a, b = dx.argmax(axis=1), dx.argmin(axis=1)
        k = np.arange(len(a))
        inner_at[rows], outer_at[rows] = a, b
        inner[rows], outer[rows] = dx[k, a], dx[k, b]
    with np.errstate(divide="ignore"):
        inner = np.where(inner > 1e-9, 1 / np.maximum(inner, 1e-300), np.inf)
        outer = np.where(outer < -1e-9, -1 / np.minimum(outer, -1e-300), np.inf)
    return inner, inner_at, outer, outer_at


def frame(chain: Chain, s: Array) -> tuple[Array, Array, Array, Array]:
    """Points, derivatives, unit normals into the wood, signed curvature at places s."""
    p, v, a = chain.at(s)
    speed = np.maximum(np.hypot(v[..., 0], v[..., 1]), 1e-300)
    n = np.stack([-v[..., 1], v[..., 0]], axis=-1) / speed[..., None]
    return p, v, n, cross(v, a) / speed**3


def touching(
    d: Discs, i: Ints, j: Ints, radius: float, s: Array | None = None
) -> tuple[Array, Array, Array, Array]:
    """Discs of signed ``radius`` (+ in the wood, - outside) with contacts near samples i and j.

    Newton on p(s) + r n(s) = p(t) + r n(t). Returns s, t, centres (k, 2) and the residual in mm.
    """
    li, lj = d.loop[i], d.loop[j]
    s, t = d.s[i] if s is None else s, d.s[j]
    for _ in range(12):
        ps, vs, ns, ks = frame(d.chain, s)
        pt, vt, nt, kt = frame(d.chain, t)
        f = ps + radius * ns - pt - radius * nt
        a, b = vs * (1 - radius * ks)[:, None], -vt * (1 - radius * kt)[:, None]
        # s = t always solves this: divided by t - s, Newton keeps clear of it.
        gap = t - s
        count = d.chain.count[li]
        gap = gap - count * np.round(gap / count)
        away = np.where((li == lj) & (np.abs(gap) > 1e-9), 1 / np.where(gap == 0, 1, gap), 0.0)
        a, b = a + f * away[:, None], b - f * away[:, None]
        det = cross(a, b)
        det = np.where(np.abs(det) < 1e-12, np.inf, det)
        step_s, step_t = -cross(f, b) / det, -cross(a, f) / det
        s = d.chain.wrap(s + np.clip(step_s, -0.3, 0.3), li)
        t = d.chain.wrap(t + np.clip(step_t, -0.3, 0.3), lj)
        if max(np.abs(step_s).max(), np.abs(step_t).max()) < 1e-10:
            break
    ps, _, ns, _ = frame(d.chain, s)
    pt, _, nt, _ = frame(d.chain, t)
    centre = ps + radius * ns
    return s, t, centre, np.hypot(*(centre - pt - radius * nt).T)


def exact(d: Discs, s: Array, turned: Array, loop: Ints) -> tuple[Array, Array, Array]:
    """Radius, centre and contact cosine of the largest disc in the wood at places s (k,).

    The three likeliest contacts, from the samples, are each polished by Newton on the curve.
    Radius 0 and cosine of the turn at an outward corner are not known here: see Discs.
    """
    p, _, n, own = frame(d.chain, s)
    n = turn_each(n, turned)
    dx, dy = d.p[:, 0] - p[:, :1], d.p[:, 1] - p[:, 1:]
    d2 = dx * dx + dy * dy
    inverse = 2 * (n[:, :1] * dx + n[:, 1:] * dy) / np.maximum(d2, 1e-300)
    inverse[d2 < 1e-12] = 0.0
    before, after = neighbours(d.loop)
    peak = (inverse >= inverse[:, before]) & (inverse >= inverse[:, after])
    inverse = np.where(peak, inverse, -np.inf)
    likely = np.argpartition(-inverse, _CONTACTS - 1, axis=1)[:, :_CONTACTS]
    rows = np.arange(len(s))[:, None]
    usable = inverse[rows, likely] > 1e-9
    t, ring = d.s[likely], d.loop[likely]
    for _ in range(6):
        q, v, a = d.chain.at(t)
        e = q - p[:, None]
        ne, ev, ee = dot(n[:, None], e), dot(e, v), dot(e, e)
        f = 2 * ev * ne - ee * dot(n[:, None], v)
        slope = 2 * (dot(v, v) + dot(e, a)) * ne - ee * dot(n[:, None], a)
        step = np.where(np.abs(slope) > 1e-300, f / np.where(slope == 0, 1, slope), 0.0)
        t = d.chain.wrap(t - np.clip(step, -0.1, 0.1), ring)
    # Newton may leave a corner for the far side of it: the sample itself then stands.
    best_q, best_r = d.p[likely], 1 / np.where(usable, inverse[rows, likely], np.nan)
    e = d.chain.at(t)[0] - p[:, None]
    ne, ee = dot(n[:, None], e), dot(e, e)
    with np.errstate(divide="ignore", invalid="ignore"):
        polished = np.where((ne > 0) & (ee > 1e-9), ee / (2 * ne), np.inf)
    better = usable & (polished < best_r)
    best_r = np.where(better, polished, np.where(usable, best_r, np.inf))
    best_q = np.where(better[..., None], e + p[:, None], best_q)
    pick = best_r.argmin(axis=1)
    r, q = best_r[rows[:, 0], pick], best_q[rows[:, 0], pick]
    with np.errstate(divide="ignore"):
        bend = np.where((own > 0) & (turned == 0), 1 / own, np.inf)
    tight = bend < r
    r = np.where(tight, bend, r)
    centre = p + r[:, None] * n
    away = q - centre
    cosine = dot(-n, away) / np.maximum(np.hypot(away[:, 0], away[:, 1]), 1e-12)
    return r, centre, np.where(tight, 1.0, cosine)


_CONTACTS = 3


def neighbours(loop: Ints) -> tuple[Ints, Ints]:
    """Index of the sample before and after each, round its own loop."""
    index = np.arange(len(loop))
    first = np.searchsorted(loop, loop)
    count = np.searchsorted(loop, loop, side="right") - first
    return first + (index - first - 1) % count, first + (index - first + 1) % count

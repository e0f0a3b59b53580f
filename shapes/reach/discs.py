"""Discs tangent to an outline, from within the wood and from outside it: one engine for both.

A disc that touches at p with unit normal n and also passes through q has radius d^2 / (2 n.d),
d = q - p: positive on the side of n (the wood), negative outside. The least over all q is the
largest disc at p, so one table of samples gives the reach of a cutter, the width of the wood and
the largest inscribed disc. Samples find the contacts; Newton polishes them on the curves.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.geometry.curve import Array, Curve, Ints, cross, dot
from shapes.geometry.measures import KINK, kink_radii, kinks, straight
from shapes.geometry.outline import Outline

_BLOCK = 96  # rows of the table at a time: stays in the cache


@dataclass(frozen=True, slots=True, eq=False)
class LoopChain:
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

    chain: LoopChain
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


def chain_of(curves: tuple[Curve, ...]) -> LoopChain:
    """Put the loops of an outline end to end."""
    count = np.array([len(c) for c in curves], dtype=np.intp)
    return LoopChain(np.concatenate([c.power for c in curves]), np.cumsum(count) - count, count)


def spaced(curve: Curve, fine: float, coarse: float) -> Ints:
    """Steps a segment so that samples lie ``fine`` to
    ``coarse`` mm apart, denser where it bends.
    """
    b = curve.segments
    legs = np.hypot(*(b[:, 1:] - b[:, :-1]).transpose(2, 0, 1)).sum(axis=1)
    d2 = np.hypot(*(b[:, :3] - b[:, 1:2] + b[:, 2:3] - b[:, 1:2])[:, 0].T)
    e2 = np.hypot(*(b[:, 1] - 2 * b[:, 2] + b[:, 3]).T)
    bend = 6 * np.maximum(d2, e2) / np.maximum(legs * legs, 1e-12)  # about the curvature
    gap = np.clip(0.3 / np.maximum(bend, 1e-9), fine, coarse)
    # A facet of a smooth polyline is sampled at its vertices alone: what lies between would see the
    # next facet and take the bend for a tight one.
    least: int | Ints = 2
    if (flat := straight(curve)).any():
        sharp = np.abs(kinks(curve)) > KINK
        least = np.where(flat & ~sharp & ~np.roll(sharp, -1), 1, 2)
    steps: Ints = np.maximum(np.ceil(legs / gap), least).astype(np.intp)
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
    inner, inner_at, outer, outer_at = _table(p, n) if len(p) <= _MANY else balls(p, n)
    with np.errstate(divide="ignore", invalid="ignore"):
        own = 1 / curvature
    kink = np.concatenate([part[3] for part in parts])
    if np.isfinite(kink).any():
        own = np.where(side == 0, _tighter(own, kink), own)
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


_MANY = 2500  # samples from which on the table of all pairs costs more than searching a tree


def _tighter(own: Array, kink: Array) -> Array:
    """Of two signed radii the one that bends more."""
    return np.where(np.abs(kink) < np.abs(own), kink, own)


def turn_each(v: Array, angle: Array) -> Array:
    """Turn each of n vectors by its own angle."""
    if not angle.any():
        return v
    c, s = np.cos(angle), np.sin(angle)
    return np.stack([c * v[:, 0] - s * v[:, 1], s * v[:, 0] + c * v[:, 1]], axis=1)


def _samples(curve: Curve, fine: float, coarse: float) -> tuple[Array, Array, Array, Array]:
    """Places, turn of the normal there, jump of direction at
    a corner (+ outward), radius of a kink.

    At a kink of at most 3 degrees the normal is the mean of both sides'.
    """
    steps = spaced(curve, fine, coarse)
    owner = np.repeat(np.arange(len(steps)), steps)
    first = np.repeat(np.cumsum(steps) - steps, steps)
    s = owner + (np.arange(len(owner)) - first) / steps[owner]
    jump = kinks(curve)
    starts = np.cumsum(steps) - steps  # the samples at the starts of the segments
    bent, radius = np.zeros(len(s)), np.full(len(s), np.inf)
    corners = np.flatnonzero(np.abs(jump) > KINK)
    if straight(curve).any():
        bent[starts] = np.where(np.abs(jump) <= KINK, -jump / 2, 0.0)
        radius[starts] = kink_radii(curve)
    if not len(corners):
        return s, bent, np.zeros(len(s)), radius
    here = np.zeros(len(s))
    here[starts[corners]] = jump[corners]
    places, turns, jumps, radii = [s], [bent], [here], [radius]
    for c in corners:
        fan = np.linspace(-jump[c], 0, max(3, int(abs(jump[c]) / 0.1)))[:-1]
        places.append(np.full(len(fan), float(c)))
        turns.append(fan)
        jumps.append(np.full(len(fan), jump[c]))
        radii.append(np.full(len(fan), np.inf))
    # In order along the loop; the fan at a corner before the corner's own sample.
    turned = np.concatenate(turns)
    s = np.concatenate(places)
    order = np.lexsort((-np.abs(turned), s))
    return s[order], turned[order], np.concatenate(jumps)[order], np.concatenate(radii)[order]


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


def balls(p: Array, n: Array) -> tuple[Array, Ints, Array, Ints]:
    """The same as the table of all pairs, by shrinking each disc onto the nearest sample in it.

    Cost n log n: for outlines of many thousand samples. Each disc starts from a coarse table.
    """
    from scipy.spatial import cKDTree

    tree = cKDTree(p)
    result: list[tuple[Array, Ints]] = []
    some = np.arange(0, len(p), max(1, len(p) // 200))
    for side in (1.0, -1.0):
        d = p[some][None] - p[:, None]
        d2 = dot(d, d)
        inverse = np.where(d2 > 1e-12, 2 * side * dot(n[:, None], d) / np.maximum(d2, 1e-300), 0.0)
        at = inverse.argmax(axis=1)
        most = inverse[np.arange(len(p)), at]
        r = np.where(most > 1 / _WIDE, 1 / np.maximum(most, 1 / _WIDE), _WIDE)
        at = some[at]
        todo = np.arange(len(p))
        for _ in range(_SHRINKS):
            centre = p[todo] + side * r[todo, None] * n[todo]
            away, near = tree.query(centre, k=1)
            d = p[near] - p[todo]
            d2, nd = dot(d, d), side * dot(n[todo], d)
            tighter = (away < r[todo] * (1 - 1e-9)) & (nd > 0) & (d2 > 1e-12)
            todo, near = todo[tighter], near[tighter]
            if not len(todo):
                break
            r[todo], at[todo] = d2[tighter] / (2 * nd[tighter]), near
        result.append((np.where(r < _WIDE, r, np.inf), at))
    (inner, inner_at), (outer, outer_at) = result
    return inner, inner_at, outer, outer_at


_WIDE = 1e4  # mm: a larger disc is as good as none
_SHRINKS = 60


def frame(chain: LoopChain, s: Array) -> tuple[Array, Array, Array, Array]:
    """Points, derivatives, unit normals into the wood, signed curvature at places s."""
    p, v, a = chain.at(s)
    speed = np.maximum(np.hypot(v[..., 0], v[..., 1]), 1e-300)
    n = np.stack([-v[..., 1], v[..., 0]], axis=-1) / speed[..., None]
    return p, v, n, cross(v, a) / np.maximum(speed**3, 1e-300)


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


def resting(
    d: Discs, s: Array, t: Array, loops: tuple[Ints, Ints], centre: Array, radius: float
) -> tuple[Array, Array, Array, Array]:
    """Discs outside the wood that rest on it near places s and t, on smooth stretches or corners.

    Newton on the centre: its distances from the nearest points of both sides shall be ``radius``.
    Distance has a gradient at a corner too, where the curve has no tangent. Returns s, t, centres
    and the residual in mm.
    """
    c = centre.copy()
    ends = [s.copy(), t.copy()]
    miss = np.full(len(c), np.inf)
    for _ in range(40):
        f, u = [], []
        for k in (0, 1):
            for _ in range(3):
                ends[k] = _toward(d.chain, ends[k], loops[k], c)
            e = c - d.chain.at(ends[k])[0]
            size = np.maximum(np.hypot(e[:, 0], e[:, 1]), 1e-9)
            f.append(size - radius)
            u.append(e / size[:, None])
        miss = np.maximum(np.abs(f[0]), np.abs(f[1]))
        if miss.max() < 1e-10:
            break
        det = cross(u[0], u[1])
        det = np.where(np.abs(det) < 1e-7, np.copysign(1e-7, det), det)
        # u0 . x = -f0, u1 . x = -f1
        x = np.stack([f[1] * u[0][:, 1] - f[0] * u[1][:, 1], f[0] * u[1][:, 0] - f[1] * u[0][:, 0]])
        x = (x / det).T
        size = np.hypot(x[:, 0], x[:, 1])
        c = c + x * np.minimum(1.0, radius / 2 / np.maximum(size, 1e-12))[:, None]
    return ends[0], ends[1], c, miss


def _toward(chain: LoopChain, s: Array, loop: Ints, c: Array) -> Array:
    """One step of places s toward the points nearest to c, halting where segments meet."""
    first, count = chain.first[loop], chain.count[loop]
    at_vertex = np.abs(s - np.round(s)) < 1e-9
    p, v, a = chain.at(s)
    # At a vertex the segment before it has a say as well.
    before = np.asarray(first + np.mod(np.round(s) - 1 - first, count), dtype=float)
    _, vb, ab = chain.at(before + 1 - 1e-9)
    e = c - p
    onward, back = dot(e, v), dot(e, vb)
    go_back = at_vertex & (onward <= 0) & (back < 0)
    halt = at_vertex & (onward <= 0) & (back >= 0)
    v = np.where(go_back[:, None], vb, v)
    a = np.where(go_back[:, None], ab, a)
    slope, bend = dot(e, v), dot(v, v) - dot(e, a)
    step = slope / np.where(bend > 0.1 * dot(v, v), bend, np.maximum(dot(v, v), 1e-300))
    low = np.where(go_back, -1.0, np.where(at_vertex, 0.0, np.floor(s) - s))
    high = np.where(go_back, 0.0, np.where(at_vertex, 1.0, np.floor(s) + 1 - s))
    moved = np.where(halt, 0.0, np.clip(step, low, high))
    return chain.wrap(s + moved, loop)


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

"""A closed curve as circular arcs within a tolerance both ways, their ends on the curve.

Every sample of the curve is a possible end. For all starts at once the furthest end is found for
which one arc fits; then each start of the first stretch is tried and the shortest chain kept. With
feasible stretches nested, as they are on smooth curves, that is the least number on these samples.
"""

from __future__ import annotations

import math

import numpy as np

from shapes.geometry.curve import Array, Curve, Flags, Ints, cross, evaluate, on_grid
from shapes.geometry.measures import KINK, kinks
from shapes.tolerances import TOLERANCES

_CHECKS = 31  # places between the ends of an arc where it is compared with the curve
_FINAL = 80  # the same for the arcs that are kept
_SAFE = 0.95  # share of the tolerance used for the search; the rest is for between the samples
_SURE = 0.96  # the kept arcs are compared at 80 places; the rest is for between those
_GUESS = 30  # samples that an arc holds at most on most boards
_SKIP = 4  # of so many samples one is searched from first
_STEP = 2.4  # mm of curve between its samples, about
_STEPS = 120, 560  # samples of the curve, at least and at most


def arcs(curve: Curve, tolerance: float = TOLERANCES.arcs) -> tuple[Array, Array]:
    """Vertices (n, 2) and bulges (n,): arc i runs from vertex i to vertex i + 1, the last to 0.

    Bulge is the tangent of a quarter of the arc's angle, positive anticlockwise (DXF group 42).
    Corners (kinks over 3 degrees), and the ends of lines and arcs that the curve is made of, are
    always ends.
    """
    samples = _spread(curve, tolerance)
    corner = np.searchsorted(samples, _ends(curve))
    reach = _reach(curve, samples, corner, tolerance * _SAFE)
    hops = _shortest(reach, corner)
    at = samples[hops]
    return _finish(curve, at, tolerance)


def _spread(curve: Curve, tolerance: float) -> Array:
    """Places so that arcs of equal error would hold about equal numbers of them, corners kept."""
    m = len(curve)
    t = np.arange(8) / 8
    s = (np.arange(m)[:, None] + t).ravel()
    _, v, a, j = evaluate(curve, s, 3)
    speed = np.maximum(np.hypot(v[:, 0], v[:, 1]), 1e-9)
    slope = np.abs((cross(v, j) * speed**2 - 3 * cross(v, a) * (v * a).sum(axis=1)) / speed**6)
    # An arc of length l with dk/ds errs by about |dk/ds| l^3 / 48 / sqrt 3: density is its root.
    length = speed / 8
    density = np.cbrt(slope + 1e-7) * length
    density = density + 0.25 * density.mean()
    run = np.concatenate([[0.0], np.cumsum(density)])
    steps = int(np.clip(length.sum() / _STEP, *_STEPS))
    where = np.linspace(0, run[-1], steps, endpoint=False)
    places = np.interp(where, run, np.append(s, m))
    return np.unique(np.concatenate([places, _ends(curve).astype(float)]))


_PIECE = 2.0  # mm: shorter lines and arcs are not kept apart, but fitted with what is round them
_ALIKE = 1e-5  # by which the bend of a piece may differ from its neighbour's, of 1 / mm


def _ends(curve: Curve) -> Ints:
    """Segments whose start is always an end.

    Corners, and where a line or an arc starts or stops.
    """
    if "ends" not in curve.memo:
        forced = np.abs(kinks(curve)) > KINK
        t = np.array([0.0, 0.02, 0.25, 0.5, 0.75, 0.98, 1.0])
        _, v, a, _ = on_grid(curve, t)
        speed = np.maximum(np.hypot(v[..., 0], v[..., 1]), 1e-12)
        every = cross(v, a) / speed**3
        # Where curvature runs on, as in a spline, no arc has to end, however plain the segments
        # are.
        jumps = ~(np.abs(every[:, 0] - np.roll(every[:, -1], 1)) < _ALIKE)
        bend, speed = every[:, 1:-1], speed[:, 1:-1]
        middle = bend[:, 2]
        plain = (np.ptp(bend, axis=1) < _ALIKE) & (speed.mean(axis=1) > 1e-9)
        length = speed.mean(axis=1)
        same = plain & np.roll(plain, 1) & (np.abs(middle - np.roll(middle, 1)) < _ALIKE)
        borders = np.flatnonzero(~same | forced)
        for k, start in enumerate(borders):
            stop = borders[(k + 1) % len(borders)]
            run = (start + np.arange((stop - start) % len(curve) or len(curve))) % len(curve)
            if plain[run].all() and length[run].sum() >= _PIECE:
                ends = np.array([start, stop])
                forced[ends[jumps[ends]]] = True
        curve.memo["ends"] = np.flatnonzero(forced).astype(float)
    return curve.memo["ends"].astype(np.intp)


def _reach(curve: Curve, samples: Array, corner: Ints, tolerance: float) -> Ints:
    """For each sample, how many samples ahead one arc still fits (1 at least)."""
    n, m = len(samples), len(curve)
    index = np.arange(n)
    limit = np.full(n, n // 3)
    if len(corner):
        ahead = np.searchsorted(corner, index, side="right")
        following = np.append(corner, corner[0] + n)[ahead]
        limit = np.minimum(limit, following - index)
    limit = np.maximum(limit, 1).astype(np.intp)
    share = (np.arange(_CHECKS) + 1) / (_CHECKS + 1)
    start = evaluate(curve, samples)[0]

    def fits(todo: Ints, ahead: Ints) -> Flags:
        stop = todo + ahead
        s_stop = samples[stop % n] + m * (stop // n)
        s0 = samples[todo]
        p = evaluate(curve, np.mod(s0[:, None] + (s_stop - s0)[:, None] * share, m))[0]
        return np.asarray(_fit(start[todo], start[stop % n], p)[1] <= tolerance)

    def search(which: Ints, low: Ints, high: Ints) -> Ints:
        """Most samples ahead that fit, of ``which``; those ``low`` ahead are taken to fit."""
        low, high = low.copy(), high.copy()
        while len(todo := np.flatnonzero(low < high)):
            middle = (low[todo] + high[todo] + 1) // 2
            good = fits(which[todo], middle)
            low[todo] = np.where(good, middle, low[todo])
            high[todo] = np.where(good, high[todo], middle - 1)
        return low

    # Some samples first. What lies between two of them then reaches at least as far as the one
    # before it, and no further than the one after it: stretches that fit are nested.
    first = index[::_SKIP]
    reach = np.ones(n, dtype=np.intp)
    reach[first] = search(first, reach[first], np.minimum(limit[first], _GUESS))
    far = first[reach[first] == _GUESS]
    reach[far] = search(far, reach[far], limit[far])
    rest = np.setdiff1d(index, first)
    before = rest // _SKIP * _SKIP
    after = np.where(before + _SKIP < n, before + _SKIP, n)
    low = np.clip(reach[before] - (rest - before), 1, limit[rest])
    high = np.clip(reach[after % n] + (after - rest), low, limit[rest])
    reach[rest] = search(rest, low, high)
    return reach


_BALANCED = 4  # rounds of balancing an arc
_NUDGE = 1e-6  # the step of its bulge that tells its levers


def _fit(a: Array, b: Array, p: Array) -> tuple[Array, Array]:
    """Bulge of the best arc from a to b (k, 2) through about p (k, c, 2), and its greatest miss.

    In the frame of the chord, half of it h, an arc of bulge g has its centre at
    (0, h (g^2 - 1) / (2 g)) for a bulge to the right of travel; the miss is dist - R.
    """
    u, v, h = _in_chord(a, b, p)
    # Unit chord from (-1, 0) to (1, 0); a point (u, v) lies on the arc of sagitta -g when
    # u^2 + v^2 - 1 + v (1 - g^2) / g = 0. First from the middle point, then balanced once.
    mid = u.shape[1] // 2
    w = u * u + v * v - 1
    g = _bulge(w[:, mid], v[:, mid])
    row = np.arange(len(g))[:, None]
    for _ in range(_BALANCED):
        miss = _miss(w, v, g)
        # The greatest misses to both sides are made alike: where they lie, and how each moves with
        # g.
        far = np.stack([miss.argmax(axis=1), miss.argmin(axis=1)], axis=1)
        there = miss[row, far]
        lever = (_miss(w[row, far], v[row, far], g + _NUDGE) - there).sum(axis=1) / _NUDGE
        best = there.sum(axis=1)
        g = g - np.where(np.abs(lever) > 1e-9, best / np.where(lever == 0, 1, lever), 0)
    miss = np.abs(_miss(w, v, g)) * h[:, None]
    return g, miss.max(axis=1)


def _bulge(w: Array, v: Array) -> Array:
    """Bulge of the arc from (-1, 0) through (u, v) to (1, 0); w = u^2 + v^2 - 1 < 0."""
    # (1 - g^2) / g = -w / v =: 2 c; the root on the side of v, past half a circle as well.
    v = np.where(np.abs(v) < 1e-15, 1e-15, v)
    c = -w / v / 2
    return np.asarray(-1 / (c + np.copysign(np.sqrt(c * c + 1), v)))


def _miss(w: Array, v: Array, g: Array) -> Array:
    """Distance, in half chords, of points from the arc of bulge g: + outside its circle."""
    g = np.where(np.abs(g) < 1e-12, 1e-12, g)[:, None]
    y = (1 - g * g) / (2 * g)  # centre on the left of travel for g > 0
    radius = (1 + g * g) / (2 * np.abs(g))
    # dist^2 - R^2 = w - 2 v y ... with the arc below the chord: v < 0 for g > 0.
    gap = w - 2 * v * y
    return np.asarray(gap / (np.sqrt(np.maximum(gap + radius * radius, 0)) + radius) * np.sign(g))


def _shortest(reach: Ints, corner: Ints) -> Ints:
    """Follow the furthest hops from every start in the first stretch; keep the shortest chain."""
    n = len(reach)
    starts = [int(corner[0])] if len(corner) else list(range(int(reach[0])))
    best: list[int] = []
    for start in starts:
        chain, i = [start], start
        while i + reach[i % n] < start + n and (not best or len(chain) < len(best)):
            i += int(reach[i % n])
            chain.append(i)
        if i + reach[i % n] >= start + n and (not best or len(chain) < len(best)):
            best = chain
    return np.sort(np.asarray(best) % n)


def _finish(curve: Curve, at: Array, tolerance: float) -> tuple[Array, Array]:
    """Fit the kept arcs on denser samples; split what misses, and what meets at a kink."""
    m = len(curve)
    share = (np.arange(_FINAL) + 1) / (_FINAL + 1)
    own = kinks(curve)  # kinks of the curve itself stay
    for turn in range(14):
        after = np.append(at[1:], at[0] + m)
        p = evaluate(curve, np.mod(at[:, None] + (after - at)[:, None] * share, m))[0]
        ends = evaluate(curve, np.mod(np.append(at, at[0]), m))[0]
        g, miss = _fit(ends[:-1], ends[1:], p)
        bad = miss > tolerance * _SURE
        if turn < _STRICT:
            there = np.where(at == np.floor(at), own[np.floor(at).astype(np.intp) % m], 0.0)
            kinked = np.abs(_jumps(ends[:-1], g) - there) > _KINK
            bad |= kinked | np.roll(kinked, -1)
        if not bad.any():
            g, over = _level(ends[:-1], ends[1:], p, g, tolerance * _SURE)
            # Wood that arcs take or leave on the whole: the one that does most of it is parted.
            size = abs(float(cross(ends[:-1], ends[1:]).sum())) / 2
            if abs(over.sum()) <= _AREA * size or turn > _STRICT:
                return ends[:-1], g
            bad[int((over * np.sign(over.sum())).argmax())] = True
        at = np.sort(np.mod(np.concatenate([at, ((at + after) / 2)[bad]]), m))
    raise AssertionError("an arc between neighbouring samples always fits")


_AREA = 1.2e-5  # share of its area by which a loop of arcs may err
_SHARES = np.arange(1, 9) / 8


def _level(a: Array, b: Array, p: Array, g: Array, tolerance: float) -> tuple[Array, Array]:
    """Bulges that leave as much wood as they take, as far as arcs stay within the tolerance so.

    The second is the area, mm2, by which each arc still errs.
    """
    u, v, h = _in_chord(a, b, p)
    w = u * u + v * v - 1
    step = np.hypot(np.gradient(u, axis=1), np.gradient(v, axis=1))
    even = g
    for _ in range(3):
        miss, moved = _miss(w, v, even), _miss(w, v, even + _NUDGE)
        lever = ((moved - miss) * step).sum(axis=1) / _NUDGE
        most = (miss * step).sum(axis=1)
        even = even - np.where(np.abs(lever) > 1e-12, most / np.where(lever == 0, 1, lever), 0)
    held = g
    for share in _SHARES:  # as far towards level as the tolerance allows
        some = g + share * (even - g)
        within = (np.abs(_miss(w, v, some)) * h[:, None]).max(axis=1) <= tolerance
        held = np.where(within, some, held)
    return held, (_miss(w, v, held) * step).sum(axis=1) * h * h


def _in_chord(a: Array, b: Array, p: Array) -> tuple[Array, Array, Array]:
    """Points p (k, c, 2) in the frame of the chord from a to b, half of it the unit.

    Half chords, mm.
    """
    chord = b - a
    h = np.maximum(np.hypot(chord[:, 0], chord[:, 1]) / 2, 1e-12)
    ux, uy = chord[:, 0] / (2 * h), chord[:, 1] / (2 * h)
    d = p - ((a + b) / 2)[:, None]
    u = (d[..., 0] * ux[:, None] + d[..., 1] * uy[:, None]) / h[:, None]
    v = (d[..., 0] * -uy[:, None] + d[..., 1] * ux[:, None]) / h[:, None]
    return u, v, h


_STRICT = 8  # rounds in which kinks are eased by shorter arcs, as far as that helps
_KINK = math.radians(0.95)  # most by which two arcs may differ where they meet on a smooth curve


def _jumps(points: Array, bulges: Array) -> Array:
    """Angle, radians, by which the direction jumps at each vertex of a chain of arcs."""
    chord = np.roll(points, -1, axis=0) - points
    heading = np.arctan2(chord[:, 1], chord[:, 0])
    half = 2 * np.arctan(bulges)
    jump = heading - half - np.roll(heading + half, 1)
    return np.asarray(np.remainder(jump + np.pi, 2 * np.pi) - np.pi)


def arc_area(points: Array, bulges: Array) -> float:
    """Signed area enclosed by a chain of arcs: the polygon and its circular segments."""
    after = np.roll(points, -1, axis=0)
    chord = np.hypot(*(after - points).T)
    theta = 4 * np.arctan(np.abs(bulges))
    radius = chord * (1 + bulges**2) / (4 * np.maximum(np.abs(bulges), 1e-15))
    cut = radius**2 / 2 * (theta - np.sin(theta)) * np.sign(bulges)
    d = points - points[0]
    return float(cross(d, np.roll(d, -1, axis=0)).sum() / 2 + cut.sum())


def arc_points(points: Array, bulges: Array, deviation: float = 0.001) -> Array:
    """Flatten a chain of arcs to vertices within ``deviation`` mm."""
    result = []
    for p, q, g in zip(points, np.roll(points, -1, axis=0), bulges, strict=True):
        theta = 4 * math.atan(g)
        half = (q - p) / 2
        if abs(g) < 1e-9:
            result.append(p[None])
            continue
        normal = np.array([-half[1], half[0]])
        centre = p + half + normal * (1 - g * g) / (2 * g)
        r = float(np.hypot(*(p - centre)))
        n = max(1, math.ceil(abs(theta) / (2 * math.acos(max(1 - deviation / r, -1.0)))))
        a0 = math.atan2(p[1] - centre[1], p[0] - centre[0])
        a = a0 + theta * np.arange(n) / n
        result.append(centre + r * np.stack([np.cos(a), np.sin(a)], axis=1))
    return np.concatenate(result)

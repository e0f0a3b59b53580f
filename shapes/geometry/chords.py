"""Straight cuts across a board that part one point of it from another."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from shapes.geometry.curve import Array, Flags, cross, dot

_BEST, _ROUNDS = 3, 4
_STEP = np.array([-1.0, -0.5, 0.0, 0.5, 1.0])


_APART = 1e-6  # of unit tangents that are one


@dataclass(frozen=True, slots=True, eq=False)
class Chords:
    """k straight cuts from the edge to the edge; lengths mm, angles radians in [0, pi)."""

    a: Array  # (k, 2)
    b: Array
    width: Array  # wood along the cut: openings are left out
    pieces: Array  # bits of wood along it: one more for each opening crossed
    # (k, 4) ways in which the part may run: square to the cut, along either edge, midway between.
    runs: Array
    ways: tuple[Array, Array]  # where on the edge it starts and ends, mm from the first vertex


@dataclass(frozen=True, slots=True, eq=False)
class Ring:
    """A closed polygon travelled by length, with openings as polygons."""

    vertices: Array
    travelled: Array  # (n + 1,) length up to each vertex, and all of it
    steps: Array  # (n, 2) from each vertex to the next
    openings: tuple[Array, ...]

    def at(self, s: Array) -> tuple[Array, Array]:
        """Points and unit tangents at lengths s."""
        total = self.travelled[-1]
        s = np.mod(s, total)
        i = np.clip(np.searchsorted(self.travelled, s, side="right") - 1, 0, len(self.vertices) - 1)
        size = np.maximum(self.travelled[i + 1] - self.travelled[i], 1e-12)
        tangent = self.steps[i] / size[..., None]
        return self.vertices[i] + (s - self.travelled[i])[..., None] * tangent, tangent


def ring(edge: Array, openings: tuple[Array, ...] = ()) -> Ring:
    """Make a ring of an anticlockwise polygon (n, 2) and the polygons of its openings."""
    step = np.roll(edge, -1, axis=0) - edge
    lengths = np.hypot(step[:, 0], step[:, 1])
    return Ring(edge, np.concatenate([[0.0], np.cumsum(lengths)]), step, openings)


def chords(r: Ring, s: Array, t: Array) -> Chords:
    """Cuts between lengths s and t (k,) of a ring."""
    (a, u), (b, v) = r.at(s), r.at(t)
    across = b - a
    length = np.hypot(across[:, 0], across[:, 1])
    missing, crossed = np.zeros(len(s)), np.zeros(len(s))
    for hole in r.openings:
        lost, times = _inside(hole, a, across)
        missing += lost * length
        crossed += times / 2
    square = np.stack([-across[:, 1], across[:, 0]], axis=1)
    # Both ends on one straight edge: nothing lies midway between.
    midway = np.where(np.hypot(*(u - v).T)[:, None] > _APART, u - v, square)
    ways = np.stack([square, u, v, midway], axis=1)
    runs = np.mod(np.arctan2(ways[..., 1], ways[..., 0]), np.pi)
    return Chords(a, b, length - missing, crossed + 1, runs, (s, t))


def _inside(hole: Array, a: Array, across: Array) -> tuple[Array, Array]:
    """Share of each line a + t across that lies in a polygon, and how often it crosses it."""
    p, q = hole, np.roll(hole, -1, axis=0)
    left_p = cross(across[:, None], p[None] - a[:, None]) > 0
    left_q = cross(across[:, None], q[None] - a[:, None]) > 0
    sign = left_q.astype(float) - left_p.astype(float)
    d = q - p
    below = cross(across[:, None], d[None])
    t = cross(p[None] - a[:, None], d[None]) / np.where(np.abs(below) < 1e-12, 1e-12, below)
    crossing = (sign != 0) & (t > 0) & (t < 1)
    return np.abs(np.where(crossing, sign * t, 0.0).sum(axis=1)), crossing.sum(axis=1)


def turns_about(r: Ring, point: Array) -> Array:
    """Angle travelled about a point, radians, at each vertex of a ring and all the way round."""
    d = np.concatenate([r.vertices, r.vertices[:1]]) - point
    step = np.arctan2(cross(d[:-1], d[1:]), dot(d[:-1], d[1:]))
    return np.concatenate([[0.0], np.cumsum(step)])


def holds(r: Ring, point: Array) -> bool:
    """Whether a point lies within a ring."""
    return bool(abs(turns_about(r, point)[-1]) > np.pi)


def _part_of(r: Ring, point: Array, turned: Array, s: Array, t: Array) -> Flags:
    """Whether a point lies in the part of the board that s to t and the cut back enclose."""
    ends = np.stack([np.minimum(s, t), np.maximum(s, t)])
    i = np.clip(np.searchsorted(r.travelled, ends, side="right") - 1, 0, len(r.vertices) - 1)
    share = (ends - r.travelled[i]) / np.maximum(r.travelled[i + 1] - r.travelled[i], 1e-12)
    e = r.vertices[i] - point
    f = e + share[..., None] * r.steps[i]
    angle = turned[i] + np.arctan2(cross(e, f), dot(e, f))
    way = angle[1] - angle[0]
    back = np.mod(way + np.pi, 2 * np.pi) - np.pi  # the cut itself turns by less than half a turn
    return np.asarray(np.round((way - back) / (2 * np.pi)) != 0)


@dataclass(frozen=True, slots=True, eq=False)
class Parting:
    """Every cut tried that parts ``one`` from ``other``, and a way to look at more of them."""

    ring: Ring
    one: Array
    other: Array
    turned: tuple[Array, Array]
    s: Array
    t: Array
    spacing: float

    def parts(self, s: Array, t: Array) -> Flags:
        """Whether cuts part the two points."""
        one = _part_of(self.ring, self.one, self.turned[0], s, t)
        return np.asarray(one != _part_of(self.ring, self.other, self.turned[1], s, t))

    def clear(self, c: Chords) -> Flags:
        """Whether cuts stay on the board, openings apart."""
        inset = 1e-6
        across = c.b - c.a
        _, crossed = _inside(self.ring.vertices, c.a + inset * across, across * (1 - 2 * inset))
        return np.asarray(crossed == 0)


def parting(r: Ring, one: Array, other: Array, count: int) -> Parting:
    """Cuts between ``count`` evenly spread places of the edge that part two points within it."""
    total = r.travelled[-1]
    places = np.arange(count) * total / count
    i, j = np.triu_indices(count, 1)
    turned = turns_about(r, one), turns_about(r, other)
    whole = Parting(r, one, other, turned, places[i], places[j], total / count)
    keep = whole.parts(whole.s, whole.t)
    return Parting(r, one, other, turned, whole.s[keep], whole.t[keep], total / count)


def weakest(p: Parting, rate: Callable[[Chords], Array]) -> tuple[Chords, float] | None:
    """The cut that ``rate`` gives the least of, and that least; None where no cut parts the points.

    The best of all tried are closed in on by ever finer steps along the edge.
    """
    if not len(p.s):
        return None
    order = np.argsort(rate(chords(p.ring, p.s, p.t)), kind="stable")
    starts: list[int] = []
    for k in range(0, len(order), 16):
        some = order[k : k + 16]
        clear = p.clear(chords(p.ring, p.s[some], p.t[some]))
        starts += some[clear].tolist()
        if len(starts) >= _BEST:
            break
    if not starts:
        return None
    s, t = p.s[starts[:_BEST]], p.t[starts[:_BEST]]
    # Steps along the edge seldom lead off the board: looked for only where the result says so.
    for careful in (False, True):
        u, v, best = _closed_in(p, rate, s, t, careful=careful)
        k = int(best.argmin())
        found = chords(p.ring, u[k : k + 1], v[k : k + 1])
        if careful or p.clear(found)[0]:
            break
    if not np.isfinite(best[k]):
        return None
    return found, float(best[k])


def _closed_in(
    p: Parting, rate: Callable[[Chords], Array], s: Array, t: Array, *, careful: bool
) -> tuple[Array, Array, Array]:
    """Walk from cuts s to t to the least round them, by ever finer steps along the edge."""
    total = p.ring.travelled[-1]
    step = p.spacing / 2
    du, dv = (g.ravel() for g in np.meshgrid(_STEP, _STEP))
    best, rows = np.full(len(s), np.inf), np.arange(len(s))
    for _ in range(_ROUNDS):
        ss = np.mod(s[:, None] + step * du, total).ravel()
        tt = np.mod(t[:, None] + step * dv, total).ravel()
        c = chords(p.ring, ss, tt)
        good = p.parts(ss, tt)
        good = good & p.clear(c) if careful else good
        value = np.where(good, rate(c), np.inf).reshape(len(s), -1)
        pick = value.argmin(axis=1)
        best = value[rows, pick]
        s, t = ss.reshape(value.shape)[rows, pick], tt.reshape(value.shape)[rows, pick]
        step /= 4
    return s, t, best

"""Rows of stretches: an edge written as turns and lengths, closed at an asked size.

A stretch turns by an angle over a length; turn over length is its curvature. From one stretch to
the next curvature is eased by a ramp that lies half in each (a smoothstep, so it runs on smoothly),
which leaves every turn as it was stated and every stretch longer than its ramps at its own radius.
A few lengths are then changed, as little as may be, so that the edge closes in the asked box.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from types import EllipsisType

import numpy as np
from numpy.polynomial.legendre import leggauss

from shapes.geometry.curve import Array, Flags, Ints

NATURAL = "natural"  # name of the stretches that follow the natural edge of a piece, with a number
EASE = 20.0  # mm: half of the longest ramp
RAMP_SHARE = 0.42  # of the shorter neighbour that half a ramp takes at most: a core is always left
CLOSED = 1e-7  # mm by which a solved row may miss its aims
TRIES = 30
LOST = 1.6  # logarithm of a length: a row that has to give this much will not be drawn
_STEP = 0.35  # most change of a logarithm of a length in one step
# Where the board is as low as it can lie, height grows with the heading either way: what the
# heading may give once it swings back, so that lengths give instead.
_CALMER = 0.5
NODES, WEIGHTS = leggauss(6)
NODES, WEIGHTS = (NODES + 1) / 2, WEIGHTS / 2
PARTS = 4  # of a stretch: half a ramp, two halves of the core, half a ramp
_CANDIDATES = 6  # pieces in which an extreme is looked for
_QUARTERS = np.array([0.0, 0.5, 1.0, 1.5]) * np.pi  # headings at the lowest, right, top, left point


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of an edge: turn in radians (a hollow negative), length in mm.

    ``give`` tells how freely the solver may change its length; 0 keeps it.
    """

    turn: float
    length: float
    give: float = 1.0
    name: str = ""

    @property
    def radius(self) -> float:
        """Radius, mm, of its core; inf where it is straight, negative in a hollow."""
        return self.length / self.turn if self.turn else math.inf


@dataclass(frozen=True, slots=True)
class Row:
    """An edge as a row of stretches, anticlockwise, with what it is to be solved for.

    ``box``: length and width, mm. ``heading``: radians, where the core of the first stretch starts.
    ``height``: (i, j, v): the middle of stretch i lies v mm above that of stretch j, or of the box
    where j is -1; with ``swings`` the heading is solved for too.
    """

    stretches: tuple[Stretch, ...]
    box: tuple[float, float]
    heading: float = 0.0
    ease: float = EASE
    height: tuple[int, int, float] | None = None
    swings: float = 0.0

    @property
    def natural(self) -> bool:
        """Whether some of it follows the natural edge of a piece: that is its lower side then."""
        return any(s.name.startswith(NATURAL) for s in self.stretches)

    def with_lengths(self, lengths: Sequence[float], heading: float) -> Row:
        """Return the row with other lengths."""
        made = tuple(replace(s, length=v) for s, v in zip(self.stretches, lengths, strict=True))
        return replace(self, stretches=made, heading=heading)


@dataclass(frozen=True, slots=True)
class Solved:
    """A row that closes.

    How far its lengths were moved (logarithm, the worst) and what is missing, mm.
    """

    row: Row
    moved: float
    error: float


Place = tuple[Ints, Ints, Ints] | EllipsisType  # pieces by row, stretch and part; or all


@dataclass(frozen=True, slots=True, eq=False)
class RowPieces:
    """Pieces of eased rows.

    Lengths, headings at their start, curvatures at both ends, (B, n, 4).
    """

    long: Array
    start: Array
    bend: Array  # (B, n, 4, 2): curvature where the underlying ramp or core starts and ends
    share: Array  # (B, n, 4, 2): where on that ramp the piece starts and ends
    mean: Array  # (B, n, 4): mean curvature of each piece

    def heading(self, u: Array, at: Place = ...) -> Array:
        """Heading at the share u (..., k) of pieces: of all, or of those indexed by ``at``."""
        long, start = self.long[at][..., None], self.start[at][..., None]
        a, b = self.bend[at][..., 0, None], self.bend[at][..., 1, None]
        low, high = self.share[at][..., 0, None], self.share[at][..., 1, None]
        wide = high - low
        v = low + u * wide
        return np.asarray(start + long * (a * u + (b - a) * (_rise(v) - _rise(low)) / wide))

    def curvature(self, u: Array, at: Place) -> Array:
        """Curvature at the share u of pieces indexed by ``at``."""
        a, b = self.bend[at][..., 0], self.bend[at][..., 1]
        low, high = self.share[at][..., 0], self.share[at][..., 1]
        v = low + u * (high - low)
        return np.asarray(a + (b - a) * v * v * (3 - 2 * v))

    def curvature_at(self, u: Array) -> Array:
        """Curvature at the shares u (k,) of all pieces: (B, n, 4, k)."""
        a, b = self.bend[..., 0, None], self.bend[..., 1, None]
        v = self.share[..., 0, None] + u * (self.share[..., 1] - self.share[..., 0])[..., None]
        return np.asarray(a + (b - a) * v * v * (3 - 2 * v))


def _rise(v: Array) -> Array:
    """Integral of the smoothstep v^2 (3 - 2 v)."""
    return np.asarray(v * v * v - v * v * v * v / 2)


@dataclass(frozen=True, slots=True, eq=False)
class _Rows:
    """Rows side by side, padded to the longest with stretches of no length: arrays (B, n)."""

    turn: Array
    length: Array
    count: Ints  # (B,) stretches of each
    before: Ints  # (B, n) which stretch comes before and after each, round the row
    after: Ints
    real: Flags

    def of(self, keep: Ints) -> _Rows:
        """Return some of the rows."""
        return _Rows(*(getattr(self, n)[keep] for n in self.__dataclass_fields__))


def _side_by_side(rows: Sequence[Row]) -> _Rows:
    count = np.array([len(r.stretches) for r in rows])
    most = int(count.max())
    turn, length = np.zeros((len(rows), most)), np.zeros((len(rows), most))
    for i, r in enumerate(rows):
        turn[i, : count[i]] = [s.turn for s in r.stretches]
        length[i, : count[i]] = [s.length for s in r.stretches]
    order = np.arange(most)[None, :]
    after = np.where(order + 1 < count[:, None], order + 1, 0)
    before = np.where(order > 0, order - 1, count[:, None] - 1)
    return _Rows(turn, length, count, before, after, order < count[:, None])


def _chain(rows: _Rows, length: Array, heading: Array, ease: Array) -> RowPieces:
    """Return the pieces of eased rows, with lengths of their own."""
    k = rows.turn / np.where(rows.real, length, 1.0)
    next_k = np.take_along_axis(k, rows.after, axis=1)
    last_k = np.take_along_axis(k, rows.before, axis=1)
    shorter = np.minimum(length, np.take_along_axis(length, rows.after, axis=1))
    half = np.where(rows.real, np.minimum(ease[:, None], RAMP_SHARE * shorter), 0.0)
    first = np.where(rows.real, np.take_along_axis(half, rows.before, axis=1), 0.0)
    core = (length - half - first) / 2
    long = np.stack([first, core, core, half], axis=2)
    bend = np.stack(
        [np.stack([last_k, k, k, k], axis=2), np.stack([k, k, k, next_k], axis=2)], axis=3
    )
    share = np.empty((*long.shape, 2))
    share[..., 0] = (0.5, 0.0, 0.0, 0.0)
    share[..., 1] = (1.0, 1.0, 1.0, 0.5)
    wide = share[..., 1] - share[..., 0]
    mean = (_rise(share[..., 1]) - _rise(share[..., 0])) / wide
    curved = bend[..., 0] + (bend[..., 1] - bend[..., 0]) * mean
    grown = (long * curved).reshape(len(long), -1)
    start = np.cumsum(grown, axis=1) - grown - grown[:, :1] + heading[:, None]
    return RowPieces(long, start.reshape(long.shape), bend, share, curved)


def travel(chain: RowPieces) -> Array:
    """Return the step (B, n, 4, 2) from the start of each piece to its end."""
    way = chain.heading(NODES)
    cos = (np.cos(way) * WEIGHTS).sum(axis=-1) * chain.long
    sin = (np.sin(way) * WEIGHTS).sum(axis=-1) * chain.long
    return np.stack([cos, sin], axis=-1)


def _sides(chain: RowPieces, ends: Array, pieces: Ints) -> tuple[Array, Ints, Array]:
    """Return the four extents (B, 4) in the order of _QUARTERS, the stretch of each, and its point.

    ``pieces`` (B,) says how many of the row are real.
    Each piece taken for an arc tells how far it would reach; in the best few, which may lie in two
    ends of a board, the place where the heading is square to the axis is then exact.
    """
    count = len(ends)
    flat = ends.reshape(count, -1, 2)
    begin = np.concatenate([np.zeros((count, 1, 2)), flat[:, :-1]], axis=1)
    long, start = (v.reshape(count, -1) for v in (chain.long, chain.start))
    mean = chain.mean.reshape(count, -1)
    off = (start[:, None, :] - _QUARTERS[:, None] + np.pi) % (2 * np.pi) - np.pi
    last = off + (mean * long)[:, None, :]
    inside = (off < 0) & (last > 0) & (mean > 0)[:, None, :]
    gain = (1 - np.cos(off)) / np.where(mean > 0, mean, 1.0)[:, None, :]
    reach = _toward(begin) + np.where(inside, gain, 0.0)
    real = np.arange(reach.shape[2])[None, None, :] < pieces[:, None, None]
    found = np.argsort(np.where(real, -reach, np.inf), axis=2, kind="stable")[:, :, :_CANDIDATES]
    every = np.broadcast_to(np.arange(count)[:, None, None], found.shape)
    at = (every, found // PARTS, found % PARTS)
    long, a, b = chain.long[at], chain.bend[at][..., 0], chain.bend[at][..., 1]
    low, wide = chain.share[at][..., 0], chain.share[at][..., 1] - chain.share[at][..., 0]
    start = chain.start[at] - _QUARTERS[:, None]
    rise = _rise(low)
    u = np.full(found.shape, 0.5)
    for _ in range(4):
        v = low + u * wide
        way = start + long * (a * u + (b - a) * (_rise(v) - rise) / wide)
        speed = long * (a + (b - a) * v * v * (3 - 2 * v))
        way = (way + np.pi) % (2 * np.pi) - np.pi
        u = np.clip(u - way / np.where(np.abs(speed) < 1e-9, 1e-9, speed), 0.0, 1.0)
    going = chain.heading(u[..., None] * NODES, at)
    went = np.stack([(f(going) * WEIGHTS).sum(axis=-1) for f in (np.cos, np.sin)], axis=-1)
    place = begin[every, found] + went * (long * u)[..., None]
    value = np.stack(
        [-place[:, 0, :, 1], place[:, 1, :, 0], place[:, 2, :, 1], -place[:, 3, :, 0]], axis=1
    )
    pick = value.argmax(axis=2)[..., None]
    best = np.take_along_axis(value, pick, axis=2)[..., 0]
    spot = np.take_along_axis(place, pick[..., None], axis=2)[:, :, 0]
    return best, np.take_along_axis(at[1], pick, axis=2)[..., 0], spot


def _toward(p: Array) -> Array:
    """How far points (B, k, 2) lie down, right, up and left: (B, 4, k)."""
    return np.stack([-p[..., 1], p[..., 0], p[..., 1], -p[..., 0]], axis=1)


def solve(rows: Sequence[Row]) -> list[Solved]:
    """Close rows at their boxes, all at once.

    Gauss-Newton on logarithms of lengths, least change weighted by ``give``. The Jacobian is that
    of stretches scaled about their start, which is exact but for the ramps; what a row still misses
    is its ``error``.
    """
    if not rows:
        return []
    side = _side_by_side(rows)
    most = side.turn.shape[1]
    give = np.zeros((len(rows), most + 1))
    for i, r in enumerate(rows):
        give[i, : side.count[i]] = [s.give for s in r.stretches]
        give[i, most] = r.swings
    ease = np.array([r.ease for r in rows])
    lean = np.array([r.heading for r in rows])
    box = np.array([r.box for r in rows])
    aim = np.array([r.height or (0, -1, math.nan) for r in rows])
    move = np.zeros_like(give)
    short = np.full(len(rows), math.inf)
    swing = np.zeros(len(rows))  # last step of the heading
    open_ = np.arange(len(rows))
    for _ in range(TRIES):
        if not len(open_):
            break
        o = open_
        length, heading = side.length[o] * np.exp(move[o, :-1]), lean[o] + move[o, -1]
        miss, slope = _misses(side.of(o), length, heading, ease[o], box[o], aim[o])
        short[o] = np.abs(miss).max(axis=1)
        going = short[o] > CLOSED
        weighted = slope * give[o][:, None, :]
        square = (weighted[:, :, None, :] * weighted[:, None, :, :]).sum(axis=-1)
        trace = np.einsum("bii->b", square)
        square[:, np.arange(5), np.arange(5)] += 1e-9 * trace[:, None] + 1e-12
        unused = np.isnan(aim[o, 2])
        square[unused, 4, 4] += 1.0
        pull = np.linalg.solve(square, -miss[..., None])[..., 0]
        step = give[o] * (weighted * pull[:, :, None]).sum(axis=1)
        size = np.abs(step).max(axis=1, keepdims=True)
        step *= np.minimum(1.0, _STEP / np.maximum(size, 1e-12))
        back = step[:, -1] * swing[o] < 0
        give[o, -1] *= np.where(back, _CALMER, 1.0)
        swing[o] = step[:, -1]
        move[o] += np.where(going[:, None], step, 0.0)
        lost = np.abs(move[o]).max(axis=1) > LOST
        open_ = o[going & ~lost]
    length, heading = side.length * np.exp(move[:, :-1]), lean + move[:, -1]
    return [
        Solved(
            r.with_lengths(length[i, : side.count[i]].tolist(), float(heading[i])),
            float(np.abs(move[i]).max()),
            float(short[i]),
        )
        for i, r in enumerate(rows)
    ]


def _misses(
    rows_: _Rows, length: Array, heading: Array, ease: Array, box: Array, aim: Array
) -> tuple[Array, Array]:
    """What rows miss, mm (B, 5), and how that changes with
    each length's logarithm and the heading.
    """
    chain = _chain(rows_, length, heading, ease)
    steps = travel(chain)
    count, n = length.shape
    ends = np.cumsum(steps.reshape(count, -1, 2), axis=1).reshape(steps.shape)
    chord = steps.sum(axis=2)  # (B, n, 2)
    joint = ends[:, :, -1]
    side, owner, spot = _sides(chain, ends, rows_.count * PARTS)
    miss = np.zeros((count, 5))
    miss[:, :2] = joint[:, -1]
    miss[:, 2] = side[:, 1] + side[:, 3] - box[:, 0]
    miss[:, 3] = side[:, 0] + side[:, 2] - box[:, 1]
    slope = np.zeros((count, 5, n + 1))
    slope[:, :2, :n] = np.swapaxes(chord, 1, 2)
    slope[:, 0, n], slope[:, 1, n] = -joint[:, -1, 1], joint[:, -1, 0]
    # A point in stretch p moves with all that lies before it, and with its own share of p.
    order = np.arange(n)
    rows = np.arange(count)

    def pulled(p: Ints, at: Array, axis: int) -> Array:
        begin = np.where((p == 0)[:, None], 0.0, joint[rows, p - 1])
        way = np.where(order[None, :] < p[:, None], chord[..., axis], 0.0)
        way[rows, p] = (at - begin)[:, axis]
        by_heading = -at[:, 1] if axis == 0 else at[:, 0]
        return np.concatenate([way, by_heading[:, None]], axis=1)

    east, west = pulled(owner[:, 1], spot[:, 1], 0), pulled(owner[:, 3], spot[:, 3], 0)
    south, north = pulled(owner[:, 0], spot[:, 0], 1), pulled(owner[:, 2], spot[:, 2], 1)
    slope[:, 2], slope[:, 3] = east - west, north - south
    used = ~np.isnan(aim[:, 2])
    if used.any():
        i, j = aim[:, 0].astype(np.intp), aim[:, 1].astype(np.intp)
        middle = ends[rows, i, 1]
        own = pulled(i, middle, 1)
        other_at = ends[rows, np.maximum(j, 0), 1]
        other = np.where(
            (j >= 0)[:, None], pulled(np.maximum(j, 0), other_at, 1), (north + south) / 2
        )
        level = np.where(j >= 0, other_at[:, 1], (side[:, 2] - side[:, 0]) / 2)
        miss[:, 4] = np.where(used, middle[:, 1] - level - np.nan_to_num(aim[:, 2]), 0.0)
        slope[:, 4] = np.where(used[:, None], own - other, 0.0)
    return miss, slope


def single(row: Row) -> RowPieces:
    """Return the pieces of one row."""
    rows = _side_by_side([row])
    return _chain(rows, rows.length, np.array([row.heading]), np.array([row.ease]))


def middles_of(row: Row) -> Array:
    """Points (n, 2) in the middle of each stretch's core, from (0, 0).

    What ``height`` is measured between.
    """
    turns, lengths = (
        np.array([[getattr(s, n) for s in row.stretches]]) for n in ("turn", "length")
    )
    _, ends = walked(row, turns, lengths, np.array([row.heading]))
    return np.asarray(ends[0, :, 1])


def walked(row: Row, turns: Array, lengths: Array, headings: Array) -> tuple[RowPieces, Array]:
    """Walk variants of a row from (0, 0): turns and lengths (B, n), headings (B,).

    Returns their pieces, and the point (B, n, 4, 2) where each piece ends; they need not close.
    """
    count, n = turns.shape
    order = np.arange(n)
    rows = _Rows(
        turns,
        lengths,
        np.full(count, n),
        np.broadcast_to((order - 1) % n, (count, n)),
        np.broadcast_to((order + 1) % n, (count, n)),
        np.ones((count, n), dtype=bool),
    )
    chain = _chain(rows, lengths, headings, np.full(count, row.ease))
    steps = travel(chain)
    return chain, np.cumsum(steps.reshape(count, -1, 2), axis=1).reshape(steps.shape)

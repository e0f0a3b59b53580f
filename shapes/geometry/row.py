"""Rows of stretches: an edge written as turns and lengths, closed at an asked size.

A stretch turns by an angle over a length; turn over length is its curvature. From one stretch to the
next curvature is eased by a ramp that lies half in each (a smoothstep, so it runs on smoothly), which
leaves every turn as it was stated and every stretch longer than its ramps at its own radius. A few
lengths are then changed, as little as may be, so that the edge closes in the asked box.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.polynomial.legendre import leggauss

from shapes.errors import OutlineError
from shapes.geometry.curve import Array, Curve, Flags, Ints, spline

EASE = 20.0  # mm: half of the longest ramp
SHORT = 0.42  # of the shorter neighbour that half a ramp takes at most: a core is always left
CLOSED = 1e-7  # mm by which a solved row may miss its aims
TRIES = 30
LOST = 1.6  # logarithm of a length: a row that has to give this much will not be drawn
_STEP = 0.35  # most change of a logarithm of a length in one step
_NODES, _WEIGHTS = leggauss(6)
_NODES, _WEIGHTS = (_NODES + 1) / 2, _WEIGHTS / 2
_PARTS = 4  # of a stretch: half a ramp, two halves of the core, half a ramp
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

    ``box``: length and width, mm. ``heading``: radians, where the core of the first stretch starts. ``height``:
    (i, j, v): the middle of stretch i lies v mm above that of stretch j, or of the box where j is -1;
    with ``swings`` the heading is solved for too.
    """

    stretches: tuple[Stretch, ...]
    box: tuple[float, float]
    heading: float = 0.0
    ease: float = EASE
    height: tuple[int, int, float] | None = None
    swings: float = 0.0

    def with_lengths(self, lengths: Sequence[float], heading: float) -> Row:
        """Return the row with other lengths."""
        made = tuple(
            replace(s, length=v) for s, v in zip(self.stretches, lengths, strict=True)
        )
        return replace(self, stretches=made, heading=heading)


@dataclass(frozen=True, slots=True)
class Solved:
    """A row that closes; how far its lengths were moved (logarithm, the worst) and what is missing, mm."""

    row: Row
    moved: float
    error: float


@dataclass(frozen=True, slots=True, eq=False)
class _Chain:
    """Pieces of eased rows: lengths, headings at their start, curvatures at both ends, (B, n, 4)."""

    long: Array
    start: Array
    bend: Array  # (B, n, 4, 2): curvature where the underlying ramp or core starts and ends
    share: Array  # (B, n, 4, 2): where on that ramp the piece starts and ends
    mean: Array  # (B, n, 4): mean curvature of each piece

    def heading(self, u: Array, at: tuple[Array, ...] | None = None) -> Array:
        """Heading at the share u (..., k) of pieces: of all, or of those indexed by ``at``."""
        pick = (lambda a: a) if at is None else (lambda a: a[at])
        long, start = pick(self.long)[..., None], pick(self.start)[..., None]
        a, b = pick(self.bend)[..., 0, None], pick(self.bend)[..., 1, None]
        low, high = pick(self.share)[..., 0, None], pick(self.share)[..., 1, None]
        wide = high - low
        v = low + u * wide
        return np.asarray(
            start + long * (a * u + (b - a) * (_rise(v) - _rise(low)) / wide)
        )

    def curvature(self, u: Array, at: tuple[Array, ...]) -> Array:
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


def _chain(rows: _Rows, length: Array, heading: Array, ease: Array) -> _Chain:
    """Return the pieces of eased rows, with lengths of their own."""
    k = rows.turn / np.where(rows.real, length, 1.0)
    next_k = np.take_along_axis(k, rows.after, axis=1)
    last_k = np.take_along_axis(k, rows.before, axis=1)
    shorter = np.minimum(length, np.take_along_axis(length, rows.after, axis=1))
    half = np.where(rows.real, np.minimum(ease[:, None], SHORT * shorter), 0.0)
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
    return _Chain(long, start.reshape(long.shape), bend, share, curved)


def _travel(chain: _Chain) -> Array:
    """Return the step (B, n, 4, 2) from the start of each piece to its end."""
    way = chain.heading(_NODES)
    cos = (np.cos(way) * _WEIGHTS).sum(axis=-1) * chain.long
    sin = (np.sin(way) * _WEIGHTS).sum(axis=-1) * chain.long
    return np.stack([cos, sin], axis=-1)


def _sides(chain: _Chain, ends: Array, pieces: Ints) -> tuple[Array, Ints, Array]:
    """Return the four extents (B, 4) in the order of _QUARTERS, the stretch of each, and its point.

    ``pieces`` (B,) says how many of the row are real.
    Each piece taken for an arc tells how far it would reach; in the best few, which may lie in two
    ends of a board, the place where the heading is square to the axis is then exact.
    """
    count = len(ends)
    flat = ends.reshape(count, -1, 2)
    begin = np.concatenate([np.zeros((count, 1, 2)), flat[:, :-1]], axis=1)
    rows = np.arange(count)[:, None]
    long, start = (v.reshape(count, -1) for v in (chain.long, chain.start))
    mean = chain.mean.reshape(count, -1)
    off = (start[:, None, :] - _QUARTERS[:, None] + np.pi) % (2 * np.pi) - np.pi
    last = off + (mean * long)[:, None, :]
    inside = (off < 0) & (last > 0) & (mean > 0)[:, None, :]
    gain = (1 - np.cos(off)) / np.where(mean > 0, mean, 1.0)[:, None, :]
    reach = _toward(begin) + np.where(inside, gain, 0.0)
    real = np.arange(reach.shape[2])[None, None, :] < pieces[:, None, None]
    found = np.argsort(np.where(real, -reach, np.inf), axis=2, kind="stable")
    best = np.full((count, 4), -np.inf)
    spot, owner = np.zeros((count, 4, 2)), np.zeros((count, 4), dtype=np.intp)
    for k in range(_CANDIDATES):
        piece = found[:, :, k]
        at = (np.broadcast_to(rows, piece.shape), piece // _PARTS, piece % _PARTS)
        u = np.full(piece.shape, 0.5)
        for _ in range(5):
            way = (chain.heading(u[..., None], at)[..., 0] - _QUARTERS + np.pi) % (2 * np.pi) - np.pi
            speed = chain.long[at] * chain.curvature(u, at)
            u = np.clip(u - way / np.where(np.abs(speed) < 1e-9, 1e-9, speed), 0.0, 1.0)
        going = chain.heading(u[..., None] * _NODES, at)
        going = np.stack([np.cos(going), np.sin(going)], axis=-1)
        went = (going * _WEIGHTS[:, None]).sum(axis=-2) * (chain.long[at] * u)[..., None]
        place = begin[rows, piece] + went
        value = np.stack(
            [-place[:, 0, 1], place[:, 1, 0], place[:, 2, 1], -place[:, 3, 0]], axis=1
        )
        better = value > best
        best = np.where(better, value, best)
        spot = np.where(better[..., None], place, spot)
        owner = np.where(better, piece // _PARTS, owner)
    return best, owner, spot


def _toward(p: Array) -> Array:
    """How far points (B, k, 2) lie down, right, up and left: (B, 4, k)."""
    return np.stack([-p[..., 1], p[..., 0], p[..., 1], -p[..., 0]], axis=1)


def solve(rows: Sequence[Row]) -> list[Solved]:
    """Close rows at their boxes, all at once.

    Gauss-Newton on logarithms of lengths, least change weighted by ``give``. The Jacobian is that of
    stretches scaled about their start, which is exact but for the ramps; what a row still misses is
    its ``error``.
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
    """What rows miss, mm (B, 5), and how that changes with each length's logarithm and the heading."""
    chain = _chain(rows_, length, heading, ease)
    travel = _travel(chain)
    count, n = length.shape
    ends = np.cumsum(travel.reshape(count, -1, 2), axis=1).reshape(travel.shape)
    chord = travel.sum(axis=2)  # (B, n, 2)
    joint = ends[:, :, -1]
    side, owner, spot = _sides(chain, ends, rows_.count * _PARTS)
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
        other = np.where((j >= 0)[:, None], pulled(np.maximum(j, 0), other_at, 1), (north + south) / 2)
        level = np.where(j >= 0, other_at[:, 1], (side[:, 2] - side[:, 0]) / 2)
        miss[:, 4] = np.where(used, middle[:, 1] - level - np.nan_to_num(aim[:, 2]), 0.0)
        slope[:, 4] = np.where(used[:, None], own - other, 0.0)
    return miss, slope


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """A solved row as it is drawn: samples along it, and the middle of each stretch's core.

    ``points`` (N, 2), ``headings`` (N,) and ``curvatures`` (N,) stand at ``way`` (N,) mm from the start.
    """

    row: Row
    way: Array
    points: Array
    headings: Array
    curvatures: Array
    joints: Array  # (n + 1,) mm from the start, where each stretch begins

    @property
    def length(self) -> float:
        """Length all round, mm."""
        return float(self.joints[-1])

    def middle(self, i: int) -> float:
        """Way, mm, to the middle of stretch i."""
        return float(self.joints[i] + self.joints[i + 1]) / 2

    def at(self, way: Array) -> tuple[Array, Array, Array]:
        """Points, headings and curvatures at ways, mm."""
        return _walk(self.row, way)


def _single(row: Row) -> _Chain:
    rows = _side_by_side([row])
    return _chain(rows, rows.length, np.array([row.heading]), np.array([row.ease]))


def across(stretches: Sequence[Stretch], ease: float = EASE) -> float:
    """Width, mm, between two straight sides that some stretches, half a turn in all, lead round.

    Ramps make it more than twice the radius of a plain half-turn.
    """
    straight = Stretch(0.0, 4 * ease, 0.0)
    # The row is open: what closes it does not matter, since only the way from side to side is asked.
    row = Row((straight, *stretches, straight, Stretch(math.pi, 8 * ease)), (1.0, 1.0), ease=ease)
    long = straight.length
    way = np.array([long / 2, 1.5 * long + sum(s.length for s in stretches)])
    p, heading, _ = _walk(row, way)
    side = np.array([-math.sin(heading[0]), math.cos(heading[0])])
    return float(abs((p[1] - p[0]) @ side))


def hollow_turning(row: Row) -> float:
    """Turning in the hollows of a solved row, ramps and all, radians, to a per cent."""
    chain = _single(row)
    bend = chain.curvature_at(_NODES)
    return -float((np.minimum(bend, 0.0) * _WEIGHTS * chain.long[..., None]).sum())


def _walk(row: Row, way: Array) -> tuple[Array, Array, Array]:
    """Points (N, 2), headings and curvatures at ways (N,), mm, round a row."""
    chain = _single(row)
    steps = _travel(chain).reshape(-1, 2)
    begins = np.concatenate([np.zeros((1, 2)), np.cumsum(steps, axis=0)])
    long = chain.long.ravel()
    marks = np.concatenate([[0.0], np.cumsum(long)])
    laps = np.floor(way / marks[-1])
    way = way - laps * marks[-1]
    piece = np.clip(np.searchsorted(marks, way, side="right") - 1, 0, len(long) - 1)
    u = (way - marks[piece]) / np.maximum(long[piece], 1e-12)
    at = (np.zeros_like(piece), piece // _PARTS, piece % _PARTS)
    inside = chain.heading(u[:, None] * _NODES, at)
    step = np.stack([np.cos(inside), np.sin(inside)], axis=-1)
    went = (step * _WEIGHTS[:, None]).sum(axis=1) * (way - marks[piece])[:, None]
    heading = chain.heading(u[:, None], at)[:, 0] + laps * 2 * np.pi
    return begins[piece] + went, heading, chain.curvature(u, at)


def trace(row: Row, step: float = 2.0) -> Drawn:
    """Walk round a solved row in even steps of about ``step`` mm."""
    lengths = [s.length for s in row.stretches]
    joints = np.concatenate([[0.0], np.cumsum(lengths)])
    count = max(int(joints[-1] / step), 64)
    way = np.arange(count) * (joints[-1] / count)
    return Drawn(row, way, *_walk(row, way), joints)


_FINEST, _WIDEST = 2.5, 9.5  # mm between knots
_DENSE = 0.42  # mm between knots on a bend of 1 mm: a spline then follows real boards to 0.005 mm
_SPREAD = 7.0  # mm over which the distance between knots is evened out


def knots(way: Array, curvatures: Array, length: float) -> Array:
    """Ways of knots, close where the bend is tight: a cubic then errs by h^4 k^3 / 384 or so."""
    bend = np.maximum(np.abs(curvatures), 1e-6)
    # Ramps beside a tight bend want its knots too: the tightest bend near by counts.
    near = np.max([np.roll(bend, k) for k in range(-4, 5)], axis=0)
    dense = 1 / np.clip(_DENSE * near**-0.75, _FINEST, _WIDEST)
    step = length / len(way)
    wave = np.fft.rfftfreq(len(way), step)
    even = np.fft.irfft(np.fft.rfft(dense) * np.exp(-2 * (np.pi * wave * _SPREAD) ** 2), len(way))
    total = np.concatenate([[0.0], np.cumsum((even + np.roll(even, -1)) / 2 * step)])
    count = max(int(math.ceil(total[-1])), 12)
    return np.asarray(np.interp(np.arange(count) * total[-1] / count, total, np.append(way, length)))


def through(points: Array) -> Array:
    """Control points (n, 2) of the closed uniform cubic B-spline through ``points`` (n, 2)."""
    n = len(points)
    factor = (4 + 2 * np.cos(2 * np.pi * np.fft.rfftfreq(n))) / 6
    return np.asarray(np.fft.irfft(np.fft.rfft(points, axis=0) / factor[:, None], n, axis=0))


def control_of(drawn: Drawn) -> Array:
    """Control points of the C2 spline that follows a drawn row within 0.005 mm."""
    at = knots(drawn.way, drawn.curvatures, drawn.length)
    return through(drawn.at(at)[0])


def curve_of(drawn: Drawn) -> Curve:
    """Return the C2 spline that follows a drawn row within 0.005 mm."""
    return spline(control_of(drawn))


def beside(drawn: Drawn, start: float, stop: float, offset: float, step: float = 2.0) -> Array:
    """Points beside an edge, ``offset`` mm into the wood, from one way to another."""
    way = np.linspace(start, stop, max(int((stop - start) / step), 8) + 1)
    p, heading, _ = drawn.at(way)
    return np.asarray(p + offset * np.stack([-np.sin(heading), np.cos(heading)], axis=1))


MOST_TURN = math.radians(28)  # of the edge beside an opening: a gentle arc at most; our choice


def slot(drawn: Drawn, middle: float, run: float, bar: float, wide: float, square: float = 0.0) -> Array:
    """Control points of an opening that runs beside the edge, clockwise: bar and width are constant.

    ``run``: length of the opening, mm, along the edge; its sides take the edge's own turn and give it
    back. ``square``: 0 for round ends, up to 0.6 for softly squared ones. Raises OutlineError where
    the edge is too hollow or too round for it.
    """
    depth = bar + wide / 2
    half = run / 2 - float(_half_turn(square)[:, 0].max()) * wide
    edge = drawn.at(np.array([middle]))[2]
    stretch = 1 - float(edge[0]) * depth
    if stretch < 0.3:
        raise OutlineError("the edge bends too tightly for an opening beside it")
    start, stop = middle - half / stretch, middle + half / stretch
    ends = drawn.at(np.array([start, middle, stop]))[1]
    if max(ends) - min(ends) > MOST_TURN:
        raise OutlineError("the edge bends too much for an opening beside it")
    outer = beside(drawn, start, stop, bar, 1.0)
    inner = beside(drawn, start, stop, bar + wide, 1.0)[::-1]
    ring = np.concatenate([outer, _cap(outer[-1], inner[0], square), inner, _cap(inner[-1], outer[0], square)])[::-1]
    step = np.hypot(*(np.roll(ring, -1, axis=0) - ring).T)
    way = np.concatenate([[0.0], np.cumsum(step)])
    count = max(int(way[-1] / 6.5), 24)
    even = np.arange(count) * way[-1] / count
    closed = np.concatenate([ring, ring[:1]])
    points = np.stack([np.interp(even, way, closed[:, k]) for k in (0, 1)], axis=1)
    return through(points)


def _cap(a: Array, b: Array, square: float) -> Array:
    """Points of a half-turn from a round to b, both left out: an eased arc, or softly squared."""
    across = b - a
    ahead = np.array([across[1], -across[0]])
    shape = _half_turn(square)
    return np.asarray(a + shape[1:-1, :1] * ahead + shape[1:-1, 1:] * across)


def _half_turn(square: float) -> Array:
    """A half-turn to the left from (0, 0) to (0, 1), starting along x: points about 1/60 apart."""
    turn, flat = math.pi / 2, square
    soft = 0.35  # share of each quarter that eases in and out
    u = (np.arange(240) + 0.5) / 240
    ramp = np.clip(np.minimum(u, 1 - u) / soft, 0, 1)
    bend = ramp * ramp * (3 - 2 * ramp) if square else np.clip(np.minimum(u, 1 - u) / 0.12, 0, 1)
    if square:
        heading = np.cumsum(bend) / bend.sum() * turn
        quarter = np.stack([np.cos(heading), np.sin(heading)], axis=1) / 240
        one = np.concatenate([[[0.0, 0.0]], np.cumsum(quarter, axis=0)])
        two = one[-1] + [0.0, flat] + np.concatenate([[[0.0, 0.0]], np.cumsum((quarter * [-1, 1])[::-1], axis=0)])
        path = np.concatenate([one, two])
    else:
        heading = np.cumsum(bend) / bend.sum() * math.pi
        path = np.concatenate([[[0.0, 0.0]], np.cumsum(np.stack([np.cos(heading), np.sin(heading)], axis=1) / 240, axis=0)])
    path = path / path[-1, 1]
    path[:, 0] -= path[-1, 0] * np.linspace(0, 1, len(path))
    return np.asarray(path)

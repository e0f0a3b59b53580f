"""A solved row as a curve: walked, followed by a C2 spline, and openings beside it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from shapes.errors import OutlineError
from shapes.geometry.curve import Array, Curve, Ints, spline
from shapes.geometry.row import EASE, NODES, PARTS, WEIGHTS, Row, RowPieces, Stretch, single, travel


@dataclass(frozen=True, slots=True, eq=False)
class TracedRow:
    """A solved row as it is drawn: its pieces, where they begin, and samples of its curvature.

    ``curvatures`` (N,) stand at ``way`` (N,) mm from the start.
    """

    row: Row
    pieces: RowPieces
    begins: Array  # (P + 1, 2) where each piece begins
    marks: Array  # (P + 1,) mm from the start
    joints: Array  # (n + 1,) mm from the start, where each stretch begins
    way: Array
    curvatures: Array

    @property
    def points(self) -> Array:
        """Points (N, 2) at ``way``."""
        return self.at(self.way)[0]

    @property
    def length(self) -> float:
        """Length all round, mm."""
        return float(self.joints[-1])

    def middle(self, i: int) -> float:
        """Way, mm, to the middle of stretch i."""
        return float(self.joints[i] + self.joints[i + 1]) / 2

    def _places(self, way: Array) -> tuple[tuple[Ints, Ints, Ints], Array, Array, Array]:
        laps = np.floor(way / self.marks[-1])
        way = way - laps * self.marks[-1]
        last = len(self.marks) - 2
        piece = np.clip(np.searchsorted(self.marks, way, side="right") - 1, 0, last)
        gone = way - self.marks[piece]
        u = gone / np.maximum(self.pieces.long.ravel()[piece], 1e-12)
        at = (np.zeros_like(piece), piece // PARTS, piece % PARTS)
        return at, u, gone, laps

    def bends(self, way: Array) -> Array:
        """Curvatures at ways, mm."""
        at, u, _, _ = self._places(way)
        return self.pieces.curvature(u, at)

    def at(self, way: Array) -> tuple[Array, Array, Array]:
        """Points (N, 2), headings and curvatures at ways (N,), mm."""
        at, u, gone, laps = self._places(way)
        inside = self.pieces.heading(u[:, None] * NODES, at)
        step = np.stack([np.cos(inside), np.sin(inside)], axis=-1)
        went = (step * WEIGHTS[:, None]).sum(axis=1) * gone[:, None]
        heading = self.pieces.heading(u[:, None], at)[:, 0] + laps * 2 * np.pi
        return self.begins[at[1] * PARTS + at[2]] + went, heading, self.pieces.curvature(u, at)


def across(stretches: Sequence[Stretch], ease: float = EASE) -> float:
    """Width, mm, between two straight sides that some stretches, half a turn in all, lead round.

    Ramps make it more than twice the radius of a plain half-turn.
    """
    straight = Stretch(0.0, 4 * ease, 0.0)
    # The row is open: what closes it does not matter, since only the way from side to side is
    # asked.
    row = Row((straight, *stretches, straight, Stretch(math.pi, 8 * ease)), (1.0, 1.0), ease=ease)
    long = straight.length
    way = np.array([long / 2, 1.5 * long + sum(s.length for s in stretches)])
    p, heading, _ = trace(row, 50.0).at(way)
    side = np.array([-math.sin(heading[0]), math.cos(heading[0])])
    return float(abs((p[1] - p[0]) @ side))


def hollow_turning(row: Row) -> float:
    """Turning in the hollows of a solved row, ramps and all, radians, to a per cent."""
    chain = single(row)
    bend = chain.curvature_at(NODES)
    return -float((np.minimum(bend, 0.0) * WEIGHTS * chain.long[..., None]).sum())


def trace(row: Row, step: float = 2.0) -> TracedRow:
    """Walk round a solved row in even steps of about ``step`` mm."""
    pieces = single(row)
    steps = travel(pieces).reshape(-1, 2)
    begins = np.concatenate([np.zeros((1, 2)), np.cumsum(steps, axis=0)])
    marks = np.concatenate([[0.0], np.cumsum(pieces.long.ravel())])
    joints = np.concatenate([[0.0], np.cumsum([s.length for s in row.stretches])])
    count = max(int(joints[-1] / step), 64)
    way = np.arange(count) * (joints[-1] / count)
    plain = TracedRow(row, pieces, begins, marks, joints, way, way)
    return replace(plain, curvatures=plain.bends(way))


_FINEST, _WIDEST = 2.5, 9.5  # mm between knots
_DENSE = 0.42  # mm between knots on a bend of 1 mm: a spline then follows real boards to 0.005 mm
KNOT_STEP = 3.0  # mm between places where curvature is looked at to place knots
_SPREAD = 18.0  # mm over which the distance between knots is evened out


def knots(way: Array, curvatures: Array, length: float) -> Array:
    """Ways of knots, close where the bend is tight: a cubic then errs by h^4 k^3 / 384 or so."""
    bend = np.maximum(np.abs(curvatures), 1e-6)
    # Ramps beside a tight bend want its knots too: the tightest bend near by counts.
    near = np.max([np.roll(bend, k) for k in range(-8, 9)], axis=0)
    dense = 1 / np.clip(_DENSE * near**-0.75, _FINEST, _WIDEST)
    step = length / len(way)
    wave = np.fft.rfftfreq(len(way), step)
    even = np.fft.irfft(np.fft.rfft(dense) * np.exp(-2 * (np.pi * wave * _SPREAD) ** 2), len(way))
    total = np.concatenate([[0.0], np.cumsum((even + np.roll(even, -1)) / 2 * step)])
    count = max(math.ceil(float(total[-1])), 12)
    return np.asarray(
        np.interp(np.arange(count) * total[-1] / count, total, np.append(way, length))
    )


def through(points: Array) -> Array:
    """Control points (n, 2) of the closed uniform cubic B-spline through ``points`` (n, 2)."""
    n = len(points)
    factor = (4 + 2 * np.cos(2 * np.pi * np.fft.rfftfreq(n))) / 6
    return np.asarray(np.fft.irfft(np.fft.rfft(points, axis=0) / factor[:, None], n, axis=0))


def control_of(drawn: TracedRow) -> Array:
    """Control points of the C2 spline that follows a drawn row within 0.005 mm."""
    at = knots(drawn.way, drawn.curvatures, drawn.length)
    return through(drawn.at(at)[0])


def curve_of(drawn: TracedRow) -> Curve:
    """Return the C2 spline that follows a drawn row within 0.005 mm."""
    return spline(control_of(drawn))


def beside(drawn: TracedRow, start: float, stop: float, offset: float, step: float = 2.0) -> Array:
    """Points beside an edge, ``offset`` mm into the wood, from one way to another."""
    way = np.linspace(start, stop, max(int((stop - start) / step), 8) + 1)
    p, heading, _ = drawn.at(way)
    return np.asarray(p + offset * np.stack([-np.sin(heading), np.cos(heading)], axis=1))


MOST_TURN = math.radians(28)  # of the edge beside an opening: a gentle arc at most; our choice
# By how much more it would turn if it bent all along as at its closest; our choice.
MOST_UNEVEN = math.radians(22)


def slot(drawn: TracedRow, middle: float, run: float, bar: float, wide: float) -> Array:
    """Control points of an opening that runs beside the edge, clockwise.

    Bar and width are constant.

    ``run``: length of the opening, mm, along the edge; its sides take the edge's own turn and give
    it back; its ends are round. Raises OutlineError where the edge is too hollow or too round for
    it.
    """
    depth = bar + wide / 2
    half = run / 2 - float(_half_turn()[:, 0].max()) * wide
    edge = drawn.at(np.array([middle]))[2]
    stretch = 1 - float(edge[0]) * depth
    if stretch < 0.3:
        raise OutlineError("the edge bends too tightly for an opening beside it")
    start, stop = middle - half / stretch, middle + half / stretch
    ends = drawn.at(np.array([start, middle, stop]))[1]
    bends = drawn.bends(np.linspace(start, stop, 25))
    uneven = float(np.ptp(bends)) * (stop - start)
    if max(ends) - min(ends) > MOST_TURN or uneven > MOST_UNEVEN:
        raise OutlineError("the edge bends too much for an opening beside it")
    outer = beside(drawn, start, stop, bar, 1.0)
    inner = beside(drawn, start, stop, bar + wide, 1.0)[::-1]
    ring = np.concatenate([outer, _cap(outer[-1], inner[0]), inner, _cap(inner[-1], outer[0])])[
        ::-1
    ]
    step = np.hypot(*(np.roll(ring, -1, axis=0) - ring).T)
    way = np.concatenate([[0.0], np.cumsum(step)])
    count = max(int(way[-1] / 6.5), 24)
    even = np.arange(count) * way[-1] / count
    closed = np.concatenate([ring, ring[:1]])
    points = np.stack([np.interp(even, way, closed[:, k]) for k in (0, 1)], axis=1)
    return through(points)


def _cap(a: Array, b: Array) -> Array:
    """Points of a half-turn from a round to b, both left out: an eased arc."""
    across = b - a
    ahead = np.array([across[1], -across[0]])
    shape = _half_turn()
    return np.asarray(a + shape[1:-1, :1] * ahead + shape[1:-1, 1:] * across)


@lru_cache(maxsize=1)
def _half_turn() -> Array:
    """A half-turn to the left from (0, 0) to (0, 1), starting along x: points about 1/60 apart."""
    u = (np.arange(240) + 0.5) / 240
    bend = np.clip(np.minimum(u, 1 - u) / 0.12, 0, 1)
    heading = np.cumsum(bend) / bend.sum() * math.pi
    step = np.stack([np.cos(heading), np.sin(heading)], axis=1) / 240
    path = np.concatenate([[[0.0, 0.0]], np.cumsum(step, axis=0)])
    path = path / path[-1, 1]
    path[:, 0] -= path[-1, 0] * np.linspace(0, 1, len(path))
    path.setflags(write=False)
    return np.asarray(path)

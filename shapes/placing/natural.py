"""Boards that have the natural edge of their piece for a side: the row is closed round it.

A natural edge is a row of slow turns of its own: short stretches that nothing changes any more,
whose turns are fitted to the wood, a little outside of it, so that there nothing is cut.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from scipy.integrate import cumulative_trapezoid
from scipy.ndimage import gaussian_filter1d

from shapes.collection.draw import Genes, closed
from shapes.errors import OutlineError
from shapes.geometry.curve import Array, bounds, turn
from shapes.geometry.row import NATURAL, RAMP_SHARE, Stretch
from shapes.geometry.trace import curve_of, trace
from shapes.timber.off_cut import Rules

OUTSIDE = 2.0  # mm that the outline lies outside of the wood; our choice
MISSES = 5.0  # mm that it may lie off there at most: bark and notches stay out of it; our choice
SHORTEST = 80.0  # mm of natural edge that are worth a side; our choice
_EVERY = 2.0  # mm between points
_PART = 26.0  # mm of one stretch, about
_CALM = 9.0  # mm: what waves faster is bark, not edge
_STIFF = 20.0  # mm of error that a change of turn by one radian is worth
_ROUNDS = 3
_PLACES = 5  # places along its edge that one board chooses from


@dataclass(frozen=True, slots=True, eq=False)
class NaturalEdge:
    """A stretch of natural edge.

    Points (n, 2) on the piece, _EVERY mm apart, the wood to the left.
    """

    points: Array

    @property
    def length(self) -> float:
        """Length, mm."""
        return _EVERY * (len(self.points) - 1)


def together(filled: Sequence[shapely.Polygon], rules: Rules, most: int) -> list[int]:
    """Choose boards, by where they lie, that together keep as much of the natural edge as can be.

    At most ``most``, with the room between them that is cut. Of those that end before a board along
    the grain the best row that leaves room for it is taken; returns indices, in that order.
    """
    if not filled:
        return []
    kept = shapely.length(shapely.intersection(rules.free_natural, list(filled)))
    free = shapely.distance(np.array(filled)[:, None], np.array(filled)) >= rules.apart
    ends = [turn(shapely.get_coordinates(f), -rules.piece.grain)[:, 0].max() for f in filled]
    rows: list[tuple[float, list[int]]] = [(0.0, [])]
    for i in np.argsort(ends, kind="stable").tolist():
        best: dict[int, tuple[float, list[int]]] = {}  # of each number of boards before this one
        for total, row in rows:
            n = len(row)
            if n < most and total >= best.get(n, (0.0, []))[0] and free[i, row].all():
                best[n] = total, row
        rows += [(total + float(kept[i]), [*row, i]) for total, row in best.values()]
    return max(rows, key=lambda r: r[0])[1]


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """Turns of the stretches that follow an edge, mm of
    each, the heading and the place of its start.
    """

    turns: Array
    part: float
    heading: float
    start: Array

    def path(self) -> Array:
        """Points (n, 2), _EVERY mm apart or a little less."""
        way, heading, _ = _walk(self.turns, self.part, self.heading)
        return np.asarray(self.start + _gone(way, heading))


def edges_of(rules: Rules) -> tuple[NaturalEdge, ...]:
    """Return the natural edges of a piece that boards may take for theirs, the longest first."""
    found = []
    merged = rules.free_natural
    if merged.geom_type == "MultiLineString":
        merged = shapely.line_merge(merged)
    for line in shapely.get_parts(merged):
        if line.length < SHORTEST:
            continue
        count = int(line.length / _EVERY)
        points = shapely.get_coordinates(line.interpolate(np.arange(count + 1) * _EVERY))
        middle = len(points) // 2
        x, y = points[middle] + 0.5 * _left(points[middle + 1] - points[middle])
        if not rules.piece.outline.contains(shapely.Point(x, y)):
            points = points[::-1]
        found.append(NaturalEdge(points))
    return tuple(sorted(found, key=lambda e: -e.length))


def _left(way: Array) -> Array:
    unit = way / np.hypot(way[..., :1], way[..., 1:])
    return np.stack([-unit[..., 1], unit[..., 0]], axis=-1)


def _walk(turns: Array, part: float, heading: float) -> tuple[Array, Array, Array]:
    """Ways, headings there, and how far each turn (n, k) is done by then."""
    way = np.linspace(0, part * len(turns), max(int(part * len(turns) / _EVERY), 8) + 1)
    done = np.clip(way[:, None] / part - np.arange(len(turns)), 0, 1)
    return way, heading + done @ turns, done


def _gone(way: Array, heading: Array) -> Array:
    """How far (n, 2) one has come at each way."""
    step = np.stack([np.cos(heading), np.sin(heading)], axis=1)
    return _sum(way, step)


def _sum(way: Array, value: Array) -> Array:
    return np.asarray(cumulative_trapezoid(value, way, axis=0, initial=0))


def fitted(points: Array) -> Fitted:
    """Fit slow turns to an edge, OUTSIDE mm outside of it
    (Gauss-Newton on turns, heading and start).
    """
    smooth = gaussian_filter1d(points, _CALM / _EVERY, axis=0, mode="nearest")
    aim = smooth - OUTSIDE * _left(np.gradient(smooth, axis=0))
    step = np.hypot(*np.diff(aim, axis=0).T)
    at = np.concatenate([[0.0], np.cumsum(step)])
    count = max(round(at[-1] / _PART), 3)
    part = float(at[-1]) / count
    chord = aim[-1] - aim[0]
    turns, heading, start = np.zeros(count), math.atan2(chord[1], chord[0]), aim[0]
    for _ in range(_ROUNDS):
        way, going, done = _walk(turns, part, heading)
        target = np.stack([np.interp(way, at, aim[:, k]) for k in (0, 1)], axis=1)
        off = target - start - _gone(way, going)
        side = np.stack([-np.sin(going), np.cos(going)], axis=1)
        pull = np.concatenate([np.ones((len(way), 1)), done], axis=1)
        slope = [
            np.concatenate(
                [np.ones((len(way), 1)) * (k == j) for j in (0, 1)]
                + [_sum(way, side[:, k : k + 1] * pull)],
                axis=1,
            )
            for k in (0, 1)
        ]
        # Turns like their neighbours': an edge sways, it has no knuckles.
        stiff = _STIFF * np.diff(np.eye(count), axis=0)
        free = np.zeros((count - 1, 3))
        rows = np.concatenate([*slope, np.concatenate([free, stiff], axis=1)])
        aims = np.concatenate([off[:, 0], off[:, 1], -stiff @ turns])
        move = np.linalg.lstsq(rows, aims, rcond=None)[0]
        start, heading, turns = start + move[:2], heading + float(move[2]), turns + move[3:]
    return Fitted(turns, part, heading, start)


def along(
    genes: Genes,
    edge: NaturalEdge,
    room: shapely.Geometry,
    grain: float,
    within: float,
    rng: np.random.Generator,
) -> Genes:
    """Give a board, whose row is open yet, natural edge for its
    first stretch, and its place on the piece.

    Of some places the one where least of it lies outside of the ``room`` is taken. Raises
    OutlineError where no edge runs along the grain, or the row does not close round it.
    """
    (plain,) = closed([genes])
    if plain is None:
        raise OutlineError("the row does not close in the box")
    base, *rest = plain.row.stretches
    drawn = trace(plain.row, 12.0)
    chord = drawn.at(np.array([0.0, base.length]))[0]
    ring = turn(drawn.points - chord[0], -math.atan2(*(chord[1] - chord[0])[::-1]))
    lies = min(
        _places(base.length, edge, grain, within, rng),
        key=lambda f: _outside(f, ring, room),
        default=None,
    )
    if lies is None:
        raise OutlineError("no natural edge runs along the grain")
    frame = lies.frame()
    found = fitted(frame)
    off = shapely.distance(shapely.LineString(frame), shapely.points(found.path()))
    if float(off.max()) > MISSES:
        raise OutlineError("the natural edge is too rough for a side")
    row = plain.row
    leaves = found.heading + float(found.turns.sum())
    rest[0] = _turned(rest[0], row.heading + base.turn - leaves)
    rest[-1] = _turned(rest[-1], found.heading - row.heading)
    made = [
        Stretch(float(t), found.part, 0.0, f"{NATURAL} {i + 1}") for i, t in enumerate(found.turns)
    ]
    more = len(made) - 1
    height = row.height
    if height is not None:
        i, k, above = height
        height = (i + more if i > 0 else more // 2, k + more if k > 0 else k, above)
    # The heading of a row is where the core of its first stretch starts: half a ramp further on.
    ramp = min(row.ease, RAMP_SHARE * min(found.part, rest[-1].length))
    heading = found.heading + float(found.turns[0]) * ramp / found.part
    row = replace(row, stretches=(*made, *rest), heading=heading, swings=0.0, height=height)
    # A hole keeps away from a natural edge where another corner like its own does.
    names = [s.name for s in rest]
    away = [n.replace("far ", "near ") for n in plain.beside]
    beside = tuple(a if a in names else n for a, n in zip(away, plain.beside, strict=True))
    (done,) = closed([replace(plain, row=row, beside=beside, flip=(False, lies.mirrored))])
    if done is None:
        raise OutlineError("the row does not close round its natural edge")
    return replace(done, at=_lies(done, found, lies))


@dataclass(frozen=True, slots=True, eq=False)
class _EdgePlace:
    """A stretch of natural edge that a board is tried on.

    As it is, or with the board end for end.
    """

    points: Array
    angle: float
    mirrored: bool

    def frame(self) -> Array:
        """Its points in the frame of the board's row: they run to the right there."""
        p = turn(self.points, -self.angle) * self._sign
        return p[::-1] if self.mirrored else p

    def back(self, points: Array) -> Array:
        """Points of that frame, on the piece."""
        return np.asarray(turn(points * self._sign, self.angle))

    @property
    def _sign(self) -> Array:
        return np.array([-1.0 if self.mirrored else 1.0, 1.0])


def _places(
    wanted: float, edge: NaturalEdge, grain: float, within: float, rng: np.random.Generator
) -> list[_EdgePlace]:
    """Return some places along an edge where it runs along the grain."""
    found = []
    long = min(wanted, edge.length)
    for v, w in rng.random((_PLACES, 2)):
        first = int(v * (edge.length - long) / _EVERY)
        points = edge.points[first : first + int(long / _EVERY) + 1]
        chord = points[-1] - points[0]
        angle = math.atan2(chord[1], chord[0])
        if abs(math.remainder(angle - grain, math.pi)) < within:
            found.append(_EdgePlace(points, angle, bool(w < 0.5)))
    return found


def _outside(place: _EdgePlace, ring: Array, room: shapely.Geometry) -> float:
    """How much of a board would lie outside of the room, mm2.

    Its plain ring, its side on the edge.
    """
    frame = place.frame()
    there = shapely.Polygon(place.back(ring + frame[0]))
    return float(shapely.difference(there.buffer(0), room).area)


def _turned(s: Stretch, more: float) -> Stretch:
    """Let a bend turn further at its own radius."""
    turned = s.turn + more
    if s.turn * turned <= 0:
        raise OutlineError("beside the natural edge no bend is left")
    return replace(s, turn=turned, length=s.length * turned / s.turn)


def _lies(genes: Genes, found: Fitted, place: _EdgePlace) -> tuple[float, float, float]:
    """Return the pose at which a board's natural stretches
    lie on the edge that they were fitted to.
    """
    drawn = trace(genes.row, 6.0)
    part = np.asarray(np.arange(1, len(found.turns)) * found.part, dtype=float)
    path = found.path()
    way = np.linspace(0, found.part * len(found.turns), len(path))
    there = np.stack([np.interp(part, way, path[:, k]) for k in (0, 1)], axis=1)
    shift = (there - drawn.at(part)[0]).mean(axis=0)
    x0, y0, x1, y1 = bounds(curve_of(drawn))
    x, y = place.back(np.array([(x0 + x1) / 2, (y0 + y1) / 2]) + shift)
    return float(x), float(y), math.remainder(place.angle, math.tau)

"""A row changed by hand: the least change of turns and lengths that does what is asked of it.

What is asked (a point of the edge pulled somewhere, the turn, radius or length of a stretch stated,
two stretches brought to a distance) holds exactly, as do closing and 360 degrees in all; what
nobody touched moves as little as may be. Gauss-Newton with these as constraints; the slope is taken
by differences, which for a dozen stretches is one walk of some thirty rows side by side.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from shapes.errors import OutlineError
from shapes.geometry.curve import Array
from shapes.geometry.row import NATURAL, NODES, PARTS, WEIGHTS, Row, RowPieces, Stretch, walked

TURNS = math.radians(20.0)  # a stretch that turns further keeps its radius where it may not give
LEAST_LENGTH, MOST_TURN = 1.0, math.radians(300.0)  # mm, and radians, of a stretch; our choice
SOFT = 0.22  # of the edge's length: how far about a touch the edge goes along; our choice by eye
_STILL, _LENGTHS, _TURNS = (
    6.0,
    0.5,
    0.35,
)  # mm, logarithm, radians that count alike; our choice by eye
_STIFF = 10.0  # times that a change of a stretch beside an opening counts
_ANY = 0.03  # of the weight far away that a place counts under the finger itself
_ROUNDS, _DONE, _MOST = 14, 1e-7, 0.4  # steps, mm, and most change of a logarithm or a turn in one
_SMALL = 1e-6  # step of the differences


@dataclass(frozen=True, slots=True)
class Pull:
    """A point of the edge, ``way`` mm along it, brought to (x, y) in the row's own place."""

    way: float
    to: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Stated:
    """A stretch, by number, whose ``turn`` (radians), ``radius`` or ``length`` (mm) is stated."""

    stretch: int
    turn: float | None = None
    radius: float | None = None
    length: float | None = None


@dataclass(frozen=True, slots=True)
class Apart:
    """The middles of two stretches brought to a distance, mm."""

    one: int
    other: int
    distance: float


Touch = Pull | Stated | Apart


@dataclass(frozen=True, slots=True)
class Bent:
    """A row after a touch, and by how much (x, y), mm, its start moved from where it was."""

    row: Row
    start: tuple[float, float]


@dataclass(slots=True)
class _Hand:
    """What is held, what is asked and what a step may change: one row under one or more touches."""

    row: Row
    touches: Sequence[Touch]
    turns: Array = field(init=False)
    logs: Array = field(init=False)
    free: set[int] = field(init=False)  # stretches that are touched, or lie between two that are
    pieces: dict[float, tuple[int, int, float]] = field(init=False)  # of each pull, by its way

    def __post_init__(self) -> None:
        n = len(self.row.stretches)
        self.turns = np.array([s.turn for s in self.row.stretches])
        self.logs = np.log([s.length for s in self.row.stretches])
        self.free = {t.stretch for t in self.touches if isinstance(t, Stated)}
        self.free |= {
            i for t in self.touches if isinstance(t, Apart) for i in _between(t.one, t.other, n)
        }
        self.pieces = {t.way: self._piece(t.way) for t in self.touches if isinstance(t, Pull)}

    @property
    def start(self) -> Array:
        """Turns, logarithms of lengths, heading, x and y."""
        return np.concatenate([self.turns, self.logs, [self.row.heading, 0.0, 0.0]])

    def walked(self, states: Array) -> tuple[Array, Array]:
        """What states (B, m) hold of the shape (B, k, 2), and
        what they are asked to meet (B, c), mm.
        """
        n = len(self.turns)
        turns, logs, heading = states[:, :n], states[:, n : 2 * n], states[:, 2 * n]
        at = states[:, None, 2 * n + 1 :]
        chain, ends = walked(self.row, turns, np.exp(logs), heading)
        shape = np.concatenate([ends[:, :, 1], ends[:, :, PARTS - 1]], axis=1) + at
        asked = [
            ends[:, -1, -1, 0],
            ends[:, -1, -1, 1],
            100 * (turns.sum(axis=1) - 2 * math.pi),
        ]
        for touch in self.touches:
            if isinstance(touch, Pull):
                place = self._place(touch.way, chain, ends) + at[:, 0]
                asked += [place[:, 0] - touch.to[0], place[:, 1] - touch.to[1]]
            elif isinstance(touch, Stated):
                asked += _stated(touch, turns, logs)
            else:
                gap = ends[:, touch.one, 1] - ends[:, touch.other, 1]
                asked.append(np.hypot(gap[:, 0], gap[:, 1]) - touch.distance)
        for i, s in enumerate(self.row.stretches):
            if s.name.startswith(NATURAL):
                asked += [100 * (turns[:, i] - s.turn), 100 * (logs[:, i] - self.logs[i])]
            elif not s.give and i not in self.free:
                # What the hand needs: the radius of a tip, the length of a grip.
                held = logs[:, i] - self.logs[i]
                if abs(s.turn) > TURNS:
                    held = held - np.log(np.maximum(np.abs(turns[:, i]), 1e-9) / abs(s.turn))
                asked.append(100 * held)
        return shape, np.stack(asked, axis=1)

    def _place(self, way: float, chain: RowPieces, ends: Array) -> Array:
        """Where the point lies that was ``way`` mm along the edge.

        At the same share of its piece.
        """
        i, k, u = self.pieces[way]
        flat = ends.reshape(len(ends), -1, 2)
        j = i * PARTS + k
        begin = flat[:, j - 1] if j else np.zeros((len(ends), 2))
        every = np.arange(len(ends))
        index = (every, np.full(len(ends), i), np.full(len(ends), k))
        heading = chain.heading(u * NODES[None, :], index)
        step = np.stack(
            [(np.cos(heading) * WEIGHTS).sum(axis=1), (np.sin(heading) * WEIGHTS).sum(axis=1)],
            axis=1,
        )
        long = chain.long[index]
        return np.asarray(begin + step * (u * long)[:, None])

    def _piece(self, way: float) -> tuple[int, int, float]:
        chain, _ = walked(
            self.row, self.turns[None], np.exp(self.logs)[None], np.array([self.row.heading])
        )
        long = chain.long[0].ravel()
        marks = np.concatenate([[0.0], np.cumsum(long)])
        way = way % float(marks[-1])
        j = int(np.clip(np.searchsorted(marks, way, side="right") - 1, 0, len(long) - 1))
        return j // PARTS, j % PARTS, float((way - marks[j]) / max(long[j], 1e-9))


def _between(one: int, other: int, n: int) -> list[int]:
    """Stretches from one to another, the shorter way round the row, both ends left out."""
    ahead = [(one + k) % n for k in range(1, (other - one) % n)]
    back = [(other + k) % n for k in range(1, (one - other) % n)]
    return ahead if len(ahead) <= len(back) else back


def _stated(touch: Stated, turns: Array, logs: Array) -> list[Array]:
    i = touch.stretch
    asked = []
    if touch.turn is not None:
        asked.append(100 * (turns[:, i] - touch.turn))
    if touch.radius is not None:
        bend = np.log(np.maximum(np.abs(turns[:, i]), 1e-9))
        asked.append(100 * (logs[:, i] - bend - math.log(touch.radius)))
    if touch.length is not None:
        asked.append(100 * (logs[:, i] - math.log(touch.length)))
    return asked


def bent(
    row: Row,
    touches: Sequence[Touch],
    stiff: Collection[int] = (),
    start: tuple[float, float] = (0.0, 0.0),
) -> Bent:
    """Change a closed row as little as may be so that it does what is asked.

    Its box is left as it was.

    ``stiff``: stretches, by number, that change far less than others: an opening lies beside them.
    ``start``: where the row begins already, mm.

    Raises OutlineError where it cannot, or where a stretch would become too short or turn too far.
    """
    hand = _Hand(row, touches)
    first = hand.start
    first[-2:] = start
    m, n = len(first), len(row.stretches)
    state = first.copy()
    was, asked = hand.walked(state[None])
    scale = 1 / np.concatenate([np.full(n, _TURNS), np.full(n, _LENGTHS), [_TURNS, _STILL, _STILL]])
    for i in stiff:
        scale[[i, n + i]] *= _STIFF
    still = _weights(hand, was[0], row)
    for _ in range(_ROUNDS):
        step = _SMALL * np.eye(m)
        shapes, misses = hand.walked(np.concatenate([state[None], state + step]))
        shape, miss = shapes[0], misses[0]
        if np.abs(miss).max() < _DONE:
            break
        slope = (misses[1:] - miss).T / _SMALL
        moves = (shapes[1:] - shape).reshape(m, -1).T / _SMALL
        weight = np.repeat(still, 2) / _STILL
        pull = moves * weight[:, None]
        square = pull.T @ pull + np.diag(scale**2)
        toward = -pull.T @ (weight * (shape - was[0]).ravel()) - scale**2 * (state - first)
        step_ = _constrained(square, toward, slope, -miss)
        most = float(np.abs(step_[: 2 * n + 1]).max())
        state = state + step_ * min(1.0, _MOST / max(most, 1e-12))
        if not np.isfinite(state).all() or np.abs(state[n : 2 * n] - first[n : 2 * n]).max() > 3:
            break
    _, asked = hand.walked(state[None])
    if not np.isfinite(asked).all() or np.abs(asked).max() > 1e-4:
        raise OutlineError("the edge does not go there: its other bends have nothing left to give")
    return _made(row, state)


def _weights(hand: _Hand, shape: Array, row: Row) -> Array:
    """How much each middle and end of a stretch wants to stay: little near what is touched."""
    spots: list[Array] = []
    n = len(row.stretches)
    for touch in hand.touches:
        if isinstance(touch, Pull):
            spots.append(shape[hand.pieces[touch.way][0]])
        elif isinstance(touch, Stated):
            spots.append(shape[touch.stretch])
        else:
            spots += [shape[i] for i in (touch.one, touch.other)]
    soft = SOFT * sum(s.length for s in row.stretches)
    near = (
        np.min([np.hypot(*(shape - p).T) for p in spots], axis=0) if spots else np.full(2 * n, 1e9)
    )
    return np.asarray(_ANY + (1 - _ANY) * (1 - np.exp(-((near / soft) ** 2))))


def _constrained(square: Array, toward: Array, slope: Array, miss: Array) -> Array:
    """Least change under constraints that hold exactly.

    Those that say the same twice are no harm.
    """
    m, c = len(square), len(slope)
    table = np.zeros((m + c, m + c))
    table[:m, :m] = square
    table[m:, :m], table[:m, m:] = slope, slope.T
    return np.asarray(np.linalg.lstsq(table, np.concatenate([toward, miss]), rcond=1e-13)[0][:m])


def _made(row: Row, state: Array) -> Bent:
    n = len(row.stretches)
    turns, lengths = state[:n], np.exp(state[n : 2 * n])
    made: list[Stretch] = []
    for s, turn, length in zip(row.stretches, turns.tolist(), lengths.tolist(), strict=True):
        if length < LEAST_LENGTH:
            raise OutlineError(f"'{s.name}' would be shorter than {LEAST_LENGTH:g} mm")
        if abs(turn) > MOST_TURN:
            raise OutlineError(
                f"'{s.name}' would turn by more than {math.degrees(MOST_TURN):.0f} degrees"
            )
        made.append(replace(s, turn=turn, length=length))
    changed = replace(row, stretches=tuple(made), heading=float(state[2 * n]))
    return Bent(changed, (float(state[2 * n + 1]), float(state[2 * n + 2])))

"""A board as a hand takes hold of it: its stretches, neck, openings and sizes, and where they lie.

Everything is told in the board's own frame (its middle the origin, x along the grain), as people
see it; the row lies elsewhere and may be mirrored.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from shapes.collection.draw import BEND, MOVED_ALONG, Genes, where_drawn
from shapes.geometry.curve import Array
from shapes.geometry.row import middles_of, solve
from shapes.geometry.trace import TracedRow, trace
from shapes.handles import HANDLES
from shapes.handles.hand import Round, Sketch
from shapes.parameters import Range, ranges

HAND_REACH = 0.35  # of a hand's size below and above its usual range that may be asked; our choice


@dataclass(frozen=True, slots=True)
class Frame:
    """A row as it lies, and how the board's own frame lies to it."""

    traced: TracedRow
    sign: tuple[float, float]
    centre: tuple[float, float]
    sketch: Sketch  # the board itself, as it is drawn

    def board(self, points: Array) -> Array:
        """Points (N, 2) of the row in the board's frame."""
        return np.asarray(points * self.sign - np.array(self.centre))

    def row(self, points: Array) -> Array:
        """Points (N, 2) of the board in the row's frame."""
        return np.asarray((points + np.array(self.centre)) * self.sign)

    def nearest(self, x: float, y: float) -> float:
        """Way, mm along the row, of the edge's point nearest to (x, y) of the board."""
        p = self.row(np.array([[x, y]]))[0]
        off = np.hypot(*(self.traced.points - p).T)
        return float(self.traced.way[int(off.argmin())])


@dataclass(frozen=True, slots=True)
class Part:
    """A stretch as a hand takes hold of it: its middle, the way out of the wood, and its figures.

    ``turn`` is in degrees; ``radius`` of one that turns far, ``length`` of any, mm.
    """

    name: str
    at: tuple[float, float]
    out: tuple[float, float]
    turn: float
    length: float
    radius: float | None
    held: bool  # by the hand: it changes with the handle, or where it is touched itself


@lru_cache(maxsize=32)  # a board under the finger is asked again and again
def frame_of(genes: Genes) -> Frame:
    """Return how a board lies to its row. Raises OutlineError where it does not close."""
    solved = solve([genes.row])[0]
    sketch, centre = where_drawn(genes, solved)
    return Frame(
        trace(solved.row, 1.0), _sign(genes), centre, sketch.moved(-centre[0], -centre[1]).rounded()
    )


def _sign(genes: Genes) -> tuple[float, float]:
    up, along = genes.flip
    return (-1.0 if along else 1.0, -1.0 if up else 1.0)


def parts_of(genes: Genes) -> list[Part]:
    """Return the stretches of a board, in order. Raises OutlineError where it does not close."""
    frame = frame_of(genes)
    made = []
    stretches = frame.traced.row.stretches
    ways = np.array([frame.traced.middle(i) for i in range(len(stretches))])
    points, headings, _ = frame.traced.at(ways)
    out = np.stack([np.sin(headings), -np.cos(headings)], axis=1) * frame.sign
    for s, p, o in zip(stretches, frame.board(points).tolist(), out.tolist(), strict=True):
        far = abs(s.turn) > BEND
        made.append(
            Part(
                s.name,
                (p[0], p[1]),
                (o[0], o[1]),
                math.degrees(s.turn),
                s.length,
                s.length / abs(s.turn) if far else None,
                not s.give,
            )
        )
    return made


@dataclass(frozen=True, slots=True)
class Hole:
    """An opening as a hand takes hold of it.

    Its middle, and the way in which ``along`` moves it.
    """

    name: str  # of the size that moves it along the edge
    at: tuple[float, float]
    way: tuple[float, float]


def holes_of(genes: Genes) -> list[Hole]:
    """Return the openings that may be moved along the edge, in the board's frame."""
    frame = frame_of(genes)
    names = [n for n in hand_ranges(genes.handle) if n in MOVED_ALONG]
    made = []
    for name, opening in zip(names, frame.sketch.openings, strict=False):
        at = (
            np.array([opening.x, opening.y]) if isinstance(opening, Round) else opening.mean(axis=0)
        )
        heading = float(frame.traced.at(np.array([frame.nearest(*at)]))[1][0])
        way = np.array([math.cos(heading), math.sin(heading)]) * frame.sign
        made.append(Hole(name, (float(at[0]), float(at[1])), (float(way[0]), float(way[1]))))
    return made


def neck_of(genes: Genes) -> tuple[float, float] | None:
    """Width between the middles of a neck's sides, and their mean length, mm.

    None without a neck.
    """
    names = [s.name for s in genes.row.stretches]
    if "neck low" not in names or "neck top" not in names:
        return None
    row = frame_of(genes).traced.row
    spots = [names.index("neck low"), names.index("neck top")]
    a, b = middles_of(row)[spots]
    return float(np.hypot(*(a - b))), sum(row.stretches[i].length for i in spots) / 2


def hand_ranges(handle: str) -> dict[str, Range]:
    """Sizes of a handle that may be asked for, by name: its usual range, and some way beyond.

    A neck is changed by its row, so it has none.
    """
    if HANDLES[handle].wants == "neck":
        return {}
    found = {}
    for name, r in ranges(HANDLES[handle].kind).items():
        low, high = r.low * (1 - HAND_REACH), r.high * (1 + HAND_REACH)
        found[name] = Range(low, min(high, 1.0) if r.high < 1 else high, r.says, r.unit)
    most = 400.0  # mm: the checks and the drawing say sooner where it cannot be
    wants = HANDLES[handle].wants
    count = {"bar": 1, "two ends": 2, "tip": 1}.get(wants, 0)
    for name in MOVED_ALONG[:count]:
        found[name] = Range(-most, most, "how far it is moved along the edge", "mm")
    return found

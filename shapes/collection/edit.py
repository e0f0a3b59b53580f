"""A board shaped by hand.

What was touched on it becomes a change of its row, its hand or its brief.

Everything is told in the board's own frame, as ``hold`` has it. The board that comes back is drawn
from its genes alone, as one that was read from its recipe is: the same recipe, the same bytes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from shapes.collection.draw import BEND, MOVED_ALONG, Genes, closed, resized
from shapes.collection.hold import Frame, frame_of, hand_ranges
from shapes.errors import InputError, OutlineError, Problem
from shapes.geometry.bend import Apart, Bent, Pull, Stated, Touch, bent
from shapes.geometry.curve import bounds
from shapes.geometry.row import NATURAL, Row, middles_of
from shapes.geometry.trace import curve_of, trace
from shapes.handles import HANDLES

HALVINGS = 4  # of a pull that cannot be followed to its end
# Turns of a corner, at least, and of a side beside it, at most; our choice.
CORNER, SIDE = math.radians(35), math.radians(30)
LEAST_RADIUS, MOST_RADIUS = 3.0, 400.0  # mm, of a corner under a hand


@dataclass(frozen=True, slots=True)
class Edited:
    """A board's genes after a touch, and where its old middle lies in the new frame, mm.

    ``share`` of what was asked could be followed: 1 as a rule.
    """

    genes: Genes
    shift: tuple[float, float] = (0.0, 0.0)
    share: float = 1.0


def pulled(genes: Genes, grabbed: tuple[float, float], to: tuple[float, float]) -> Edited:
    """Pull the edge's point nearest to where it was grabbed to
    another place, both in the board's frame.

    Where the edge cannot follow to the end it goes as far as halving finds. Raises OutlineError
    where it does not follow at all.
    """
    frame = frame_of(genes)
    way = frame.nearest(*grabbed)
    start = frame.board(frame.traced.at(np.array([way]))[0])[0]
    share = 1.0
    for k in range(HALVINGS + 1):
        goal = start + share * (np.array(to) - np.array(grabbed))
        x, y = frame.row(goal[None])[0].tolist()
        try:
            return replace(_changed(genes, frame, [Pull(way, (x, y))]), share=share)
        except OutlineError:
            if k == HALVINGS:
                raise
            share /= 2
    raise AssertionError


def stated(
    genes: Genes,
    name: str,
    turn: float | None = None,
    radius: float | None = None,
    length: float | None = None,
) -> Edited:
    """State a stretch's turn, degrees, its radius or its length, mm; the others give.

    With a radius alone the turn stays. Raises InputError for a name that the row has not,
    OutlineError where it cannot be.
    """
    frame = frame_of(genes)
    i = _index(genes, name)
    own = frame.traced.row.stretches[i]
    angle = own.turn if turn is None else math.radians(turn)
    if radius is not None and abs(angle) < 1e-6:
        raise InputError(
            Problem(name, "is straight, so it has no radius", "", "state its length or a turn")
        )
    if radius is not None and turn is None and length is None and angle > CORNER:
        return _changed(
            genes, frame, [Stated(i, angle, radius)], _eased(frame.traced.row, i, radius)
        )
    kept = radius
    if turn is not None and radius is None and length is None and abs(own.turn) > BEND:
        kept = abs(own.radius)  # a corner that turns further keeps its radius
    fixed = angle if turn is not None or radius is not None else None
    return _changed(genes, frame, [Stated(i, fixed, kept, length)])


def cornered(genes: Genes, name: str, to: tuple[float, float]) -> Edited:
    """Make a corner rounder or sharper, its middle brought
    to the height of (x, y) between its sides.

    What does not turn like a corner, or has no side on each hand, is pulled there. Raises as
    ``stated`` and ``pulled``.
    """
    frame = frame_of(genes)
    i = _index(genes, name)
    own = frame.traced.row.stretches[i]
    middle = frame.traced.middle(i)
    (at,), (heading,), _ = frame.traced.at(np.array([middle]))
    n = len(genes.row.stretches)
    sides = [frame.traced.row.stretches[k % n] for k in (i - 1, i + 1)]
    if not own.turn > CORNER or any(not s.give or abs(s.turn) > SIDE for s in sides):
        here = frame.board(at[None])[0]
        return pulled(genes, (float(here[0]), float(here[1])), to)
    inwards = np.array([-math.sin(heading), math.cos(heading)])
    deep = float((frame.row(np.array([to]))[0] - at) @ inwards)
    # Between two sides that stay, the middle of an arc lies r (1 / cos(turn / 2) - 1) from where
    # they meet.
    rise = 1 / max(math.cos(min(own.turn, 2.6) / 2), 0.2) - 1
    return stated(genes, name, radius=min(max(own.radius + deep / rise, LEAST_RADIUS), MOST_RADIUS))


def _eased(row: Row, i: int, radius: float) -> Bent:
    """Round a corner between sides that stay.

    They lose on each what the longer arc takes of them.
    """
    own = row.stretches[i]
    less = (radius - own.radius) * math.tan(min(own.turn, 2.6) / 2)
    made = list(row.stretches)
    made[i] = replace(own, length=radius * own.turn)
    n = len(made)
    for k in ((i - 1) % n, (i + 1) % n):
        side = made[k]
        if side.give and abs(side.turn) < SIDE and not side.name.startswith(NATURAL):
            made[k] = replace(side, length=max(side.length - less, 0.25 * side.length))
    # Where the row begins beside the corner, its start moves along with what the side loses there.
    moved = {0: -less, n - 1: less}.get(i, 0.0)
    way = (moved * math.cos(row.heading), moved * math.sin(row.heading))
    return Bent(replace(row, stretches=tuple(made)), way)


def necked(genes: Genes, wide: float | None = None, long: float | None = None) -> Edited:
    """Make a neck so wide between the middles of its sides, or its sides so long, mm."""
    frame = frame_of(genes)
    low, top = _index(genes, "neck low"), _index(genes, "neck top")
    touches: list[Touch] = []
    if wide is not None:
        touches.append(Apart(low, top, wide))
    if long is not None:
        touches += [Stated(low, length=long), Stated(top, length=long)]
    return _changed(genes, frame, touches)


def handed(genes: Genes, name: str, value: float) -> Edited:
    """Give a handle another size, or move its opening along the edge; rims and bars stay even.

    Raises InputError for a size that the handle has not or that is out of range, OutlineError where
    it cannot be drawn.
    """
    known = hand_ranges(genes.handle)
    if name not in known:
        raise InputError(
            Problem(
                f"hand: {name}",
                f"a {genes.handle} has no such size",
                "known: " + (", ".join(known) or "none"),
            )
        )
    span = known[name]
    if not span.low <= value <= span.high:
        raise InputError(
            Problem(
                f"hand: {name}",
                f"{value:g} is out of range",
                f"allowed {span.low:.3g} to {span.high:.3g} {span.unit}".strip(),
            )
        )
    sizes = dict(genes.hand)
    was = _ring(sizes)
    sizes[name] = round(value, 3)
    if name in MOVED_ALONG and not sizes[name]:
        del sizes[name]
    made = replace(genes, hand=tuple(sizes.items()))
    grown = _ring(sizes) - was
    if HANDLES[genes.handle].wants == "tip" and grown:
        i = _index(genes, genes.beside[0])
        tip = genes.row.stretches[i]
        if not tip.give and tip.turn > 0:
            frame = frame_of(genes)
            return _changed(made, frame, [Stated(i, radius=tip.radius + grown)])
    frame_of(made)
    return Edited(made)


def _ring(sizes: dict[str, float]) -> float:
    """Radius of a hole with its rim, mm."""
    return sizes.get("across", 0.0) / 2 + sizes.get("rim", 0.0)


def boxed(genes: Genes, length: float | None = None, width: float | None = None) -> Edited:
    """Stretch a board to another length or width, mm, as relatives of a size are."""
    long, wide = genes.row.box
    made = resized(genes, (length or long, width or wide))
    made = replace(made, at=None)
    frame_of(made)
    return Edited(made)


def _index(genes: Genes, name: str) -> int:
    names = [s.name for s in genes.row.stretches]
    if name not in names:
        raise InputError(
            Problem(
                f"stretch '{name}'",
                "the row has none of that name",
                "",
                "it has " + ", ".join(names),
            )
        )
    return names.index(name)


def _changed(genes: Genes, frame: Frame, touches: list[Touch], start: Bent | None = None) -> Edited:
    """Bend a board's row, or one that is nearly it, and draw it. Raises OutlineError."""
    stiff: set[int] = set()
    if HANDLES[genes.handle].wants in ("bar", "two ends"):
        stiff = {_index(genes, n) for n in genes.beside}
    start = start or Bent(frame.traced.row, (0.0, 0.0))
    made = bent(start.row, touches, stiff, start.start)
    (found,) = closed([replace(genes, row=_aimed(made.row), at=None)])
    if found is None:
        raise OutlineError("its edge does not close there")
    changed = replace(found, moved=genes.moved)
    centre = frame_of(changed).centre
    sx, sy = frame.sign
    x, y = made.start
    # The new row begins at ``start`` of the old one: what lay at the old middle lies there now.
    shift = (frame.centre[0] - sx * x - centre[0], frame.centre[1] - sy * y - centre[1])
    return Edited(changed, shift)


def _aimed(row: Row) -> Row:
    """Give a bent row the box and the height that it has now,
    so that closing it again changes nothing.
    """
    traced = trace(row, 2.0)
    x0, y0, x1, y1 = bounds(curve_of(traced))
    height = row.height
    if height is not None:
        i, j, _ = height
        middles = middles_of(row)[:, 1]
        level = (y0 + y1) / 2 if j < 0 else float(middles[j])
        height = (i, j, round(float(middles[i]) - level, 4))
    return replace(row, box=(round(x1 - x0, 3), round(y1 - y0, 3)), height=height)

"""From genes to a board: a form, a handle, and the row of stretches that its edge is.

Genes are all that a seed decides: the same genes draw the same board. They are what a recipe holds,
so that whoever changes a turn or a length there changes the board.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from shapes.errors import OutlineError
from shapes.forms import FORMS
from shapes.forms.form import Chance, box_of, row_of, stretches_of
from shapes.geometry.curve import Array, bounds, spline
from shapes.geometry.outline import Outline
from shapes.geometry.row import NATURAL, Row, Solved, Stretch, single, solve, travel
from shapes.geometry.trace import KNOT_STEP, TracedRow, control_of, slot, trace
from shapes.handles import HANDLES
from shapes.handles.hand import BAR_RUN, CORD_HOLE, CORD_RIM, Needs, Round, Sketch
from shapes.handles.neck import ENDS, length_of, shaped, slant_of, width_of
from shapes.handles.opening import bar_of
from shapes.parameters import from_shares, ranges

MOST_MOVED = 0.85  # logarithm of a length: a row that must give more than this is drawn again
MISSED = 1e-4  # mm by which a row may stay open
# Sizes of a hand that a recipe may leave out: mm by which an opening or a hole was moved along the
# edge.
MOVED_ALONG = ("along", "along_2")
_LOOSE = 27.0  # mm: a tip of a larger radius than the hole and this rim holds its hole off centre


@dataclass(frozen=True, slots=True)
class Size:
    """The box a board is drawn into, mm, along and across the grain, and what its handle needs."""

    length: float
    width: float
    needs: Needs
    roomy: bool = False  # whether a board may stay shorter than the box, to lie well in it


@dataclass(frozen=True, slots=True)
class Genes:
    """Everything that decides one board.

    ``row``: its edge, lengths as they were solved. ``hand``: the handle's sizes. ``beside``: names
    of the stretches that its openings belong to. ``flip``: mirrored up to down, and end to end.
    ``moved``: how far the lengths had to give. ``at``: pose (x, y, angle) on the off-cut it was
    drawn for.
    """

    form: str
    handle: str
    row: Row
    hand: tuple[tuple[str, float], ...] = ()
    beside: tuple[str, ...] = ()
    flip: tuple[bool, bool] = (False, False)
    moved: float = 0.0
    at: tuple[float, float, float] | None = None


def suits(handle: str, form: str) -> bool:
    """Whether a form has what a handle wants."""
    return HANDLES[handle].suits(FORMS[form].traits)


def random_genes(rng: np.random.Generator, form: str, handle: str, size: Size) -> Genes:
    """Draw genes for a box; their row is still to be closed."""
    about, chance = FORMS[form], Chance(rng)
    kind = HANDLES[handle].kind
    hand = from_shares(kind, {n: chance.even((0, 1)) for n in ranges(kind)})
    sizes = {f.name: float(getattr(hand, f.name)) for f in fields(hand)}
    box = box_of(about, chance, size.length, size.width, roomy=size.roomy)
    tip, grip = _hand_sizes(sizes, handle, size.needs, chance)
    stretches = stretches_of(about, chance, box, tip, grip)
    if about.necked:
        end = ENDS[int(sizes["end"])]
        stretches = shaped(stretches, 2 * tip, sizes["flare"], end)
    row = row_of(about, chance, box, stretches)
    if about.necked:
        row = replace(row, heading=row.heading + slant_of(list(row.stretches)))
    beside: tuple[str, ...] = ()
    wants, holed = HANDLES[handle].wants, HANDLES[handle].holed
    if wants == "two ends" and about.ends:
        beside = about.ends
    elif wants == "bar":
        beside = (about.bars[int(chance.even((0, len(about.bars) - 1e-9)))],)
    elif wants in ("tip", "neck") and holed:
        beside = (about.tip,)
    elif wants in ("hollow", "two hollows"):
        beside = about.hollows
    up = chance.yes() and (about.free or about.necked) and not about.rests
    flip = (up, chance.yes() if about.rises is None else up == about.rises)
    return Genes(form, handle, row, tuple((n, round(v, 3)) for n, v in sizes.items()), beside, flip)


def _hand_sizes(
    sizes: dict[str, float], handle: str, needs: Needs, chance: Chance
) -> tuple[float, float]:
    """Radius that a tip takes from the hand, and length of a neck, mm."""
    if "width" in sizes:
        hole = HANDLES[handle].holed
        wide = width_of(sizes["width"], needs, hole=hole)
        return wide / 2, length_of(wide, sizes["spare"], needs, hole=hole)
    if HANDLES[handle].wants == "tip":
        return sizes["across"] / 2 + sizes["rim"], 0.0
    return chance.even((24.0, 42.0)), 0.0


def closed(many: Sequence[Genes]) -> list[Genes | None]:
    """Close the rows of many genes at once; None where a row gives too much or stays open.

    Lengths are then rounded to what a recipe holds, and ``draw`` closes what that leaves open.
    """
    solved = solve([g.row for g in many])
    return [
        (
            replace(g, row=rounded(s.row), moved=round(s.moved, 4))
            if s.error < MISSED and s.moved < MOST_MOVED
            else None
        )
        for g, s in zip(many, solved, strict=True)
    ]


BEND = math.radians(20.0)  # a stretch that turns further is told by its radius, not its length


def rounded(row: Row) -> Row:
    """Round a row to what a recipe holds: 1e-4 degrees, 1e-3 mm; turns stay 360 degrees in all."""
    turns = [round(math.degrees(s.turn), 4) for s in row.stretches]
    i = max(range(len(turns)), key=lambda k: turns[k])
    turns[i] = round(360.0 - (sum(turns) - turns[i]), 4)
    made = []
    for s, t in zip(row.stretches, turns, strict=True):
        turn = math.radians(t)
        if abs(turn) > BEND:
            length = abs(turn) * round(s.length / abs(turn), 3)
        else:
            length = round(s.length, 3)
        made.append(replace(s, turn=turn, length=length))
    heading = math.radians(round(math.degrees(row.heading), 4))
    return replace(row, stretches=tuple(made), heading=heading)


def draw(genes: Genes) -> Sketch:
    """Draw the board of these genes; its middle is the origin, x along the grain.

    Raises OutlineError where its row does not close or its handle finds no place.
    """
    return sketch_of(genes, solve([genes.row])[0])


def sketch_of(genes: Genes, solved: Solved) -> Sketch:
    """Draw a board whose row was solved. Raises OutlineError as ``draw``."""
    sketch, (x, y) = where_drawn(genes, solved)
    return sketch.moved(-x, -y).rounded()


def where_drawn(genes: Genes, solved: Solved) -> tuple[Sketch, tuple[float, float]]:
    """Draw a board in its row's own place, mirrored as it
    is to be, and say where its middle lies.
    """
    if not solved.error < MISSED:
        raise OutlineError(f"its edge stays open by {solved.error:.3g} mm")
    drawn = trace(solved.row, KNOT_STEP)
    edge = control_of(drawn)
    openings, grips = _hand(genes, drawn)
    sketch = Sketch(edge, openings, grips).flipped(*genes.flip)
    x0, y0, x1, y1 = bounds(spline(sketch.edge))
    return sketch, ((x0 + x1) / 2, (y0 + y1) / 2)


Grips = tuple[tuple[float, float, float], ...]


def _hand(genes: Genes, drawn: TracedRow) -> tuple[tuple[np.ndarray | Round, ...], Grips]:
    """Openings and grips of a handle."""
    names = [s.name for s in drawn.row.stretches]
    sizes = dict(genes.hand)
    wants = HANDLES[genes.handle].wants
    if wants == "neck":
        return _neck(genes, drawn, names)
    try:
        spots = [names.index(n) for n in genes.beside]
    except ValueError:
        raise OutlineError("its edge has no stretch for the handle") from None
    if wants == "tip":
        radius = sizes.get("across", CORD_HOLE[0]) / 2
        way, along = drawn.middle(spots[0]), sizes.get(MOVED_ALONG[0], 0.0)
        tip = drawn.row.stretches[spots[0]]
        away = radius + sizes["rim"]
        if along:  # from the end of the tip: within it a hole has but one place of an even rim
            way += along + math.copysign(tip.length / 2, along)
        else:
            away = _depth(tip, away, radius + _LOOSE)
        x, y, heading = _inside(drawn, way, away)
        return (Round(x, y, radius),), ((x, y, heading),)
    if wants in ("hollow", "two hollows"):
        return (), tuple(_inside(drawn, drawn.middle(i), 15.0) for i in spots)
    if wants in ("bar", "two ends"):
        ways = [drawn.middle(i) for i in spots]
        made, grips = [], []
        if genes.form in FORMS and FORMS[genes.form].balanced:
            ways = [_halfway(drawn, w, upright=len(ways) == 2) for w in ways]
        ways = [w + sizes.get(n, 0.0) for w, n in zip(ways, MOVED_ALONG, strict=False)]
        for way in ways:
            heading = float(drawn.at(np.array([way]))[1][0])
            bar = bar_of(sizes["bar"], across=abs(math.sin(heading)) > math.sin(math.pi / 4))
            made.append(slot(drawn, way, sizes["length"], bar, sizes["height"]))
            grips.append(_inside(drawn, way, bar / 2))
        return tuple(made), tuple(grips)
    return (), ()


def _depth(tip: Stretch, least: float, most: float) -> float:
    """How far inside a tip the middle of its hole lies: at the tip's own, or with an even rim.

    In a closer tip it lies deeper, so that the rim is as wide beside its sides; in a wider one it
    keeps to the edge.
    """
    if tip.radius > most:
        return least
    if tip.radius >= least - 0.01:
        return tip.radius
    return tip.radius + (least - tip.radius) / max(math.cos(tip.turn / 2), 0.3)


def _inside(drawn: TracedRow, way: float, depth: float) -> tuple[float, float, float]:
    """Return the place ``depth`` mm inside the edge at a way, and the edge's direction there."""
    p, heading, _ = drawn.at(np.array([way]))
    angle = float(heading[0])
    x, y = p[0] + depth * np.array([-math.sin(angle), math.cos(angle)])
    return float(x), float(y), math.remainder(angle, math.pi)


def _halfway(drawn: TracedRow, way: float, *, upright: bool) -> float:
    """Move the middle of an opening along the edge to half the board's height, or its length.

    Of an end that stands upright, or of a side that runs level; beside any other it stays.
    """
    heading = float(drawn.at(np.array([way]))[1][0])
    runs = abs(math.sin(heading) if upright else math.cos(heading))
    if runs < math.cos(math.radians(30)):
        return way
    axis = 1 if upright else 0
    along = drawn.points[:, axis]
    near = way + np.linspace(-BAR_RUN, BAR_RUN, 385)
    off = np.abs(drawn.at(near)[0][:, axis] - (float(along.min()) + float(along.max())) / 2)
    return float(near[int(off.argmin())])


def _neck(genes: Genes, drawn: TracedRow, names: list[str]) -> tuple[tuple[Round, ...], Grips]:
    """Where the hand holds a neck, and the hole in its end."""
    if "neck low" not in names or "neck top" not in names:
        raise OutlineError("its edge has no neck")
    low = drawn.at(np.array([drawn.middle(names.index("neck low"))]))
    top = drawn.at(np.array([drawn.middle(names.index("neck top"))]))
    middle = (low[0][0] + top[0][0]) / 2
    # The upper side runs back towards the end: half a turn less, it runs as the lower one does.
    angle = (float(low[1][0]) + float(top[1][0]) - math.pi) / 2
    grip = (float(middle[0]), float(middle[1]), math.remainder(angle, math.pi))
    if not HANDLES[genes.handle].holed:
        return (), (grip,)
    i = names.index("tip")
    wide = float(np.hypot(*(low[0][0] - top[0][0])))
    depth = max(drawn.row.stretches[i].radius, wide / 2, CORD_HOLE[0] / 2 + CORD_RIM) + 0.9
    x, y, _ = _inside(drawn, drawn.middle(i), depth)
    return (Round(x, y, CORD_HOLE[0] / 2),), (grip,)


def resized(genes: Genes, box: tuple[float, float]) -> Genes:
    """Draw for another box: what may give is stretched, what the hand needs stays.

    Rows closed anew. A side with an opening beside it is no shorter in a smaller box: the corners
    at its ends give way.

    Raises OutlineError where the row does not close there.
    """
    row = stretched(genes.row, box)
    held = {
        s.name: s
        for s, new in zip(genes.row.stretches, row.stretches, strict=True)
        if s.name in genes.beside and abs(s.turn) < BEND and new.length < s.length
    }
    kept = [
        replace(s, length=held[s.name].length, give=0.0) if s.name in held else s
        for s in row.stretches
    ]
    ways = [replace(genes, row=replace(row, stretches=tuple(kept)))]
    ways += [replace(genes, row=row)] if held else []  # however short it is then
    found = next((g for g in closed(ways) if g is not None), None)
    if found is None:
        raise OutlineError("its edge does not close: its corners and its handle keep their sizes")
    free = [
        replace(s, give=held[s.name].give) if s.name in held else s for s in found.row.stretches
    ]
    return replace(
        found,
        row=replace(found.row, stretches=tuple(free)),
        moved=max(found.moved, genes.moved),
    )


def stretched(row: Row, box: tuple[float, float]) -> Row:
    """Stretch a row along and across into another box; it is open then.

    Turns become what they are when the board is stretched so: a slimmer board tapers less.
    """
    along, across = box[0] / row.box[0], box[1] / row.box[1]
    chain = single(row)
    chords = travel(chain)[0].sum(axis=1)
    longer = np.hypot(*(chords * (along, across)).T) / np.hypot(*chords.T)
    turns = np.array([s.turn for s in row.stretches])
    first = row.stretches[0]
    start = row.heading - float(chain.long[0, 0, 0]) * first.turn / first.length
    headings = _stretched(start + np.append(0.0, np.cumsum(turns)), along, across)
    made = []
    for s, turn, factor in zip(row.stretches, np.diff(headings), longer, strict=True):
        length = s.length
        if s.give or s.name.startswith(NATURAL):
            length *= float(factor)
        elif abs(s.turn) > BEND:  # a tip about its hole keeps its radius
            length *= float(turn) / s.turn
        made.append(replace(s, turn=float(turn), length=length))
    height = row.height
    if height is not None:
        height = (height[0], height[1], height[2] * across)
    lean = float(_stretched(np.array([row.heading]), along, across)[0])
    size = (round(box[0], 3), round(box[1], 3))
    return replace(row, stretches=tuple(made), box=size, height=height, heading=lean)


def _stretched(headings: Array, along: float, across: float) -> Array:
    """Return headings, radians, after stretching along x and along y; whole turns stay."""
    plain = np.arctan2(np.sin(headings), np.cos(headings))
    made = np.arctan2(across * np.sin(headings), along * np.cos(headings))
    return np.asarray(headings + np.arctan2(np.sin(made - plain), np.cos(made - plain)))


def outline_of(sketch: Sketch) -> Outline:
    """Make the outline of a sketch. Raises OutlineError where it crosses itself."""
    edge, *openings = sketch.curves()
    return Outline(edge, tuple(openings))


__all__ = [
    "Genes",
    "Size",
    "Stretch",
    "closed",
    "draw",
    "outline_of",
    "random_genes",
    "resized",
    "rounded",
    "sketch_of",
    "suits",
]

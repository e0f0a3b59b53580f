"""What a form is: a table of stretches with ranges, and how a row is drawn from it.

A row runs anticlockwise, x along the grain, and starts at the lower left. Angles are in degrees
here, as a maker reads them, sizes in mm or as a share of something stated.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from shapes.geometry.row import EASE, Row, Stretch

Pair = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Part:
    """A row of the table: a stretch by its turn and its radius or length, each a range.

    ``of``: what the size is a share of: "mm", "L" or "W" (of the board's own box), "B" (its length
    without a neck), "S" (by how much it is wider than a tip), "tip" (the radius that the hand asks
    of a tip), "grip" (of a neck), or the name of an earlier part. ``picks`` multiply the size: one
    of them is drawn. ``taper`` times the angle by which the board narrows to its tip, each side, is
    added to the turn. ``against`` names an earlier part whose turn is taken back, so that the side
    behind both runs as the one before them. ``twin`` names an earlier part whose turn it takes.
    ``give`` is how freely the solver may change the length.
    """

    name: str
    turn: Pair
    size: Pair
    of: str
    give: float
    round: bool
    picks: tuple[float, ...] = (1.0,)
    taper: float = 0.0
    against: str = ""
    twin: str = ""


def arc(
    name: str,
    turn: Pair | float,
    radius: Pair | float,
    of: str = "mm",
    give: float = 0.25,
    picks: tuple[float, ...] = (1.0,),
    taper: float = 0.0,
    against: str = "",
) -> Part:
    """State a bend by its radius."""
    return Part(name, _pair(turn), _pair(radius), of, give, True, picks, taper, against)


def side(
    name: str,
    turn: Pair | float,
    length: Pair | float,
    of: str = "L",
    give: float = 1.0,
) -> Part:
    """State a side by its length; its turn is how far it bows."""
    return Part(name, _pair(turn), _pair(length), of, give, False)


_ACROSS = {"far": "near", "base": "top", "low": "top"}  # what lies opposite, by the first word


def both_halves(*half: Part) -> tuple[Part, ...]:
    """Row that is alike when turned half round.

    Its second half takes the turns and sizes of the first.
    """

    def other(part: Part) -> Part:
        first, *rest = part.name.split(" ")
        name = " ".join([_ACROSS[first], *rest])
        return replace(part, name=name, size=(1.0, 1.0), of=part.name, twin=part.name)

    return (*half, *map(other, half))


def _pair(value: Pair | float) -> Pair:
    return value if isinstance(value, tuple) else (value, value)


@dataclass(frozen=True, slots=True)
class Form:
    """A family of boards: one idea, as a table.

    ``length`` and ``width`` are shares of the stated box, ``slim`` the least and greatest length
    over width: it is drawn first, so that boards of one form differ. ``heading`` (degrees) is that
    of the first stretch, ``swings`` how freely it is solved for (as ``give``). ``tip`` names the
    bend that a hole lies in, ``level`` two parts whose middles lie at one height; ``off`` is how
    far the tip lies above or below the middle, as a share of the width. ``bars`` names the
    stretches that an opening may run beside, ``ends`` names the two at the ends for a tray,
    ``balanced`` has an opening in the middle of the board's length, or of its height where it lies
    at an end, ``hollows`` names those that fingers take. ``free``: one flowing line. ``rises``:
    whether its row rises to the right or falls; boards then are drawn rising alone, since fewer
    wanted them falling. ``seldom``: drawn only where a brief names it, or where its handles suit
    nothing else: few wanted one, or it came later and briefs without forms were not to change by
    it. ``rests``: it is shown on its first side: turned half round fewer wanted it, since its body
    then hangs below its handle. ``natural``: its first stretch may be the natural edge of a piece.
    Parts of size "grip" make a neck.
    """

    says: str
    parts: tuple[Part, ...]
    heading: Pair = (0.0, 0.0)
    length: Pair = (0.9, 1.0)
    width: Pair = (0.66, 1.0)
    slim: Pair = (1.0, 4.5)
    ease: float = EASE
    swings: float = 0.0
    tip: str = ""
    level: tuple[str, str] | None = None
    bars: tuple[str, ...] = ()
    balanced: bool = False
    ends: tuple[str, str] | None = None
    hollows: tuple[str, ...] = ()
    off: Pair | None = None
    free: bool = False
    rises: bool | None = None
    rests: bool = False
    seldom: bool = False
    natural: bool = False
    ringed: bool = False

    @property
    def traits(self) -> frozenset[str]:
        """What a handle finds on it."""
        if self.necked:
            return frozenset({"neck"})
        found = {"edge"}
        if self.tip:
            found.add("tip")
        if self.ringed:
            found.add("broad tip")
        if self.bars:
            found.add("bar")
        if self.ends:
            found.add("two ends")
        if self.hollows:
            found.add("hollow")
        if len(self.hollows) > 1:
            found.add("two hollows")
        return frozenset(found)

    @property
    def necked(self) -> bool:
        """Whether it runs out into a neck."""
        return any(p.of == "grip" for p in self.parts)


class Chance:
    """Draws from ranges by one generator."""

    def __init__(self, rng: np.random.Generator) -> None:
        """Take the generator."""
        self._rng = rng

    def even(self, pair: Pair) -> float:
        """Draw evenly."""
        return float(pair[0] + self._rng.random() * (pair[1] - pair[0]))

    def ratio(self, pair: Pair) -> float:
        """Draw evenly by ratio: as many between 10 and 20 as between 20 and 40."""
        return (
            float(pair[0] * (pair[1] / pair[0]) ** self._rng.random())
            if pair[0] > 0
            else self.even(pair)
        )

    def pick(self, values: tuple[float, ...]) -> float:
        """Take one of some values."""
        return values[int(self._rng.random() * len(values))]

    def yes(self, share: float = 0.5) -> bool:
        """Say yes in a share of all cases."""
        return bool(self._rng.random() < share)


def box_of(form: Form, chance: Chance, length: float, width: float, *, roomy: bool = False) -> Pair:
    """Draw the box of a board within a stated one.

    ``roomy``: narrower, and so shorter, rather than as wide as may be.
    """
    long = length * chance.even(form.length)
    slim = chance.ratio(form.slim)  # a stated box of another ratio is not to make all boards alike
    if roomy:
        wide = min(width * chance.even(form.width), long / slim)
    else:  # it keeps its length as far as the width allows: a small board is wanted less
        wide = min(width * form.width[1], long / slim)
    long = min(long, wide * slim)
    return round(long, 2), round(wide, 2)


def stretches_of(
    form: Form, chance: Chance, box: Pair, tip: float, grip: float = 0.0
) -> list[Stretch]:
    """Draw the stretches of a board; ``tip`` and ``grip`` are the hand's sizes, mm.

    The turns of a closed edge are 360 degrees in all: what the drawn ones miss is spread over those
    that have a range and no partner, each by its share of all ranges.
    """
    turns: list[float] = []
    sizes: list[float] = []
    known = {"mm": 1.0, "L": box[0], "W": box[1], "tip": tip, "grip": grip, "S": box[1] - 2 * tip}
    known["B"] = box[0] - 2 * tip - grip if form.necked else box[0]
    narrows = math.degrees(math.atan2(box[1] / 2 - tip, box[0] - tip - 0.35 * box[1]))
    names = [p.name for p in form.parts]
    for part in form.parts:
        if part.twin:
            turns.append(turns[names.index(part.twin)])
        else:
            turn = chance.even(part.turn) + part.taper * narrows
            turns.append(turn - turns[names.index(part.against)] if part.against else turn)
        size = chance.ratio(part.size) * chance.pick(part.picks) * known[part.of]
        known[part.name] = size
        sizes.append(size)
    rest = 360.0 - sum(turns)
    paired = {n for p in form.parts if p.against for n in (p.name, p.against)}
    spans = [0.0 if p.name in paired else p.turn[1] - p.turn[0] for p in form.parts]
    total = sum(spans)
    if total:
        turns = [t + rest * s / total for t, s in zip(turns, spans, strict=True)]
    made = []
    for part, turn, size in zip(form.parts, turns, sizes, strict=True):
        angle = math.radians(turn)
        made.append(Stretch(angle, abs(angle) * size if part.round else size, part.give, part.name))
    return made


def row_of(form: Form, chance: Chance, box: Pair, stretches: list[Stretch]) -> Row:
    """Put stretches together into a row that is to be closed."""
    names = [s.name for s in stretches]
    height = None
    heading = math.radians(chance.even(form.heading))
    if form.level is not None:
        height = (names.index(form.level[0]), names.index(form.level[1]), 0.0)
    elif form.off is not None:
        height = (names.index(form.tip), -1, round(chance.even(form.off) * box[1], 2))
    return Row(tuple(stretches), box, heading, form.ease, height, form.swings)

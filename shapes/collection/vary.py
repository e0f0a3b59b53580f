"""Relatives of a board.

Its turns and radii moved towards those of others of its family, or its sizes.
"""

from __future__ import annotations

import contextlib
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from shapes.checks.finding import FAIL
from shapes.collection.board import Board, Report, drawn_from, full_report
from shapes.collection.brief import Brief
from shapes.collection.choose import least_difference
from shapes.collection.draw import (
    Genes,
    Size,
    closed,
    draw,
    random_genes,
    resized,
    stretched,
    suits,
)
from shapes.collection.generate import Collection
from shapes.collection.pool import AnyWood, Candidate, generator, nothing_like
from shapes.errors import CannotMeetError, InputError, OutlineError, Problem
from shapes.forms import FORMS
from shapes.geometry.curve import flatten, spline
from shapes.geometry.overlap import Likeness, difference, likeness
from shapes.geometry.row import Row, Stretch
from shapes.handles import HANDLES

_REACH = 3.0  # of the way to another board of the family that 1 goes, in the mean
# Difference from the board that its relatives have in the median, and the --how-far that this is
# for.
_AIM, _AT = 0.078, 0.35
_LESS, _MORE = 0.2, 3.5  # times the reach that it may become
# Times the reach that one relative goes: widely, so that some are as far off as is asked. And times
# the difference asked for that a relative's may be.
_SPREAD, _BAND = (0.4, 1.6), (0.75, 1.3)
_HALVINGS = 8  # of the way to a size that does not close
_NEARER, _CLOSER = 6, 0.7  # times that relatives are looked for nearer by, and by how much
_PROBES = 16  # relatives that are looked at to adjust it
_INSIDE = 0.02  # mm within the stated size: a spline may swing out of its row so far
_ASKED = 0.9  # of a length or width that was asked for, at least; our choice
_BOX = 0.30  # by which length and width change at --how-far 1, one standard deviation


@dataclass(frozen=True, slots=True)
class NearBoard(AnyWood):
    """Genes near those of one board; ``how_far`` 0 gives the board again, more moves further.

    ``asked``: whether its length and its width were asked for: what was keeps near, the other
    stays. ``apart``: how much relatives are to differ from it, in the median.
    """

    brief: Brief
    parent: Genes
    how_far: float
    asked: tuple[bool, bool] = (False, False)
    apart: float = 0.0

    def genes(self, k: int, rng: np.random.Generator) -> Genes:
        """Move every turn and every length that may give; what the hand needs stays."""
        del k
        parent = self.parent
        if not self.how_far:
            return parent
        stretch = np.exp(self.how_far * _BOX * rng.standard_normal(2))
        if any(self.asked):
            stretch = np.where(self.asked, np.clip(stretch, _ASKED, 1.0), 1.0)
        box = (
            min(round(parent.row.box[0] * float(stretch[0]), 2), self.brief.length - _INSIDE),
            min(round(parent.row.box[1] * float(stretch[1]), 2), self.brief.width - _INSIDE),
        )
        size = Size(*box, self.brief.size().needs)
        other = stretched(random_genes(rng, parent.form, parent.handle, size).row, box)
        way = self.how_far * _REACH * rng.uniform(*_SPREAD)
        return replace(
            parent,
            row=replace(
                parent.row, stretches=between(stretched(parent.row, box), other, way), box=box
            ),
            at=None,
        )

    def among(self, candidates: Sequence[Candidate], count: int) -> list[Candidate]:
        """Leave those that differ from the board as is asked, or nearly so where they are few."""
        if not self.apart or not candidates:
            return list(candidates)
        off = difference(_likeness(self.parent), [nothing_like(c) for c in candidates]) / self.apart
        away = np.abs(np.log(np.maximum(off, 1e-6)))
        enough = np.sort(away)[min(2 * count, len(away)) - 1]
        low, high = _BAND
        good = ((off >= low) & (off <= high)) | (away <= enough)
        return [c for c, keep in zip(candidates, good, strict=True) if keep]


def between(parent: Row, other: Row, way: float) -> tuple[Stretch, ...]:
    """Move the stretches of one board towards those of the same names of another.

    360 degrees in all.
    """
    named = {s.name: s for s in other.stretches}
    moved, spans = [], []
    for s in parent.stretches:
        to = named.get(s.name)
        # A length that is no length yet is one that the solver finds.
        if to is None or not s.give or s.turn * to.turn < 0 or min(s.length, to.length) <= 0:
            moved.append(s)
            spans.append(0.0)
            continue
        turn = s.turn + way * (to.turn - s.turn)
        if turn * s.turn < 0 or abs(turn) > 1.6 * abs(to.turn) + 0.2:
            turn = s.turn
        length = s.length * math.exp(way * math.log(to.length / s.length))
        moved.append(replace(s, turn=turn, length=length))
        spans.append(abs(turn))
    rest = 2 * math.pi - sum(s.turn for s in moved)
    total = sum(spans)
    return tuple(
        replace(s, turn=s.turn + rest * v / total) if total else s
        for s, v in zip(moved, spans, strict=True)
    )


def unchanged(board: Board) -> bool:
    """Whether a board's outline is still the one that its genes draw."""
    if board.genes is None:
        return False
    try:
        drawn = draw(board.genes).edge
    except OutlineError:
        return False
    return drawn.shape == board.sketch.edge.shape and bool(
        np.allclose(drawn, board.sketch.edge, atol=1e-5)
    )


def near(board: Board, how_far: float, asked: tuple[bool, bool] = (False, False)) -> NearBoard:
    """Return the source of relatives of a board. Raises InputError where it has no stretches."""
    source = NearBoard(board.brief, stretches_of(board), _AT, asked)
    source = replace(
        source,
        how_far=how_far * _ease(source) if how_far else 0.0,
        apart=_AIM * how_far / _AT,
    )
    for _ in range(_NEARER if how_far else 0):
        if 2 * len(_probes(source)) >= _PROBES:
            break
        source = replace(source, how_far=source.how_far * _CLOSER)
    return source


def _probes(source: NearBoard) -> list[Genes]:
    """Draw a few relatives, to see how many close and what they are like."""
    made = closed([source.genes(k, generator(0, k, 0)) for k in range(_PROBES)])
    return [g for g in made if g is not None]


def _ease(source: NearBoard) -> float:
    """How much further or less far a family has to move for its relatives to differ as is asked."""
    parent = source.parent
    try:
        own = _likeness(parent)
    except OutlineError:
        return 1.0
    found = []
    for genes in _probes(source):
        with contextlib.suppress(OutlineError):
            found.append(_likeness(genes))
    if not found:
        return 1.0
    middle = float(np.median(difference(own, found)))
    # Where most do not close, those that do are the nearest ones: they tell too little of the
    # family.
    most = _MORE if 2 * len(found) >= _PROBES else 1.0
    return float(np.clip(_AIM / max(middle, 1e-6), _LESS, most))


def _likeness(genes: Genes) -> Likeness:
    return likeness(flatten(spline(draw(genes).edge)))


def stretches_of(board: Board) -> Genes:
    """Return the genes of a board. Raises InputError for a recipe without stretches."""
    if board.genes is None or board.form not in FORMS:
        raise InputError(
            Problem(
                f"board '{board.name}'",
                f"its form '{board.form}' is not drawn any more, so it has no relatives",
                "",
                "it still checks, exports and prepares; draw new boards with: shapes generate",
            )
        )
    if not suits(board.handle, board.form):
        raise InputError(unsuited(board, board.handle))
    return board.genes


def unsuited(board: Board, handle: str) -> Problem:
    """What is said where a form has not what a handle wants."""
    fit = [h for h in HANDLES if suits(h, board.form)]
    return Problem(
        f"board '{board.name}'",
        f"a {handle} does not go with the form {board.form}",
        f"{board.form} goes with {', '.join(fit)}",
        "see: shapes list handles",
    )


_TRIES = 48  # draws of another handle's sizes that are looked at


def with_handle(board: Board, handle: str, seed: int) -> Board:
    """Return a board with another handle, its body as it is.

    Only the tip takes the new hand's radius.

    Raises InputError where the form has no place for it, or CannotMeetError where none stands the
    checks.
    """
    genes = stretches_of(board)
    if not suits(handle, board.form):
        raise InputError(unsuited(board, handle))
    size = Size(*genes.row.box, board.brief.size().needs)
    why = ""
    for k in range(_TRIES):
        other = random_genes(generator(seed, k, 0), board.form, handle, size)
        tips = {
            s.name: abs(s.length / s.turn)
            for s in other.row.stretches
            if s.name == FORMS[board.form].tip and s.turn
        }
        row = replace(
            genes.row,
            stretches=tuple(
                replace(s, length=abs(s.turn) * tips[s.name]) if s.name in tips else s
                for s in genes.row.stretches
            ),
        )
        (made,) = closed(
            [replace(genes, row=row, handle=handle, hand=other.hand, beside=other.beside, at=None)]
        )
        if made is None:
            continue
        try:
            report = full_report(drawn_from(board.brief, made, draw(made), board.name))
        except OutlineError:
            continue
        if report.passes and isinstance(report.board, Board):
            return report.board
        why = next(f.message for f in report.findings if f.verdict == FAIL)
    raise CannotMeetError(
        (
            (
                f"board '{board.name}': none of {_TRIES} draws of a {handle} stands the checks on"
                f" its body{': ' + why if why else ''}"
            ),
        )
    )


# Of the length and width of the size above, the first of these at which every size stands; our
# choice.
SMALLER = (0.8, 0.84, 0.88)


def in_sizes(board: Board, count: int, seed: int) -> Collection:
    """Draw a board and ``count`` - 1 smaller ones of the same row, largest first.

    Hands stay as they are. A smaller one may be nearer to its own mirror image than is asked of
    others: its handle takes more of it, and it was asked for.

    Raises CannotMeetError, with a line for each size that does not close or fails a check.
    """
    genes = stretches_of(board)
    brief = replace(board.brief, title=f"{board.name} in {count} sizes")
    tried = []
    for step in SMALLER:
        made, why = _stepped(brief, genes, count, step)
        if not why:
            return Collection(brief, seed, tuple(made), count, count, least_difference(made))
        tried.append(why)
    raise CannotMeetError(
        (*tried[0], "start from a larger board (--length, --width) or ask for fewer sizes")
    )


def _stepped(brief: Brief, genes: Genes, count: int, step: float) -> tuple[list[Report], list[str]]:
    """Draw a row in ``count`` sizes, each ``step`` times the one above; and say what fails."""
    made: list[Report] = []
    why: list[str] = []
    for k in range(count):
        box = genes.row.box[0] * step**k, genes.row.box[1] * step**k
        what = f"size {k + 1} of {count}, {box[0]:.0f} x {box[1]:.0f} mm"
        try:
            smaller = resized(genes, box) if k else genes
            own = replace(brief, asymmetry=False) if k else brief
            report = full_report(drawn_from(own, replace(smaller, at=None), draw(smaller)))
        except OutlineError as error:
            why.append(f"{what}: {error}")
            continue
        made.append(report)
        why += [f"{what}: {f.message}" for f in report.findings if f.verdict == FAIL]
    return made, why


def in_another_box(board: Board, brief: Brief, asked: tuple[bool, bool]) -> Board:
    """Draw a board as long and as wide as its brief says, where that was ``asked``.

    Slimmer, not smaller.

    Raises InputError where its stretches do not close there.
    """
    genes = stretches_of(board)
    long, wide = genes.row.box
    box = (
        brief.length - _INSIDE if asked[0] else long,
        brief.width - _INSIDE if asked[1] else wide,
    )
    try:
        made = resized(genes, box)
        return replace(board, brief=brief, genes=made, sketch=draw(made))
    except OutlineError as error:
        near_by = _nearest(genes, box)
        raise InputError(
            Problem(
                f"board '{board.name}'",
                f"at {box[0]:.0f} x {box[1]:.0f} mm {error}",
                "",
                f"the nearest that does is {near_by[0]} x {near_by[1]} mm",
            )
        ) from None


def _nearest(genes: Genes, box: tuple[float, float]) -> tuple[int, int]:
    """Return the box, whole mm, on the way to one in which a
    board does not close, in which it just does.
    """
    own = genes.row.box
    low, high = 0.0, 1.0

    def at(share: float) -> tuple[float, float]:
        return own[0] + share * (box[0] - own[0]), own[1] + share * (box[1] - own[1])

    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        try:
            draw(resized(genes, at(middle)))
            low = middle
        except OutlineError:
            high = middle
    # Whole millimetres towards its own size: they close too.
    long, wide = (
        math.ceil(v) if v < o else math.floor(v) for v, o in zip(at(low), own, strict=True)
    )
    return long, wide

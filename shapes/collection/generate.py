"""From a brief to a collection: draw a pool, screen it, choose, report."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import shapes
from shapes.checks import LOOSEN
from shapes.collection.board import Board, Report, full_report, subject_of
from shapes.collection.brief import Brief
from shapes.collection.choose import best_of, choose, choose_best, least_difference
from shapes.collection.pool import (
    POOL,
    Candidate,
    Pool,
    Prefer,
    Source,
    board_of,
    draw_pool,
)
from shapes.errors import CannotMeetError
from shapes.geometry.overlap import Likeness

_LOOSEN = {  # what turns boards away: drawing and choosing, and the checks
    "stretches": "allow other forms or handles, or another ratio of length to width",
    "outline": "make the board larger: handle and body do not both find room",
    "off-cut": "take a larger off-cut or a smaller board",
    "alike": "allow more forms or handles",
    **LOOSEN,
}


@dataclass(frozen=True, slots=True)
class Collection:
    """What was chosen, in order, and from how many."""

    brief: Brief = field(repr=False)
    seed: int
    reports: tuple[Report, ...]
    drawn: int
    stood: int
    least_difference: float

    @property
    def boards(self) -> list[Board]:
        """The boards, in order."""
        return [r.board for r in self.reports if isinstance(r.board, Board)]

    def _repr_png_(self) -> bytes:
        """Show itself in a notebook."""
        return shapes.picture(self)


class DrawnAgain:
    """Draws candidates again, each once; counts in ``rejected`` what failed their full reports."""

    def __init__(self, source: Source, seed: int, rejected: Counter[str] | None = None) -> None:
        """Draw as the pool of that source and seed."""
        self.source = source
        self.rejected = Counter[str]() if rejected is None else rejected
        self._board = lru_cache(maxsize=None)(lambda k, j: board_of(source, seed, k, j))

    def board(self, candidate: Candidate) -> Board:
        """Return it as it was drawn."""
        return self._board(candidate.index, candidate.attempt)

    def __call__(self, candidate: Candidate, /) -> Report | None:
        """Return the report of the board that may go into a collection, or None."""
        # A board that was made larger may fail where it passed before: then a smaller one will do.
        for board in self.source.finish(self.board(candidate)):
            report = full_report(board)
            if report.passes:
                return report
        for name in {f.check for f in report.findings if f.verdict == "fail"}:
            self.rejected[name] += 1
        return None

    def likeness(self, candidate: Candidate, /) -> Likeness:
        """Return what it is compared by, as it was drawn."""
        return subject_of(self.board(candidate)).likeness


def generate(
    source: Source,
    seed: int,
    count: int,
    *,
    pool_size: int | None = None,
    kept: Sequence[tuple[int, Report]] = (),
    jobs: int = 1,
    fewer: bool = False,
    prefer: Prefer | None = None,
    tell: Callable[[int], None] = lambda done: None,
) -> Collection:
    """Draw and choose ``count`` boards. ``kept`` are (place, report) that stay where they are.

    ``prefer`` leaves of a pool what goes with what was said of other boards.

    Raises CannotMeetError, with what to loosen, where fewer stand than are wanted and ``fewer`` is
    off.
    """
    size = max(pool_size or POOL * count, count)
    pool = draw_pool(source, seed, size, jobs, tell)
    every = source.among(pool.candidates, count)
    if prefer is not None:
        every = prefer(source, seed, every, count)
    stays = [report for _, report in kept]
    rejected = pool.rejected

    accept = DrawnAgain(source, seed, rejected)
    wanted = count - len(stays)
    good = best_of(every, count)
    first = source.first(
        lambda: [accept.board(c) for c in good],
        [r.board for r in stays if isinstance(r.board, Board)],
        wanted,
    )
    lead = [good[i] for i in first]
    early = [r for c in lead if (r := accept(c)) is not None]
    others = [c for c in every if c not in lead]
    pick = choose if prefer is None else choose_best
    new = early + pick(others, wanted - len(early), [*stays, *early], accept)
    if len(new) < wanted and not (fewer and (new or stays)):
        raise CannotMeetError(_why(pool, len(new) + len(stays), count))
    places: list[Report | None] = [None] * (len(new) + len(stays))
    for place, report in sorted(kept, key=lambda k: -k[0]):
        at = min(place, len(places)) - 1
        while (
            places[at] is not None
        ):  # fewer places than before: the last ones come one before another
            at -= 1
        places[at] = report
    rest = iter(new)
    reports = tuple(r if r is not None else next(rest) for r in places)
    return Collection(
        source.brief, seed, reports, pool.attempts, len(pool.candidates), least_difference(reports)
    )


def _why(pool: Pool, found: int, count: int) -> tuple[str, ...]:
    """One line on what was found, then one on each limit that turned boards away, worst first."""
    lines = [
        f"only {found} of {count} boards meet the brief: {pool.attempts} drawn,"
        f" {len(pool.candidates)} stood"
    ]
    for name, number in pool.rejected.most_common():
        if number >= 0.02 * pool.attempts:
            lines.append(f"'{name}' turned {number} away: {_LOOSEN[name]}")
    if len(pool.candidates) >= count:
        lines.append(f"the rest were too much alike in form or handle: {_LOOSEN['alike']}")
    if found:
        lines.append("or ask for fewer: --count, or --fewer to take what there is")
    return tuple(lines)

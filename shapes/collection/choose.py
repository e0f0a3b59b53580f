"""Choose a collection from a pool: quality first, then each time the one farthest from the rest.

Only the best two fifths by the absolute score of looks stand, or three quarters where those are too
alike. The best starts; then the farthest is added, at most an even share of one form (one more
where there are many), half of one kind of handle and half of calm forms, ties to the lower index.
Where few forms and handles are allowed, these shares give way one at a time, and the worse are
taken too, rather than leave the collection short. (The bare farthest-point rule picks the ugliest
and repeats one family.)
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from shapes.collection.board import Report
from shapes.collection.pool import Candidate
from shapes.forms import FORMS
from shapes.geometry.curve import Array, Flags
from shapes.geometry.overlap import Likeness, difference, exact_difference
from shapes.handles import HANDLES

LEAST_SEVERAL, LEAST_ONE = 0.10, 0.08  # least difference aimed at, with several forms and with one
_ERR = 0.015  # by which the quick difference usually falls short
_POINTS = 0.02  # of difference that one point against its looks counts; our choice
# Of the candidates that stand: two fifths, three quarters where those are too alike; our choice.
BEST, MORE = 0.4, 0.75
_NEARLY = 0.8  # of the greatest distance left, below which no board is taken; our choice
_LOOKED_AT = 3  # finalists measured again by GEOS before one is taken


def kind(handle: str) -> str:
    """Return the kind of a handle: a neck is a neck, with a hole in its end or without."""
    return HANDLES[handle].kin or handle


@dataclass(slots=True)
class _Shares:
    """How many boards of one form, of one kind of handle and of calm forms there may be, and are."""

    most_form: int
    most_handle: int
    most_calm: int
    forms: Counter[str] = field(default_factory=Counter)
    handles: Counter[str] = field(default_factory=Counter)
    pairs: set[tuple[str, str]] = field(default_factory=set)
    calm: int = 0

    @staticmethod
    def of(candidates: Sequence[Candidate], count: int) -> _Shares:
        """Share ``count`` boards out evenly among what the candidates have."""
        forms = len({c.form for c in candidates})
        handles = len({kind(c.handle) for c in candidates})
        return _Shares(
            math.ceil(count / forms) + (2 * forms > count) if forms > 1 else count,
            math.ceil(count / 2) if handles > 1 else count,
            count // 2 if any(is_free(c.form) for c in candidates) else count,
        )

    def allow(self, c: Candidate) -> bool:
        """Whether one more of its form, handle and temper may be taken."""
        return (
            self.forms[c.form] < self.most_form
            and self.handles[kind(c.handle)] < self.most_handle
            and (is_free(c.form) or self.calm < self.most_calm)
        )

    def take(self, form: str, handle: str) -> None:
        """Count one that was taken."""
        self.forms[form] += 1
        self.handles[kind(handle)] += 1
        self.pairs.add((form, handle))
        self.calm += not is_free(form)

    def loosen(self) -> None:
        """Allow one more of everything, rather than leave the collection short."""
        self.most_form += 1
        self.most_handle += 1
        self.most_calm += 1


def choose(
    candidates: Sequence[Candidate],
    count: int,
    kept: Sequence[Report],
    accept: Callable[[Candidate], Report | None],
) -> list[Report]:
    """Choose up to ``count`` boards far from each other and from those ``kept``.

    ``accept`` draws a candidate again and gives its full report, or None if it fails.
    """
    shares = _Shares.of(candidates, count)
    for report in kept:
        shares.take(report.board.form, report.board.handle)
    taken = [r.subject.likeness for r in kept]
    likes = [nothing_like(c) for c in candidates]
    nearest = _nearest(likes, kept)
    aim = _aim(candidates)
    good = {share: _best(candidates, count, share) for share in (BEST, MORE, 1.0)}
    open_ = np.ones(len(candidates), dtype=bool)
    share = BEST
    chosen: list[Report] = []
    while len(chosen) < count and open_.any():
        allowed = open_ & good[share] & _flags(candidates, shares.allow)
        if taken and share < MORE and not (allowed & (nearest >= aim - _ERR)).any():
            share = MORE  # better a board that is less good than the same again
            continue
        if not allowed.any():
            if share < 1:
                share = 1.0
            else:
                shares.loosen()
            continue
        narrowed = _narrowed(candidates, allowed, nearest, aim, shares)
        best = _next(candidates, narrowed, nearest, taken, accept, open_)
        if best is None:
            continue
        i, report = best
        open_[i] = False
        chosen.append(report)
        taken.append(report.subject.likeness)
        shares.take(candidates[i].form, candidates[i].handle)
        nearest = np.minimum(nearest, _differences(report.subject.likeness, likes))
    return chosen


def _flags(candidates: Sequence[Candidate], holds: Callable[[Candidate], bool]) -> Flags:
    """Return for which candidates something holds."""
    return np.array([holds(c) for c in candidates], dtype=bool)


def _narrowed(
    candidates: Sequence[Candidate], allowed: Flags, nearest: Array, aim: float, shares: _Shares
) -> Flags:
    """Leave those that lie apart; of these new pairs of form and handle, then new forms, if any."""
    most = float(np.max(nearest, where=allowed, initial=0.0))
    for better in (
        nearest >= min(aim - _ERR, _NEARLY * most),
        _flags(candidates, lambda c: (c.form, c.handle) not in shares.pairs),
        _flags(candidates, lambda c: not shares.forms[c.form]),
    ):
        if (allowed & better).any():
            allowed = allowed & better
    return allowed


def best_of(candidates: Sequence[Candidate], count: int) -> list[Candidate]:
    """Return the candidates that ``count`` boards may be chosen from.

    All but the worst by their looks.
    """
    return [c for c, good in zip(candidates, _best(candidates, count, MORE), strict=True) if good]


def is_free(form: str) -> bool:
    """Whether a form is one flowing line, not a calm one."""
    return form in FORMS and FORMS[form].free


def _best(candidates: Sequence[Candidate], count: int, share: float) -> Flags:
    """Return which candidates are among the best by their looks.

    A share of them, enough to choose from.
    """
    good = np.zeros(len(candidates), dtype=bool)
    if not len(candidates):
        return good
    points = np.array([c.points for c in candidates])
    most = max(math.ceil(share * len(candidates)), min(2 * count, len(candidates)))
    good[np.argsort(points, kind="stable")[:most]] = True
    return good


_NOTHING = np.empty((0, 2), dtype=np.float32)


def nothing_like(candidate: Candidate) -> Likeness:
    """Return what a candidate is compared by quickly: its spectrum alone."""
    return Likeness(candidate.spectrum, _NOTHING)


_CLOSER = 0.8  # of the difference that is aimed at, where none that far is left


def choose_best(
    candidates: Sequence[Candidate],
    count: int,
    kept: Sequence[Report],
    accept: Callable[[Candidate], Report | None],
) -> list[Report]:
    """Choose up to ``count`` boards, the fewest points first,
    none nearer to another than is aimed at.

    For candidates whose points say what a maker likes. Where too few lie so far apart, they come
    closer step by step.
    """
    likes = [nothing_like(c) for c in candidates]
    nearest = _nearest(likes, kept)
    order = np.argsort([c.points for c in candidates], kind="stable").tolist()
    aim = _aim(candidates)
    chosen: list[Report] = []
    while len(chosen) < count and order:
        i = next((i for i in order if nearest[i] >= aim - _ERR), None)
        if i is None:
            aim *= _CLOSER
            continue
        order.remove(i)
        found = accept(candidates[i])
        if found is not None:
            chosen.append(found)
            nearest = np.minimum(nearest, _differences(found.subject.likeness, likes))
    return chosen


def _aim(candidates: Sequence[Candidate]) -> float:
    """Return the least difference that is aimed at."""
    return LEAST_SEVERAL if len({c.form for c in candidates}) > 1 else LEAST_ONE


def _nearest(likes: list[Likeness], kept: Sequence[Report]) -> Array:
    """Return how far each candidate is from the nearest of the boards that are kept."""
    nearest = np.full(len(likes), np.inf)
    for report in kept:
        nearest = np.minimum(nearest, _differences(report.subject.likeness, likes))
    return nearest


def _differences(one: Likeness, likes: list[Likeness]) -> Array:
    step = 2048  # keeps the table of products small for large pools
    return np.concatenate(
        [difference(one, likes[i : i + step]) for i in range(0, len(likes), step)] or [np.empty(0)]
    )


def _next(
    candidates: Sequence[Candidate],
    allowed: Flags,
    nearest: Array,
    taken: list[Likeness],
    accept: Callable[[Candidate], Report | None],
    open_: Flags,
) -> tuple[int, Report] | None:
    """Look at the few that seem farthest and take the one that is, by the exact difference."""
    index = np.flatnonzero(allowed)
    if taken:
        points = np.array([c.points for c in candidates])[index]
        worth = nearest[index] - _POINTS * points
    else:
        worth = -np.array([c.points for c in candidates])[index]
    order = index[np.argsort(-worth, kind="stable")][: _LOOKED_AT if taken else 1]
    best: tuple[float, int, Report] | None = None
    for i in order.tolist():
        if best and nearest[i] < best[0]:
            break
        report = accept(candidates[i])
        if report is None:
            open_[i] = False
            continue
        like = report.subject.likeness
        close = [
            t for t, d in zip(taken, _quick(like, taken), strict=True) if d < nearest[i] + 0.05
        ]
        far = min((exact_difference(like, t) for t in close), default=1.0)
        if best is None or far > best[0]:
            best = far, i, report
    return (best[1], best[2]) if best else None


def _quick(one: Likeness, many: list[Likeness]) -> Array:
    return difference(one, many) if many else np.empty(0)


def least_difference(reports: Sequence[Report]) -> float:
    """Least exact difference between any two boards; 1 where there is only one."""
    likes = [r.subject.likeness for r in reports]
    least = 1.0
    for i, a in enumerate(likes[:-1]):
        rough = difference(a, likes[i + 1 :])
        least = min(
            [
                least,
                *(
                    exact_difference(a, likes[i + 1 + k])
                    for k in np.flatnonzero(rough < least + 0.05)
                ),
            ]
        )
    return least

"""Choose a collection from a pool: boards far from each other, and of these the best looking.

No two lie nearer than is aimed at, with at most an even share of one form and one more,
half of one kind of handle and half of calm forms, and more than half are lively. Of what
answers that each board is the best looking that it can be; the best two fifths by the absolute
score of looks come first, the worse are taken only where those are too alike. Where too few lie so
far apart they come closer step by step; where few forms and handles are allowed, the shares give
way rather than leave the collection short. (Adding each time the farthest picks the ugliest; to
start from the best sits in the middle of its form and leaves no room for two of them.)
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import combinations
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from shapes.collection.board import Report
from shapes.collection.pool import Candidate, nothing_like
from shapes.collection.shares import LIVELY, Shares
from shapes.geometry.curve import Array, Flags
from shapes.geometry.overlap import (
    Likeness,
    asymmetry,
    difference,
    differences,
    exact_difference,
)

LEAST_SEVERAL, LEAST_ONE = 0.10, 0.08  # least difference aimed at, with several forms and with one
_ERR = 0.02  # by which the quick difference usually falls short
_DOUBT = 0.035  # by which it may err
# Of the candidates that stand: two fifths, three quarters where those are too alike; our choice.
BEST, MORE = 0.4, 0.75
_WAYS, _DOUBTFUL = 9, 0.6  # of picking; by how much chance may count one worse
# Of what is aimed at, where too few lie so far apart; a step, and how many.
_CLOSER, _STEPS = 0.94, 48


def choose(
    candidates: Sequence[Candidate],
    count: int,
    kept: Sequence[Report],
    accept: Accept,
) -> list[Report]:
    """Choose up to ``count`` boards far from each other and from those ``kept``."""
    if count <= 0 or not candidates:
        return []
    shares = Shares.of(candidates, count + len(kept), kept)
    apart = _Apart.of(candidates, kept, accept)
    aims = [*(_aim(candidates) * _CLOSER**k for k in range(_STEPS)), 0.0]
    good = [_best(candidates, count, share) for share in (BEST, MORE, 1.0)]
    found: list[int] = []
    for more in range(count + 1):
        given = replace(shares, most=shares.most + more)
        found = apart.picked(good[-1], given, count, aims[-1])
        for least in aims if len(found) == count else ():
            for stand in good:
                found = apart.settled(stand, given, count, least)
                if len(found) == count:
                    return apart.in_order(found)
    return apart.in_order(found)


class Accept(Protocol):
    """What draws a candidate again."""

    def __call__(self, candidate: Candidate, /) -> Report | None:
        """Return its full report, or None if it fails."""
        ...

    def likeness(self, candidate: Candidate, /) -> Likeness:
        """Return what it is compared by, as it was drawn: of much less work than its report."""
        ...


@dataclass(slots=True)
class _Apart:
    """How far candidates lie from each other and from what is kept.

    By the quick measure and what it usually falls short by; exactly where two were looked at.
    """

    forms: NDArray[np.intp]  # (n,) a number for each form
    points: Array  # (n,) against their looks
    quick: list[Likeness]  # what they are compared by quickly
    table: Array  # (n, n)
    nearest: Array  # (n,) to what is kept
    stands: Flags  # (n,) whether it has not failed its full report
    report: Callable[[int], Report | None]
    like: Callable[[int], Likeness]  # as it was drawn
    exact: set[tuple[int, int]] = field(default_factory=set)
    weighed: set[int] = field(default_factory=set)  # whose asymmetry is exact
    finished: dict[int, Likeness] = field(default_factory=dict)  # of those that stand in full

    @staticmethod
    def of(
        candidates: Sequence[Candidate],
        kept: Sequence[Report],
        accept: Accept,
    ) -> _Apart:
        """Measure all candidates against each other by their spectra."""
        likes = [nothing_like(c) for c in candidates]
        return _Apart(
            np.unique([c.form for c in candidates], return_inverse=True)[1],
            np.array([c.points for c in candidates]),
            likes,
            differences(likes) + _ERR,
            _nearest(likes, kept) + _ERR,
            np.ones(len(candidates), dtype=bool),
            lru_cache(maxsize=None)(lambda i: accept(candidates[i])),
            lru_cache(maxsize=None)(lambda i: accept.likeness(candidates[i])),
        )

    def settled(self, stand: Flags, shares: Shares, count: int, least: float) -> list[int]:
        """Choose up to ``count`` candidates at least so far apart.

        If there are so many, each was looked at in full and their differences are exact.
        """
        while True:
            found = self.picked(stand, shares, count, least)
            if len(found) < count or self._holds(found, least, shares):
                return found

    def picked(self, stand: Flags, shares: Shares, count: int, least: float) -> list[int]:
        """Pick up to ``count`` candidates so far apart, by the quick measure and what is known.

        It is tried in several ways, in turn: one alone shuts itself in where another finds them.
        """
        close = self.table < least
        np.fill_diagonal(close, val=True)
        stand = stand & self.stands & (self.nearest >= least)
        found, taken = list[int](), shares
        for way in range(_WAYS):
            has = replace(shares)
            now = self._pick(stand, has, count, close, way)
            if len(now) > len(found):
                found, taken = now, has
            if len(found) == count:
                break
        self._better(found, stand, taken, close)
        return found

    def _pick(self, stand: Flags, shares: Shares, count: int, close: Flags, way: int) -> list[int]:
        """Pick one after the other, each time one that shuts out few others.

        First of the rarest form; then a lively one of it, since of others there may be few; then
        of any form, lively ones first. Further ways are these two, with chance in how many others
        one shuts out.
        """
        by_form, lively_first, by_chance = way < 2 or way % 2 == 1, way > 0, way > 2
        left, found = stand.copy(), list[int]()
        shuts = close[:, left].sum(axis=1)  # how many others each would shut out
        doubt = 1 + _DOUBTFUL * np.random.default_rng(way).random(len(left)) * by_chance
        of_form = np.zeros(self.forms.max() + 1)
        while len(found) < count:
            index = np.flatnonzero(left & shares.allow())
            if not len(index):
                break
            keys = [self.points[index], (shuts * doubt)[index] * (len(found) + 1 < count)]
            if lively_first:
                keys.append(shares.dull[index])
            if by_form:
                keys.append(of_form[self.forms[index]])
            i = int(index[np.lexsort(keys)[0]])
            found.append(i)
            shares.take(i)
            of_form[self.forms[i]] += 1
            gone = left & close[i]
            left &= ~gone
            shuts = shuts - close[:, gone].sum(axis=1)
        return found

    def _better(self, found: list[int], stand: Flags, shares: Shares, close: Flags) -> None:
        """Let each give way to a better looking one of its form, as far from the rest."""
        changed = True
        while changed:
            changed = False
            for n, i in enumerate(found):
                shares.take(i, -1)
                may = stand & shares.allow() & ~close[found[:n] + found[n + 1 :]].any(axis=0)
                may &= (self.points < self.points[i]) & (self.forms == self.forms[i])
                if may.any():
                    found[n] = int(np.where(may, self.points, np.inf).argmin())
                    changed = True
                shares.take(found[n])

    def _holds(self, found: list[int], least: float, shares: Shares) -> bool:
        """Look at those picked in full.

        False where one fails, two are nearer than it seemed, or fewer are lively.
        """
        # Their full reports are most of the work: last.
        if not (self._far(found, least) and all(self._stays(i) for i in found)):
            return False
        if not self._far(found, least):  # finished for a piece, a board is no longer as drawn
            return False
        for i in set(found) - self.weighed:
            shares.dull[i] = asymmetry(self._like(i)) < LIVELY
        self.weighed |= set(found)
        taken = shares.groups[found].sum(axis=0)
        return bool(((taken == 0) | (shares.has + taken <= shares.most)).all())

    def _far(self, found: list[int], least: float) -> bool:
        """Whether no two lie nearer; those that may are measured exactly."""
        for i, k in combinations(sorted(found), 2):
            if self.table[i, k] < least + _DOUBT and (i, k) not in self.exact:
                self.exact.add((i, k))
                far = exact_difference(self._like(i), self._like(k))
                self.table[i, k] = self.table[k, i] = far
            if self.table[i, k] < least:
                return False
        return True

    def _stays(self, i: int) -> bool:
        report = self.report(i)
        self.stands[i] = report is not None
        if report is not None and i not in self.finished:
            self.finished[i] = self.quick[i] = report.subject.likeness
            known = [pair for pair in self.exact if i in pair]
            if known and not np.array_equal(self.finished[i].ring, self.like(i).ring):
                self._measure_anew(known)
        return bool(self.stands[i])

    def _measure_anew(self, pairs: list[tuple[int, int]]) -> None:
        self.exact.difference_update(pairs)
        for i, k in pairs:
            far = difference(self.quick[i], [self.quick[k]])[0] + _ERR
            self.table[i, k] = self.table[k, i] = far

    def _like(self, i: int) -> Likeness:
        return self.finished.get(i) or self.like(i)

    def in_order(self, found: list[int]) -> list[Report]:
        """Return their reports: the best first, then each time the one farthest from the rest."""
        order: list[int] = []
        while len(order) < len(found):
            left = [i for i in found if i not in order]
            order.append(
                max(
                    left,
                    key=lambda i: (min(self.table[i, order], default=0.0), -self.points[i], -i),
                )
            )
        return [r for i in order if (r := self.report(i)) is not None]


def best_of(candidates: Sequence[Candidate], count: int) -> list[Candidate]:
    """Return the candidates that ``count`` boards may be chosen from.

    All but the worst by their looks.
    """
    return [c for c, good in zip(candidates, _best(candidates, count, MORE), strict=True) if good]


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


def choose_best(
    candidates: Sequence[Candidate],
    count: int,
    kept: Sequence[Report],
    accept: Accept,
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

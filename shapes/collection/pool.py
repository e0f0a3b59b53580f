"""A pool of candidates, drawn and screened in chunks; little is kept of each.

Candidate k, attempt j draws from SeedSequence(seed, spawn_key=(k, j)): neither the size of the
pool nor the number of jobs changes it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from shapes.checks import first_failure
from shapes.checks.looks import looks
from shapes.collection.board import Board, drawn_from, subject_of
from shapes.collection.brief import Brief
from shapes.collection.draw import Genes, closed, draw, random_genes, sketch_of
from shapes.errors import OutlineError
from shapes.geometry.overlap import Likeness, Spectrum
from shapes.geometry.row import Solved, solve
from shapes.processes import helpers

POOL = 14  # candidates drawn for each board wanted: rows are good more often than not
CHUNK = 40  # candidates a task; never depends on jobs
ATTEMPTS = 6  # draws before a candidate is given up
# Of the brief's length, and points for each 1 that is missing: a small board is wanted less; our
# choice.
_LONG, _SHORT = 0.85, 40.0


class Source(Protocol):
    """Where genes come from: at random for a brief, or near a board's own."""

    @property
    def brief(self) -> Brief:
        """The brief the boards are held to."""
        ...

    def genes(self, k: int, rng: np.random.Generator) -> Genes:
        """Genes of candidate k from a generator of its own, their row still to be closed."""
        ...

    def fits(self, board: Board) -> bool:
        """Whether the wood there is takes the board."""
        ...

    def finish(self, board: Board) -> tuple[Board, ...]:
        """Return the board as it may go into a collection, the best first."""
        ...

    def first(
        self, boards: Callable[[], list[Board]], stays: Sequence[Board], most: int
    ) -> list[int]:
        """Choose boards, by index, that are taken before all others.

        Those that the wood is best used with.

        ``most``: how many; ``stays``: what is kept already.
        """
        ...

    def among(self, candidates: Sequence[Candidate], count: int) -> list[Candidate]:
        """Leave of a pool what answers what was asked, enough to choose ``count`` boards from."""
        ...


class AnyWood:
    """What a source does that knows nothing of the wood but its size: every board fits as drawn."""

    __slots__ = ()

    def among(self, candidates: Sequence[Candidate], count: int) -> list[Candidate]:
        """Every candidate will do."""
        del count
        return list(candidates)

    def fits(self, board: Board) -> bool:
        """Any board fits."""
        del board
        return True

    def finish(self, board: Board) -> tuple[Board, ...]:
        """A board stays as it was drawn."""
        return (board,)

    def first(
        self, boards: Callable[[], list[Board]], stays: Sequence[Board], most: int
    ) -> list[int]:
        """No board comes before another."""
        del boards, stays, most
        return []


def form_and_handle(brief: Brief, k: int, rng: np.random.Generator) -> tuple[str, str]:
    """Take a form in turn and one of its handles by chance, so that every pair has its share."""
    allowed = brief.allowed
    forms = tuple(dict.fromkeys(f for f, _ in allowed))
    form = forms[k % len(forms)]
    handles = [h for f, h in allowed if f == form]
    return form, handles[int(rng.integers(len(handles)))]


@dataclass(frozen=True, slots=True)
class AtRandom(AnyWood):
    """Genes at random for a brief."""

    brief: Brief

    def genes(self, k: int, rng: np.random.Generator) -> Genes:
        """Take a form in turn, one of its handles, and the rest at random."""
        form, handle = form_and_handle(self.brief, k, rng)
        return random_genes(rng, form, handle, self.brief.size())


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """What is kept of a candidate that passed screening: under 8 kB."""

    index: int
    attempt: int
    form: str
    handle: str
    points: float  # against its looks: 0 is best
    length: float  # mm
    spectrum: Spectrum


_NOTHING = np.empty((0, 2), dtype=np.float32)


def nothing_like(candidate: Candidate) -> Likeness:
    """Return what a candidate is compared by quickly: its spectrum alone."""
    return Likeness(candidate.spectrum, _NOTHING)


# Leaves of a pool what goes with what was said of other boards: source, seed, candidates, how many
# are wanted.
Prefer = Callable[[Source, int, Sequence[Candidate], int], list[Candidate]]


@dataclass(slots=True)
class Pool:
    """Candidates that passed, and how many draws each check turned away."""

    seed: int
    drawn: int = 0
    candidates: list[Candidate] = field(default_factory=list)
    rejected: Counter[str] = field(default_factory=Counter)
    attempts: int = 0


def generator(seed: int, k: int, j: int) -> np.random.Generator:
    """Return the generator of candidate k, attempt j."""
    return np.random.Generator(np.random.PCG64DXSM(np.random.SeedSequence(seed, spawn_key=(k, j))))


def board_of(source: Source, seed: int, k: int, j: int) -> Board:
    """Draw candidate k, attempt j. Raises OutlineError where that cannot be drawn."""
    genes = closed([source.genes(k, generator(seed, k, j))])[0]
    if genes is None:
        raise OutlineError("its stretches do not close in the box")
    return drawn_from(source.brief, genes, draw(genes))


def _screened(
    source: Source, genes: Genes, solved: Solved, k: int, j: int
) -> tuple[Candidate | None, str]:
    """Draw and screen one attempt; returns the candidate or the name of what failed."""
    try:
        board = drawn_from(source.brief, genes, sketch_of(genes, solved))
        subject = subject_of(board, rough=True)
    except OutlineError:
        return None, "outline"
    failed = first_failure(subject)
    if not failed and not source.fits(board):
        failed = "off-cut"
    if failed:
        return None, failed
    short = max(_LONG - subject.box[0] / source.brief.length, 0.0)
    points = round(looks(subject).points + _SHORT * short, 6)
    length, spectrum = round(subject.box[0], 3), subject.likeness.spectrum
    return Candidate(k, j, genes.form, genes.handle, points, length, spectrum), ""


def screen_one(source: Source, seed: int, k: int, j: int) -> tuple[Candidate | None, str]:
    """Draw and screen one attempt by itself, as a chunk does."""
    genes = closed([source.genes(k, generator(seed, k, j))])[0]
    if genes is None:
        return None, "stretches"
    return _screened(source, genes, solve([genes.row])[0], k, j)


def screen_chunk(
    source: Source, seed: int, first: int, last: int
) -> tuple[list[Candidate], Counter[str], int]:
    """Draw and screen candidates first to last - 1, each until it passes or is given up.

    The rows of all that are still wanted are closed at once.
    """
    found, rejected, attempts = [], Counter[str](), 0
    wanted = list(range(first, last))
    for j in range(ATTEMPTS):
        attempts += len(wanted)
        proposed: list[Genes | None] = []
        for k in wanted:
            try:
                proposed.append(source.genes(k, generator(seed, k, j)))
            except OutlineError:
                proposed.append(None)
        made = iter(closed([g for g in proposed if g is not None]))
        genes = [None if g is None else next(made) for g in proposed]
        ready = iter(solve([g.row for g in genes if g is not None]))
        left = []
        for k, one in zip(wanted, genes, strict=True):
            if one is None:
                rejected["stretches"] += 1
                left.append(k)
                continue
            candidate, failed = _screened(source, one, next(ready), k, j)
            if candidate:
                found.append(candidate)
            else:
                rejected[failed] += 1
                left.append(k)
        wanted = left
    found.sort(key=lambda c: c.index)
    return found, rejected, attempts


def draw_pool(
    source: Source,
    seed: int,
    size: int,
    jobs: int = 1,
    tell: Callable[[int], None] = lambda done: None,
) -> Pool:
    """Draw a pool of ``size`` candidates with ``jobs`` processes; ``tell`` hears of progress."""
    pool = Pool(seed, size)
    starts = range(0, size, CHUNK)
    tasks = [(source, seed, a, min(a + CHUNK, size)) for a in starts]
    for (found, rejected, attempts), task in zip(_each(tasks, jobs), tasks, strict=True):
        pool.candidates += found
        pool.rejected += rejected
        pool.attempts += attempts
        tell(task[3])
    return pool


def _each(
    tasks: list[tuple[Source, int, int, int]], jobs: int
) -> Iterator[tuple[list[Candidate], Counter[str], int]]:
    with helpers(min(jobs, len(tasks))) as each:
        yield from each(screen_chunk, *zip(*tasks, strict=True))

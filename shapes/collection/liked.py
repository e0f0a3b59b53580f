"""Which candidates of a pool go with what a maker said.

The likeliest by taste, far from what was set aside.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from shapes.collection.brief import Brief
from shapes.collection.draw import Genes, closed, random_genes, stretched, suits
from shapes.collection.pool import POOL, AnyWood, Candidate, Source, generator, nothing_like
from shapes.collection.taste import Taste, measured
from shapes.collection.vary import between
from shapes.geometry.overlap import Likeness, difference

DRAWN = 2.4  # times a pool that is drawn and ranked where a taste is known; our choice, for time
SCREENED = 0.9  # of a pool, the first of those, that is looked at
FEWEST = 2.5  # times the boards wanted that are left to choose from, at least
GAIN = 3.0  # points of looks that one unit of taste counts; our choice
BOTH = 20.0  # points that each 1 of difference from the farther of two boards counts; our choice
TOO_NEAR = 0.06  # difference from a board that was set aside, below which another is not shown


@dataclass(frozen=True, slots=True, eq=False)
class Liked(AnyWood):
    """Genes that a taste ranks first among many that are drawn and measured, but not yet looked at.

    Candidate k is the k-th of them; where it does not stand, one that comes after all first tries.
    """

    brief: Brief
    ranked: tuple[Genes, ...]
    size: int

    def genes(self, k: int, rng: np.random.Generator) -> Genes:
        """Return the k-th, or another where that was tried."""
        tries = int(rng.bit_generator.seed_seq.spawn_key[1])  # type: ignore[attr-defined]
        return self.ranked[(k + tries * self.size) % len(self.ranked)]


def liked(source: Source, taste: Taste, seed: int, count: int) -> tuple[Liked, int]:
    """Rank draws of a source by a taste.

    Return them as a source of their own, and its pool's size.
    """
    size = POOL * count
    many = [source.genes(k, generator(seed, k, 0)) for k in range(round(DRAWN * size))]
    made = [g for g in closed(many) if g is not None]
    order = np.argsort(-taste.scores(measured(made)), kind="stable")
    first = min(max(round(SCREENED * size), 3 * count), len(made))
    return Liked(source.brief, tuple(made[i] for i in order.tolist()), first), first


@dataclass(frozen=True, slots=True, eq=False)
class Likely:
    """Choose by a taste, and keep away from boards that were set aside or shown already."""

    taste: Taste
    away: tuple[Likeness, ...] = ()

    def __call__(
        self, source: Source, seed: int, pool: Sequence[Candidate], count: int
    ) -> list[Candidate]:
        """Return the candidates to choose from, their points mended by the taste."""
        found = list(pool)
        if self.away and found:
            near = np.min(
                [difference(a, [nothing_like(c) for c in found]) for a in self.away], axis=0
            )
            far = [c for c, d in zip(found, near, strict=True) if d >= TOO_NEAR]
            found = far if len(far) >= FEWEST * count else found
        genes = closed([source.genes(c.index, generator(seed, c.index, c.attempt)) for c in found])
        drawn = [(c, g) for c, g in zip(found, genes, strict=True) if g is not None]
        scores = self.taste.scores(measured([g for _, g in drawn]))
        scores = scores / max(float(np.linalg.norm(self.taste.weights)), 1.0)
        return [
            replace(c, points=c.points - GAIN * v)
            for (c, _), v in zip(drawn, scores.tolist(), strict=True)
        ]


@dataclass(frozen=True, slots=True, eq=False)
class BetweenTwo(AnyWood):
    """Genes between two boards: rows of one form blend.

    Of two forms, either's own, in sizes between.
    """

    brief: Brief
    one: Genes
    other: Genes

    @property
    def blends(self) -> bool:
        """Whether the two have the same stretches."""
        names = [[s.name for s in g.row.stretches] for g in (self.one, self.other)]
        return self.one.form == self.other.form and names[0] == names[1]

    def genes(self, k: int, rng: np.random.Generator) -> Genes:
        """Draw one between."""
        way = float(rng.uniform(0.2, 0.8))
        first, last = (self.one, self.other) if k % 2 else (self.other, self.one)
        box = tuple(
            round(a + way * (b - a), 2) for a, b in zip(first.row.box, last.row.box, strict=True)
        )
        size = (min(box[0], self.brief.length - 0.02), min(box[1], self.brief.width - 0.02))
        if self.blends:
            goal = stretched(last.row, size)
            row = replace(
                first.row, stretches=between(stretched(first.row, size), goal, way), box=size
            )
            return replace(first, row=row, at=None)
        handle = first.handle if suits(first.handle, first.form) else last.handle
        return random_genes(
            rng, first.form, handle, replace(self.brief.size(), length=size[0], width=size[1])
        )


@dataclass(frozen=True, slots=True, eq=False)
class NearBoth:
    """Choose what is like both of two boards."""

    two: tuple[Likeness, Likeness]

    def __call__(
        self, source: Source, seed: int, pool: Sequence[Candidate], count: int
    ) -> list[Candidate]:
        """Return the candidates whose greater difference from the two is least."""
        del source, seed
        found = list(pool)
        if not found:
            return found
        far = np.max([difference(t, [nothing_like(c) for c in found]) for t in self.two], axis=0)
        most = max(math.ceil(len(found) / 3), math.ceil(FEWEST * count))
        near = sorted(np.argsort(far, kind="stable")[:most].tolist())
        return [replace(found[i], points=found[i].points + BOTH * float(far[i])) for i in near]

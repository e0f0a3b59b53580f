"""What a maker likes, learned from what was kept and set aside: a dozen measures, weighed.

A pair-wise logistic model with a prior: of two boards the one with more of what is liked is kept.
What it believes is said in words, each of which may be struck out. Measures are taken of the row
alone, so that hundreds of candidates are ranked in the time of a few checks.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from shapes.collection.draw import Genes
from shapes.forms import FORMS
from shapes.geometry.curve import Array
from shapes.geometry.trace import trace
from shapes.handles import HANDLES

MEASURES: dict[str, tuple[str, str]] = {
    "length": ("long", "short"),
    "slimness": ("slim", "broad"),
    "fullness": ("full in its box", "lean in its box"),
    "straightness": ("straight edges", "round edges"),
    "corners": ("soft corners", "tight corners"),
    "bends": ("many bends", "few bends"),
    "hollows": ("hollows in the edge", "no hollows"),
    "taper": ("wider at one end", "even in width"),
    "lean": ("its weight to one side", "its weight in the middle"),
    "liveliness": ("lively edges", "calm edges"),
    "neck": ("a neck", "no neck"),
    "opening": ("an opening for the hand", "no opening for the hand"),
    "hole": ("a large hole", "a small hole or none"),
}
"""Each measure with what more of it and less of it is called."""

PRIOR = 1.0  # standard deviation of a weight before anything was said; measures are scaled to 1
UNSAID = 0.3  # of a pair's weight where nothing was said of one of the two; our choice
SURE = 0.9  # times its own doubt that a weight must be to be told as a belief; our choice
MOST_BELIEFS = 6
LARGEST_NUMBER = 1e4  # of any number of a taste that comes from elsewhere
_ROUNDS = 40


def measured(genes: Sequence[Genes]) -> Array:
    """Measures (N, 13) of boards, from their rows as they are: closed ones."""
    return np.array([_measures(g) for g in genes]).reshape(-1, len(MEASURES))


@lru_cache(maxsize=4096)  # every yes and no measures all that was shown
def _measures(genes: Genes) -> tuple[float, ...]:
    row = genes.row
    drawn = trace(row, 8.0)
    p, k = drawn.points, drawn.curvatures
    long, wide = row.box
    x, y = p[:, 0], p[:, 1]
    x2, y2 = np.roll(x, -1), np.roll(y, -1)
    cross = x * y2 - x2 * y
    area = float(cross.sum()) / 2
    cx = float(((x + x2) * cross).sum()) / (6 * area) - (float(x.min()) + float(x.max())) / 2
    cy = float(((y + y2) * cross).sum()) / (6 * area) - (float(y.min()) + float(y.max())) / 2
    even = drawn.length / len(k)
    turned = np.abs(k) * even
    corners = [s.radius for s in row.stretches if s.turn > math.radians(30)]
    bent = np.maximum(np.abs(k), 1e-4) * wide
    wants = HANDLES[genes.handle].wants
    return (
        math.log(long),
        math.log(long / wide),
        area / (long * wide),
        float((np.abs(k) < 0.25 / wide).mean()),
        math.log(max(min(corners, default=wide), 1.0) / wide),
        float(sum(abs(s.turn) > math.radians(30) for s in row.stretches)),
        float(turned[k < 0].sum()),
        abs(cx) / long,
        abs(cy) / wide,
        float(np.log(bent).std()),
        float(wants == "neck" or FORMS[genes.form].necked),
        float(wants in ("bar", "two ends")),
        float(dict(genes.hand).get("across", 0.0) if wants == "tip" else 0.0) / 30,
    )


@dataclass(frozen=True, slots=True, eq=False)
class Taste:
    """Weights of the measures with their doubts.

    ``middle`` and ``spread`` scale a board's measures.
    """

    middle: Array
    spread: Array
    weights: Array
    doubts: Array

    def scores(self, measures: Array) -> Array:
        """How much boards (N, 13) are liked; 0 is a middling one."""
        return np.asarray(((measures - self.middle) / self.spread) @ self.weights)

    def beliefs(self) -> list[tuple[str, str, float]]:
        """What is believed: (measure, in words, weight), the surest first."""
        sure = np.abs(self.weights) / self.doubts
        found = []
        for i in np.argsort(-sure, kind="stable")[:MOST_BELIEFS]:
            if sure[i] >= SURE and self.weights[i]:
                name = list(MEASURES)[int(i)]
                found.append(
                    (name, MEASURES[name][0 if self.weights[i] > 0 else 1], float(self.weights[i]))
                )
        return found

    def as_json(self) -> dict[str, Any]:
        """Return plain values: a file that a maker may keep, share or delete."""
        table = {
            name: {"middle": float(m), "spread": float(s), "weight": float(w), "doubt": float(d)}
            for name, m, s, w, d in zip(
                MEASURES, self.middle, self.spread, self.weights, self.doubts, strict=True
            )
        }
        return {"schema": 1, "says": [words for _, words, _ in self.beliefs()], "measures": table}


def taste_from(table: Any) -> Taste:
    """Read a taste that was kept as a file. Raises ValueError where it is none."""
    try:
        rows = [
            [float(table["measures"][n][k]) for n in MEASURES]
            for k in ("middle", "spread", "weight", "doubt")
        ]
    except (KeyError, TypeError, IndexError, OverflowError):
        raise ValueError("it is no taste that this tool wrote") from None
    made = Taste(*(np.array(r) for r in rows))
    sound = (
        np.abs(made.middle) <= LARGEST_NUMBER,
        (made.spread >= 1 / LARGEST_NUMBER) & (made.spread <= LARGEST_NUMBER),
        np.abs(made.weights) <= LARGEST_NUMBER,
        (made.doubts >= 1 / LARGEST_NUMBER) & (made.doubts <= LARGEST_NUMBER),
    )
    if not all(s.all() for s in sound):
        raise ValueError("its numbers are no taste")
    return made


def learned(
    kept: Array,
    aside: Array,
    unsaid: Array,
    *,
    struck: Iterable[str] = (),
    before: Taste | None = None,
) -> Taste:
    """Learn from measures (N, 13) of boards that were kept, set aside, and shown without a word.

    ``struck``: measures that are not to count. ``before``: a taste from elsewhere, to begin with.
    """
    every = np.concatenate([kept, aside, unsaid])
    middle = every.mean(axis=0) if len(every) else np.zeros(len(MEASURES))
    spread = every.std(axis=0) if len(every) > 1 else np.ones(len(MEASURES))
    spread = np.where(spread > 1e-6, spread, 1.0)
    prior = np.zeros(len(MEASURES))
    doubt = np.full(len(MEASURES), PRIOR)
    if before is not None:
        prior = before.weights / before.spread * spread
        doubt = np.maximum(before.doubts / before.spread * spread, 0.1)
    open_ = np.array([name not in set(struck) for name in MEASURES])
    scaled = [(m - middle) / spread for m in (kept, aside, unsaid)]
    pairs = [
        _pairs(scaled[0], scaled[1], 1.0),
        _pairs(scaled[0], scaled[2], UNSAID),
        _pairs(scaled[2], scaled[1], UNSAID),
    ]
    d = np.concatenate([p for p, _ in pairs])[:, open_]
    share = np.concatenate([w for _, w in pairs])
    w, square = _newton(d, share, prior[open_], doubt[open_])
    weights, doubts = np.zeros(len(MEASURES)), np.full(len(MEASURES), PRIOR)
    weights[open_] = w
    doubts[open_] = np.sqrt(np.diag(np.linalg.inv(square)))
    return Taste(middle, spread, weights, doubts)


def _pairs(better: Array, worse: Array, weight: float) -> tuple[Array, Array]:
    """Differences of all pairs; each board counts once in all, however many it is compared with."""
    d = (better[:, None, :] - worse[None, :, :]).reshape(-1, len(MEASURES))
    most = max(len(better), len(worse), 1)
    return d, np.full(len(d), weight * min(1.0, 3.0 / most))


def _newton(d: Array, share: Array, prior: Array, doubt: Array) -> tuple[Array, Array]:
    """Most likely weights, and the curvature there."""
    w = prior.copy()
    keep = 1 / doubt**2
    square = np.diag(keep)
    for _ in range(_ROUNDS):
        p = 1 / (1 + np.exp(np.clip(d @ w, -40, 40)))  # how surprising each pair is
        slope = d.T @ (share * p) - keep * (w - prior)
        square = (d * (share * p * (1 - p))[:, None]).T @ d + np.diag(keep)
        step = np.linalg.solve(square, slope)
        w = w + step
        if np.abs(step).max(initial=0.0) < 1e-9:
            break
    return w, square

"""A walk along a curve: points about a step apart, with tangents, mean bends and the way gone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.geometry.curve import (
    Array,
    Curve,
    Flags,
    Ints,
    cyclic_runs,
    evaluate,
    places,
    steps_apart,
)


@dataclass(frozen=True, slots=True, eq=False)
class Walk:
    """Places of a curve.

    Points (n, 2), unit tangents, and the piece of way each stands for (mm).
    """

    p: Array
    tangent: Array
    pieces: Array

    @property
    def length(self) -> float:
        """Way all round, mm, by chords: short by (step x curvature)^2 / 24."""
        return float(self.pieces.sum())

    def window(self, flags: Flags, long: float) -> Flags:
        """Places in the middle of ``long`` mm over all of which a flag holds."""
        low, high = self._round(long)
        gone = np.concatenate([[0], np.cumsum(np.tile(~flags, 3))])
        return np.asarray(gone[high + 1] == gone[low])

    def bend(self, long: float) -> Array:
        """Mean curvature (1/mm) over ``long`` mm round each place; of a polyline too."""
        low, high = self._round(long)
        heading = np.unwrap(np.tile(np.arctan2(self.tangent[:, 1], self.tangent[:, 0]), 3))
        way = self._thrice()
        return np.asarray((heading[high] - heading[low]) / np.maximum(way[high] - way[low], 1e-9))

    def _thrice(self) -> Array:
        return np.cumsum(np.tile(self.pieces, 3))

    def _round(self, long: float) -> tuple[Ints, Ints]:
        """First and last place, in three turns, within half of
        ``long`` of each place of the middle one.
        """
        n, way = len(self.p), self._thrice()
        here = way[n : 2 * n]
        low = np.searchsorted(way, here - long / 2)
        high = np.searchsorted(way, here + long / 2, side="right") - 1
        return low.astype(np.intp), high.astype(np.intp)


def walk(curve: Curve, step: float = 1.0) -> Walk:
    """Walk a curve in steps of about ``step`` mm: equal steps of t within each segment."""
    count = steps_apart(curve, step)
    s = places(count) + 0.5 / np.repeat(count, count)  # the middle of each step: never on a corner
    p, v = evaluate(curve, s, 1)
    speed = np.maximum(np.hypot(v[:, 0], v[:, 1]), 1e-12)
    step_to = np.hypot(*(np.roll(p, -1, axis=0) - p).T)
    pieces = (step_to + np.roll(step_to, 1)) / 2
    return Walk(p, v / speed[:, None], pieces)


def stretches(walked: Walk, flags: Flags) -> list[tuple[Ints, float]]:
    """Runs of places where a flag holds, each with its length, mm."""
    if not flags.any():
        return []
    return [(run, float(walked.pieces[run].sum())) for run in cyclic_runs(flags)]

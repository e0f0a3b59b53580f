"""A walk along a curve: points about a step apart, with tangent, curvature and the way gone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.geometry.curve import Array, Curve, Flags, Ints, cross, cyclic_runs, evaluate


@dataclass(frozen=True, slots=True, eq=False)
class Walk:
    """Places s of a curve with points (n, 2), unit tangents, curvature (1/mm), way gone and pieces (mm)."""

    s: Array
    p: Array
    tangent: Array
    curvature: Array
    gone: Array
    pieces: Array

    @property
    def length(self) -> float:
        """Way all round, mm, by chords: short by (step x curvature)^2 / 24."""
        return float(self.pieces.sum())

    def window(self, flags: Flags, long: float) -> Flags:
        """Places in the middle of ``long`` mm over all of which a flag holds."""
        n = len(self.s)
        reach = int(np.ceil(long / 2 / max(float(self.pieces.mean()), 1e-9)))
        whole = np.ones(n, dtype=bool)
        for k in range(-reach, reach + 1):
            whole &= np.roll(flags, k)
        return whole


def walk(curve: Curve, step: float = 1.0) -> Walk:
    """Walk a curve in steps of about ``step`` mm: equal steps of t within each segment."""
    b = curve.segments
    long = np.hypot(*(b[:, 1:] - b[:, :-1]).transpose(2, 0, 1)).sum(axis=1)
    count: Ints = np.maximum(np.ceil(long / step), 1).astype(np.intp)
    owner = np.repeat(np.arange(len(b)), count)
    first = np.repeat(np.cumsum(count) - count, count)
    s = owner + (np.arange(len(owner)) - first + 0.5) / count[owner]
    p, v, a = evaluate(curve, s, 2)
    speed = np.maximum(np.hypot(v[:, 0], v[:, 1]), 1e-12)
    step_to = np.hypot(*(np.roll(p, -1, axis=0) - p).T)
    pieces = (step_to + np.roll(step_to, 1)) / 2
    return Walk(s, p, v / speed[:, None], cross(v, a) / speed**3, np.cumsum(pieces), pieces)


def stretches(walked: Walk, flags: Flags) -> list[tuple[Ints, float]]:
    """Runs of places where a flag holds, each with its length, mm."""
    if not flags.any():
        return []
    return [(run, float(walked.pieces[run].sum())) for run in cyclic_runs(flags)]

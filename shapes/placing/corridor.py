"""Corridors: runs of a region between a lower and an
upper line, along x, that a body may follow.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from shapes.geometry.curve import Array, Flags

STEP = 5.0  # mm between stations
_NECK = 40.0  # mm of overlap that neighbouring stations have at least
_WINDOW = 6  # stations to either side that the lines are smoothed over


@dataclass(frozen=True, slots=True, eq=False)
class Corridor:
    """Lower and upper line (n,) at stations x (n,), mm."""

    x: Array
    low: Array
    high: Array

    def cut(self, start: float, length: float) -> Corridor:
        """Return the stretch from ``start`` on, at as many even stations as it needs."""
        x = np.linspace(start, start + length, max(int(length / STEP) + 1, 2))
        return Corridor(x, np.interp(x, self.x, self.low), np.interp(x, self.x, self.high))

    @property
    def length(self) -> float:
        """Length, mm."""
        return float(self.x[-1] - self.x[0])


def corridors(
    region: shapely.Geometry, leans: tuple[float, ...] = (0.0, -1.0, 1.0)
) -> list[Corridor]:
    """The roomiest run through a region, and those that lean below and above what lies in the way.

    At every station the region is cut in intervals; the chain of overlapping intervals of most
    area is taken (dynamic programming), a lean counting height as so much area more or less.
    """
    x0, y0, x1, y1 = shapely.bounds(region)
    xs = np.arange(x0 + 1.0, x1 - 1.0, STEP)
    if len(xs) < 4:
        return []
    lines = shapely.linestrings([[(x, y0 - 1), (x, y1 + 1)] for x in xs])
    cuts = [_intervals(g) for g in shapely.intersection(region, lines)]
    found: list[Corridor] = []
    for lean in leans:
        chain = _chain(cuts, lean)
        if chain is None:
            continue
        first, rows = chain
        x = xs[first : first + len(rows)]
        low, high = _smooth(rows[:, 0], np.maximum), _smooth(rows[:, 1], np.minimum)
        wide = high - low >= _NECK
        if wide.sum() * STEP < 100 or not wide.all():
            keep = _longest(wide)
            x, low, high = x[keep], low[keep], high[keep]
        same = any(
            len(c.x) == len(x) and np.allclose(c.low, low) and np.allclose(c.high, high)
            for c in found
        )
        if len(x) * STEP >= 100 and not same:
            found.append(Corridor(x, low, high))
    return found


def _intervals(cut: shapely.Geometry) -> Array:
    """Intervals (k, 2) of a station that are wide enough."""
    parts = [shapely.get_coordinates(p)[:, 1] for p in shapely.get_parts(cut)]
    rows = [(y.min(), y.max()) for y in parts if len(y) > 1 and np.ptp(y) >= _NECK]
    return np.array(rows).reshape(-1, 2)


def _chain(cuts: list[Array], lean: float) -> tuple[int, Array] | None:
    """Return first station and intervals (n, 2) of the chain of most worth."""
    best: tuple[float, int, int] | None = None
    totals: list[Array] = []
    back: list[Array] = []
    for i, rows in enumerate(cuts):
        worth = (rows[:, 1] - rows[:, 0]) + lean * rows.mean(axis=1) if len(rows) else np.empty(0)
        total, link = worth.copy(), np.full(len(rows), -1)
        if i and len(rows) and len(cuts[i - 1]):
            before = cuts[i - 1]
            shared = np.minimum(rows[:, None, 1], before[None, :, 1]) - np.maximum(
                rows[:, None, 0], before[None, :, 0]
            )
            gain = np.where(shared >= _NECK, totals[i - 1][None, :], -np.inf)
            link = gain.argmax(axis=1)
            most = gain.max(axis=1)
            total = worth + np.where(most > -np.inf, most, 0.0)
            link = np.where(most > -np.inf, link, -1)
        totals.append(total)
        back.append(link)
        if len(total) and (best is None or total.max() > best[0]):
            best = float(total.max()), i, int(total.argmax())
    if best is None:
        return None
    _, i, k = best
    found = []
    while k >= 0:
        found.append(cuts[i][k])
        i, k = i - 1, int(back[i][k])
    return i + 1, np.array(found[::-1])


def _smooth(line: Array, worse: np.ufunc) -> Array:
    """Smooth a line without ever passing it: the worst over a window, then a mean over the same."""
    n = _WINDOW
    around = np.lib.stride_tricks.sliding_window_view(np.pad(line, n, mode="edge"), 2 * n + 1)
    worst = worse.reduce(around, axis=1)
    kernel = np.hanning(2 * n + 3)[1:-1]
    smooth = np.lib.stride_tricks.sliding_window_view(np.pad(worst, n, mode="edge"), 2 * n + 1)
    return np.asarray((smooth * (kernel / kernel.sum())).sum(axis=1))


def _longest(flags: Flags) -> slice:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(int), [0]])))
    runs = list(zip(edges[::2], edges[1::2], strict=True)) or [(0, 0)]
    a, b = max(runs, key=lambda r: r[1] - r[0])
    return slice(int(a), int(b))

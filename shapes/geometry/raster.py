"""Shapes as cells of a grid, and how far a shape overlaps a region for all places at once.

The overlap of a mask with a forbidden mask, for every shift by whole cells, is one product of
their Fourier transforms. A mask is connected and the grid's rim forbidden, so that wrapping round
never looks free.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import fft

from shapes.geometry.curve import Array, Flags, Ints

Spectrum = NDArray[np.complexfloating]


@dataclass(frozen=True, slots=True)
class Grid:
    """Square cells of ``step`` mm; cell (i, j) has its centre at (x + j step, y + i step)."""

    x: float
    y: float
    step: float
    rows: int
    columns: int

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.rows, self.columns


def grid_over(box: tuple[float, float, float, float], step: float) -> Grid:
    """Return a grid that covers a box with two cells to
    spare all round, of sizes quick to transform.
    """
    x0, y0, x1, y1 = box
    columns = fft.next_fast_len(int((x1 - x0) / step) + 5, real=True)
    rows = fft.next_fast_len(int((y1 - y0) / step) + 5, real=True)
    return Grid(x0 - 2 * step, y0 - 2 * step, step, rows, columns)


def rings_of(shape: shapely.Geometry) -> list[Array]:
    """Every ring of a geometry's polygons, ends not repeated."""
    rings: list[Array] = []
    for part in shapely.get_parts(shape):
        if part.geom_type == "Polygon" and not part.is_empty:
            rings += [shapely.get_coordinates(r)[:-1] for r in (part.exterior, *part.interiors)]
    return rings


def crossings(ring: Array, rows: int) -> tuple[Ints, Array, Array]:
    """Where a closed ring (n, 2) crosses the lines y = 0, 1, ... below ``rows``.

    Line, x, and way up or down.
    """
    a, b = ring, np.roll(ring, -1, axis=0)
    low = np.ceil(np.minimum(a[:, 1], b[:, 1])).astype(np.intp).clip(0, rows)
    high = np.ceil(np.maximum(a[:, 1], b[:, 1])).astype(np.intp).clip(0, rows)
    spans = high - low
    owner = np.repeat(np.arange(len(a)), spans)
    row = low[owner] + np.arange(len(owner)) - np.repeat(np.cumsum(spans) - spans, spans)
    p, q = a[owner], b[owner]
    x = p[:, 0] + (row - p[:, 1]) / (q[:, 1] - p[:, 1]) * (q[:, 0] - p[:, 0])
    return row, x, np.sign(q[:, 1] - p[:, 1])


def mask(grid: Grid, shape: shapely.Geometry | list[Array]) -> Flags:
    """Cells (rows, columns) whose centre lies in polygons,
    by the parity of crossings to the left.
    """
    rings = shape if isinstance(shape, list) else rings_of(shape)
    count = np.zeros(grid.rows * (grid.columns + 1), dtype=np.int32)
    for ring in rings:
        row, x, _ = crossings((ring - (grid.x, grid.y)) / grid.step, grid.rows)
        column = np.ceil(x).astype(np.intp).clip(0, grid.columns)
        np.add.at(count, row * (grid.columns + 1) + column, 1)
    inside = np.cumsum(count.reshape(grid.rows, grid.columns + 1), axis=1) % 2 == 1
    return np.asarray(inside[:, :-1])


def spectrum(cells: NDArray[np.floating] | Flags) -> Spectrum:
    """Fourier transform of a mask."""
    return np.asarray(fft.rfft2(cells.astype(np.float32)))


def overlaps(grid: Grid, pairs: list[tuple[Spectrum, Spectrum]]) -> NDArray[np.float32]:
    """Cells of overlap (rows, columns) at each shift, summed over (shape, forbidden) spectra."""
    (shape, forbidden), *rest = pairs
    total = np.conj(shape) * forbidden
    for shape, forbidden in rest:
        total += np.conj(shape) * forbidden
    return np.asarray(fft.irfft2(total, grid.shape), dtype=np.float32)


def largest_rectangle(free: Flags) -> tuple[int, int, int, int]:
    """Return (row, column, rows, columns) of the rectangle of free cells with the largest area.

    Heights of free columns above each row; bars that rise and fall are closed off by a stack.
    """
    best = (0, 0, 0, 0)
    heights = np.zeros(free.shape[1] + 1, dtype=np.intp)
    for i, row in enumerate(free):
        heights[:-1] = np.where(row, heights[:-1] + 1, 0)
        stack: list[tuple[int, int]] = []  # (first column, height), heights rising
        for j, h in enumerate(heights.tolist()):
            start = j
            while stack and stack[-1][1] >= h:
                start, tall = stack.pop()
                if tall * (j - start) > best[2] * best[3]:
                    best = (i - tall + 1, start, tall, j - start)
            if h and (not stack or stack[-1][1] < h):
                stack.append((start, h))
    return best

"""Pixels of a picture: where they lie, how far closed rings cover them, and cells moved over them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shapes.geometry.curve import Array, Ints
from shapes.geometry.raster import crossings

_ROWS = 8  # lines a pixel on which coverage is reckoned, exact along each


@dataclass(frozen=True, slots=True)
class Screen:
    """Square pixels, ``scale`` of them a mm; (left, top) is the outer corner of the first, y up."""

    left: float
    top: float
    scale: float
    columns: int
    rows: int

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.rows, self.columns

    def centres(self) -> tuple[Array, Array]:
        """Return x of each column and y of each row, mm."""
        x = self.left + (np.arange(self.columns) + 0.5) / self.scale
        return np.asarray(x), np.asarray(self.top - (np.arange(self.rows) + 0.5) / self.scale)


def coverage(screen: Screen, rings: list[Array], lower: float = 0.0) -> NDArray[np.float32]:
    """Share of each pixel (rows, columns) inside closed rings (n, 2), drawn ``lower`` mm lower.

    Exact along ``_ROWS`` lines a pixel; openings run the other way round than what they open.
    """
    wide = screen.columns + 2
    cells: list[Ints] = []
    shares: list[Array] = []
    for ring in rings:
        x = (ring[:, 0] - screen.left) * screen.scale
        y = (screen.top - ring[:, 1] + lower) * screen.scale * _ROWS - 0.5
        line, at, way = crossings(np.stack([x, y], axis=1), screen.rows * _ROWS)
        at, way = at.clip(0, screen.columns), way / _ROWS
        column = at.astype(np.intp)
        first, part = line // _ROWS * wide + column, at - column
        cells += [first, first + 1]
        shares += [way * (1 - part), way * part]
    size = screen.rows * wide
    total = (
        np.bincount(np.concatenate(cells), np.concatenate(shares), size)
        if cells
        else np.zeros(size)
    )
    made = np.abs(np.cumsum(total.reshape(screen.rows, wide), axis=1)[:, :-2])
    return np.clip(made, 0, 1).astype(np.float32)


def moved(cells: NDArray[np.float32], down: int, right: int) -> NDArray[np.float32]:
    """Return cells moved, nothing coming in from the sides."""
    made = np.zeros_like(cells)
    h, w = cells.shape
    made[max(down, 0) : h + min(down, 0), max(right, 0) : w + min(right, 0)] = cells[
        max(-down, 0) : h - max(down, 0), max(-right, 0) : w - max(right, 0)
    ]
    return made


def dragged(cells: NDArray[np.float32], down: int, right: int = 0) -> NDArray[np.float32]:
    """Return the most that passes over each cell when all are
    moved ``down`` and ``right``, step by step.
    """
    steps = max(abs(down), abs(right))
    made, gone = cells, 0
    while gone < steps:
        step = min(max(gone, 1), steps - gone)
        made = np.maximum(
            made, moved(made, round(down * step / steps), round(right * step / steps))
        )
        gone += step
    return made

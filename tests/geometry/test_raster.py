from __future__ import annotations

import numpy as np
import shapely
from hypothesis import given
from hypothesis import strategies as st

from shapes.geometry.raster import (
    grid_over,
    largest_rectangle,
    mask,
    overlaps,
    spectrum,
)


def star(seed: int, middle: tuple[float, float], size: float) -> shapely.Polygon:
    rng = np.random.default_rng(seed)
    angle = np.linspace(0, 2 * np.pi, 13)[:-1]
    radius = size * rng.uniform(0.4, 1, 12)
    ring = np.stack([np.cos(angle), np.sin(angle)], axis=1) * radius[:, None] + middle
    return shapely.Polygon(ring)


@given(st.integers(0, 10_000), st.floats(0.7, 6.3))
def test_a_cell_is_in_the_mask_where_its_middle_is_in_the_shape(seed: int, step: float) -> None:
    shape = star(seed, (3.17, -2.43), 41.3).difference(star(seed + 1, (1.2, 0.4), 11.7))
    grid = grid_over(shape.bounds, step)
    cells = mask(grid, shape)
    y, x = np.mgrid[0 : grid.rows, 0 : grid.columns]
    inside = shapely.contains_xy(shape, grid.x + x * step, grid.y + y * step)
    assert (cells == inside).all()


def test_overlaps_are_counted_as_by_hand() -> None:
    grid = grid_over((0, 0, 90, 60), 3.0)
    wood, bad = star(3, (20, 20), 18.0), star(4, (60, 35), 20.0)
    cells, forbidden = mask(grid, wood), mask(grid, bad)
    over = overlaps(grid, [(spectrum(cells), spectrum(forbidden))])
    for row, column in ((0, 0), (3, 7), (5, 11), (8, 14)):
        moved = np.roll(cells, (row, column), axis=(0, 1))
        assert abs(over[row, column] - (moved & forbidden).sum()) < 0.01


@given(st.integers(0, 2**24 - 1), st.integers(2, 6))
def test_the_largest_rectangle_against_all_of_them(bits: int, columns: int) -> None:
    free = np.array([bits >> k & 1 for k in range(24 // columns * columns)], dtype=bool)
    free = free.reshape(-1, columns)
    best = 0
    for a in range(free.shape[0]):
        for b in range(a + 1, free.shape[0] + 1):
            for c in range(columns):
                for d in range(c + 1, columns + 1):
                    if free[a:b, c:d].all():
                        best = max(best, (b - a) * (d - c))
    row, column, rows, wide = largest_rectangle(free)
    assert rows * wide == best
    assert free[row : row + rows, column : column + wide].all()

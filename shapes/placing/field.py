"""Signed distances kept on a grid.

For thousands of places at once, where exact ones are too slow.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import ndimage

from shapes.geometry.curve import Array
from shapes.geometry.raster import grid_over, mask

_NEAR = 3.0  # cells from the border within which distances are exact at the grid's nodes
_ERROR = 1.0  # cells by which a value between the nodes may be wrong, farther from the border


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """Depth in a region, mm, negative outside, at nodes ``step`` mm apart from (x, y) on."""

    x: float
    y: float
    step: float
    values: NDArray[np.float32]
    out: bool = False  # whether the depth grows beyond the grid, not falls

    @property
    def error(self) -> float:
        """Millimetres by which ``at`` may be wrong."""
        return _ERROR * self.step

    def at(self, x: Array, y: Array) -> Array:
        """Depth at places of any shape, linear between the nodes.

        Beyond the grid no less than it is there.
        """
        rows, columns = self.values.shape
        u, v = (x - self.x) / self.step, (y - self.y) / self.step
        i, j = np.clip(v, 0, rows - 1.001), np.clip(u, 0, columns - 1.001)
        far = np.hypot(u - j, v - i) * self.step
        row, column = i.astype(np.int32), j.astype(np.int32)
        i, j = i - row, j - column
        flat, k = self.values.reshape(-1), row * columns + column
        a, b = flat[k], flat[k + columns]
        low, high = a + (flat[k + 1] - a) * j, b + (flat[k + columns + 1] - b) * j
        value = low + (high - low) * i
        beyond = value + far if self.out else np.minimum(value, -far)
        return np.asarray(np.where(far > 0.01 * self.step, beyond, value))


@lru_cache(maxsize=32)
def field_of(region: shapely.Geometry, step: float, *, out: bool = False) -> Field:
    """Measure a region, once for beds and shapes alike.

    With ``out`` its outside is where the depth is positive.
    """
    grid = grid_over(region.bounds, step)
    inside = mask(grid, region)
    far = ndimage.distance_transform_edt(inside) - ndimage.distance_transform_edt(~inside)
    values = (far - 0.5 * np.sign(far)) * step
    row, column = np.nonzero(np.abs(values) < _NEAR * step)
    nodes = shapely.points(grid.x + column * step, grid.y + row * step)
    exact = shapely.distance(region.boundary, nodes)
    values[row, column] = np.where(inside[row, column], exact, -exact)
    return Field(grid.x, grid.y, step, (-values if out else values).astype(np.float32), out)

"""What is left of an off-cut: the largest sound rectangle along the grain."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely import affinity

from shapes.geometry.curve import Flags
from shapes.geometry.raster import grid_over, largest_rectangle, mask
from shapes.timber.off_cut import PARTS, Rules, zone

CELL = 2.0  # mm, cells in which the rectangle left is sought


def grainwise(shape: shapely.Geometry, grain: float) -> shapely.Geometry:
    """Turn a shape so that the grain runs along x."""
    return affinity.rotate(shape, -grain, origin=(0, 0), use_radians=True)


def _wide_enough(cells: Flags, least: tuple[float, float]) -> tuple[int, int, int, int] | None:
    """A rectangle of cells (row, column, rows, columns) that is long and wide enough.

    None where none is.
    """
    high, long = (math.ceil(v / CELL) for v in (least[1], least[0]))
    if high > len(cells):
        return None
    # Where so many rows are free one above the other, a rectangle at least so wide may lie.
    gone = np.concatenate([np.zeros((1, cells.shape[1]), int), np.cumsum(~cells, axis=0)])
    strips = np.asarray(gone[high:] == gone[:-high])
    row, column, rows, columns = largest_rectangle(strips)
    return (row, column, rows + high - 1, columns) if rows and columns >= long else None


def rectangle_left(
    rules: Rules, filled: Sequence[shapely.Polygon], least: tuple[float, float] = (0.0, 0.0)
) -> tuple[float, float, tuple[tuple[float, float], ...]] | None:
    """Largest sound rectangle left along the grain: length, width, corners; to two cells' width.

    One of ``least`` length and width at least goes before a larger one that is slimmer.
    """
    piece = rules.piece
    gone = [zone(f, rules.cutter) for f in filled]
    gone += [zone(d.extent(piece.grain), d.around) for d in piece.defects if d.may_lie_in != PARTS]
    gone += [f.shape for f in piece.fixings]
    free = grainwise(shapely.difference(piece.outline, shapely.union_all(gone)), piece.grain)
    # A cell counts as free where its whole square is: the region is drawn in by half a diagonal.
    grid = grid_over(free.bounds if not free.is_empty else (0, 0, 1, 1), CELL)
    cells = mask(grid, free.buffer(-CELL * math.sqrt(0.5)))
    row, column, rows, columns = largest_rectangle(cells)
    if rows * CELL < least[1] or columns * CELL < least[0]:
        row, column, rows, columns = _wide_enough(cells, least) or (row, column, rows, columns)
    if not rows * columns:
        return None
    x, y = grid.x + (column - 0.5) * CELL, grid.y + (row - 0.5) * CELL
    box = shapely.box(x, y, x + columns * CELL, y + rows * CELL)
    corners = shapely.get_coordinates(grainwise(box, -piece.grain))[:-1]
    return columns * CELL, rows * CELL, tuple((float(a), float(b)) for a, b in corners)

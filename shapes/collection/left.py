"""What is left of an off-cut: the largest sound rectangle along the grain."""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely
from shapely import affinity

from shapes.geometry.raster import grid_over, largest_rectangle, mask
from shapes.timber.off_cut import PARTS, Rules, zone

CELL = 2.0  # mm, cells in which the rectangle left is sought


def grainwise(shape: shapely.Geometry, grain: float) -> shapely.Geometry:
    """Turn a shape so that the grain runs along x."""
    return affinity.rotate(shape, -grain, origin=(0, 0), use_radians=True)


def rectangle_left(
    rules: Rules, filled: Sequence[shapely.Polygon]
) -> tuple[float, float, tuple[tuple[float, float], ...]] | None:
    """Largest sound rectangle left along the grain: length, width, corners; to two cells' width."""
    piece = rules.piece
    gone = [zone(f, rules.cutter) for f in filled]
    gone += [zone(d.extent(piece.grain), d.around) for d in piece.defects if d.may_lie_in != PARTS]
    gone += [f.shape for f in piece.fixings]
    free = grainwise(shapely.difference(piece.outline, shapely.union_all(gone)), piece.grain)
    # A cell counts as free where its whole square is: the region is drawn in by half a diagonal.
    grid = grid_over(free.bounds if not free.is_empty else (0, 0, 1, 1), CELL)
    row, column, rows, columns = largest_rectangle(mask(grid, free.buffer(-CELL * math.sqrt(0.5))))
    if not rows * columns:
        return None
    x, y = grid.x + (column - 0.5) * CELL, grid.y + (row - 0.5) * CELL
    box = shapely.box(x, y, x + columns * CELL, y + rows * CELL)
    corners = shapely.get_coordinates(grainwise(box, -piece.grain))[:-1]
    return columns * CELL, rows * CELL, tuple((float(a), float(b)) for a, b in corners)

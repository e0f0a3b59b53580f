"""How far points lie from lines, by a tree of the lines' sides.

Thousands against thousands at once.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely


def farthest(points: np.ndarray, rings: Sequence[np.ndarray]) -> float:
    """Greatest distance of points (n, 2) to closed rings (m, 2), ends not repeated."""
    sides = np.concatenate([np.stack([r, np.roll(r, -1, axis=0)], axis=1) for r in rings])
    tree = shapely.STRtree(shapely.linestrings(sides))
    _, far = tree.query_nearest(shapely.points(points), return_distance=True, all_matches=False)
    return float(far.max())

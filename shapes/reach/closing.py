"""Opening and closing by a disc, over many outlines at once (GEOS): for measuring, never to draw.

A closing fills what a disc outside the wood does not reach; an opening takes away what a disc in
the wood does not. Both lie within the flatten tolerance of the exact sets where these are smooth.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from shapes.geometry.outline import Outline
from shapes.tolerances import TOLERANCES

Shapes = NDArray[np.object_]


def quarter_segments(radius: float, deviation: float = TOLERANCES.flatten) -> int:
    """Segments of a quarter circle of ``radius`` mm whose chords keep to ``deviation`` mm."""
    return max(1, math.ceil(math.pi / 4 / math.acos(max(1 - deviation / radius, -1.0))))


def closing(outlines: Sequence[Outline], radius: float) -> Shapes:
    """Wood of each outline, with what a disc of ``radius`` mm outside does not reach filled."""
    return _two_offsets(outlines, radius)


def opening(outlines: Sequence[Outline], radius: float) -> Shapes:
    """Wood of each outline that a disc of ``radius`` mm inside reaches; empty where none fits."""
    return _two_offsets(outlines, -radius)


def _two_offsets(outlines: Sequence[Outline], by: float) -> Shapes:
    wood = np.array([o.wood for o in outlines], dtype=object)
    quads = quarter_segments(abs(by))
    moved = shapely.buffer(wood, by, quad_segs=quads)
    return np.asarray(shapely.buffer(moved, -by, quad_segs=quads), dtype=object)

"""The path of the cutter's centre, and what a cutter swept along it leaves and takes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from shapes.geometry.curve import Array, flatten
from shapes.geometry.outline import Outline, shoelace
from shapes.placing.shape import flat
from shapes.reach.closing import quarter_segments

CHORD_ERROR = 0.002  # mm, of the path of the cutter's centre


def centre_path(loop: Array, radius: float, *, edge: bool) -> list[Array]:
    """Rings (n, 2) of the cutter's centre: outside an edge, anticlockwise.

    In an opening, clockwise.
    """
    grown = shapely.buffer(
        shapely.Polygon(loop),
        radius if edge else -radius,
        quad_segs=quarter_segments(radius, CHORD_ERROR),
    )
    parts = [p for p in shapely.get_parts(grown) if not p.is_empty]
    rings = [shapely.get_coordinates(p.exterior)[:-1] for p in parts]
    return [r if (shoelace(r) > 0) == edge else r[::-1] for r in rings]


def swept_errors(outline: Outline, rings: Sequence[Array], radius: float) -> tuple[float, float]:
    """Depth of wood wrongly cut and of wood left on the edge, mm, when a cutter follows rings."""
    lines = [shapely.LinearRing(r) for r in rings]
    swept = shapely.union_all(
        [shapely.buffer(x, radius, quad_segs=quarter_segments(radius, CHORD_ERROR)) for x in lines]
    )
    wood = flat(outline, CHORD_ERROR)
    border = shapely.boundary(wood)
    wrong = shapely.get_coordinates(shapely.intersection(swept, wood))
    drawn = shapely.get_coordinates(shapely.segmentize(border, 0.5))
    outside = drawn[~shapely.contains_xy(swept, *drawn.T)]
    return _farthest(wrong, border), _farthest(outside, shapely.boundary(swept))


def _farthest(points: Array, line: shapely.Geometry) -> float:
    """Greatest distance of points (n, 2) to a line; 0 of none."""
    if not len(points):
        return 0.0
    rings = [shapely.get_coordinates(r) for r in shapely.get_parts(line)]
    sides = np.concatenate([np.stack([r[:-1], r[1:]], axis=1) for r in rings])
    tree = shapely.STRtree(shapely.linestrings(sides))
    _, far = tree.query_nearest(shapely.points(points), return_distance=True, all_matches=False)
    return float(far.max())


def finishing_path(outline: Outline, radius: float) -> list[Array]:
    """Rings of the cutter's centre on the finishing pass: openings, then the edge."""
    return [
        r
        for i, c in reversed(list(enumerate(outline.curves)))
        for r in centre_path(flatten(c, CHORD_ERROR), radius, edge=i == 0)
    ]


def around(rings: Sequence[Array]) -> float:
    """Length of rings, mm."""
    return sum(float(np.hypot(*(np.roll(r, -1, axis=0) - r).T).sum()) for r in rings)

"""Fewer facets where a polyline says nothing new; curved segments stay as they are."""

from __future__ import annotations

import numpy as np
import shapely

from shapes.geometry.curve import Array, Curve, cyclic_runs
from shapes.geometry.measures import straight
from shapes.mending.pieces import lines

TOLERANCE = 0.002  # mm: imported outlines are simplified to this before they are measured


def simplified(curve: Curve, tolerance: float = TOLERANCE) -> Curve:
    """Return the curve with runs of straight segments
    thinned to ``tolerance`` mm (Douglas-Peucker).

    The same curve where there is nothing to thin.
    """
    flat = straight(curve)
    if flat.sum() < 3:
        return curve
    b = curve.segments
    if flat.all():
        # Start at an end of the loop, where a vertex is sure to matter.
        start = int(b[:, 0, 0].argmin())
        ring = np.concatenate([np.roll(b[:, 0], -start, axis=0), b[start : start + 1, 0]])
        half = int(np.hypot(*(ring - ring[0]).T).argmax())
        kept = np.concatenate(
            [_thin(ring[: half + 1], tolerance)[:-1], _thin(ring[half:], tolerance)]
        )
        return Curve(lines(kept)) if 3 < len(kept) < len(ring) else curve
    parts: list[tuple[int, Array]] = []
    inside = np.zeros(len(b), dtype=bool)
    for run in cyclic_runs(flat):
        points = np.concatenate([b[run, 0], b[run[-1:], 3]])
        parts.append((int(run[0]), lines(_thin(points, tolerance))))
        inside[run] = True
    order = dict(parts)
    first = int(np.flatnonzero(~inside)[0])  # no run of facets goes past here
    chain = []
    for i in (np.arange(len(b)) + first) % len(b):
        if int(i) in order:
            chain.append(order[int(i)])
        elif not inside[i]:
            chain.append(b[i : i + 1])
    whole = np.concatenate(chain)
    return Curve(whole) if len(whole) < len(b) else curve


def _thin(points: Array, tolerance: float) -> Array:
    line = shapely.LineString(points)
    return np.asarray(
        shapely.get_coordinates(shapely.simplify(line, tolerance, preserve_topology=False))
    )

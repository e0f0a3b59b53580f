"""The convex hull of a closed polygon, and what lies hollow under it."""

from __future__ import annotations

import numpy as np
import shapely

from shapes.geometry.curve import Array, Flags, Ints, cross


def on_hull(ring: Array) -> Flags:
    """Flags (n,) of the vertices of a closed polygon (n, 2) that are corners of its hull."""
    hull = shapely.get_coordinates(shapely.convex_hull(shapely.multipoints(ring)))
    one, other = (np.ascontiguousarray(p).view(np.complex128).ravel() for p in (ring, hull))
    return np.isin(one, other)  # a point as one number: the hull's corners are the ring's own


def hollows(ring: Array) -> list[tuple[Ints, Array, float]]:
    """Runs of vertices under the hull of an anticlockwise polygon (n, 2).

    Each as (indices with the hull corners at both ends, depths mm under the bridge between these,
    length mm of the bridge).
    """
    n = len(ring)
    corner = np.flatnonzero(on_hull(ring))
    found = []
    following = np.append(corner[1:], corner[0] + n)
    for k in np.flatnonzero(following - corner > 1):
        index = np.arange(corner[k], following[k] + 1) % n
        bridge = ring[index[-1]] - ring[index[0]]
        span = float(np.hypot(bridge[0], bridge[1]))
        depth = cross(bridge[None] / span, ring[index] - ring[index[0]])
        found.append((index, depth, span))
    return found

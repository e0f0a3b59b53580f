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


def narrowest_box(ring: Array) -> tuple[float, float]:
    """Width and length of the narrowest box, at any turn, round a closed polygon (n, 2).

    It has a side along one of the hull's (Freeman and Shapira, 1975; from memory), so all are
    tried.
    """
    hull = shapely.get_coordinates(shapely.convex_hull(shapely.multipoints(ring)))
    side = np.diff(hull, axis=0)
    side /= np.hypot(side[:, 0], side[:, 1])[:, None]
    out = np.stack([-side[:, 1], side[:, 0]], axis=1)
    wide, long = (np.ptp(d @ hull.T, axis=1) for d in (out, side))
    k = int(wide.argmin())
    return float(wide[k]), float(long[k])


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

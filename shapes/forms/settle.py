"""Hollows are meant or absent: shallow ones are filled or made deep, before the handle grows."""

from __future__ import annotations

import numpy as np
import shapely

from shapes.geometry.curve import Array

# mm on control points: shallower hollows are filled. The spline smooths a hollow of control points
# and lowers its lips; smoothed to 24 mm, it comes out 12 mm deep or more.
_FILL, _DEEP = 16.0, 24.0


def settle(control: Array) -> Array:
    """Return control points (n, 2), mm, whose hollows are either gone or clearly meant."""
    n = len(control)
    hull = shapely.MultiPoint(control).convex_hull
    on = shapely.distance(hull.exterior, shapely.points(control)) < 1e-9
    if on.sum() < 3:  # noqa: PLR2004
        return control
    result = control.copy()
    first = int(np.flatnonzero(on)[0])
    corners = [first + int(k) for k in np.flatnonzero(np.roll(on, -first))] + [first + n]
    for a, b in zip(corners, corners[1:], strict=False):
        if b - a < 2:  # noqa: PLR2004
            continue
        p, q = control[a % n], control[b % n]
        index = np.arange(a + 1, b) % n
        chord = q - p
        span = float(np.hypot(chord[0], chord[1]))
        normal = np.array([-chord[1], chord[0]]) / span  # into the wood
        along = ((control[index] - p) * chord).sum(axis=1) / span**2
        depth = ((control[index] - p) * normal).sum(axis=1)
        if depth.max() < _FILL:
            bulge = 0.035 * span * 4 * along * (1 - along)
            result[index] -= (depth + bulge)[:, None] * normal
            continue
        level = np.concatenate([[0.0], depth, [0.0]])
        smoothed = float((level[:-2] + 4 * depth + level[2:]).max()) / 6
        if smoothed < _DEEP:
            result[index] += (depth * (_DEEP / smoothed - 1))[:, None] * normal
    return result

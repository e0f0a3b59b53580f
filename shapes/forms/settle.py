"""Hollows are meant or absent: shallow ones are filled or made deep, before the handle grows."""

from __future__ import annotations

import numpy as np
import shapely

from shapes.geometry.curve import Array

# mm on control points. The curve comes out 12 mm deep or more: it takes 40 % of one point in
# a hollow, and more of two or three side by side.
_FILL, _DEEPEN_ONE, _DEEPEN = 16.0, 36.0, 27.0


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
        elif depth.max() < (deep := _DEEPEN_ONE if len(index) == 1 else _DEEPEN):
            result[index] += (depth * (deep / depth.max() - 1))[:, None] * normal
    return result

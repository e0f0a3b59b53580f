"""Hollows are meant or absent: shallow ones are filled or made deep, before the handle grows."""

from __future__ import annotations

import numpy as np

from shapes.geometry.curve import Array
from shapes.geometry.hull import hollows

# mm on control points: shallower hollows are filled. The spline smooths a hollow of control points
# and lowers its lips; smoothed to 27 mm, it comes out 12 mm deep or more.
_FILL, _FILL_ALL, _DEEP = 19.0, 34.0, 27.0


def settle(control: Array, *, meant: bool = True) -> Array:
    """Return control points (n, 2), mm, whose hollows are either gone or clearly meant.

    ``meant``: the form draws hollows on purpose; otherwise deeper ones are filled too.
    """
    result = control.copy()
    for run, depths, span in hollows(control):
        index, depth = run[1:-1], depths[1:-1]
        bridge = (control[run[-1]] - control[run[0]]) / span
        inward = np.array([-bridge[1], bridge[0]])
        if depth.max() < (_FILL if meant else _FILL_ALL):
            along = ((control[index] - control[run[0]]) * bridge).sum(axis=1) / span
            bulge = 0.035 * span * 4 * along * (1 - along)
            result[index] -= (depth + bulge)[:, None] * inward
            continue
        smoothed = float((depths[:-2] + 4 * depth + depths[2:]).max()) / 6
        if smoothed < _DEEP:
            result[index] += (depth * (_DEEP / smoothed - 1))[:, None] * inward
    return result

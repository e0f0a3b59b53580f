"""Bodies set out on a bent spine: stations along it, control points left and right of it.

A station is a share of the spine, 0 at the tail and 1 at the head. Sliding the stations of one
side along makes the shoulders differ, which is what looks alive.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from shapes.geometry.body import Body
from shapes.geometry.curve import Array

Spine = Callable[[Array], Array]  # height of the spine at stations, length of the board = 1


def on_spine(
    spine: Spine,
    right: tuple[Array, Array],
    left: tuple[Array, Array],
    head: Sequence[tuple[float, float]] = (),
    tail: Sequence[tuple[float, float]] = (),
    *,
    meant: bool = False,
) -> Body:
    """Set out a body: (stations, half widths) of the right and the left side, and its tips.

    ``head`` and ``tail`` are control points as (past the end, to the left), in travel order.
    """
    a = _beside(spine, right[0], -right[1])
    b = _beside(spine, left[0], left[1])[::-1]
    front, front_tip = _tip(spine, 1.0, head)
    back, back_tip = _tip(spine, 0.0, tail)
    return Body(np.concatenate([a, front, b, back]), front_tip, back_tip, meant)


def _beside(spine: Spine, u: Array, offset: Array) -> Array:
    h = 1e-4
    y = spine(u)
    slope = (spine(u + h) - spine(u - h)) / (2 * h)
    size = np.sqrt(1 + slope * slope)
    return np.stack([u - offset * slope / size, y + offset / size], axis=1)


def _tip(
    spine: Spine, u: float, points: Sequence[tuple[float, float]]
) -> tuple[Array, tuple[float, float]]:
    h = 1e-4
    at = np.array([u])
    y = float(spine(at)[0])
    slope = float((spine(at + h) - spine(at - h))[0]) / (2 * h)
    along = np.array([1.0, slope]) / np.hypot(1.0, slope) * (1 if u > 0.5 else -1)
    left = np.array([-slope, 1.0]) / np.hypot(1.0, slope)
    made = [np.array([u, y]) + p * along + q * left for p, q in points]
    tip = made[len(made) // 2] if made else np.array([u, y])
    return np.array(made).reshape(-1, 2), (float(tip[0]), float(tip[1]))


def bow(bend: float, sway: float = 0.0) -> Spine:
    """Return a spine that rises by ``bend`` in the middle and sways by ``sway`` from end to end."""
    return lambda u: bend * 4 * u * (1 - u) + sway * np.sin(2 * np.pi * u)

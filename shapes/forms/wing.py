"""A wing: one long full side, one side drawn in towards a blunt tip."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Wing:
    """A folded wing: broad at the shoulder, swept to the tip."""

    slenderness: float = ranged(1.6, 2.3, "length over width of the body")
    sweep: float = ranged(0.21, 0.33, "how far the tip is swept to one side")
    shoulder: float = ranged(0.2, 0.34, "where along the board the shoulder is")
    draw_in: float = ranged(0.0, 0.05, "how far the trailing side is drawn in")
    liveliness: float = ranged(0.2, 1.0, "how uneven the sides are")


def draw(p: Wing, noise: Array) -> Body:
    """Place the control points of a body of length 1; ``noise`` disturbs them."""
    h = 1.02 / p.slenderness
    lively = 0.035 * p.liveliness * noise
    s = p.shoulder
    lead = np.array(
        [
            [0.02, 0.08 * h],
            [s * 0.45, -0.16 * h],
            [s + 0.14, -0.2 * h + lively[0]],
            [0.66, -0.05 * h + lively[1]],
            [0.9, p.sweep + 0.05 * h + lively[2]],
        ]
    )
    tip = np.array([[1.03, p.sweep + 0.24 * h + 0.5 * lively[3]], [0.96, p.sweep + 0.5 * h]])
    trail = np.array(
        [
            [0.7, p.sweep + 0.62 * h - p.draw_in + lively[4]],
            [0.46, (0.93 * h + p.sweep + 0.62 * h - p.draw_in) / 2 + 0.03 + 0.4 * lively[5]],
            [0.22, 0.93 * h + lively[6]],
            [0.0, 0.72 * h],
            [-0.05, 0.4 * h + lively[7]],
        ]
    )
    control = np.concatenate([lead, tip, trail])
    return Body(control, (1.0, p.sweep + 0.28 * h), (-0.03, 0.42 * h))

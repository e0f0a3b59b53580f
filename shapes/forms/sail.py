"""A sail: three bowed sides and three unlike soft corners."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.forms.around import around
from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Sail:
    """A sail full of wind: three corners, each softened its own way."""

    slenderness: float = ranged(1.2, 1.8, "length over width of the body")
    peak: float = ranged(0.1, 0.34, "where along the board the peak stands")
    belly: float = ranged(0.03, 0.1, "how far the sides bow")
    softness: float = ranged(0.16, 0.24, "how much of each side a corner takes")
    liveliness: float = ranged(0.3, 1.0, "how uneven the corners are")


def draw(p: Sail, noise: Array) -> Body:
    """Place the control points of a body of length 1; ``noise`` disturbs them."""
    h = 1.05 / p.slenderness
    lively = 0.05 * p.liveliness * noise
    corner = np.array(
        [
            [-0.04, lively[0]],
            [1.06, 0.32 * h + 2 * lively[1]],
            [p.peak + lively[2], 1.16 * h],
        ]
    )
    after = np.roll(corner, -1, axis=0)
    out = np.stack([after[:, 1] - corner[:, 1], corner[:, 0] - after[:, 0]], axis=1)
    unlike = np.roll([-0.36, 0.0, 0.36], int(noise[3] > 0) + int(noise[4] > 0))
    soft = p.softness * (1 + unlike + 3 * lively[3:6].clip(-0.07, 0.07))
    share = np.stack(
        [
            soft * 0.55,
            soft * 0.5 + 0.25,
            0.75 - np.roll(soft, -1) * 0.5,
            1 - np.roll(soft, -1) * 0.55,
        ],
        axis=1,
    )
    bow = np.array([0.25, 1, 1, 0.25]) * p.belly * (1 + 3 * lively[6:9, None])
    control = (
        corner[:, None]
        + share[..., None] * (after - corner)[:, None]
        + bow[..., None] * out[:, None]
    )
    return around(control.reshape(-1, 2))

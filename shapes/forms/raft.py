"""A raft: a broad tray with four bowed sides and four unlike soft corners."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.forms.around import around
from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Raft:
    """A broad tray: four bowed sides, four unlike soft corners."""

    slenderness: float = ranged(1.3, 1.95, "length over width of the body")
    taper: float = ranged(0.7, 0.88, "how wide the narrower end is against the other")
    bow: float = ranged(0.022, 0.045, "how far the sides bow")
    lean: float = ranged(0.1, 0.32, "how far one side is pushed along")
    liveliness: float = ranged(0.4, 1.0, "how unlike the corners are")


def draw(p: Raft, noise: Array) -> Body:
    """Place the control points of a body of length 1; ``noise`` disturbs them."""
    h = 0.5 / p.slenderness
    lively = p.liveliness * noise.clip(-1, 1)
    corner = np.array(
        [
            [-0.5, -h],
            [0.5, -h * p.taper],
            [0.5, h * p.taper],
            [-0.5, h],
        ]
    )
    corner += 0.17 * h * lively[:8].reshape(4, 2)
    corner[:, 0] += p.lean * corner[:, 1]
    after = np.roll(corner, -1, axis=0)
    side = after - corner
    out = np.stack([side[:, 1], -side[:, 0]], axis=1)
    soft = 0.17 * (1 + 0.4 * lively[8:12])
    gone = 1 - np.roll(soft, -1)
    size = np.array([0.6, 1.0, 0.6, 1.0])[:, None]  # the ends are short: corners take more of them
    share = np.stack([soft, 0.5 + 0.05 * lively[12:16], gone], axis=1)
    share = 0.5 + (share - 0.5) * (1.16 - 0.26 * (1 - size))
    bow = np.array([0.55, 1.0, 0.55]) * p.bow * (1 + 0.35 * lively[16:20, None])
    control = corner[:, None] + share[..., None] * side[:, None] + bow[..., None] * out[:, None]
    return around(control.reshape(-1, 2))

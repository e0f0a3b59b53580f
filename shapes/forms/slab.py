"""A slab: one side nearly straight, the other one long wave, its ends cut slanting."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Slab:
    """A plank with a live side: one long wave, slanting ends."""

    slenderness: float = ranged(1.55, 2.5, "length over width of the body")
    wave: float = ranged(0.07, 0.12, "how deep the long wave is")
    place: float = ranged(0.3, 0.7, "where along the board the wave turns")
    slant: float = ranged(-0.16, 0.16, "how far the ends are cut slanting")
    liveliness: float = ranged(0.3, 1.0, "how uneven the sides are")


def draw(p: Slab, noise: Array) -> Body:
    """Place the control points of a body of length 1; ``noise`` disturbs them."""
    h = 0.98 / p.slenderness
    lively = 0.02 * p.liveliness * noise
    u = np.array([0.05, 0.16, 0.38, 0.62, 0.84, 0.95])
    low = np.array([0.0, -0.012, -0.02, -0.02, -0.012, 0.0]) + 0.35 * lively[:6]
    v = np.array([0.96, 0.85, 0.64, 0.42, 0.2, 0.04])
    side = 1.0 if noise[12] > 0 else -1.0
    rise = side * p.wave * np.sin(2 * np.pi * 0.8 * (v - p.place))
    high = h * (0.92 - 1.2 * p.wave) + rise + lively[6:12]
    skew = p.slant * np.array([1, 0.9, 0.6, 0.1, -0.5, -0.7])
    right = np.array([[1.0 - 0.3 * p.slant, 0.2 * high[0]], [1.0 + 0.3 * p.slant, 0.78 * high[0]]])
    left = np.array([[-0.2 * p.slant, 0.8 * high[-1]], [0.2 * p.slant, 0.2 * high[-1]]])
    top = np.stack([v + skew * 0.6, high], axis=1)
    control = np.concatenate([np.stack([u, low], axis=1), right, top, left])
    return Body(control, (1.0, 0.5 * float(high[0])), (0.0, 0.5 * float(high[-1])), meant=True)

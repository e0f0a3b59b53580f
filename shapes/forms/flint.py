"""A flint: a few straight-ish sides and soft corners."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.forms.around import around
from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Flint:
    """An angular stone: sides nearly straight, corners soft."""

    slenderness: float = ranged(1.2, 1.9, "length over width of the body")
    sides: float = ranged(3.6, 6.4, "how many sides, rounded to a whole number")
    softness: float = ranged(0.07, 0.13, "how much of each side the corner takes")
    lean: float = ranged(0.1, 0.38, "how far the top is pushed along")
    liveliness: float = ranged(0.4, 1.0, "how uneven the sides are")


def draw(p: Flint, noise: Array) -> Body:
    """Place the control points of a body of length 1; ``noise`` disturbs them."""
    n = round(p.sides)
    start = np.pi / n + 0.5 * noise[0]
    spread = noise[1 : n + 1].clip(-1, 1) * 0.26 * p.liveliness
    turn = start + 2 * np.pi * (np.arange(n) + spread) / n
    r = 1 + 0.14 * p.liveliness * noise[8 : 8 + n].clip(-1.2, 1.2)
    x, y = r * np.cos(turn) / 2, r * np.sin(turn) / 2 / p.slenderness
    corner = np.stack([x + p.lean * y, y], axis=1)
    after = np.roll(corner, -1, axis=0)
    side = after - corner
    out = np.stack([side[:, 1], -side[:, 0]], axis=1)
    share = np.array([p.softness, 0.36, 0.64, 1 - p.softness])[:, None]
    bulge = np.array([0.0, 0.035, 0.035, 0.0])[:, None]
    control = corner[:, None] + share * side[:, None] + bulge * out[:, None]
    return around(control.reshape(-1, 2))

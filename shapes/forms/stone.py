"""A round stone: few points on an oval, disturbed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.forms.around import around
from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Stone:
    """A calm pebble, rounder at one end than at the other."""

    slenderness: float = ranged(1.15, 1.75, "length over width of the body")
    egg: float = ranged(0.1, 0.32, "how much fuller one end is than the other")
    lean: float = ranged(0.2, 0.46, "how far the top is pushed along")
    liveliness: float = ranged(0.4, 1.0, "how uneven the round is")


def draw(p: Stone, noise: Array) -> Body:
    """Place the control points of a body of length 1; ``noise`` disturbs them."""
    n = 9
    turn = 2 * np.pi * (np.arange(n) + 0.22 * p.liveliness * noise[:n].clip(-1, 1)) / n
    r = 1 + 0.12 * p.liveliness * noise[n : 2 * n]
    x = r * np.cos(turn) / 2
    y = r * np.sin(turn) / 2 / p.slenderness * (1 + p.egg * 2 * x)
    control = np.stack([x + p.lean * (2 * np.maximum(y, 0) - 0.5 * y), y], axis=1)
    return around(control)

"""A bean: one full side, one hollow side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.forms.spine import bow, on_spine
from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Bean:
    """A kidney with one wide, meant hollow."""

    slenderness: float = ranged(1.5, 2.05, "length over width of the body")
    hollow: float = ranged(0.32, 0.5, "how deep the hollow side goes in")
    place: float = ranged(0.36, 0.64, "where along the board the hollow lies")
    egg: float = ranged(-0.2, 0.2, "how much fuller one end is than the other")
    liveliness: float = ranged(0.2, 1.0, "how uneven the round is")


def draw(p: Bean, noise: Array) -> Body:
    """Place the control points of a body of length 1; ``noise`` disturbs them."""
    w = 0.58 / p.slenderness
    lively = 0.07 * p.liveliness
    u = np.array([0.06, 0.26, 0.51, 0.76, 0.94])
    right = np.array([0.8, 1.1, 1.16, 1.08, 0.76]) * (1 + lively * noise[:5])
    c = p.place
    v = np.array([0.03, 0.17, c - 0.18, c, c + 0.18, 0.83, 0.97])
    floor = 1 - p.hollow
    left = np.array([0.72, 1.06, floor + 0.14, floor, floor + 0.16, 1.04, 0.7])
    left = left * (1 + lively * noise[5:12] * np.array([1, 1, 0.3, 0, 0.3, 1, 1]))
    return on_spine(
        bow(0.0, 0.02 * noise[12]),
        (u, w * right * (1 + p.egg * (2 * u - 1))),
        (v, w * left * (1 + p.egg * (2 * v - 1))),
        head=[(0.03, -0.1 * w)],
        tail=[(0.03, -0.1 * w)],
        meant=True,
    )

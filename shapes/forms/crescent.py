"""A crescent: an arc with two blunt horns, its chord along the grain."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.forms.spine import bow, on_spine
from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Crescent:
    """A broad sickle of wood whose horns differ."""

    slenderness: float = ranged(1.75, 2.4, "length over height of the whole")
    bend: float = ranged(0.17, 0.24, "how far the spine rises")
    horn: float = ranged(0.5, 0.66, "how wide the horns are against the middle")
    lean: float = ranged(-0.13, 0.13, "how far the fullest part moves to one horn")
    liveliness: float = ranged(0.3, 1.0, "how much the horns differ")


def draw(p: Crescent, noise: Array) -> Body:
    """Place the control points of a body of length 1; ``noise`` disturbs them."""
    w = 0.42 / p.slenderness
    u = np.array([0.03, 0.25, 0.5, 0.75, 0.97])
    lively = 0.16 * p.liveliness
    shift = p.lean * np.array([0, 0.8, 1, 0.8, 0])
    one, two = p.horn * (1 + lively * noise[:2].clip(-1, 1.5))
    right = np.array([0.9 * one, 0.84, 0.84, 0.84, 0.9 * two])
    left = np.array([one, 1.0, 1.16, 1.0, two])
    left[1:4] *= 1 + 0.5 * lively * noise[2:5]
    return on_spine(
        bow(p.bend, 0.03 * noise[5]),
        (u + 0.5 * shift, w * right),
        (u + shift, w * left),
        head=[(0.05, 0.3 * w * noise[6])],
        tail=[(0.05, 0.3 * w * noise[7])],
        meant=True,
    )

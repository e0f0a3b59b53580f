"""A leaf: widest before its middle, a soft point at each end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.forms.spine import bow, on_spine
from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Leaf:
    """A broad leaf on a bent midrib, with two soft points."""

    slenderness: float = ranged(1.5, 2.3, "length over width of the body")
    bend: float = ranged(0.03, 0.13, "how far the midrib bows")
    belly: float = ranged(0.34, 0.5, "where along the leaf it is widest")
    slide: float = ranged(-0.09, 0.09, "how far one side is out of step with the other")
    liveliness: float = ranged(0.3, 1.0, "how uneven the sides are")


def draw(p: Leaf, noise: Array) -> Body:
    """Place the control points of a body of length 1; ``noise`` disturbs them."""
    w = 0.6 / p.slenderness
    u = np.array([0.06, 0.24, 0.46, 0.69, 0.92])
    full = np.array([0.4, 0.9, 1.1, 0.84, 0.3])
    shift = (p.belly - 0.42) * np.array([0.3, 1, 1, 1, 0.3])
    a, b = (full * (1 + 0.07 * p.liveliness * noise[k : k + 5]) for k in (0, 5))
    slid = u + shift + p.slide * np.array([0.2, 1, 1, 1, 0.2])
    return on_spine(
        bow(p.bend, 0.015 * noise[10]),
        (u + shift, w * a),
        (slid, w * b),
        head=[(0.05, -0.17 * w), (0.06, 0.12 * w)],
        tail=[(0.035, 0.15 * w), (0.03, -0.15 * w)],
    )

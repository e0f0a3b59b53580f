"""Driftwood: a long body on a bent spine, its two sides out of step."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.forms.spine import bow, on_spine
from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Driftwood:
    """A washed branch: bent, thick and thin in turn."""

    slenderness: float = ranged(1.9, 3.0, "length over width of the body")
    bend: float = ranged(0.03, 0.14, "how far the spine bows")
    sway: float = ranged(-0.05, 0.05, "how far it bows the other way at the far end")
    slide: float = ranged(-0.1, 0.1, "how far one side is out of step with the other")
    liveliness: float = ranged(0.3, 1.0, "how much thick and thin differ")


def draw(p: Driftwood, noise: Array) -> Body:
    """Place the control points of a body of length 1; ``noise`` disturbs them."""
    w = 0.56 / p.slenderness
    a, b = (np.array([0.62, 0.98, 1.02, 0.84, 0.62]) * (1 + 0.2 * p.liveliness * noise[k : k + 5]) for k in (0, 5))
    u = np.array([0.09, 0.29, 0.5, 0.71, 0.91])
    v = u + p.slide * np.array([0.4, 1, 1, 1, 0.4]) + 0.03 * noise[10:15]
    lift = 0.3 * noise[15:17] * w
    return on_spine(
        bow(p.bend, p.sway), (u, w * a), (v, w * b),
        head=[(0.02, 0.3 * w * noise[17])], tail=[(0.03, lift[0])],
    )

"""A gourd: a large bulb, a soft waist and a small bulb."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.forms.spine import bow, on_spine
from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Gourd:
    """Two bulbs of unlike size on a bent spine."""

    slenderness: float = ranged(1.55, 2.2, "length over width of the body")
    bend: float = ranged(0.02, 0.1, "how far the spine bows")
    waist: float = ranged(0.34, 0.5, "how wide the waist is against the large bulb")
    bulb: float = ranged(0.62, 0.82, "how wide the small bulb is against the large one")
    slide: float = ranged(0.07, 0.13, "how far one side is out of step with the other")


def draw(p: Gourd, noise: Array) -> Body:
    """Place the control points of a body of length 1; ``noise`` disturbs them."""
    w = 0.6 / p.slenderness
    u = np.array([0.03, 0.17, 0.36, 0.54, 0.69, 0.84, 0.96])
    v = u + p.slide * np.array([0.2, 1, 1, 1, 1, 1, 0.2])
    full = np.array([0.6, 1.1, 1.06, p.waist + 0.12, p.waist + 0.1, 1.12 * p.bulb, 0.66 * p.bulb])
    a, b = (full * (1 + 0.06 * noise[k : k + 7]) for k in (0, 7))
    b = b + np.array([0, 0, 0, 0.2, 0.2, 0, 0])  # one side takes the waist, the other a hint of it
    return on_spine(
        bow(p.bend, 0.02 * noise[14]),
        (u, w * a),
        (v, w * b),
        head=[(0.02, 0.25 * w * noise[15])],
        tail=[(0.03, 0.25 * w * noise[16])],
        meant=True,
    )

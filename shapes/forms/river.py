"""A river: a body of even width that bends twice."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.forms.spine import bow, on_spine
from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class River:
    """A broad bend of water: it sways one way, then the other."""

    slenderness: float = ranged(2.0, 2.8, "length over width of the body")
    sway: float = ranged(0.075, 0.13, "how far it sways to either side")
    swell: float = ranged(0.0, 0.25, "how much wider one end is than the other")
    slide: float = ranged(-0.06, 0.06, "how far one side is out of step with the other")
    liveliness: float = ranged(0.3, 1.0, "how uneven the width is")


def draw(p: River, noise: Array) -> Body:
    """Place the control points of a body of length 1; ``noise`` disturbs them."""
    w = 0.46 / p.slenderness
    u = np.array([0.05, 0.21, 0.4, 0.6, 0.79, 0.95])
    full = np.array([0.8, 1.0, 0.98, 0.98, 1.0, 0.78]) * (1 + p.swell * np.linspace(-1, 1, 6))
    a, b = (full * (1 + 0.06 * p.liveliness * noise[k : k + 6]) for k in (0, 6))
    v = u + p.slide * np.array([0.3, 1, 1, 1, 1, 0.3])
    return on_spine(
        bow(0.03 * noise[12], p.sway),
        (u, w * a),
        (v, w * b),
        head=[(0.035, 0.3 * w * noise[13])],
        tail=[(0.035, 0.3 * w * noise[14])],
        meant=True,
    )

"""A drop: round and broad at one end, drawn out to the other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.forms.spine import bow, on_spine
from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Drop:
    """A falling drop, its tail bent aside."""

    slenderness: float = ranged(1.45, 2.1, "length over width of the body")
    bend: float = ranged(0.03, 0.13, "how far the spine bows")
    tail: float = ranged(0.3, 0.44, "how wide the drawn-out end is")
    slide: float = ranged(-0.08, 0.08, "how far one side is out of step with the other")
    liveliness: float = ranged(0.3, 1.0, "how uneven the sides are")


def draw(p: Drop, noise: Array) -> Body:
    """Place the control points of a body of length 1; ``noise`` disturbs them."""
    w = 0.6 / p.slenderness
    u = np.array([0.02, 0.17, 0.4, 0.68, 0.93])
    full = np.array([0.62, 1.1, 1.04, 0.2 + 1.15 * p.tail, p.tail])
    a, b = (full * (1 + 0.08 * p.liveliness * noise[k : k + 5]) for k in (0, 5))
    v = u + p.slide * np.array([0.2, 1, 1, 1, 0.2])
    return on_spine(
        bow(p.bend, 0.03 * noise[10]),
        (u, w * a),
        (v, w * b),
        head=[(0.04, 0.1 * w * noise[11])],
        tail=[(0.05, 0.25 * w * noise[12])],
    )

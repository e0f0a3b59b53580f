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
    """A washed branch: long, bent, with a waist on one side."""

    slenderness: float = ranged(2.0, 3.1, "length over width of the body")
    bend: float = ranged(0.02, 0.12, "how far the spine bows")
    sway: float = ranged(0.02, 0.06, "how far it bows the other way at the far end")
    waist: float = ranged(0.34, 0.62, "how wide the waist is against the swells")
    slide: float = ranged(-0.08, 0.08, "how far one side is out of step with the other")
    liveliness: float = ranged(0.3, 1.0, "how much thick and thin differ")


def draw(p: Driftwood, noise: Array) -> Body:
    """Place the control points of a body of length 1; ``noise`` disturbs them."""
    w = 0.6 / p.slenderness
    lively = 0.1 * p.liveliness
    a = np.array([0.56, 1.0, p.waist + 0.06, p.waist + 0.04, 0.98, 0.56]) * (1 + lively * noise[:6])
    b = np.array([0.6, 0.86, 1.04, 0.98, 0.8, 0.58]) * (1 + lively * noise[6:12])
    u = np.array([0.05, 0.2, 0.42, 0.6, 0.8, 0.95]) + p.slide * np.array([0, 1, 1, 1, 1, 0])
    v = np.array([0.05, 0.22, 0.4, 0.6, 0.79, 0.95])
    return on_spine(
        bow(p.bend, p.sway),
        (u, w * a),
        (v, w * b),
        head=[(0.03, 0.3 * w * noise[12])],
        tail=[(0.03, 0.3 * w * noise[13])],
        meant=True,
    )

"""A fan: a narrow root that opens to a broad round side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Fan:
    """A shell or a fan, opening to one end with unlike corners."""

    slenderness: float = ranged(1.1, 1.6, "length over width of the body")
    root: float = ranged(0.34, 0.52, "how wide the root is against the whole")
    round: float = ranged(0.08, 0.2, "how far the broad side bulges")
    lean: float = ranged(0.04, 0.13, "how far the broad side is pushed aside")
    liveliness: float = ranged(0.3, 1.0, "how uneven the sides are")


def draw(p: Fan, noise: Array) -> Body:
    """Place the control points of a body of length 1; ``noise`` disturbs them."""
    h = 0.58 / p.slenderness
    lively = 0.045 * p.liveliness * noise
    r = h * p.root
    control = np.array(
        [
            [0.1 - p.round, -0.5 * h + p.lean],
            [0.0, -1.02 * h + p.lean + lively[0]],
            [0.24 + lively[1], -1.04 * h + 0.5 * p.lean],
            [0.56, -0.7 * h + 0.25 * p.lean + lively[2]],
            [0.86, -r],
            [1.02, -0.72 * r],
            [1.06 + lively[3], 0.1 * r],
            [1.0, 0.85 * r],
            [0.82, 1.08 * r],
            [0.54, 0.82 * h + 0.25 * p.lean + lively[4]],
            [0.25 + lively[5], 1.08 * h + 0.5 * p.lean],
            [0.0, 1.04 * h + p.lean + lively[6]],
            [0.08 - p.round, 0.52 * h + p.lean],
            [0.04 - p.round, 0.02 * h + p.lean],
        ]
    )
    return Body(control, (1.03, 0.0), (0.04 - p.round, p.lean))

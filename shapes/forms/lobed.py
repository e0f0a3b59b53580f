"""A lobed body: three or four uneven lobes with meant hollows between them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.forms.around import around
from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Lobed:
    """Three or four unlike lobes, as of a cloud."""

    slenderness: float = ranged(1.2, 1.65, "length over width of the body")
    lobes: float = ranged(2.51, 3.9, "how many lobes, rounded to a whole number")
    depth: float = ranged(0.12, 0.16, "how deep the hollows between the lobes go")
    turn: float = ranged(0.0, 6.28, "where round the board the lobes stand, in radians")
    liveliness: float = ranged(0.4, 1.0, "how unlike the lobes are")


def draw(p: Lobed, noise: Array) -> Body:
    """Place the control points of a body of length 1; ``noise`` disturbs them."""
    n = round(p.lobes)
    ends = np.arange(n) + 0.2 * p.liveliness * noise[:n].clip(-1, 1)
    middle = (ends + np.roll(ends, -1) + np.where(np.arange(n) == n - 1, n, 0)) / 2
    size = 1 + 0.26 * p.liveliness * noise[8 : 8 + n].clip(-1, 1)
    hollow = (
        (size + np.roll(size, -1))
        / 2
        * (1 - 1.9 * p.depth * (1 + 0.2 * noise[16 : 16 + n].clip(-1, 1)))
    )
    part, gap = np.array([-0.22, 0.0, 0.22]), np.array([-0.1, 0.1])
    at = np.concatenate([ends[:, None] + part, middle[:, None] + gap], axis=1).ravel()
    r = np.concatenate(
        [size[:, None] * np.array([0.97, 1.1, 0.97]), hollow[:, None] * [1.0, 1.0]], axis=1
    ).ravel()
    turn = p.turn + 2 * np.pi * at / n
    x, y = r * np.cos(turn) / 2, r * np.sin(turn) / 2 / p.slenderness
    return around(np.stack([x, y], axis=1), meant=True)

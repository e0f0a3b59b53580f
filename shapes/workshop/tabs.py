"""Tabs: short stretches of the edge left standing to hold the board in its blank.

On outward or straight stretches along the grain, none on a neck, in a hollow or on end grain:
there a tab tears fibres out when it is broken, or cannot be sanded off.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from shapes.geometry.along import Walk, walk
from shapes.geometry.curve import Array, Curve, Flags, Ints, pair
from shapes.geometry.discs import Discs

LONG, THICK = 10.0, 3.0  # mm; common practice
FEWEST, MOST = 3, 5
EACH = 300.0  # mm of edge that one tab holds; our choice
ALONG = math.radians(25.0)  # of the edge to the grain; our choice
STRAIGHT = 1 / 400.0  # 1/mm: a hollow flatter than this counts as straight; our choice
TIGHT = 1 / 30.0  # 1/mm, of an opening, which is all hollow; our choice
NECK = 60.0  # mm: narrower wood is a neck (as in the grain check)
APART = 60.0  # mm between tabs at least; our choice


@dataclass(frozen=True, slots=True)
class Tab:
    """A tab: the middle of it on the edge, and the direction of the edge there, radians."""

    x: float
    y: float
    angle: float


def tabs_on_edge(edge: Curve, grain: float, discs: Discs) -> list[Tab]:
    """Return 3 to 5 tabs spread round the edge, as many as its length asks for; [] where 3 do not fit."""
    w = walk(edge)
    fit = w.window(_along(w, grain) & _wide(w, discs, 0), LONG + 2) & (w.bend(LONG) >= -STRAIGHT)
    wanted = int(np.clip(math.ceil(w.length / EACH), FEWEST, MOST))
    chosen = _spread(w.p, np.flatnonzero(fit), wanted, APART)
    return [_tab(w.p, w.tangent, i) for i in chosen] if len(chosen) >= FEWEST else []


def tabs_in_opening(opening: Curve, grain: float, discs: Discs, loop: int) -> list[Tab]:
    """Return two tabs of a large opening's slug, apart, none on a bar; [] where none fit."""
    w = walk(opening)
    fit = w.window(_along(w, grain) & _wide(w, discs, loop), LONG) & (w.bend(LONG) >= -TIGHT)
    chosen = _spread(w.p, np.flatnonzero(fit), 2, LONG * 2)
    return [_tab(w.p, w.tangent, i) for i in chosen] if len(chosen) == 2 else []


def _along(w: Walk, grain: float) -> Flags:
    return np.asarray(np.abs(w.tangent @ (math.cos(grain), math.sin(grain))) >= math.cos(ALONG))


def _wide(w: Walk, discs: Discs, loop: int) -> Flags:
    """Where the wood behind the edge is no neck and no bar."""
    own = discs.loop == loop
    near = cKDTree(discs.p[own]).query(w.p)[1]
    return np.asarray(2 * discs.inner[own][near] >= NECK)


def _tab(p: Array, tangent: Array, i: int) -> Tab:
    return Tab(*pair(p[i]), math.atan2(tangent[i, 1], tangent[i, 0]))


def _spread(p: Array, places: Ints, wanted: int, apart: float) -> list[int]:
    """Choose places far from one another, the first farthest from the middle of all."""
    left = places
    chosen: list[int] = []
    if not len(left):
        return chosen
    far = np.hypot(*(p[left] - p.mean(axis=0)).T)
    while len(chosen) < wanted:
        k = int(far.argmax())
        if chosen and far[k] < apart:
            break
        chosen.append(int(left[k]))
        away = np.hypot(*(p[left] - p[left[k]]).T)
        far = away if len(chosen) == 1 else np.minimum(far, away)
    return chosen

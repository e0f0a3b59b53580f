"""Tabs: short stretches of the edge left standing to hold the board in the wood it is cut from.

On outward or straight stretches along the grain, none on a neck, in a hollow or by end grain: there
a tab tears fibres out when it is broken, or cannot be sanded off. On a piece none stands near a
natural edge or a defect, and each leads into waste that is screwed down.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.spatial import cKDTree

from shapes.geometry.along import Walk, walk
from shapes.geometry.curve import Array, Curve, Flags, Ints, pair
from shapes.reach.discs import Discs

LONG, THICK = 10.0, 3.0  # mm; common practice
THIN, DENSE = 2.0, 650.0  # mm, kg/m3: denser wood holds by less and is hard to trim; our choice
WIDE, LIGHT = 14.0, 580.0  # mm, kg/m3: lighter wood breaks sooner; our choice
FEWEST, MOST = 3, 5
EACH = 300.0  # mm of edge that one tab holds; our choice
ALONG_GRAIN = math.radians(25.0)  # of the edge to the grain; our choice
ENDS = math.radians(45.0)  # an edge steeper to the grain than this is end grain; our choice
STRAIGHT_HOLLOW = 1 / 400.0  # 1/mm: a hollow flatter than this counts as straight; our choice
TIGHT = 1 / 30.0  # 1/mm, of an opening, which is all hollow; our choice
NECK = 60.0  # mm: narrower wood is a neck (as in the grain check)
TAB_SPACING = 60.0  # mm between tabs at least; our choice
BITE = 1.5  # mm of held waste that a tab reaches into at least; our choice


def thickness_of(density: float) -> float:
    """Thickness of a tab, mm, in wood of a density in kg/m3."""
    return THIN if density >= DENSE else THICK


def length_of(density: float) -> float:
    """Length of a tab along the edge, mm, in wood of a density in kg/m3."""
    return WIDE if density < LIGHT else LONG


@dataclass(frozen=True, slots=True)
class Tab:
    """A tab: the middle of it on the edge, the direction of
    the edge there, radians, and its length, mm.
    """

    x: float
    y: float
    angle: float
    long: float = LONG

    def plan(self, cutter: float) -> Array:
        """Its corners (4, 2).

        Its length on the edge, across the cutter's slot on the right of travel.
        """
        every = _plans(
            np.array([[self.x, self.y]]), np.array([self.angle]), self.long, -cutter, 0.0
        )
        return np.asarray(every[0])


@dataclass(frozen=True, slots=True, eq=False)
class Around:
    """What a board lies in: what tabs keep their length from, and the waste that is held down.

    ``cutter`` is the width of the slot between the board and the waste, mm. In the board's own
    frame.
    """

    avoid: shapely.Geometry
    waste: shapely.Geometry
    cutter: float


def tabs_on_edge(
    edge: Curve, grain: float, discs: Discs, around: Around | None = None, long: float = LONG
) -> list[Tab]:
    """Return 3 to 5 tabs, ``long`` mm, spread round the edge, as many as its length asks for.

    [] where 3 do not fit.
    """
    w = walk(edge)
    body = _wide(w, discs, 0)
    fit = w.window(_along(w, grain, ALONG_GRAIN) & body, long + 2) & (
        w.bend(long) >= -STRAIGHT_HOLLOW
    )
    fit &= w.window(_along(w, grain, ENDS) & body, 3 * long)
    if around is not None:
        fit[fit] = _held(w, np.flatnonzero(fit), around, long)
    wanted = int(np.clip(math.ceil(w.length / EACH), FEWEST, MOST))
    chosen = _spread(w.p, np.flatnonzero(fit), wanted, TAB_SPACING)
    return [_tab(w.p, w.tangent, i, long) for i in chosen] if len(chosen) >= FEWEST else []


def tabs_in_opening(
    opening: Curve, grain: float, discs: Discs, loop: int, long: float = LONG
) -> list[Tab]:
    """Return two tabs of a large opening's slug, apart, none on a bar; [] where none fit."""
    w = walk(opening)
    fit = w.window(_along(w, grain, ALONG_GRAIN), long) & w.window(_wide(w, discs, loop), 3 * long)
    fit &= w.bend(long) >= -TIGHT
    chosen = _spread(w.p, np.flatnonzero(fit), 2, long * 2)
    return [_tab(w.p, w.tangent, i, long) for i in chosen] if len(chosen) == 2 else []


def _held(w: Walk, places: Ints, around: Around, long: float) -> Flags:
    """Whether a tab at each place keeps clear of what it must and leads into held waste."""
    angles = np.arctan2(w.tangent[places, 1], w.tangent[places, 0])
    out = -around.cutter
    tabs = shapely.polygons(_plans(w.p[places], angles, long, out, 0.0))
    feet = shapely.polygons(_plans(w.p[places], angles, long, out - BITE, out - 0.1))
    shapely.prepare(around.waste)
    clear = np.ones(len(places), dtype=bool)
    if not around.avoid.is_empty:
        clear = shapely.distance(tabs, around.avoid) >= long
    return np.asarray(clear & shapely.covers(around.waste, feet))


def _plans(at: Array, angles: Array, long: float, low: float, high: float) -> Array:
    """Rectangles (n, 4, 2), ``long`` mm along the edge, from
    ``low`` to ``high`` across it, inwards.
    """
    half = long / 2
    box = np.array([[-half, low], [half, low], [half, high], [-half, high]])
    c, s = np.cos(angles)[:, None], np.sin(angles)[:, None]
    turned = np.stack([c * box[:, 0] - s * box[:, 1], s * box[:, 0] + c * box[:, 1]], axis=-1)
    return np.asarray(turned + at[:, None])


def _along(w: Walk, grain: float, within: float) -> Flags:
    return np.asarray(np.abs(w.tangent @ (math.cos(grain), math.sin(grain))) >= math.cos(within))


def _wide(w: Walk, discs: Discs, loop: int) -> Flags:
    """Where the wood behind the edge is no neck and no bar."""
    own = discs.loop == loop
    near = cKDTree(discs.p[own]).query(w.p)[1]
    return np.asarray(2 * discs.inner[own][near] >= NECK)


def _tab(p: Array, tangent: Array, i: int, long: float) -> Tab:
    return Tab(*pair(p[i]), math.atan2(tangent[i, 1], tangent[i, 0]), long)


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

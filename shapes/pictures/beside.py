"""Something of known size to lay beside a board.

A plate, a loaf, a hand, true to scale and drawn by us.

Sizes are common practice: a dinner plate of 260 mm, a loaf of 280 x 120 mm, a hand 185 mm long from
wrist to finger-tip, cut from card; from memory.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from shapes.geometry.curve import Array, circle, polygon, turn
from shapes.geometry.outline import Outline, bounds, outline
from shapes.pictures.finished import GROUND, Body, Picture, picture
from shapes.pictures.light import lit, shadow
from shapes.pictures.log import mottled
from shapes.pictures.screen import Screen
from shapes.pictures.surface import LEAN, Rim, Seen, seen

THINGS = ("plate", "loaf", "hand")
_GAP = 28.0  # mm between a board and what lies beside it
_PLATE = 130.0  # mm, radius
# Of a left hand, its back up, mm: where a finger begins and ends, and its half widths there.
_FINGERS = (
    ((-33.0, 74.0), (-54.0, 133.0), 8.8, 6.8),
    ((-12.0, 86.0), (-21.0, 164.0), 9.4, 7.4),
    ((9.0, 88.0), (11.0, 174.0), 9.6, 7.6),
    ((28.0, 80.0), (41.0, 158.0), 9.4, 7.4),
    ((18.0, 26.0), (44.0, 62.0), 15.0, 11.5),
    ((44.0, 62.0), (66.0, 96.0), 11.5, 8.0),
)
_PALM = (
    (-19.0, 10.0, 20.0),
    (14.0, 10.0, 21.0),
    (-31.0, 72.0, 11.0),
    (29.0, 78.0, 11.0),
    (-27.0, 40.0, 17.0),
    (20.0, 40.0, 18.0),
)
_WRIST = ((-7.0, -16.0, 19.0), (6.0, -16.0, 19.0))


def _hand() -> Outline:
    def round_at(x: float, y: float, r: float) -> shapely.Geometry:
        return shapely.Point(x, y).buffer(r, quad_segs=24)

    palm = shapely.union_all([round_at(*p) for p in _PALM]).convex_hull
    wrist = shapely.union_all([round_at(*p) for p in (*_WRIST, *_PALM[:2])]).convex_hull
    fingers = [
        shapely.union(round_at(*a, r), round_at(*b, s)).convex_hull for a, b, r, s in _FINGERS
    ]
    base = shapely.union(palm, wrist).buffer(30, quad_segs=32).buffer(-46, quad_segs=32)
    whole = shapely.union_all([base.buffer(16, quad_segs=32), *fingers])
    soft = whole.buffer(2.5, quad_segs=16).buffer(-2.5, quad_segs=16).simplify(0.02)
    return outline(polygon(shapely.get_coordinates(soft.exterior)[:-1]))


def _loaf() -> Outline:
    a = np.linspace(0, math.tau, 240, endpoint=False)
    c, s = np.cos(a), np.sin(a)
    x = 140 * np.sign(c) * np.abs(c) ** (2 / 2.7)
    y = 60 * np.sign(s) * np.abs(s) ** (2 / 2.4) * (1 + 0.03 * np.sin(3 * a + 1))
    return outline(polygon(np.stack([x, y], axis=1)))


def _shape(thing: str) -> tuple[Outline, float, float]:
    """Outline round (0, 0), height and the radius its edge is rounded by, mm."""
    if thing == "plate":
        return outline(circle((0.0, 0.0), _PLATE)), 16.0, 4.0
    return (_loaf(), 62.0, 30.0) if thing == "loaf" else (_hand(), 2.0, 0.6)


def _tone(thing: str, on: Seen) -> tuple[NDArray[np.float32], Array]:
    """Colour (n, 3) in linear light and normals (n, 3)."""
    p, normal = on.place.astype(float), on.normal.astype(float)
    if thing == "plate":
        r = np.hypot(p[:, 0], p[:, 1])
        # A broad rim that falls inwards to a flat well; where a slope is, the normal leans to the
        # middle.
        slope = 0.16 * ((r > 88) & (r < 126)) + 0.55 * np.exp(-(((r - 84) / 5.0) ** 2))
        slope -= 0.5 * np.exp(-(((r - 127) / 3.0) ** 2))
        lean = (slope / np.maximum(r, 1))[:, None] * -p[:, :2]
        lean[on.flat :] = 0
        normal[:, :2] += lean
        tone = np.full((len(p), 3), (0.80, 0.79, 0.76))
    elif thing == "loaf":
        turned = np.concatenate([turn(p[:, :2], 0.6), p[:, 2:]], axis=1)
        rise = np.clip((p[:, 2] + 62) / 62, 0, 1)
        tone = np.array([0.62, 0.33, 0.11]) * (1.15 - 0.45 * rise)[:, None]
        for i in range(4):
            along = p[:, 0] - (-84 + 56 * i) + 0.5 * p[:, 1]
            cut = (
                np.exp(-((along / 5.0) ** 2))
                * np.clip(1 - (p[:, 1] / 42) ** 4, 0, 1)
                * (rise > 0.5)
            )
            tone += cut[:, None] * np.array([0.34, 0.27, 0.17])
        tone *= (
            1
            + 0.10 * mottled(turned / (2.9, 2.3, 2.5))
            + 0.10 * mottled(turned[:, [1, 0, 2]] / 7.3)
        )[:, None]
    else:  # cut from card: a likeness would draw the eye from the board
        tone = np.full((len(p), 3), (0.47, 0.43, 0.38))
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    return tone.astype(np.float32), normal


def thing_at(thing: str, screen: Screen, x: float, y: float) -> Picture:
    """Return what a screen shows of a thing whose middle lies at (x, y) mm, on the same ground."""
    shape, high, size = _shape(thing)
    x0, y0, x1, y1 = bounds(shape)
    # The thing's own coordinates, so that its drawing knows nothing of where it lies.
    moved = replace(
        screen, left=screen.left - x + (x0 + x1) / 2, top=screen.top - y + (y0 + y1) / 2
    )
    on = seen([Rim((shape.edge,), size)], high, moved)
    tone, normal = _tone(thing, on)
    light = np.zeros((on.cover.size, 3), dtype=np.float32)
    gloss = 1.6 if thing == "plate" else 0.15
    light[on.at] = lit(
        tone,
        np.full(len(tone), 9, np.float32),
        normal.astype(np.float32),
        finished=gloss,
        grain=None,
    )
    return Picture(
        screen, light.reshape(*screen.shape, 3), on.cover, shadow(screen, on.cover, high)
    )


def breadth(board: Outline, thing: str | None) -> float:
    """Return how wide a board is with its ground, and with a thing beside it, mm."""
    x0, _, x1, _ = bounds(board)
    if thing is None:
        return x1 - x0 + 2 * GROUND
    a0, _, a1, _ = bounds(_shape(thing)[0])
    return x1 - x0 + _GAP + a1 - a0 + 2 * GROUND


def beside(body: Body, thing: str, pixels: int) -> Picture:
    """Return a board and a thing to its right, ``pixels`` wide."""
    shape, high, _ = _shape(thing)
    x0, y0, x1, y1 = bounds(body.outline)
    a0, b0, a1, b1 = bounds(shape)
    middle = (y0 + y1) / 2
    # Both stand on one ground: what is lower sits lower on the picture by the same lean.
    at = x1 + _GAP + (a1 - a0) / 2, middle + LEAN * (high - body.thickness)
    half = max((y1 - y0) / 2, (b1 - b0) / 2 + abs(at[1] - middle))
    scale = pixels / breadth(body.outline, thing)
    low = middle - half - LEAN * max(high, body.thickness) - GROUND
    top = middle + half + GROUND
    screen = Screen(x0 - GROUND, top, scale, pixels, math.ceil((top - low) * scale))
    one, other = picture(body, screen), thing_at(thing, screen, *at)
    cover = np.clip(one.cover + other.cover, 0, 1)
    share = np.maximum(one.cover + other.cover, 1e-6)
    light = (one.light * one.cover[..., None] + other.light * other.cover[..., None]) / share[
        ..., None
    ]
    return Picture(screen, light, cover, np.maximum(one.kept, other.kept))

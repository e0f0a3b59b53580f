"""A neck grown out of the body: control points of the same spline, so curvature runs on.

The two shoulders differ; the end of the neck has a character of its own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from shapes.geometry.body import Body
from shapes.geometry.curve import Array, flatten, refine, spline
from shapes.handles.edge import eased
from shapes.handles.hand import (
    CORD_HOLE,
    NECK_WIDTH,
    NECK_WIDTH_THIN,
    THIN,
    Needs,
    Round,
    Sketch,
)
from shapes.parameters import ranged

_LIGHT = 15.0  # mm less of neck on a light board, which three fingers hold
_FOR_HOLE = 21.0  # mm more of neck where its end swells round a hole
ENDS = ("round", "swelling", "tapered", "hooked", "slanting")


@dataclass(frozen=True, slots=True)
class Neck:
    """A neck to hold the board by, along the grain."""

    width: float = ranged(30.0, 37.0, "width of the neck", "mm")
    grip: float = ranged(97.0, 113.0, "length of the neck's straight run", "mm")
    tilt: float = ranged(-10.0, 10.0, "angle of the neck to the grain", "degrees")
    bend: float = ranged(-7.0, 7.0, "how far the neck's end is bent aside", "mm")
    shoulder: float = ranged(0.45, 1.1, "how long the shoulders run out")
    end: float = ranged(0.0, 4.99, "character of the end: " + ", ".join(ENDS))


def fit(body: Body, p: Neck, noise: Array, needs: Needs) -> Sketch:
    """Grow the neck out of the body's head."""
    return _grow(body, p, noise, needs, hole=False)


def fit_with_hole(body: Body, p: Neck, noise: Array, needs: Needs) -> Sketch:
    """Grow a neck whose end swells round a hole to hang the board by."""
    return _grow(body, p, noise, needs, hole=True)


def _grow(body: Body, p: Neck, noise: Array, needs: Needs, *, hole: bool) -> Sketch:
    least = NECK_WIDTH_THIN if needs.thickness < THIN else NECK_WIDTH[0]
    width = needs.neck_width or max(p.width, least + 1.5)
    half = width / 2
    control = refine(body.control)
    angle = math.radians(p.tilt)
    along = np.array([math.cos(angle), math.sin(angle)])
    left = np.array([-along[1], along[0]])
    frame = control - np.array(body.head)
    u = frame[:, 0] * along[0] + frame[:, 1] * along[1]
    v = frame[:, 0] * left[0] + frame[:, 1] * left[1]
    v = v - 0.15 * half * noise[0]
    n = len(control)
    h = int(np.argmax(u - 0.6 * np.abs(v)))
    spread = 22.0 + 14.0 * np.abs(noise[1:3]).clip(0, 1.5)
    up = _shoulder(h, v, half + spread[0])
    low = -_shoulder(-h, -v[-np.arange(n)], half + spread[1])
    up, low = up % n, low % n
    kept = [(up + k) % n for k in range((low - up) % n + 1)]
    slope = p.shoulder * (1 + 0.25 * noise[3:5].clip(-1, 1))
    root_up = u[up] + slope[0] * min(max(v[up] - half, 0.0), 40.0)
    root_low = u[low] + slope[1] * min(max(-v[low] - half, 0.0), 40.0)
    shorter = _LIGHT if needs.light and not hole else 0.0
    grip_length = p.grip + (_FOR_HOLE if hole else 0.0) - shorter
    end = max(root_up, root_low, u[up] + 26, u[low] + 26) + grip_length
    character = int(p.end)
    if hole and character in (0, 2):
        character = 1
    steps = np.array([0.0, 0.34, 0.67, 1.0])
    waist = 1 + 0.05 * noise[5:7].clip(-1, 1)
    side = half * np.array([1.1, 1.0, 1.0, 1.0])
    up_side, low_side = side * [1.05, waist[0], 1, 1], side * [1.05, 1, waist[1], 1]
    up_u = root_up + steps * (end - root_up)
    low_u = root_low + steps * (end - root_low)
    tip, up_last, low_last, swell = _end(character, half, noise)
    reach = max(1.0, 21.5 / (half * swell)) if hole else 1.0
    up_side[3] *= up_last[1] * reach
    low_side[3] *= low_last[1] * reach
    up_u[3] += up_last[0]
    low_u[3] += low_last[0]
    lower = np.stack([low_u, -low_side], axis=1)
    upper = np.stack([up_u, up_side], axis=1)[::-1]
    neck = np.concatenate([lower, tip * reach + [end, 0.0], upper])
    neck[:, 1] += p.bend * ((neck[:, 0] - (end - grip_length)) / grip_length).clip(0) ** 2
    neck[:, 1] += 0.15 * half * noise[0]
    points = np.array(body.head) + neck[:, :1] * along + neck[:, 1:] * left
    middle = (
        np.array(body.head) + (end - 0.45 * grip_length) * along + 0.15 * half * noise[0] * left
    )
    grip = (float(middle[0]), float(middle[1]), angle)
    edge = np.concatenate([control[kept], points])
    edge = eased(edge, [0, 1, 2, len(kept) - 3, len(kept) - 2, len(kept) - 1])
    openings = (_hole(edge, points[3:8].mean(axis=0), along, half),) if hole else ()
    return Sketch(edge, openings, (grip,))


def _hole(edge: Array, near: Array, along: Array, half: float) -> Round:
    """Put the cord hole where the end of the neck is widest."""
    ring = flatten(spline(edge), 0.05)
    back = np.linspace(-2.0 * half, 0.5 * half, 26)
    points = shapely.points(near + back[:, None] * along)
    room = shapely.distance(shapely.linearrings(ring), points)
    room = np.where(shapely.contains(shapely.Polygon(ring), points), room, 0)
    best = near + back[int(room.argmax())] * along
    return Round(float(best[0]), float(best[1]), CORD_HOLE / 2)


def _shoulder(tip: int, height: Array, wanted: float) -> int:
    """Walk from the tip to the first point as high as wanted, else to the highest on the way."""
    n = len(height)
    way = (tip + np.arange(1, n // 3 + 1)) % n
    high = np.flatnonzero(height[way] >= wanted)
    return int(way[high[0] if len(high) else height[way[: n // 4]].argmax()])


def _end(
    character: int, half: float, noise: Array
) -> tuple[Array, tuple[float, float], tuple[float, float], float]:
    """Tip control points past the end, then (shift, widening) of the last upper and lower point.

    The last figure is how wide the end comes out against the neck, for the hole's rim.
    """
    a = half * (1 + 0.12 * float(np.clip(noise[7], -1, 1)))
    s = 1.0 if noise[8] > 0 else -1.0
    if character == 1:  # swelling
        tip = np.array([[0.95 * a, -1.1 * a], [1.35 * a, 0.12 * s * a], [0.9 * a, 1.14 * a]])
        return tip, (0.0, 1.3), (-0.2 * a, 1.26), 1.15
    if character == 2:  # tapered
        tip = np.array([[0.8 * a, -0.86 * a], [1.3 * a, 0.08 * s * a], [0.85 * a, 0.88 * a]])
        return tip, (0.0, 0.92), (0.0, 0.94), 0.9
    if character == 3:  # hooked: the end leans to one side and stands out there
        tip = np.array([[0.75 * a, -1.1 * a], [1.5 * a, 0.35 * a], [0.9 * a, 1.5 * a]])
        up, low = (-0.3 * a, 1.36), (-0.1 * a, 1.0)
    elif character == 4:  # slanting: one corner further out than the other
        tip = np.array([[1.3 * a, -1.02 * a], [1.5 * a, 0.02 * a], [0.7 * a, 1.12 * a]])
        up, low = (-0.32 * a, 1.1), (0.2 * a, 1.12)
    else:
        tip = np.array([[0.9 * a, -1.05 * a], [1.3 * a, 0.1 * s * a], [0.85 * a, 1.08 * a]])
        return tip, (0.0, 1.04), (-0.15 * a, 1.06), 1.0
    if s < 0:
        tip = tip[::-1] * [1.0, -1.0]
        up, low = low, up
    return tip, up, low, 1.05

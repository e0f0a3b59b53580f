"""Where the hand takes a board: as given, as drawn, or inferred from the outline and said so."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from shapes.checks.handle import infer
from shapes.checks.subject import Subject
from shapes.geometry.curve import flatten, pair
from shapes.handles import HANDLES
from shapes.handles.hand import BAR_ACROSS, BAR_ALONG, NECK_WIDTH
from shapes.reach.width import runs

Grip = tuple[float, float, float]  # x, y, mm; direction of the wood there, radians


@dataclass(frozen=True, slots=True)
class Held:
    """Grips, none where the board has no handle; ``said`` tells where they come from."""

    grips: tuple[Grip, ...]
    said: str


def held(s: Subject) -> Held:
    """Return the grips that a board is held by."""
    if s.handle is not None and HANDLES[s.handle].carried:
        return Held((), "no handle to hold it level by: it is carried in both hands")
    if s.grips:
        return Held(tuple(on_wood(s, g) for g in s.grips) if s.handle else s.grips, "")
    kind = infer(s)
    if kind == "neck":
        run = runs(s.discs, *NECK_WIDTH)[0]
        x, y = run.middle
        return Held(((x, y, run.angle),), f"grip taken to be the neck at ({x:.0f}, {y:.0f})")
    if kind == "opening":
        grips = _bars(s)
        if grips:
            at = " and ".join(f"({x:.0f}, {y:.0f})" for x, y, _ in grips)
            return Held(grips, f"grip taken to be the bar at {at}")
    return Held((), "no grip was found: say --grip X,Y or X,Y,DEG")


def on_wood(s: Subject, grip: Grip) -> Grip:
    """Bring the place of the fingers in a hollow to the wood that the hand closes on."""
    x, y, angle = grip
    edge = shapely.Polygon(s.ring)
    if shapely.contains_xy(edge, x, y):
        return grip
    near = shapely.get_coordinates(shapely.shortest_line(shapely.Point(x, y), edge))[1]
    way = near - (x, y)
    place = near + way / max(float(np.hypot(way[0], way[1])), 1e-9) * _BEHIND
    return float(place[0]), float(place[1]), angle


_BEHIND = 15.0  # mm behind the edge that a hand's grip is taken to be


def _bars(s: Subject) -> tuple[Grip, ...]:
    """The bar beside each hand opening: where the opening comes nearest to the edge."""
    found: list[Grip] = []
    for run in runs(s.discs, BAR_ALONG[0] / 2, 1.5 * BAR_ACROSS[1], "bar")[:2]:
        x, y = run.middle
        if all(np.hypot(x - a, y - b) > 120.0 for a, b, _ in found):
            found.append((x, y, run.angle))
    if found:
        return tuple(found)
    largest = max(s.outline.openings, key=lambda c: float(np.ptp(flatten(c), axis=0).max()))
    x, y = pair(flatten(largest).mean(axis=0))
    return ((x, y, 0.0),)

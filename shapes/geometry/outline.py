"""An Outline: one edge and its openings, with every convention of the project.

y runs up; x runs along the grain; the edge runs anticlockwise and the openings clockwise, so that
the wood is always on the left; no end point is repeated; nothing crosses or touches.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
import shapely

from shapes.errors import OutlineError
from shapes.geometry import curve as curves
from shapes.geometry.curve import Array, Curve
from shapes.tolerances import TOLERANCES


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """One edge and its openings; ``wood`` is the same as a polygon within the flatten tolerance.

    Raises OutlineError, with the place, for a wrong direction, a crossing or a touch.
    """

    edge: Curve
    openings: tuple[Curve, ...] = ()
    wood: shapely.Polygon = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Check every convention."""
        rings = [curves.flatten(c) for c in (self.edge, *self.openings)]
        wood = shapely.Polygon(rings[0], rings[1:])
        if not wood.is_valid:
            reason = shapely.is_valid_reason(wood)
            text, _, where = reason.partition("[")
            x, _, y = where.rstrip("]").partition(" ")
            raise OutlineError(_WORDS.get(text, text.lower()), (float(x), float(y)))
        if shoelace(rings[0]) <= 0:
            raise OutlineError("the edge must run anticlockwise", _first(rings[0]))
        for ring in rings[1:]:
            if shoelace(ring) >= 0:
                raise OutlineError("an opening must run clockwise", _first(ring))
        if self.openings:
            lines = shapely.linearrings(rings[0]), [shapely.linearrings(r) for r in rings[1:]]
            parts = [lines[0], *lines[1]]
            for i, ring in enumerate(parts):
                for other in parts[i + 1 :]:
                    x0, y0, x1, y1 = shapely.bounds(other)
                    near = shapely.box(x0 - _NEAR, y0 - _NEAR, x1 + _NEAR, y1 + _NEAR)
                    if not shapely.intersects(ring, near):
                        continue  # far cheaper than the distance, and so with nearly all openings
                    if shapely.distance(ring, other) <= TOLERANCES.closed:
                        at = shapely.shortest_line(ring, other).coords[0]
                        raise OutlineError("an opening touches", (float(at[0]), float(at[1])))
        object.__setattr__(self, "wood", wood)

    @property
    def curves(self) -> tuple[Curve, ...]:
        """The edge, then the openings."""
        return (self.edge, *self.openings)


_NEAR = 1e-3  # mm
_WORDS = {
    "Self-intersection": "the line crosses itself",
    "Hole lies outside shell": "an opening lies outside the edge",
    "Ring Self-intersection": "the line touches itself",
    "Nested holes": "an opening lies in another",
    "Holes are nested": "an opening lies in another",
    "Interior is disconnected": "an opening parts the wood",
    "Too few points in geometry component": "a loop without area",
}


def outline(edge: Curve, openings: Iterable[Curve] = ()) -> Outline:
    """Make an Outline, turning each loop to the direction that the conventions ask for."""
    turned = edge if shoelace(curves.flatten(edge)) > 0 else curves.reverse(edge)
    holes = (o if shoelace(curves.flatten(o)) < 0 else curves.reverse(o) for o in openings)
    return Outline(turned, tuple(holes))


def transformed(
    value: Outline, angle: float = 0.0, scale: float = 1.0, shift: tuple[float, float] = (0.0, 0.0)
) -> Outline:
    """Turn by ``angle`` (radians), scale, then move by ``shift`` mm."""
    edge, *openings = (curves.transform(c, angle, scale, shift) for c in value.curves)
    return Outline(edge, tuple(openings))


def mirrored(value: Outline) -> Outline:
    """Mirror in the x axis."""
    edge, *openings = (curves.mirror(c) for c in value.curves)
    return Outline(edge, tuple(openings))


def flip_of(outline: Outline) -> Array:
    """Return the signs of x and y after turning a board over on its long edge."""
    x0, y0, x1, y1 = outline.wood.bounds
    return np.array([1.0, -1.0] if x1 - x0 >= y1 - y0 else [-1.0, 1.0])


def turned_over(outline: Outline) -> Outline:
    """Return the outline as it lies after turning the board over on its long edge; (0, 0) stays."""
    flip = flip_of(outline)
    edge, *openings = (Curve((c.segments * flip)[::-1, ::-1]) for c in outline.curves)
    return Outline(edge, tuple(openings))


def bounds(value: Outline) -> tuple[float, float, float, float]:
    """Return (xmin, ymin, xmax, ymax) of the edge, exact."""
    return curves.bounds(value.edge)


def shoelace(ring: Array) -> float:
    """Signed area of a polygon (n, 2): positive anticlockwise."""
    d = ring - ring[0]
    return float(np.sum(curves.cross(d, np.roll(d, -1, axis=0)))) / 2


def _first(ring: Array) -> tuple[float, float]:
    return float(ring[0, 0]), float(ring[0, 1])

"""No handle: the board is picked up by its rounded underside."""

from __future__ import annotations

from dataclasses import dataclass

from shapes.geometry.body import Body
from shapes.geometry.curve import Array
from shapes.handles.hand import Needs, Sketch


@dataclass(frozen=True, slots=True)
class Plain:
    """No handle: the edge is rounded over underneath, so that fingers get below it."""


def fit(body: Body, p: Plain, noise: Array, needs: Needs) -> Sketch:
    """Leave the body as it is."""
    return Sketch(body.control)

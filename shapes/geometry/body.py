"""What a form hands over: the control points of a body and the two ends of its spine."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.geometry.curve import Array, bounds, spline


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """Control points (n, 2) of a periodic cubic spline, anticlockwise, the spine along x.

    ``head`` and ``tail`` are where the spine ends at the right and at the left; a neck grows from
    the head. ``meant`` says that the form draws hollows on purpose. Any scale.
    """

    control: Array
    head: tuple[float, float]
    tail: tuple[float, float]
    meant: bool = False

    def mapped(self, scale: float, shift: tuple[float, float] = (0.0, 0.0)) -> Body:
        """Scale, then move."""
        move = np.asarray(shift)

        def put(p: tuple[float, float]) -> tuple[float, float]:
            return p[0] * scale + shift[0], p[1] * scale + shift[1]

        return Body(self.control * scale + move, put(self.head), put(self.tail), self.meant)

    def flipped(self, *, over_x: bool = False, over_y: bool = False) -> Body:
        """Mirror over the x axis (up to down) or the y axis (end to end); still anticlockwise."""
        sign = np.array([-1.0 if over_y else 1.0, -1.0 if over_x else 1.0])
        control = self.control * sign
        if over_x != over_y:
            control = control[::-1]
        head, tail = (tuple((np.array(e) * sign).tolist()) for e in (self.head, self.tail))
        ends = (tail, head) if over_y else (head, tail)
        return Body(control, *ends, self.meant)

    def box(self) -> tuple[float, float, float, float]:
        """Box of the curve, exact."""
        return bounds(spline(self.control))

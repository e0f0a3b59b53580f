"""Sizes of handles, with their sources, and what a handle hands back.

Hand breadth: ANSUR II public data (n = 6068): p99 men 99 mm, largest 105 mm. Handle and cut-out:
NIOSH 94-110 (1994), Table 6 notes: handle 19 to 38 mm across and 115 mm long, cut-out 115 mm long
and 38 mm high. Drury 1983: best diameter 25 to 40 mm. The rest is our choice, or common practice.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.geometry.curve import Array, Curve, circle, spline

NECK_WIDTH = (28.0, 42.0)  # mm; our choice round Drury's 25 to 40
NECK_WIDTH_THIN = 32.0  # mm at least where the board is thinner than 18 mm; our choice
THIN = 18.0  # mm
GRIP = 100.0  # mm; p99 hand breadth of men, ANSUR II: 99
GRIP_LIGHT = 75.0  # mm, three fingers, for boards under LIGHT
LIGHT = 0.8  # kg
OPENING_LENGTH = 115.0  # mm; NIOSH 94-110
OPENING_DISC = 38.0  # mm; NIOSH 94-110
BAR_ALONG = (20.0, 35.0)  # mm where it runs along the grain; our choice
BAR_ACROSS = (30.0, 40.0)  # mm where it runs across the grain; our choice
BAR_RUN = 96.0  # mm; p95 hand breadth of men, ANSUR II
HOLLOW_LENGTH, HOLLOW_LIP = 95.0, 12.0  # mm; our choice
HOLLOW_DEPTH = 0.024  # of the board's length, least: shallower reads as wear; our choice by eye
HOLLOW_MOST = 0.12  # of the board's width, greatest; our choice by eye
THUMB_HOLE, THUMB_RIM = (30.0, 34.0), (18.0, 25.0)  # mm; our choice
THUMB_FROM = 400.0  # mm of a board: in a shorter one such a hole looks too large; our choice by eye
# mm: two or three fingers through it, the hand closed on its rim; our choice. Four of a small hand
# of 70 mm (ANSUR II, p5 women: 72) nearly fill it.
RING_HOLE, RING_RIM = (60.0, 68.0), (22.0, 30.0)
RING_FROM = 500.0  # mm of a board: in a shorter one it takes too much; our choice by eye
CORD_HOLE, CORD_RIM = (10.0, 22.0), 13.0  # mm: for a cord or a peg; common practice
PICK_UP = 6.0  # mm, least round-over underneath where there is no handle; our choice


@dataclass(frozen=True, slots=True)
class Round:
    """A round hole: centre and radius, mm."""

    x: float
    y: float
    radius: float


@dataclass(frozen=True, slots=True, eq=False)
class Sketch:
    """A board as it is drawn: control points of the edge and its openings, and where one grips.

    ``grip`` is (x, y, angle): the middle of the hand's place and the run of the wood there.
    """

    edge: Array
    openings: tuple[Array | Round, ...] = ()
    grip: tuple[tuple[float, float, float], ...] = ()

    def curves(self) -> tuple[Curve, ...]:
        """Return the edge and the openings as curves, exactly."""
        holes = tuple(
            circle((o.x, o.y), o.radius, clockwise=True) if isinstance(o, Round) else spline(o)
            for o in self.openings
        )
        return (spline(self.edge), *holes)

    def flipped(self, over_x: bool, over_y: bool) -> Sketch:
        """Mirror up to down, end to end, or both; edge anticlockwise, openings clockwise still."""
        if not (over_x or over_y):
            return self
        across, up = (-1.0 if over_y else 1.0), (-1.0 if over_x else 1.0)
        sign = np.array([across, up])
        order = -1 if over_x != over_y else 1

        def angle(a: float) -> float:
            return -a if over_x != over_y else a

        return Sketch(
            self.edge[::order] * sign,
            tuple(
                (
                    Round(o.x * across, o.y * up, o.radius)
                    if isinstance(o, Round)
                    else o[::order] * sign
                )
                for o in self.openings
            ),
            tuple((x * across, y * up, angle(a)) for x, y, a in self.grip),
        )

    def scaled(self, by: float) -> Sketch:
        """Make everything larger or smaller."""
        return Sketch(
            self.edge * by,
            tuple(
                Round(o.x * by, o.y * by, o.radius * by) if isinstance(o, Round) else o * by
                for o in self.openings
            ),
            tuple((x * by, y * by, a) for x, y, a in self.grip),
        )

    def moved(self, dx: float, dy: float) -> Sketch:
        """Move everything."""
        by = np.array([dx, dy])
        return Sketch(
            self.edge + by,
            tuple(
                Round(o.x + dx, o.y + dy, o.radius) if isinstance(o, Round) else o + by
                for o in self.openings
            ),
            tuple((x + dx, y + dy, a) for x, y, a in self.grip),
        )

    def rounded(self) -> Sketch:
        """Coordinates on the grid of 1e-6 mm that they are written on."""

        def r(v: float) -> float:
            return round(v, 6)

        return Sketch(
            np.round(self.edge, 6),
            tuple(
                Round(r(o.x), r(o.y), r(o.radius)) if isinstance(o, Round) else np.round(o, 6)
                for o in self.openings
            ),
            tuple((r(x), r(y), r(a)) for x, y, a in self.grip),
        )


@dataclass(frozen=True, slots=True)
class Needs:
    """What the brief asks of a handle, mm."""

    thickness: float = 20.0
    neck_width: float | None = None
    light: bool = False

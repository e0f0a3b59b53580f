"""The picture of a board on its worksheet: dimensions, blank, datum, tabs, lifted fibres, areas."""

from __future__ import annotations

import math

import numpy as np

from shapes.files.figure import AMBER, BLACK, BLUE, GREY, RED, Figure, Stroke
from shapes.files.page import shade
from shapes.geometry.curve import Array, turn
from shapes.geometry.outline import bounds, flip_of
from shapes.workshop.job import Job, Placed
from shapes.workshop.sheet import fixings
from shapes.workshop.tabs import LONG


def board_figure(job: Job) -> Figure:
    """Draw a board from above in its blank, with what the bench needs to see."""
    outline = job.report.outline
    l, w, _ = job.estimate.blank_mm  # noqa: E741
    x0, y0, x1, y1 = bounds(outline)
    made = Figure((-l / 2 - 18, -w / 2 - 18, l / 2 + 10, w / 2 + 14))
    blank = np.array([[-l, -w], [l, -w], [l, w], [-l, w]]) / 2
    made.parts.append(Stroke(blank, GREY, 0.2, (1.6, 1.0), closed=True))
    tone = job.report.board.brief.timber.colour
    for i, curve in enumerate(outline.curves):
        made.parts.append(
            Stroke(curve, BLACK, 0.3, fill=shade(tone, 1.72) if i == 0 else "#ffffff")
        )
    for f in job.lifted.under:
        made.line(f.points, colour=AMBER, width=0.9)
    for f in job.lifted.lifted:
        made.line(f.points, colour=RED, width=0.9)
    for tab in job.plan.tabs:
        half = np.array([math.cos(tab.angle), math.sin(tab.angle)]) * LONG / 2
        made.line(np.array([tab.x, tab.y]) + np.array([-half, half]), colour=BLUE, width=1.4)
    _cross(made, 0.0, 0.0, 9.0)
    for x, y in fixings(job):
        made.line([[x - 3, y - 3], [x + 3, y + 3]], colour=GREY, width=0.4)
        made.line([[x - 3, y + 3], [x + 3, y - 3]], colour=GREY, width=0.4)
    made.words(3, 3, "datum 0, 0", size=2.4, colour=BLUE, anchor="start")
    _dimension(made, (x0, -w / 2 - 6), (x1, -w / 2 - 6), f"{x1 - x0:.1f}")
    _dimension(made, (-l / 2 - 6, y0), (-l / 2 - 6, y1), f"{y1 - y0:.1f}")
    made.words(0, w / 2 + 4, f"blank {l:.0f} x {w:.0f}", size=2.6, colour=GREY)
    made.words(
        -l / 2,
        w / 2 + 4,
        "eating face up; screws on the crosses",
        size=2.4,
        colour=GREY,
        anchor="start",
    )
    _arrow(made, (l / 2 - 52, w / 2 + 5), 48, "grain")
    _travel(made, job)
    for placed, name in ((job.engraving, "engrave"), (job.printed, "print")):
        if placed:
            _area(made, placed, name)
    return made


def _dimension(made: Figure, a: tuple[float, float], b: tuple[float, float], text: str) -> None:
    along = np.subtract(b, a) / np.hypot(*np.subtract(b, a))
    across = np.array([-along[1], along[0]])
    made.line([a, b], colour=GREY, width=0.18)
    for end in (np.array(a), np.array(b)):
        made.line(np.stack([end - 2.5 * across, end + 2.5 * across]), colour=GREY, width=0.18)
    middle = (np.array(a) + b) / 2
    upright = abs(along[1]) > 0.5
    x, y = middle + ((-2.0, 0.0) if upright else (0.0, -8.5))
    made.words(float(x), float(y), text, size=2.8, angle=90 if upright else 0)


def _arrow(made: Figure, start: tuple[float, float], long: float, text: str) -> None:
    x, y = start
    made.line([[x, y], [x + long, y]], colour=GREY, width=0.25)
    made.line([[x + long - 4, y + 2], [x + long, y], [x + long - 4, y - 2]], colour=GREY, width=0.25)  # fmt: skip
    made.words(x - 2, y + 2.0, text, size=2.4, colour=GREY, anchor="start")


def _travel(made: Figure, job: Job) -> None:
    """An arrow outside the edge: the trimmer's way round, anticlockwise."""
    ring = job.report.outline.wood.exterior
    at = np.array([ring.interpolate(s, normalized=True).coords[0] for s in np.linspace(0.02, 0.10, 9)])  # fmt: skip
    step = np.gradient(at, axis=0)
    step /= np.hypot(*step.T)[:, None]
    if not ring.is_ccw:
        at, step = at[::-1], -step[::-1]
    path = at + 7 * np.stack([step[:, 1], -step[:, 0]], axis=1)
    made.line(path, colour=BLUE, width=0.3)
    head = turn(np.array([[-4.0, 2.0], [0.0, 0.0], [-4.0, -2.0]]), math.atan2(*step[-1][::-1]))
    made.line(head + path[-1], colour=BLUE, width=0.3)


def _area(made: Figure, placed: Placed, name: str) -> None:
    """An area with its file's datum; one of the underside is shown where it lies, seen through."""
    corners: Array = placed.area.corners
    if placed.face.under:
        corners = corners * flip_of(placed.face.outline)
    made.parts.append(Stroke(corners, BLUE, 0.25, (1.0, 0.8), closed=True))
    x, y = corners.mean(axis=0)
    side = ", underside" if placed.face.under else ""
    made.words(float(x), float(y) - 9, f"{name}{side}", size=2.4, colour=BLUE)
    _cross(made, float(x), float(y), 4.0)


def _cross(made: Figure, x: float, y: float, size: float) -> None:
    made.line([[x - size, y], [x + size, y]], colour=BLUE, width=0.3)
    made.line([[x, y - size], [x, y + size]], colour=BLUE, width=0.3)

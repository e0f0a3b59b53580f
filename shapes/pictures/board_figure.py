"""The picture of a board on its worksheet: dimensions, blank, datum, tabs, lifted fibres, areas."""

from __future__ import annotations

import math

import numpy as np
import shapely

from shapes.files.figure import AMBER, BLACK, BLUE, GREEN, GREY, RED, Figure, Stroke
from shapes.files.page import shade
from shapes.geometry.curve import Array, turn
from shapes.geometry.outline import Outline, bounds, flip_of
from shapes.workshop.job import Job, Placed
from shapes.workshop.set_up import SetUp


def board_figure(made: SetUp) -> Figure:
    """Draw what is cut from one stock, from above, with what the bench needs to see."""
    stock = made.stock
    x0, y0, x1, y1 = stock.outline.bounds
    figure = Figure((x0 - 18, y0 - 18, x1 + 10, y1 + 20))
    wood = shapely.get_coordinates(stock.outline.exterior)[:-1]
    figure.parts.append(Stroke(wood, GREY, 0.2, (1.6, 1.0), closed=True))
    for line in shapely.get_parts(stock.natural):
        figure.line(shapely.get_coordinates(line), colour=GREEN, width=0.6)
    for name, shape in stock.defects:
        ring = shapely.get_coordinates(shape.exterior)
        figure.parts.append(Stroke(ring, GREY, 0.25, (0.8, 0.6), closed=True))
        if stock.piece is not None:
            at = shape.representative_point()
            figure.words(at.x, at.y - 1, name, size=2.0, colour=GREY)
    for job in made.jobs:
        _board(figure, job, alone=stock.piece is None)
    for x, y in made.held.screws:
        _crossed(figure, x, y)
    for _, (x, y) in stock.fixings:
        _crossed(figure, x, y)
    _cross(figure, 0.0, 0.0, 9.0)
    figure.words(3, 3, "datum 0, 0", size=2.4, colour=BLUE, anchor="start")
    if stock.piece is None:
        _sizes(figure, made.jobs[0], (x0, y0, x1, y1))
        figure.words(x0, y1 + 13, _legend(made), size=2.3, colour=GREY, anchor="start")
    else:
        figure.words(x0, y0 - 13, _legend(made), size=2.3, colour=GREY, anchor="start")
    face = (
        "the face you measured up"
        if stock.piece
        else f"blank {x1 - x0:.0f} x {y1 - y0:.0f}, eating face up"
    )
    over = 4 if stock.piece is None else 9
    figure.words(
        x0, y1 + over, f"{face}; screws on the crosses", size=2.4, colour=GREY, anchor="start"
    )
    _arrow(figure, (x1 - 52, y1 + over + 1), 48, "grain", stock.grain)
    return figure


def _board(figure: Figure, job: Job, *, alone: bool) -> None:
    """One board with its tabs, lifted fibres and areas, where it lies."""
    outline = job.outline
    tone = job.report.board.brief.timber.colour
    for i, curve in enumerate(outline.curves):
        fill = shade(tone, 1.72) if i == 0 else "#ffffff"
        figure.parts.append(Stroke(curve, BLACK, 0.3, fill=fill))
    for colour, found in ((AMBER, job.lifted.under), (RED, job.lifted.lifted)):
        for f in found:
            figure.line(job.pose.of(f.points), colour=colour, width=0.9)
    for tab in job.tabs:
        half = np.array([math.cos(tab.angle), math.sin(tab.angle)]) * tab.long / 2
        figure.line(np.array([tab.x, tab.y]) + np.array([-half, half]), colour=BLUE, width=1.4)
    if not alone:
        areas = [
            p.area.polygon if not p.face.under else _seen(p)
            for p in (job.engraving, job.printed)
            if p
        ]
        free = shapely.difference(job.report.outline.wood, shapely.union_all(areas))
        ((x, y),) = job.pose.of(shapely.get_coordinates(shapely.maximum_inscribed_circle(free))[:1])
        figure.words(x, y - 2, f"{job.number}", size=5.0)
    _travel(figure, outline)
    for placed, name in ((job.engraving, "engrave"), (job.printed, "print")):
        if placed:
            _area(figure, job, placed, name)


def _seen(placed: Placed) -> shapely.Polygon:
    """An area of the underside as it lies seen through the board."""
    return shapely.Polygon(placed.area.corners * flip_of(placed.face.outline))


def _sizes(figure: Figure, job: Job, blank: tuple[float, float, float, float]) -> None:
    """Length and width of a board, beside its blank."""
    bx0, by0, _, _ = blank
    x0, y0, x1, y1 = bounds(job.outline)
    _dimension(figure, (x0, by0 - 6), (x1, by0 - 6), f"{x1 - x0:.1f}")
    _dimension(figure, (bx0 - 6, y0), (bx0 - 6, y1), f"{y1 - y0:.1f}")


def _legend(made: SetUp) -> str:
    """What the colours mean."""
    says = ["blue: tabs", "red, amber: fibres lift, this face and the other"]
    says += [] if made.stock.natural.is_empty else ["green: natural edge"]
    return "; ".join(says)


def _crossed(figure: Figure, x: float, y: float) -> None:
    figure.line([[x - 3, y - 3], [x + 3, y + 3]], colour=GREY, width=0.4)
    figure.line([[x - 3, y + 3], [x + 3, y - 3]], colour=GREY, width=0.4)


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


def _arrow(
    made: Figure, start: tuple[float, float], long: float, text: str, angle: float = 0.0
) -> None:
    """An arrow along the grain, its tail or its middle at ``start``."""
    x, y = start
    angle = math.remainder(angle, math.pi)
    line = np.array([[-long / 2, 0.0], [long / 2, 0.0]])
    head = np.array([[long / 2 - 4, 2.0], [long / 2, 0.0], [long / 2 - 4, -2.0]])
    for part in (line, head):
        made.line(turn(part, angle) + np.array([x + long / 2, y]), colour=GREY, width=0.25)
    made.words(x - 4, y, text, size=2.4, colour=GREY, anchor="end")


def _travel(made: Figure, outline: Outline) -> None:
    """An arrow outside the edge: the trimmer's way round, anticlockwise."""
    ring = outline.wood.exterior
    at = np.array(
        [ring.interpolate(s, normalized=True).coords[0] for s in np.linspace(0.02, 0.10, 9)]
    )
    step = np.gradient(at, axis=0)
    step /= np.hypot(*step.T)[:, None]
    if not ring.is_ccw:
        at, step = at[::-1], -step[::-1]
    path = at + 7 * np.stack([step[:, 1], -step[:, 0]], axis=1)
    made.line(path, colour=BLUE, width=0.3)
    head = turn(np.array([[-4.0, 2.0], [0.0, 0.0], [-4.0, -2.0]]), math.atan2(*step[-1][::-1]))
    made.line(head + path[-1], colour=BLUE, width=0.3)


def _area(made: Figure, job: Job, placed: Placed, name: str) -> None:
    """An area with its file's datum; one of the underside is shown where it lies, seen through."""
    corners: Array = placed.area.corners
    if placed.face.under:
        corners = corners * flip_of(placed.face.outline)
    corners = job.pose.of(corners)
    made.parts.append(Stroke(corners, BLUE, 0.25, (1.0, 0.8), closed=True))
    x, y = corners.mean(axis=0)
    side = ", underside" if placed.face.under else ""
    left = corners[(corners @ np.array([1.0, -1.0])).argmin()]  # the upper left corner
    made.words(
        float(left[0]) + 2,
        float(left[1]) - 6.5,
        f"{name}{side}",
        size=2.4,
        colour=BLUE,
        anchor="start",
    )
    _cross(made, float(x), float(y), 4.0)


def _cross(made: Figure, x: float, y: float, size: float) -> None:
    made.line([[x - size, y], [x + size, y]], colour=BLUE, width=0.3)
    made.line([[x, y - size], [x, y + size]], colour=BLUE, width=0.3)

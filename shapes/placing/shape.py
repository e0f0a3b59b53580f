"""A board as placing needs it: its rings at a scale, its handle, and the turns its grain allows."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import shapely

from shapes.collection.board import Board, DrawnBoard
from shapes.collection.draw import draw, outline_of
from shapes.collection.draw import resized as in_box
from shapes.errors import OutlineError
from shapes.geometry.curve import Array, Curve, evaluate, flatten, places, steps_apart
from shapes.geometry.outline import Outline, transformed
from shapes.geometry.pose import Pose
from shapes.handles import HANDLES, is_neck
from shapes.handles.hand import GRIP

HANDLE = (
    GRIP / 2 + 25.0
)  # mm from the middle of a grip: the hand and the root of a neck; our choice
POINT_SPACING = 2.5  # mm between the points that are held to the rules
WITHIN = math.radians(10.0)  # of the grain to the handle's axis; the grain check passes to 15


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """A board in its own frame: outline, polygons and the points that are held to the rules."""

    outline: Outline
    filled: shapely.Polygon
    handle: shapely.Geometry
    edge: Array
    rims: Array
    hand: Array

    @property
    def wood(self) -> shapely.Polygon:
        """The wood, openings left out."""
        return self.outline.wood

    def lying(self, pose: Pose) -> tuple[Outline, shapely.Geometry]:
        """Return the outline and the handle where they come to lie."""
        outline = transformed(self.outline, pose.angle, shift=(pose.x, pose.y))
        return outline, shapely.transform(self.handle, pose.of)


def resized(board: Board | DrawnBoard, scale: float) -> Board | DrawnBoard:
    """Draw a board again in a box ``scale`` times as large.

    The body grows, the handle keeps its size.

    Somebody's own drawing is scaled as it is. Raises OutlineError where it crosses itself.
    """
    if scale == 1:
        return board
    if isinstance(board, DrawnBoard):
        grips = tuple((x * scale, y * scale, a) for x, y, a in board.grips)
        return replace(board, outline=transformed(board.outline, scale=scale), grips=grips)
    return grown(board, scale)


def grown(board: Board, scale: float) -> Board:
    """Draw a board anew in a box or band ``scale`` times as large."""
    brief = replace(
        board.brief,
        length=round(board.brief.length * scale, 3),
        width=round(board.brief.width * scale, 3),
    )
    if board.genes is None:
        return replace(board, brief=brief, sketch=board.sketch.scaled(scale))
    box = board.genes.row.box
    genes = in_box(board.genes, (box[0] * scale, box[1] * scale)) if scale != 1 else board.genes
    return replace(board, brief=brief, genes=genes, sketch=draw(genes))


def scales_of(board: Board | DrawnBoard) -> tuple[float, float]:
    """Least and largest scale at which a brief may be stated and the handle finds room."""
    if isinstance(board, DrawnBoard):
        return 0.2, 5.0
    brief, room = board.brief, HANDLES[board.handle].room
    least = max(room[0] / brief.length, room[1] / brief.width, 120 / brief.length, 80 / brief.width)
    return min(least, 1.0), max(min(1500 / brief.length, 800 / brief.width), 1.0)


def shape_of(board: Board | DrawnBoard) -> Shape:
    """Take a board's rings and points. Raises OutlineError where it crosses itself."""
    if isinstance(board, DrawnBoard):
        outline, grips = board.outline, board.grips
    else:
        outline, grips = outline_of(board.sketch), board.sketch.grip
    filled = shapely.Polygon(outline.wood.exterior)
    hold = [shapely.Point(x, y).buffer(HANDLE) for x, y, _ in grips]
    handle = shapely.intersection(outline.wood, shapely.union_all(hold)) if hold else _NOTHING
    rims = [_points(c) for c in outline.openings]
    hand = (
        [shapely.get_coordinates(shapely.segmentize(handle.boundary, POINT_SPACING))]
        if hold
        else []
    )
    return Shape(
        outline,
        filled,
        handle,
        _points(outline.edge),
        np.concatenate(rims) if rims else _NONE,
        hand[0] if hand else _NONE,
    )


_NOTHING = shapely.Polygon()
_NONE = np.empty((0, 2))


def _points(curve: Curve) -> Array:
    """Points of a curve some APART, and every end of a segment: corners are among them."""
    return evaluate(curve, places(steps_apart(curve, POINT_SPACING)))[0]


def shapes_of(board: Board | DrawnBoard) -> Callable[[float], Shape | None]:
    """Return a way to the board's shape at a scale; None where it cannot be drawn so."""

    @lru_cache(maxsize=64)
    def at(scale: float) -> Shape | None:
        try:
            return shape_of(resized(board, scale))
        except OutlineError:
            return None

    return at


def known_pose(board: Board | DrawnBoard) -> Pose | None:
    """Return where a board lay on the off-cut that it was drawn for."""
    return Pose(*board.at) if isinstance(board, Board) and board.at else None


def turns_of(board: Board | DrawnBoard, grain: float, within: float) -> list[tuple[float, float]]:
    """Ranges of angles, radians, that keep the grain within an angle of the handle's axis.

    The axis of a neck is its own, that of any other board is x; grain runs both ways.
    """
    axis = 0.0
    if is_neck(board.handle) and isinstance(board, Board):
        axis = math.remainder(board.sketch.grip[0][2], math.pi)
    middle = grain - axis
    return [(middle + half - within, middle + half + within) for half in (0.0, math.pi)]


def flat(outline: Outline, deviation: float = 0.002) -> shapely.Polygon:
    """Return the wood as a polygon within ``deviation`` mm, for exact distances."""
    edge, *openings = (flatten(c, deviation) for c in outline.curves)
    return shapely.Polygon(edge, openings)

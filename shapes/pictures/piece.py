"""A piece of timber as wood, boards lying in it as they
will look, its own figure running through them.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from shapes.geometry.curve import flatten, polygon, turn
from shapes.geometry.outline import Outline, outline
from shapes.geometry.raster import rings_of
from shapes.pictures.finished import Body, Marked, Picture, picture
from shapes.pictures.light import Shade, on_ground
from shapes.pictures.log import Knot, Log, linear, log_of
from shapes.pictures.screen import Screen, coverage
from shapes.timber.off_cut import OffCut

_SLOT = 0.30  # of the light that comes back out of the router's slot
# How a defect tints the wood, red, green and blue; sapwood takes the species' own. Our choice by
# eye.
_TINTS = {
    "knot": (0.42, 0.34, 0.28),
    "check": (0.10, 0.08, 0.07),
    "hole": (0.06, 0.05, 0.05),
    "pith": (0.34, 0.26, 0.20),
    "bark": (0.20, 0.15, 0.12),
    "rot": (0.80, 0.66, 0.46),
    "stain": (0.66, 0.70, 0.78),
    "metal": (0.16, 0.18, 0.22),
    "glue line": (0.55, 0.48, 0.42),
}


def piece_log(piece: OffCut) -> Log:
    """Return the log that a piece came from.

    Its grain, its rings where they are told, its knots.
    """
    ring = shapely.get_coordinates(piece.outline).round(3).tobytes()
    key = hashlib.sha256(piece.name.encode() + ring).hexdigest()[:6]
    knots = []
    for d in piece.defects:
        if d.kind == "knot":
            x, y = turn(shapely.get_coordinates(d.shape.centroid)[0], -piece.grain)
            knots.append(Knot(float(x), float(y), 1.1 * math.sqrt(d.shape.area / math.pi)))
    x0, y0, x1, y1 = piece.outline.bounds
    reach = math.hypot(max(abs(x0), abs(x1)), max(abs(y0), abs(y1)))
    look = piece.timber.look
    made = log_of(
        look,
        key,
        reach=reach,
        thickness=piece.thickness,
        rings_deg=piece.rings,
        grain=piece.grain,
        knots=knots,
    )
    return _about(made, piece)


def _about(log: Log, piece: OffCut) -> Log:
    """Move a log's pith to where the piece lies."""
    x, y = turn(np.array(piece.centre), -piece.grain)
    tilt = log.drift
    pith = (log.pith[0] + float(y) - tilt[0] * float(x), log.pith[1] - tilt[1] * float(x))
    return replace(log, pith=pith)


def flaws(piece: OffCut) -> tuple[Marked, ...]:
    """Return what is wrong in a piece, as it tints the wood."""
    look = piece.timber.look
    made = []
    for d in piece.defects:
        if d.kind == "sapwood":
            r, g, b = np.clip(linear(look.sapwood) / linear(look.early), 0.5, 2.5).tolist()
            tint = (r, g, b)
        else:
            tint = _TINTS[d.kind]
        made.append(Marked(rings_of(d.shape), tint, through=True))
    return tuple(made)


def piece_picture(
    piece: OffCut, boards: Sequence[tuple[Outline, float, float]], cutter: float, screen: Screen
) -> Picture:
    """Return a piece from above.

    Bare wood as it was found, oiled boards, the slot of the cutter round them.

    ``boards`` are outlines as they lie on the piece, each with its round-over and bearing, mm.
    """
    log, marks = piece_log(piece), flaws(piece)
    ring = shapely.get_coordinates(piece.outline.exterior)[:-1]
    bare = Body(outline(polygon(ring)), piece.thickness, 1.0, 1e9, log, marks, finished=0.0)
    whole = picture(bare, screen, lean=0.0)
    light: Shade = whole.light * np.float32(1.1) + np.float32(0.035)  # dry wood is paler than oiled
    for board, round_over, bearing in boards:
        wood = shapely.Polygon(flatten(board.edge), [flatten(c) for c in board.openings])
        slot = coverage(screen, rings_of(_slot(wood, cutter)))[..., None]
        light = light * (1 - slot) + light * _SLOT * slot
        body = Body(board, piece.thickness, round_over, bearing, log, marks)
        on = picture(body, screen, lean=0.0)
        light = on_ground(on.light, on.cover, np.zeros_like(on.cover), light)
    return Picture(screen, light, whole.cover, whole.kept)


def _slot(wood: shapely.Polygon, cutter: float) -> shapely.Geometry:
    """The way of a cutter round a board and in its openings."""
    edge = shapely.Polygon(wood.exterior)
    round_it = shapely.difference(shapely.buffer(edge, cutter), edge)
    holes = [shapely.Polygon(r) for r in wood.interiors]
    inside = [shapely.difference(h, shapely.buffer(h, -cutter)) for h in holes]
    return shapely.union_all([round_it, *inside])

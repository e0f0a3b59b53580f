"""A locating frame.

Holds the cut and sanded board in the same place on the laser's or printer's bed.
"""

from __future__ import annotations

import shapely

from shapes.geometry.curve import polygon
from shapes.geometry.outline import Outline
from shapes.geometry.outline import outline as made
from shapes.reach.closing import quarter_segments

SANDED = 0.3  # mm of the edge that sanding takes off (design)
CLEARANCE = 0.4  # mm between the frame and the sanded edge (design)
THICKER = 3.0  # mm that the sheet is more than the round-over, so that it stands against flat edge
BORDER = 30.0  # mm of sheet round the pocket; our choice
FINGER = 14.0  # mm, radius of the gaps to lift the board out by; our choice
_CHORD_ERROR = 0.005  # mm


def sheet_thickness(round_over: float) -> float:
    """Least thickness of the sheet, mm."""
    return round_over + THICKER


def frame(face: Outline, cutter: float) -> Outline:
    """Return the frame round an outline as it lies on the bed.

    A sheet with a pocket, one datum with the board.

    The pocket lies CLEARANCE - SANDED outside the drawn edge. Where the cutter cannot get into a
    corner of it, the corner is relieved by its radius; two finger gaps face each other.
    """
    radius = cutter / 2
    filled = shapely.Polygon(face.wood.exterior)
    grow = CLEARANCE - SANDED
    pocket = shapely.buffer(filled, grow, quad_segs=quarter_segments(radius, _CHORD_ERROR))
    fingers = [shapely.Point(p).buffer(FINGER, quad_segs=48) for p in _gaps(pocket)]
    pocket = _reached(shapely.union_all([pocket, *fingers]), radius)
    x0, y0, x1, y1 = pocket.bounds
    x, y = max(-x0, x1) + BORDER, max(-y0, y1) + BORDER  # the datum is the middle of the sheet
    sheet = shapely.box(-x, -y, x, y)
    rings = [
        shapely.get_coordinates(shapely.simplify(p, _CHORD_ERROR))[:-1]
        for p in (sheet.exterior, pocket.exterior)
    ]
    return made(polygon(rings[0]), [polygon(rings[1])])


def _gaps(pocket: shapely.Polygon) -> list[tuple[float, float]]:
    """Two places on the border, above and below the middle of the pocket."""
    middle = pocket.centroid
    y0, y1 = pocket.bounds[1] - 1, pocket.bounds[3] + 1
    upright = shapely.LineString([(middle.x, y0), (middle.x, y1)])
    across = shapely.get_coordinates(shapely.intersection(upright, pocket))
    return [tuple(across[across[:, 1].argmin()]), tuple(across[across[:, 1].argmax()])]


def _reached(pocket: shapely.Polygon, radius: float) -> shapely.Polygon:
    """Return the pocket that a cutter from within leaves, never less than was asked.

    What an opening by the radius loses in corners is given back grown by the radius: a cutter gets
    into every union of its own discs.
    """
    quads = quarter_segments(radius, _CHORD_ERROR)
    inner = shapely.buffer(pocket, -radius, quad_segs=quads)
    opened = shapely.buffer(
        inner, radius + 4 * _CHORD_ERROR, quad_segs=quads
    )  # slivers are rounding
    lost = [p for p in shapely.get_parts(shapely.difference(pocket, opened)) if not p.is_empty]
    relief = [shapely.buffer(p, radius, quad_segs=quads) for p in lost]
    whole = shapely.union_all([pocket, *relief])
    return shapely.Polygon(max(shapely.get_parts(whole), key=lambda p: p.area).exterior)

"""Areas on a face for engraving and printing: clear of the edge, the openings and the handle.

The underside is seen as it lies after turning the board over on its long edge: x stays, y changes
its sign (or the other way round where the long edge runs across the grain). Text drawn there reads
right.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from shapes.collection.board import Report
from shapes.errors import InputError, Problem
from shapes.geometry.outline import Outline, flip_of, turned_over
from shapes.geometry.rectangle import Rectangle, largest_of_ratio
from shapes.placing.shape import flat, shape_of

CLEAR = {"engraving": 8.0, "print": 5.0}  # mm beyond the round-over (design)
BETWEEN_AREAS = 8.0  # mm between two areas; our choice
NARROWEST_AREA = 4.0  # mm: an area narrower than this holds nothing


@dataclass(frozen=True, slots=True, eq=False)
class Face:
    """A face as it lies on the machine: its outline there, and where it may be marked."""

    name: str
    outline: Outline
    free: shapely.Geometry

    @property
    def under(self) -> bool:
        """Whether the board lies with its underside up."""
        return self.name == "underside"

    @property
    def suffix(self) -> str:
        """What a file's name says of it."""
        return "-UNDERSIDE" if self.under else ""


def face_of(
    report: Report, name: str, use: str, margin: float | None = None, where: str = "board"
) -> Face:
    """Return a face and where it may be marked. Raises InputError where nothing is left of it.

    ``margin`` in mm beyond the round-over takes the place of what is usual for the use.
    """
    clear = CLEAR[use] if margin is None else margin
    inset = report.board.brief.round_over + clear
    outline = report.outline
    handle = shape_of(report.board).handle
    free = shapely.buffer(flat(outline, 0.01), -inset, quad_segs=16)
    if name == "handle":
        if shapely.is_empty(handle):
            raise InputError(
                Problem(where, "has no handle to mark", "", "say underside in its place")
            )
        free = shapely.intersection(free, handle)
    elif not shapely.is_empty(handle):
        free = shapely.difference(free, handle)
    if name == "underside":
        flip = flip_of(outline)
        outline = turned_over(outline)
        free = shapely.transform(free, lambda p: p * flip)
    if shapely.is_empty(free):
        raise InputError(
            Problem(
                where,
                f"a margin of {clear:g} mm beyond a round-over of {report.board.brief.round_over:g}"
                f" leaves nothing of the {name}",
                "",
                "take a smaller --margin or another face",
            )
        )
    return Face(name, outline, free)


def areas(
    face: Face,
    ratios: Sequence[float],
    angle: float | None = None,
    where: str = "board",
    least: float = NARROWEST_AREA,
) -> list[Rectangle]:
    """Return the largest area of each aspect ratio (length / width), each clear of those before it.

    ``angle`` in radians fixes their direction; ``least`` is the least width, mm. Raises InputError
    where one finds no room.
    """
    found: list[Rectangle] = []
    free = face.free
    for i, ratio in enumerate(ratios, start=1):
        area = largest_of_ratio(free, ratio, angle)
        if area is None or min(area.length, area.width) < least:
            raise InputError(
                Problem(
                    where,
                    f"no room is left on the {face.name} for area {i}",
                    "",
                    "ask for fewer, or of another ratio",
                )
            )
        found.append(area)
        free = shapely.difference(free, shapely.buffer(area.polygon, BETWEEN_AREAS))
    return found

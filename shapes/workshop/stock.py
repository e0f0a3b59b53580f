"""The wood that boards are cut from, a blank of its own or
a piece as found, and what holds it down.

All coordinates are those of its files: mm from their datum. Whoever plans, prices or draws a job
asks its stock for thickness, grain, natural edges, defects and fixings.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from shapes.geometry.curve import pair, polygon, turn
from shapes.geometry.outline import Outline
from shapes.geometry.pose import Pose
from shapes.placing.shape import flat
from shapes.timber.off_cut import OPENING_RIM, SUNK, Fixing, OffCut, zone
from shapes.workshop.plan import LEFT
from shapes.workshop.tabs import Around

Point = tuple[float, float]
SCREW = 8.0  # mm across the head of a screw; our choice
INSET = 9.0  # mm from a screw to the edge of the wood; our choice
END_INSET = 20.0  # mm of the same to end grain, which splits; our choice
END_GRAIN_ANGLE = math.radians(45.0)  # of a side to the grain: more is end grain; our choice
SCREW_DEPTH = 3.0  # mm that a screw's head lies below what is skimmed; our choice
CLIPPED = 0.02  # mm by which an edge that was cut to its wood may be off
FEWEST, MOST = 3, 6  # screws that hold a blank
_GRID = 4.0  # mm between the places that are tried for screws
_SCREW_SPACING = 60.0  # mm between screws at least; our choice
_LOOSE = 400.0  # mm2: waste smaller than this goes with the chips; our choice
_REACH = 10.0  # mm beside the wood within which a clamp's middle still holds it; our choice


@dataclass(frozen=True, slots=True, eq=False)
class Stock:
    """A blank of its own (``piece`` None) or a piece.

    Its outline from the datum, thickness as found.

    ``datum`` is where (0, 0) lies in the coordinates that the piece was measured in.
    """

    outline: shapely.Polygon
    found: float
    grain: float = 0.0
    piece: OffCut | None = None
    datum: Point = (0.0, 0.0)

    @property
    def size(self) -> tuple[float, float, float]:
        """Length and width of its box along x and y, and thickness as found, mm."""
        x0, y0, x1, y1 = self.outline.bounds
        return x1 - x0, y1 - y0, self.found

    def moved(self, shape: shapely.Geometry) -> shapely.Geometry:
        """Return a shape of the piece as it lies from the datum."""
        return shapely.transform(shape, lambda p: p - np.array(self.datum))

    @property
    def natural(self) -> shapely.Geometry:
        """Its natural edges; empty where it has none."""
        if self.piece is None or self.piece.natural is None:
            return shapely.MultiLineString()
        return self.moved(self.piece.natural)

    @property
    def defects(self) -> list[tuple[str, shapely.Geometry]]:
        """Name and extent of every defect."""
        piece = self.piece
        return [(d.name, self.moved(d.extent(piece.grain))) for d in piece.defects] if piece else []

    @property
    def fixings(self) -> list[tuple[Fixing, Point]]:
        """What the maker says holds the piece, and where."""
        x, y = self.datum
        return [(f, (f.at[0] - x, f.at[1] - y)) for f in self.piece.fixings] if self.piece else []

    @property
    def fit_for_food(self) -> bool:
        """Whether it is known to be solid timber, untreated; a blank is what the sheet asks for."""
        return self.piece is None or self.piece.fit_for_food

    def leaves(self, outline: Outline, pose: Pose) -> Outline:
        """Return what a board is when it is cut, in its own frame.

        It ends where a natural edge does.
        """
        if self.natural.is_empty:
            return outline
        wood = shapely.transform(self.outline, lambda p: turn(p - (pose.x, pose.y), -pose.angle))
        drawn = shapely.Polygon(flat(outline, CLIPPED).exterior)
        left = max(shapely.get_parts(shapely.intersection(drawn, wood)), key=shapely.area)
        if drawn.area - left.area < 1.0:
            return outline
        ring = shapely.get_coordinates(shapely.orient_polygons(left.simplify(CLIPPED)).exterior)
        return Outline(polygon(ring[:-1]), outline.openings)

    def kept(self, filled: shapely.Polygon) -> list[tuple[Point, Point, float]]:
        """Ends and length of every stretch of natural edge that a board takes for its own, mm."""
        found = shapely.intersection(self.natural, filled)
        lines = shapely.get_parts(
            shapely.line_merge(found) if found.geom_type.startswith("Multi") else found
        )
        ends = [(shapely.get_coordinates(line), line.length) for line in lines if line.length >= 1]
        return [(pair(p[0]), pair(p[-1]), long) for p, long in ends]


def own_blank(size: tuple[float, float, float]) -> Stock:
    """Return a rectangular blank (length, width,
    thickness), its middle the datum, grain along x.
    """
    l, w, t = size  # noqa: E741
    return Stock(shapely.box(-l / 2, -w / 2, l / 2, w / 2), t)


def of_piece(piece: OffCut, datum: Point) -> Stock:
    """Return a piece as the files show it: from its datum."""
    outline = shapely.transform(piece.outline, lambda p: p - np.array(datum))
    return Stock(outline, piece.thickness, piece.grain, piece, datum)


@dataclass(frozen=True, slots=True, eq=False)
class HoldDown:
    """What holds a stock.

    Screws, the waste in which one stands, and middles of waste that comes loose.

    ``stated`` is how many fixings the maker states; ``screws`` are those to be added.
    """

    screws: tuple[Point, ...]
    waste: shapely.Geometry
    loose: tuple[Point, ...]
    stated: int = 0

    @property
    def enough(self) -> bool:
        """Whether the screws hold a blank."""
        return len(self.screws) + self.stated >= FEWEST


def hold_down(stock: Stock, filled: Sequence[shapely.Polygon], cutter: float) -> HoldDown:
    """Find places for sunk screws in what is left round the boards.

    ``cutter`` is its true diameter, mm.

    A blank of its own is held at its corners, a piece by the fixings that the maker states and by
    screws spread over its waste besides, one at least in each part of it that has room for one.
    """
    slots = shapely.union_all([zone(f, cutter) for f in filled])
    parts = shapely.get_parts(shapely.difference(stock.outline, slots))
    parts = [p for p in parts if p.area >= _LOOSE]
    free = _free(stock, filled, cutter)
    stated = [at for _, at in stock.fixings]
    screws = _corners(stock, free) if stock.piece is None else _spread(free, parts, stated)
    holds = [(at, 0.0) for at in screws]
    holds += [(at, f.diameter / 2 + _REACH) for f, at in stock.fixings]
    held = [p for p in parts if any(p.distance(shapely.Point(at)) <= far for at, far in holds)]
    if not held and stock.piece is None:
        held = parts  # battens hold it all round
    loose = [p.representative_point() for p in parts if p not in held]
    return HoldDown(
        tuple(screws), shapely.union_all(held), tuple((p.x, p.y) for p in loose), len(stated)
    )


def around(stock: Stock, held: HoldDown, pose: Pose, cutter: float) -> Around:
    """Return what a board's tabs keep clear of and lead into, in the board's own frame."""
    avoid = shapely.union_all([stock.natural, *(d for _, d in stock.defects)])

    def back(p: np.ndarray) -> np.ndarray:
        c, s = math.cos(pose.angle), math.sin(pose.angle)
        q = p - np.array([pose.x, pose.y])
        return np.stack([c * q[:, 0] + s * q[:, 1], c * q[:, 1] - s * q[:, 0]], axis=1)

    return Around(shapely.transform(avoid, back), shapely.transform(held.waste, back), cutter)


def _free(stock: Stock, filled: Sequence[shapely.Polygon], cutter: float) -> shapely.Geometry:
    """Where the middle of a screw may stand."""
    room = shapely.buffer(stock.outline, -INSET + 1e-6, join_style="mitre")
    shut = [zone(f, cutter + LEFT + SUNK + SCREW / 2 - 1e-6) for f in filled]
    shut += [zone(e, END_INSET) for e in _ends(stock)]
    shut += [zone(d, INSET) for _, d in stock.defects]
    if not stock.natural.is_empty:
        shut.append(zone(stock.natural, OPENING_RIM))
    return shapely.difference(room, shapely.union_all(shut))


def _ends(stock: Stock) -> list[shapely.LineString]:
    """Sides of the wood that are end grain.

    Of a blank of its own none: its corners have little room.
    """
    if stock.piece is None:
        return []
    p = shapely.get_coordinates(stock.outline.exterior)
    found = []
    for a, b in pairwise(p):
        off = math.remainder(math.atan2(b[1] - a[1], b[0] - a[0]) - stock.grain, math.pi)
        if abs(off) > END_GRAIN_ANGLE:
            found.append(shapely.LineString([a, b]))
    return found


def _corners(stock: Stock, free: shapely.Geometry) -> list[Point]:
    """A place in each corner of a blank, as far from its end
    grain as the board leaves room, up to END_INSET.
    """
    x0, y0, x1, y1 = stock.outline.bounds
    found = []
    for right, top in ((0, 0), (1, 0), (1, 1), (0, 1)):
        y = y1 - INSET if top else y0 + INSET
        for inset in np.arange(END_INSET, INSET - 0.5, -1.0).tolist():
            x = x1 - inset if right else x0 + inset
            if free.distance(shapely.Point(x, y)) < 1e-3:
                found.append((x, y))
                break
    return found


def _spread(
    free: shapely.Geometry, parts: Sequence[shapely.Polygon], stated: Sequence[Point]
) -> list[Point]:
    """Places far from one another and from those that are ``stated``.

    First one in each part of the waste that has none, then the farthest from all.
    """
    if free.is_empty:
        return []
    x0, y0, x1, y1 = free.bounds
    x, y = (
        v.ravel()
        for v in np.meshgrid(np.arange(x0, x1 + 1e-9, _GRID), np.arange(y0, y1 + 1e-9, _GRID))
    )
    inside = shapely.intersects_xy(free, x, y)
    p = np.stack([x[inside], y[inside]], axis=1)
    if not len(p):
        return []
    chosen: list[Point] = []
    far = np.hypot(*(p - p.mean(axis=0)).T)  # of the first: from the middle of all
    for i, at in enumerate(stated):
        away = np.hypot(*(p - np.array(at)).T)
        far = away if i == 0 else np.minimum(far, away)

    def take(allowed: np.ndarray) -> None:
        nonlocal far
        k = int(np.where(allowed, far, -1.0).argmax())
        away = np.hypot(*(p - p[k]).T)
        far = away if not chosen and not stated else np.minimum(far, away)
        chosen.append(pair(np.round(p[k], 1)))

    for part in sorted(parts, key=lambda q: -q.area):
        here = shapely.intersects_xy(part, *p.T)
        if here.any() and not any(part.intersects(shapely.Point(at)) for at in stated):
            take(here)
    while len(chosen) + len(stated) < MOST and far.max() >= _SCREW_SPACING:
        take(np.ones(len(p), dtype=bool))
    return chosen

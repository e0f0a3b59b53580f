"""An off-cut as boards are tried on it: on a grid of cells, by fields of distances, and exactly."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from shapes.geometry.curve import Array, Flags, turn
from shapes.geometry.outline import Outline
from shapes.geometry.pose import Parts, Pose, Region
from shapes.geometry.raster import Grid, Spectrum, grid_over, mask, rings_of, spectrum
from shapes.placing.field import field_of
from shapes.placing.search import Clear, HeldPoints, Search, inside
from shapes.placing.shape import Shape, flat
from shapes.timber.off_cut import Rules

CELLS = 14_000  # cells of the grid, about
_FIELD = 1.5  # mm between the nodes of a field of distances


@dataclass(frozen=True, slots=True)
class Clearance:
    """What a board keeps from one thing, mm: what there is and what the rules ask for."""

    name: str
    there: float
    asked: float


class Bed:
    """An off-cut, with boards that lie on it already, as one or many boards are tried on it."""

    def __init__(
        self,
        rules: Rules,
        taken: shapely.Geometry | None = None,
        cells: int = CELLS,
        ground: Bed | None = None,
    ) -> None:
        """``taken``: what is no longer free, distances between boards included.

        ``ground``: a bed of the same piece, whose grid and own cells it shares.
        """
        self.rules = rules
        piece = rules.piece
        self.taken = taken if taken is not None else shapely.Polygon()
        self.room = shapely.difference(rules.room, self.taken)
        x0, y0, x1, y1 = piece.outline.bounds
        step = max(1.5, math.sqrt((x1 - x0) * (y1 - y0) / cells))
        self.grid: Grid = ground.grid if ground else grid_over(rules.container.bounds, step)
        self._ground = ground or self

    def taking(self, more: shapely.Geometry) -> Bed:
        """Return the bed with more of it taken; what is the piece's own is not worked out anew."""
        taken = more if self.taken.is_empty else shapely.union(self.taken, more)
        return Bed(self.rules, taken, ground=self._ground)

    @cached_property
    def largest(self) -> float:
        """Area, mm2, that no board may exceed.

        Of the largest part of the room, what it surrounds included.
        """
        parts = [p for p in shapely.get_parts(self.room) if p.geom_type == "Polygon"]
        return max((float(shapely.Polygon(p.exterior).area) for p in parts), default=0.0)

    @cached_property
    def forbidden(self) -> list[Spectrum]:
        """Spectra of what the filled board, its wood and its handle may not lie on."""
        closed, zones = self._ground._shut
        if not self.taken.is_empty:
            closed = closed | mask(self.grid, self.taken)
        return [spectrum(closed), *zones]

    @cached_property
    def _shut(self) -> tuple[Flags, list[Spectrum]]:
        """Cells that no board may lie on, however empty the piece, and the spectra of its zones."""
        rules, grid = self.rules, self.grid
        solid = shapely.union_all([k.shape.buffer(k.distance) for k in rules.solid])
        closed = ~mask(grid, rules.container) | mask(grid, solid)
        return closed, [spectrum(mask(grid, z)) for z in self._zones]

    @cached_property
    def natural(self) -> tuple[Spectrum, float] | None:
        """Spectrum of the cells along a natural edge that is to be kept, and how many they are."""
        if not self.rules.piece.keep or self.rules.free_natural.is_empty:
            return None
        line = shapely.buffer(self.rules.free_natural, 0.75 * self.grid.step, cap_style="flat")
        cells = mask(self.grid, line)
        return spectrum(cells), float(cells.sum())

    @property
    def _zones(self) -> list[shapely.Geometry]:
        zones = self.rules.wood_zone, self.rules.handle_zone
        return [z for z in zones if not z.is_empty]

    def masks(self, shape: Shape, angle: float) -> list[Spectrum]:
        """Spectra of a shape's filled outline, its wood and
        its handle, turned, as forbidden wants.
        """
        parts = [shape.filled]
        parts += [shape.wood] if not self.rules.wood_zone.is_empty else []
        parts += [shape.handle] if not self.rules.handle_zone.is_empty else []
        # Cells are counted from the grid's first cell, which a shift then moves.
        at = np.array([self.grid.x, self.grid.y])
        return [
            spectrum(
                mask(self.grid, [turn(r, angle) + at - self.low(shape, angle) for r in rings_of(p)])
            )
            for p in parts
        ]

    def low(self, shape: Shape, angle: float) -> Array:
        """Lower left of a turned shape, from which its mask is counted."""
        return np.asarray(turn(shape.edge, angle).min(axis=0) - 0.5 * self.grid.step)

    def spans(self, shape: Shape, angle: float) -> bool:
        """Whether a turned shape's box is no larger than the piece's, a cell to spare."""
        x0, y0, x1, y1 = self.rules.container.bounds
        size = np.array([x1 - x0, y1 - y0]) + self.grid.step
        return bool((np.ptp(turn(shape.edge, angle), axis=0) <= size).all())

    def pose(self, shape: Shape, angle: float, row: int, column: int) -> Pose:
        """Return the pose of a shift."""
        x, y = np.array([self.grid.x, self.grid.y]) - self.low(shape, angle)
        step = self.grid.step
        return Pose(float(x + column * step), float(y + row * step), float(angle))

    def parts(self, shape: Shape) -> Parts:
        """Points of a shape and the regions they are held to."""
        parts = [(shape.edge, Region(self.room))]
        rules = self.rules
        if len(shape.rims) and not rules.rim_zone.is_empty:
            parts.append((shape.rims, Region(rules.rim_zone, out=True)))
        if len(shape.hand) and rules.piece.natural is not None:
            parts.append((shape.hand, Region(rules.grasp(rims=len(shape.rims) > 0))))
        if len(shape.hand) and not rules.handle_zone.is_empty:
            parts.append((shape.hand, Region(rules.handle_zone, out=True)))
        return parts

    def search(self, shape: Shape, ranges: Sequence[tuple[float, float]]) -> Search:
        """Return a search for the places of a shape, over all turns and shifts."""
        held = [
            HeldPoints(points, field_of(r.wood, _FIELD, out=r.out))
            for points, r in self.parts(shape)
        ]
        clear = []
        for area, points in self._islands:
            ground = {"edge": shape.filled, "wood": shape.wood, "handle": shape.handle}[area]
            if not ground.is_empty:
                clear.append(Clear(points, field_of(ground, _FIELD, out=True)))
        return Search(held, clear, self.rules.container.bounds, ranges)

    @cached_property
    def _islands(self) -> list[tuple[str, Array]]:
        """A point in everything that may lie in no edge, wood or
        handle, by the part that may not hold it.
        """
        found = []
        names = {k.name for k in self.rules.solid}
        for k in self.rules.keeps:
            part = k.part if k.part != "edge" or k.name in names else ""
            if part in ("edge", "wood", "handle") and k.shape.area > 0:
                found.append((part, inside(k.shape)))
        holes = shapely.MultiPolygon(
            [shapely.Polygon(r) for r in self.rules.piece.outline.interiors]
        )
        found += [("edge", inside(g)) for g in (holes, self.taken) if not g.is_empty]
        return found

    def allows(self, outline: Outline, handle: shapely.Geometry) -> list[Clearance]:
        """Every clearance of an outline that lies on the
        piece, tightest first, by exact distances.
        """
        wood = flat(outline)
        filled = shapely.Polygon(wood.exterior)
        rims = shapely.MultiPolygon([shapely.Polygon(r) for r in wood.interiors])
        found = []
        for k in self.rules.keeps:
            part = {"edge": filled, "wood": wood, "handle": handle, "rim": rims}[k.part]
            if k.part == "edge" and k.shape.area > 0 and shapely.intersects(part, k.shape):
                part = filled.exterior  # in an opening, or found out below
            if not part.is_empty:
                found.append(Clearance(k.name, _distance(part, k.shape), k.distance))
        if not self.taken.is_empty:
            found.append(Clearance("the next board", _distance(filled, self.taken), 0.0))
        piece = self.rules.piece
        over = _beyond(filled, piece.outline)
        if piece.natural is not None:
            if over > 1e-4:
                what = f"what may run over the natural edge, {self.rules.over:g} mm"
                found.append(Clearance(what, self.rules.over - over, 0.0))
            out = _beyond(handle, self.rules.grasp(rims=len(outline.openings) > 0))
            found += [Clearance("the natural edge", -out, 0.0)] if out > 1e-4 else []
        elif over > 1e-4:
            kerf = self.rules.cutter + piece.margin
            found.append(Clearance("the edge of the piece", -over, kerf))
        return sorted(found, key=lambda c: c.there - c.asked)

    def breaks(self, outline: Outline) -> bool:
        """Whether something lies inside the outline that may lie in no opening, or in its wood."""
        filled = shapely.Polygon(outline.wood.exterior)
        return bool(
            shapely.intersects(filled, self.rules.shut)
            or _enters(outline.wood, self.rules.wood_zone)
        )

    def broken(self, outline: Outline) -> list[str]:
        """Names of what lies in the outline and may not.

        What lies beside its wood, too near, is left to the clearances.
        """
        filled = shapely.Polygon(outline.wood.exterior)
        solid = [k for k in self.rules.solid if k.shape.area > 0]
        names = [k.name for k in solid if shapely.intersects(filled, k.shape)]
        return names + [
            k.name for k in self.rules.keeps if k.part == "wood" and _enters(outline.wood, k.shape)
        ]


def _enters(wood: shapely.Geometry, region: shapely.Geometry) -> bool:
    """Whether wood lies in a region by more than a trace, 0.001 mm2."""
    return not region.is_empty and float(shapely.intersection(wood, region).area) > 1e-3


def _beyond(part: shapely.Geometry, within: shapely.Geometry) -> float:
    """How far a part reaches out of a region, mm."""
    out = shapely.get_coordinates(shapely.difference(part, within))
    return float(shapely.distance(within, shapely.points(out)).max()) if len(out) else 0.0


def _distance(a: shapely.Geometry, b: shapely.Geometry) -> float:
    """Distance of two shapes, mm.

    Negative where they overlap, by the depth of the nearest way out.
    """
    far = float(shapely.distance(a, b))
    if far > 0 or not shapely.intersects(a, b):
        return far
    common = shapely.intersection(a, b)
    points = shapely.points(shapely.get_coordinates(common))
    line = b.boundary if b.area > 0 else b
    return -float(shapely.distance(line, points).max()) if len(points) else 0.0

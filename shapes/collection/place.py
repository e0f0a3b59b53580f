"""Place one board on an off-cut: the best turn and place, or the largest scale that fits.

All places at once on a grid of cells, for a dozen turns; the most promising are then settled
exactly. What is returned has been measured again on the outline itself.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from shapes.collection.board import Board, Drawn
from shapes.collection.shape import (
    WITHIN,
    Shape,
    flat,
    known_pose,
    resized,
    scales_of,
    shape_of,
    shapes_of,
    turns_of,
)
from shapes.geometry.curve import Array, turn
from shapes.geometry.outline import Outline
from shapes.geometry.pose import Parts, Pose, Region, settle
from shapes.geometry.raster import Spectrum, grid_over, mask, overlaps, rings_of, spectrum
from shapes.timber.off_cut import Rules

SPARE = 0.02  # mm more than the rules ask for, so that no rounding ever breaks them
TRUE = 0.005  # mm by which a distance may fall short: less than any tape or router shows
CELLS = 14_000  # cells of the grid, about
TURN = math.radians(2.5)  # between the turns that are tried
SEEDS = 5  # places that are settled exactly


@dataclass(frozen=True, slots=True)
class Clearance:
    """What a board keeps from one thing, mm: what there is and what the rules ask for."""

    name: str
    there: float
    asked: float


@dataclass(frozen=True, slots=True, eq=False)
class Placement:
    """A board on an off-cut: at its scale, where it lies, and what it keeps clear of, tightest first."""

    board: Board | Drawn
    scale: float
    pose: Pose
    outline: Outline
    clearances: tuple[Clearance, ...]

    @property
    def tightest(self) -> Clearance:
        """The clearance with the least to spare."""
        return self.clearances[0]


@dataclass(frozen=True, slots=True)
class Misfit:
    """Why a board does not fit: what lacks at its best place, mm, and the largest scale that would."""

    lacks: float
    name: str
    largest: float | None


class Bed:
    """An off-cut, with boards that lie on it already, as one or many boards are tried on it."""

    def __init__(
        self, rules: Rules, taken: shapely.Geometry | None = None, cells: int = CELLS
    ) -> None:
        """``taken``: what is no longer free, distances between boards included."""
        self.rules = rules
        piece = rules.piece
        self.taken = taken if taken is not None else shapely.Polygon()
        self.room = shapely.difference(rules.room, self.taken)
        x0, y0, x1, y1 = piece.outline.bounds
        self.grid = grid_over(
            rules.container.bounds, max(1.5, math.sqrt((x1 - x0) * (y1 - y0) / cells))
        )

    @cached_property
    def forbidden(self) -> list[Spectrum]:
        """Spectra of what the filled board, its wood and its handle may not lie on."""
        rules, grid = self.rules, self.grid
        solid = [k.shape.buffer(k.distance) for k in rules.solid]
        closed = ~mask(grid, rules.container) | mask(grid, shapely.union_all([*solid, self.taken]))
        return [spectrum(closed), *(spectrum(mask(grid, z)) for z in self._zones)]

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
        """Spectra of a shape's filled outline, its wood and its handle, turned, as forbidden wants."""
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

    def overlap(self, shape: Shape, angle: float) -> NDArray[np.float32]:
        """Cells of overlap with what is forbidden, for every shift by whole cells."""
        pairs = zip(self.masks(shape, angle), self.forbidden, strict=True)
        return overlaps(self.grid, list(pairs))

    def spans(self, shape: Shape, angle: float) -> bool:
        """Whether a turned shape's box is no larger than the piece's, a cell to spare."""
        x0, y0, x1, y1 = self.rules.container.bounds
        size = np.array([x1 - x0, y1 - y0]) + self.grid.step
        return bool((np.ptp(turn(shape.edge, angle), axis=0) <= size).all())

    def middle(self, shape: Shape, angle: float) -> Pose:
        """Return the pose that lays the middle of a turned shape's box on that of the piece's."""
        ring = turn(shape.edge, angle)
        x, y = np.array(self.rules.piece.centre) - (ring.min(axis=0) + ring.max(axis=0)) / 2
        return Pose(float(x), float(y), float(angle))

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

    def allows(self, outline: Outline, handle: shapely.Geometry) -> list[Clearance]:
        """Every clearance of an outline that lies on the piece, tightest first, by exact distances."""
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
            or (not self.rules.wood_zone.is_empty and shapely.intersection(outline.wood, self.rules.wood_zone).area > 1e-3)
        )  # fmt: skip


def _beyond(part: shapely.Geometry, within: shapely.Geometry) -> float:
    """How far a part reaches out of a region, mm."""
    out = shapely.get_coordinates(shapely.difference(part, within))
    return float(shapely.distance(within, shapely.points(out)).max()) if len(out) else 0.0


def _distance(a: shapely.Geometry, b: shapely.Geometry) -> float:
    """Distance of two shapes, mm; negative where they overlap, by the depth of the nearest way out."""
    far = float(shapely.distance(a, b))
    if far > 0 or not shapely.intersects(a, b):
        return far
    common = shapely.intersection(a, b)
    points = shapely.points(shapely.get_coordinates(common))
    line = b.boundary if b.area > 0 else b
    return -float(shapely.distance(line, points).max()) if len(points) else 0.0


def seeds(
    bed: Bed, shape: Shape, angles: Sequence[float], most: int = SEEDS
) -> list[tuple[float, Pose]]:
    """Return promising places, (share of the shape that lies wrong, pose), least wrong first, apart."""
    cells = shape.filled.area / bed.grid.step**2
    found: list[tuple[float, Pose]] = []
    for angle in angles:
        if not bed.spans(shape, angle):
            found.append((1.0, bed.middle(shape, angle)))
            continue
        over = bed.overlap(shape, angle)
        order = np.argsort(over, axis=None, kind="stable")[:400]
        # Of places equally free, the one in the middle has the most room: least overlap round it.
        values = over.ravel()[order]
        free = order[values <= values[0] + 0.5]
        rows, columns = np.unravel_index(free, over.shape)
        middle = int(
            np.argmin(np.abs(rows - np.median(rows)) + np.abs(columns - np.median(columns)))
        )
        picks = [(rows[middle], columns[middle])]
        far = np.hypot(rows - rows[middle], columns - columns[middle])
        picks.append((rows[far.argmax()], columns[far.argmax()]))
        for row, column in dict.fromkeys((int(a), int(b)) for a, b in picks):
            found.append(
                (float(max(over[row, column], 0)) / cells, bed.pose(shape, angle, row, column))
            )
    found.sort(key=lambda s: s[0])
    return found[:most]


def place_one(
    board: Board | Drawn,
    bed: Bed,
    scales: tuple[float, float] = (1.0, 1.0),
    within: float = WITHIN,
) -> Placement | Misfit:
    """Place a board at the largest scale within ``scales``, or say what lacks.

    ``within``: radians between the grain and the handle's axis.
    """
    at = shapes_of(board)
    ranges = turns_of(board, bed.rules.piece.grain, within)
    low, high = scales
    known = known_pose(board)
    found = None
    if known and low <= 1 <= high:
        found = settled(bed, at, known, 1.0, (1.0, 1.0), ranges)
    if found is None or high > 1:
        other = _largest(bed, at, ranges, (low, high))
        found = max((f for f in (found, other) if f), key=lambda f: f[0], default=None)
    if found is None:
        return _misfit(board, bed, at, ranges, low)
    scale, pose = found
    made = resized(board, scale)
    shape = shape_of(made)
    outline, handle = shape.lying(pose)
    return Placement(made, scale, pose, outline, tuple(bed.allows(outline, handle)))


def angles_in(ranges: Sequence[tuple[float, float]], step: float = TURN) -> list[float]:
    """Angles to try: through each range, its ends among them."""
    every: list[float] = []
    for a, b in ranges:
        count = max(math.ceil((b - a) / step - 1e-9), 1)
        every += np.linspace(a, b, count + 1).tolist() if b > a else [a]
    return every


ROUGH = 0.004  # share of a shape that may lie wrong in cells and still settle
_STEP = 1.02  # ratio of scales within which the cells are searched; settling does the rest


def _largest(
    bed: Bed,
    at: Callable[[float], Shape | None],
    ranges: Sequence[tuple[float, float]],
    scales: tuple[float, float],
) -> tuple[float, Pose] | None:
    """Return the largest scale that holds, and its pose."""
    angles = angles_in(ranges)

    def free(scale: float) -> list[tuple[float, Pose]]:
        shape = at(scale)
        return [] if shape is None else [s for s in seeds(bed, shape, angles) if s[0] <= ROUGH]

    def tried(scale: float, starts: list[tuple[float, Pose]]) -> tuple[float, Pose] | None:
        held = (settled(bed, at, start, scale, scales, ranges) for _, start in starts)
        return max((h for h in held if h), key=lambda h: h[0], default=None)

    low, high = scales
    best = tried(high, free(high))
    if best or low == high:
        return best
    least, most = low, high
    looked = {low: free(low)}
    while most / least > _STEP:
        middle = math.sqrt(least * most)
        looked[middle] = free(middle)
        # A board that cannot be drawn is too small for its hand, not too large for the piece.
        up = looked[middle] or at(middle) is None
        least, most = (middle, most) if up else (least, middle)
    scale = least
    while scale >= low:
        held = tried(scale, looked[scale] if scale in looked else free(scale))
        if held and (best is None or held[0] > best[0]):
            best = held
        if best and scale < best[0] / _STEP:
            return best
        if scale == low:
            break
        scale = max(scale / _STEP**2, low)
    return best


def settled(
    bed: Bed,
    at: Callable[[float], Shape | None],
    start: Pose,
    scale: float,
    scales: tuple[float, float],
    ranges: Sequence[tuple[float, float]],
    lost: float = 1.0,
) -> tuple[float, Pose] | None:
    """Settle from a start; what comes back holds by exact distances.

    ``lost``: mm that a point may still lie wrong after settling, and be tried once more.
    """
    turns = range_of(start.angle, ranges)
    spare = SPARE
    last = at(scale)

    def parts_at(size: float) -> Parts:
        nonlocal last
        last = at(size) or last
        assert last is not None
        return bed.parts(last)

    pose = start
    for _ in range(3):
        done = settle(parts_at, pose, scale, scales=scales, turns=turns, spare=spare)
        shape = at(done.scale)
        if shape is None or done.depth < -lost:
            return None
        outline, handle = shape.lying(done.pose)
        tight = bed.allows(outline, handle)
        short = max((c.asked - c.there for c in tight), default=0.0)
        if short <= TRUE:
            return None if bed.breaks(outline) else (done.scale, done.pose)
        pose, scale, spare = done.pose, done.scale, spare + min(short, 0.5) + 0.005
    return None


def range_of(angle: float, ranges: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Return the range nearest to an angle, whole turns aside, about that angle."""
    off = [math.remainder(angle - (a + b) / 2, math.tau) for a, b in ranges]
    i = int(np.argmin(np.abs(off)))
    half = (ranges[i][1] - ranges[i][0]) / 2
    return angle - off[i] - half, angle - off[i] + half


def _misfit(
    board: Board | Drawn,
    bed: Bed,
    at: Callable[[float], Shape | None],
    ranges: Sequence[tuple[float, float]],
    scale: float,
) -> Misfit:
    """Say what lacks at the best place, and which smaller scale would do."""
    shape = at(scale)
    least = scales_of(board)[0]
    smaller = _largest(bed, at, ranges, (least, scale)) if least < scale else None
    if shape is None:
        return Misfit(math.inf, "its handle does not find room at that scale", smaller[0] if smaller else None)  # fmt: skip
    best: tuple[float, str] = (math.inf, "the edge of the piece")
    for _, start in seeds(bed, shape, angles_in(ranges)):
        turns = range_of(start.angle, ranges)
        done = settle(lambda s: bed.parts(shape), start, 1.0, scales=(1.0, 1.0), turns=turns, spare=SPARE)  # fmt: skip
        tight = bed.allows(*shape.lying(done.pose))[0]
        best = min(best, (tight.asked - tight.there, tight.name))
    return Misfit(*best, smaller[0] if smaller else None)

"""The ground that boards are laid on: an off-cut's grid of cells, and boards as it takes them.

Each board is laid where it touches most, then settled exactly, each against those before it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely

from shapes.collection.board import Board, DrawnBoard
from shapes.geometry.curve import Array, turn
from shapes.geometry.pose import Pose
from shapes.geometry.raster import Spectrum, mask, overlaps, rings_of, spectrum
from shapes.placing.bed import Bed
from shapes.placing.place import find_place, tried
from shapes.placing.shape import WITHIN, Shape, known_pose, shape_of, turns_of
from shapes.timber.off_cut import Rules

MOST_BOARDS = 10  # boards on one off-cut
CELLS = 8000  # cells of the grid, about: coarse, since hundreds of arrangements are looked at
TURN_STEP = math.radians(5.0)  # between the turns that are tried
LOST = 0.5  # mm that a board may lie wrong after settling once
_TOUCH = 2.5  # cells round a shape that count as touching
_LEAN = 0.2  # share of contact that lying at one side rather than the other is worth at most
_SLACK = 0.002  # share of a shape that may lie wrong in cells and still settle
_EXTRA = 0.3  # cells more between boards on the grid, so that what looks free settles too
_ALONG_GAIN = 0.15  # share of contact that a turn by WITHIN has to be better by
# worth, against contact, of keeping all of a natural edge that is to be kept; our choice
_KEEPS = 3.0
# share of a board that a neighbour may take of the place it was drawn at, and it still be tried
_TAKEN = 0.03
# where a board lies least on others: places of each turn, cells between them, places in all, and
# cells that it may lie out of the room there
_STARTS_A_TURN, _START_APART, _MOST_STARTS, _OUT = 2, 8, 8, 20


@dataclass(frozen=True, slots=True)
class Wanted:
    """A board, how many of it, and how urgent: 1 first."""

    board: Board | DrawnBoard
    quantity: int = 1
    priority: int = 1


@dataclass(frozen=True, slots=True, eq=False)
class LaidBoard:
    """One board as it lies: which of those wanted, its pose, its polygon on the piece, its area."""

    index: int
    pose: Pose
    filled: shapely.Polygon
    area: float


@dataclass(slots=True, eq=False)
class _Kind:
    """A board with what is worked out once: shape, turns, spectra at each."""

    shape: Shape
    ranges: list[tuple[float, float]]
    angles: list[float]  # at which its box is no larger than the piece's
    turns: bool  # whether its grain allows more than one way and the way back
    spectra: dict[float, tuple[list[Spectrum], Spectrum, float]] = field(default_factory=dict)
    own: LaidBoard | None = None  # where it was drawn to have the piece's natural edge for a side
    spots: list[Pose] = field(
        default_factory=list
    )  # where it lies on the empty piece; none where it never fits


class Ground:
    """One off-cut, with the boards that may be wanted on it."""

    def __init__(self, rules: Rules, wanted: Sequence[Wanted], within: float = WITHIN) -> None:
        """Take the boards that may be wanted, and find for each whether it fits at all."""
        self.rules = rules
        self.wanted = wanted
        self.within = within
        self._known: dict[
            tuple[tuple[int, Pose], ...], LaidBoard | None
        ] = {}  # what was settled before
        self.rng = np.random.default_rng(0)
        self.kinds = []
        self.empty = Bed(rules, cells=CELLS)
        for w in wanted:
            ranges = turns_of(w.board, rules.piece.grain, within)
            shape, angles = shape_of(w.board), _angles_in(ranges)
            spanned = [a for a in angles if self.empty.spans(shape, a)]
            self.kinds.append(_Kind(shape, ranges, spanned, turns=len(angles) > 2))
        for i, (w, kind) in enumerate(zip(wanted, self.kinds, strict=True)):
            known = known_pose(w.board)
            alone = self._found(self.empty, kind)
            kind.spots = [p for p in (known, alone) if p is not None] if alone is not None else []
            if (
                rules.piece.keep
                and known is not None
                and isinstance(w.board, Board)
                and w.board.natural
            ):
                pose = self._settled(self.empty, kind, known)
                kind.own = None if pose is None else self._laid(i, pose)

    def fits(self, index: int) -> bool:
        """Whether a board fits on the empty piece."""
        return bool(self.kinds[index].spots)

    def _lay(
        self, laid: list[LaidBoard], order: Sequence[int], *, lean: bool, extra: float = _EXTRA
    ) -> list[LaidBoard]:
        """Add boards in order.

        ``lean``: towards a side drawn at random, for arrangements that differ. ``extra``: cells
        more between boards than there must be.
        """
        laid = list(laid)
        rows, columns = self.empty.grid.shape
        way = self.rng.uniform(-_LEAN, _LEAN, 2) if lean else np.zeros(2)
        slope = np.add.outer(np.linspace(0, way[0], rows), np.linspace(0, way[1], columns))
        extra *= self.empty.grid.step
        bed = self._bed(laid, extra)
        failed: set[int] = set()
        for index in order:
            if index in failed:
                continue
            if len(laid) == MOST_BOARDS:
                break
            one = self._put(bed, index, slope, laid)
            if one is None:
                failed.add(index)
                continue
            laid.append(one)
            bed = bed.taking(self._wide(one, extra))
        return laid

    def _firm(self, laid: Sequence[LaidBoard]) -> list[LaidBoard]:
        """Settle boards exactly, each against those before it; leave out what cannot be."""
        firm: list[LaidBoard] = []
        for one in laid:
            key = (*((o.index, o.pose) for o in firm), (one.index, one.pose))
            if key not in self._known:
                bed = self._bed(firm)
                pose = self._settled(bed, self.kinds[one.index], one.pose)
                spot = self._in_a_spot(bed, one.index, firm) if pose is None else None
                self._known[key] = self._laid(one.index, pose) if pose else spot
            lies = self._known[key]
            if lies is not None:
                firm.append(lies)
        return firm

    def _bed(self, laid: Sequence[LaidBoard], extra: float = 0.0) -> Bed:
        if not laid:
            return self.empty
        return self.empty.taking(shapely.union_all([self._wide(one, extra) for one in laid]))

    def _wide(self, one: LaidBoard, extra: float) -> shapely.Polygon:
        """A board with the distance that the next has to keep, and some mm more."""
        return one.filled.buffer(self.rules.apart + extra, quad_segs=32)

    def _spectra(self, kind: _Kind, angle: float) -> tuple[list[Spectrum], Spectrum, float]:
        """Spectra of a turned shape's parts and of the rim that touches, and the rim's cells."""
        if angle not in kind.spectra:
            bed, shape = self.empty, kind.shape
            grid = bed.grid
            at = np.array([grid.x, grid.y]) - bed.low(shape, angle)
            wide = shape.filled.buffer(_TOUCH * grid.step, quad_segs=4)
            # Shifted by three cells so that the rim stays on the grid; the product is shifted back.
            cells = [
                mask(grid, [turn(r, angle) + at + 3 * grid.step for r in rings_of(p)])
                for p in (wide, shape.filled)
            ]
            rim = cells[0] & ~cells[1]
            kind.spectra[angle] = bed.masks(shape, angle), spectrum(rim), float(rim.sum())
        return kind.spectra[angle]

    def _put(
        self, bed: Bed, index: int, slope: Array, laid: Sequence[LaidBoard]
    ) -> LaidBoard | None:
        """Lay one board where it touches most."""
        kind = self.kinds[index]
        if kind.own is not None and not shapely.intersects(bed.taken, kind.own.filled):
            return kind.own
        if kind.shape.filled.area > bed.largest:
            return None
        found: list[tuple[float, float, int, int]] = []
        slack = _SLACK * kind.shape.filled.area / bed.grid.step**2 if kind.turns else 0.0
        for angle in kind.angles:
            parts, rim, cells = self._spectra(kind, angle)
            over = overlaps(bed.grid, list(zip(parts, bed.forbidden, strict=True)))
            free = over <= max(slack, 0.5)
            if not free.any():
                continue
            touch = overlaps(bed.grid, [(rim, bed.forbidden[0])]) / cells
            touch = np.roll(touch, (3, 3), axis=(0, 1))
            off = min(abs(angle - (a + b) / 2) for a, b in kind.ranges)
            if self.empty.natural is not None:
                edge, long = self.empty.natural
                touch = touch + _KEEPS * overlaps(bed.grid, [(parts[0], edge)]) / long
            worth = np.where(free, touch + slope - _ALONG_GAIN * off / max(WITHIN, 1e-9), -np.inf)
            top = int(worth.argmax())
            row, column = divmod(top, worth.shape[1])
            found.append((float(worth.flat[top]), angle, row, column))
        if not found:
            return self._in_a_spot(bed, index, laid)
        _, angle, row, column = max(found)
        return self._laid(index, bed.pose(kind.shape, angle, row, column))

    def _in_a_spot(self, bed: Bed, index: int, laid: Sequence[LaidBoard]) -> LaidBoard | None:
        """Lay a board where it lies on the empty piece, by its
        recipe or found there, if it still may.
        """
        kind = self.kinds[index]
        for spot in kind.spots:
            filled = shapely.transform(kind.shape.filled, spot.of)
            # Settling moves a board a little: where a neighbour takes more of its place it is not
            # tried.
            if any(
                shapely.area(shapely.intersection(filled, o.filled)) > _TAKEN * filled.area
                for o in laid
            ):
                continue
            pose = self._settled(bed, kind, spot)
            if pose is not None:
                return self._laid(index, pose)
        return None

    def _found(self, bed: Bed, kind: _Kind) -> Pose | None:
        """Return a place anywhere on a bed."""
        found = find_place(bed, lambda _: kind.shape, 1.0, (1.0, 1.0), kind.ranges, nearest=False)
        return found.pose if found is not None else None

    def _settled(self, bed: Bed, kind: _Kind, start: Pose) -> Pose | None:
        found = tried(bed, lambda _: kind.shape, start, 1.0, (1.0, 1.0), kind.ranges, LOST)
        return found.pose if found is not None and found.holds else None

    def _laid(self, index: int, pose: Pose) -> LaidBoard:
        filled = self.kinds[index].shape.filled
        return LaidBoard(index, pose, shapely.transform(filled, pose.of), filled.area)

    def _crowded_starts(self, laid: Sequence[LaidBoard], index: int) -> list[Pose]:
        """Poses where a board lies least on others, in the room; the best of each turn first."""
        kind, grid = self.kinds[index], self.empty.grid
        bed = self._bed(laid)
        found = []
        for angle in kind.angles:
            parts, _, _ = self._spectra(kind, angle)
            out = overlaps(grid, list(zip(parts, self.empty.forbidden, strict=True)))
            over = overlaps(grid, list(zip(parts, bed.forbidden, strict=True)))
            over = np.where(out <= _OUT, over, np.inf)
            for _ in range(_STARTS_A_TURN):
                least = int(over.argmin())
                row, column = divmod(least, over.shape[1])
                if not np.isfinite(over.flat[least]):
                    break
                found.append((float(over.flat[least]), bed.pose(kind.shape, angle, row, column)))
                k = _START_APART
                over[max(row - k, 0) : row + k + 1, max(column - k, 0) : column + k + 1] = np.inf
        found.sort(key=lambda one: one[0])
        return [pose for _, pose in found[:_MOST_STARTS]]


def _angles_in(ranges: Sequence[tuple[float, float]]) -> list[float]:
    """Angles to try: through each range, its ends among them."""
    every: list[float] = []
    for a, b in ranges:
        count = max(math.ceil((b - a) / TURN_STEP - 1e-9), 1)
        every += np.linspace(a, b, count + 1).tolist() if b > a else [a]
    return every

"""Place many boards on one off-cut: as much area as can be, the urgent ones first.

Each board is laid where it touches most (grid of cells), then settled exactly; the order is drawn
at random again and again, and a good arrangement is improved by taking some boards up and laying
what is left. Everything is counted, nothing timed: the same boards and seed, the same arrangement.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial

import numpy as np
import shapely

from shapes.collection.board import Board, DrawnBoard
from shapes.geometry.curve import Array, turn
from shapes.geometry.pose import Parts, Pose, settle
from shapes.geometry.raster import Spectrum, mask, overlaps, rings_of, spectrum
from shapes.placing.bed import Bed
from shapes.placing.left import rectangle_left
from shapes.placing.patience import Patience
from shapes.placing.place import CLEARANCE_SLACK, find_place, range_of, tried
from shapes.placing.shape import WITHIN, Shape, known_pose, shape_of, turns_of
from shapes.processes import Each, one_by_one
from shapes.timber.off_cut import KEPT_SHARE, Rules

MOST_BOARDS = 10  # boards on one off-cut
CELLS = 8000  # cells of the grid, about: coarse, since hundreds of arrangements are looked at
STARTS, ROUNDS = 20, 400  # orders tried from nothing; times that some boards are taken up again
STALLED = 90  # rounds without a better arrangement after which a search ends
# searches, each with a seed of its own, where not everything fits; one that finds nothing better is
# the last
SEARCHES = 3
TURN_STEP = math.radians(5.0)  # between the turns that are tried
_TOUCH = 2.5  # cells round a shape that count as touching
_LEAN = 0.2  # share of contact that lying at one side rather than the other is worth at most
_SLACK = 0.002  # share of a shape that may lie wrong in cells and still settle
_NEARLY = 0.9  # of the best area: an arrangement that is worth going on from
_WHOLE = 6  # arrangements that hold everything; the one with most left in one piece is taken
_LOST = 0.5  # mm that a board may lie wrong after settling once
_EXTRA = 0.3  # cells more between boards on the grid, so that what looks free settles too
_ALONG_GAIN = 0.15  # share of contact that a turn by WITHIN has to be better by
_KEEPS = (
    3.0  # worth, against contact, of keeping all of a natural edge that is to be kept; our choice
)
_WAYS = ((-1.0, 0.0), (1.0, 0.0), (0.0, -1.0), (0.0, 1.0))  # boards are moved up to make room
_FEW = 3  # boards left over for which others are moved up
# share of a board that a neighbour may take of the place it was drawn at, and it still be tried
_TAKEN = 0.03
# share of a piece that boards take together above which one search is not thought to lay them all
_CROWDED = 0.55


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
    angles: list[float]
    spectra: dict[float, tuple[list[Spectrum], Spectrum, float]] = field(default_factory=dict)
    own: LaidBoard | None = None  # where it was drawn to have the piece's natural edge for a side
    spots: list[Pose] = field(
        default_factory=list
    )  # where it lies on the empty piece; none where it never fits


class Filler:
    """Fills one off-cut."""

    def __init__(self, rules: Rules, wanted: Sequence[Wanted], within: float = WITHIN) -> None:
        """Take the boards that may be wanted, and find for each whether it fits at all."""
        self.rules = rules
        self.wanted = wanted
        self.within = within
        self.ranks = [w.priority for w in wanted]
        self._known: dict[
            tuple[tuple[int, Pose], ...], LaidBoard | None
        ] = {}  # what was settled before
        self.rng = np.random.default_rng(0)
        self.most = 0  # boards that can be laid at all
        self.kinds = []
        for w in wanted:
            ranges = turns_of(w.board, rules.piece.grain, within)
            self.kinds.append(_Kind(shape_of(w.board), ranges, _angles_in(ranges)))
        self.empty = Bed(rules, cells=CELLS)
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

    def lay(
        self,
        items: Sequence[int],
        seed: int = 1,
        ranks: Sequence[int] | None = None,
        patience: Patience | None = None,
        each: Each = one_by_one,
    ) -> list[LaidBoard]:
        """Lay boards by their index among those wanted; a board may come several times.

        ``ranks`` stand for the boards' own priorities. ``each`` makes the searches, which may be
        at once; what is found does not depend on it.
        """
        patience = patience or Patience()
        self.ranks = list(ranks) if ranks is not None else [w.priority for w in self.wanted]
        some = [i for i in items if self.fits(i)]
        self.most = min(len(some), MOST_BOARDS)
        laid: list[LaidBoard] = []
        for k, found in enumerate(self._searches(some, seed, patience, each) if some else ()):
            if k and self.worth(found) <= self.worth(laid):
                break
            laid = found
            if len(laid) == self.most or patience.over():
                break
        rest = list(some)
        for one in laid:
            rest.remove(one.index)
        return self._beside(laid, rest)

    def _searches(
        self, items: Sequence[int], seed: int, patience: Patience, each: Each
    ) -> Iterator[list[LaidBoard]]:
        """Search again and again, each time with a seed of its own.

        The first two are begun at once where boards are more than one search is thought to lay.
        """
        area = sum(self.kinds[i].shape.filled.area for i in items)
        crowded = area > _CROWDED * self.empty.room.area
        seeds = list(range(seed, seed + SEARCHES))
        for some in (seeds[:2], seeds[2:]) if crowded else ([k] for k in seeds):
            n = len(some)
            for found, late in each(_searched, [self] * n, [items] * n, some, [patience] * n):
                patience.ended = patience.ended or late
                yield found

    def _fill(self, items: Sequence[int], patience: Patience) -> list[LaidBoard]:
        """Search for an arrangement: orders drawn at random, then boards taken up and laid anew."""
        most = self.most
        best: list[LaidBoard] = []
        now: list[LaidBoard] = []
        whole: list[list[LaidBoard]] = []  # arrangements with nothing left over
        better = 0  # the round that found the best
        for k in range(STARTS + ROUNDS):
            keep = [] if k < STARTS else self._without(now, 1 + self._up_to(min(4, len(now) - 1)))
            left = list(items)
            for one in keep:
                left.remove(one.index)
            disorder = 0.8 if k >= STARTS else 0.35 if k else 0.0
            new = self._lay(keep, self._order(left, disorder), lean=k > 0)
            if len(new) == most or self.worth(new) > self.worth(best):
                firm = self._firm(new)
                whole += [firm] if len(firm) == most else []
                if self.worth(firm) > self.worth(best):
                    best, better = firm, k
            if (whole and (k >= STARTS or len(whole) == _WHOLE)) or k > max(
                better, STARTS
            ) + STALLED:
                break
            if best and patience.over():
                break
            # Nearly as good will do as a place to go on from; far worse goes back to the best.
            total, least = (sum(one.area for one in x) for x in (new, best))
            now = new if k >= STARTS and total >= _NEARLY * least else best
        return max(whole, key=self._best_whole) if whole else best

    def _best_whole(self, laid: Sequence[LaidBoard]) -> tuple[float, float]:
        """What tells arrangements of everything apart.

        A natural edge kept, then what is left in one piece.
        """
        return self._kept(laid), self._rest(laid)

    def _kept(self, laid: Sequence[LaidBoard]) -> float:
        """Share of the natural edge that is to be kept which
        boards take for theirs, in whole tenths.
        """
        line = self.rules.free_natural
        if not self.rules.piece.keep or line.is_empty:
            return 0.0
        taken = shapely.intersection(line, shapely.union_all([one.filled for one in laid]))
        return math.floor(float(taken.length / line.length) * 10) / 10

    def _up_to(self, most: int) -> int:
        return int(self.rng.integers(max(most, 1)))

    def _rest(self, laid: Sequence[LaidBoard]) -> float:
        """Area of the largest rectangle that an arrangement leaves."""
        left = rectangle_left(self.rules, [one.filled for one in laid])
        return left[0] * left[1] if left else 0.0

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

    def worth(self, laid: Sequence[LaidBoard]) -> tuple[float, ...]:
        """What an arrangement is worth.

        All laid, natural edge kept as is asked, area of each priority.
        """
        ranks = sorted(set(self.ranks))
        areas = (
            round(sum(one.area for one in laid if self.ranks[one.index] == rank), 3)
            for rank in ranks
        )
        kept = self._kept(laid)
        return (len(laid) == self.most, min(kept, KEPT_SHARE), *areas, kept)

    def _order(self, items: Sequence[int], disorder: float) -> list[int]:
        """Urgent ones first, then large ones, more or less."""
        size = [self.kinds[i].shape.filled.area for i in items]
        key = np.log(size) + disorder * self.rng.standard_normal(len(items))
        rank = [self.ranks[i] for i in items]
        order = sorted(range(len(items)), key=lambda j: (rank[j], -key[j]))
        return [items[j] for j in order]

    def _without(self, laid: Sequence[LaidBoard], up: int) -> list[LaidBoard]:
        """Take up boards that lie near one another."""
        if not laid:
            return []
        first = laid[int(self.rng.integers(len(laid)))]
        far = [shapely.distance(first.filled, one.filled) for one in laid]
        gone = set(np.argsort(far, kind="stable")[:up].tolist())
        return [one for j, one in enumerate(laid) if j not in gone]

    def _lay(self, laid: list[LaidBoard], order: Sequence[int], *, lean: bool) -> list[LaidBoard]:
        """Add boards in order.

        ``lean``: towards a side drawn at random, for arrangements that differ.
        """
        laid = list(laid)
        rows, columns = self.empty.grid.shape
        way = self.rng.uniform(-_LEAN, _LEAN, 2) if lean else np.zeros(2)
        slope = np.add.outer(np.linspace(0, way[0], rows), np.linspace(0, way[1], columns))
        extra = _EXTRA * self.empty.grid.step
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
            bed = self._bed(laid, extra)
        return laid

    def _bed(self, laid: Sequence[LaidBoard], extra: float = 0.0) -> Bed:
        if not laid:
            return self.empty
        taken = shapely.union_all(
            [one.filled.buffer(self.rules.apart + extra, quad_segs=32) for one in laid]
        )
        return Bed(self.rules, taken, CELLS)

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
        slack = _SLACK * kind.shape.filled.area / bed.grid.step**2 if len(kind.angles) > 2 else 0.0
        for angle in kind.angles:
            if not bed.spans(kind.shape, angle):
                continue
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

    def _beside(self, laid: Sequence[LaidBoard], left: Sequence[int]) -> list[LaidBoard]:
        """Lay what still fits beside others, the urgent and the large first.

        These move up if they must.
        """
        made, rest = list(laid), []
        for index in self._order(left, 0.0):
            one = self._anywhere(made, index)
            if one is not None:
                made.append(one)
            elif self.kinds[index].spots:
                rest.append(index)
        area = float(self.empty.room.area) - sum(one.area for one in made)
        small = [i for i in dict.fromkeys(rest) if self.kinds[i].shape.filled.area <= area]
        for way in _WAYS if made and 0 < len(small) <= _FEW else ():
            moved = self._moved_up(made, way)
            for index in small:
                one = self._anywhere(moved, index)
                if one is not None:
                    rest.remove(index)
                    return self._beside([*moved, one], rest)
        return made

    def _anywhere(self, laid: Sequence[LaidBoard], index: int) -> LaidBoard | None:
        """Lay a board beside others, wherever on the piece it fits."""
        kind, bed = self.kinds[index], self._bed(laid)
        if len(laid) == MOST_BOARDS or not kind.spots or kind.shape.filled.area > bed.largest:
            return None
        pose = self._found(bed, kind)
        return None if pose is None else self._laid(index, pose)

    def _moved_up(self, laid: Sequence[LaidBoard], way: tuple[float, float]) -> list[LaidBoard]:
        """Push every board one way as far as it goes, the foremost first."""
        moved = list(laid)
        x, y = way
        for i in sorted(range(len(laid)), key=lambda i: -x * laid[i].pose.x - y * laid[i].pose.y):
            one, kind = moved[i], self.kinds[moved[i].index]
            bed = self._bed([o for o in moved if o is not one])
            turns = range_of(one.pose.angle, kind.ranges)
            parts = partial(_always, bed.parts(kind.shape))
            done = settle(
                parts,
                one.pose,
                1.0,
                scales=(1.0, 1.0),
                turns=turns,
                spare=CLEARANCE_SLACK,
                push=way,
            )
            pose = self._settled(bed, kind, done.pose)
            moved[i] = one if pose is None else self._laid(one.index, pose)
        return moved

    def _settled(self, bed: Bed, kind: _Kind, start: Pose) -> Pose | None:
        found = tried(bed, lambda _: kind.shape, start, 1.0, (1.0, 1.0), kind.ranges, _LOST)
        return found.pose if found is not None and found.holds else None

    def _laid(self, index: int, pose: Pose) -> LaidBoard:
        filled = self.kinds[index].shape.filled
        return LaidBoard(index, pose, shapely.transform(filled, pose.of), filled.area)


def _searched(
    filler: Filler, items: Sequence[int], seed: int, patience: Patience
) -> tuple[list[LaidBoard], bool]:
    """Make one search of its own seed; and say whether patience ended it."""
    filler.rng = np.random.Generator(np.random.PCG64DXSM(seed))
    return filler._fill(items, patience), patience.ended


def _always(parts: Parts, scale: float) -> Parts:
    return parts


def _angles_in(ranges: Sequence[tuple[float, float]]) -> list[float]:
    """Angles to try: through each range, its ends among them."""
    every: list[float] = []
    for a, b in ranges:
        count = max(math.ceil((b - a) / TURN_STEP - 1e-9), 1)
        every += np.linspace(a, b, count + 1).tolist() if b > a else [a]
    return every

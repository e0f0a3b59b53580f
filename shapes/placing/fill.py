"""Place many boards on one off-cut: as much area as can be, the urgent ones first.

The order is drawn at random again and again, and a good arrangement is improved by taking some
boards up and laying what is left. What then finds no gap has others moved up for it, or is pressed
in among them. Everything is counted, nothing timed: the same boards and seed, the same arrangement.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import partial

import numpy as np
import shapely

from shapes.geometry.pose import Parts, settle
from shapes.geometry.press import TRUE, Body, pressed
from shapes.placing.ground import LOST, MOST_BOARDS, Ground, LaidBoard, Wanted
from shapes.placing.left import rectangle_left
from shapes.placing.patience import Patience
from shapes.placing.place import CLEARANCE_SLACK, range_of
from shapes.placing.shape import WITHIN
from shapes.processes import Each, one_by_one
from shapes.timber.off_cut import KEPT_SHARE, Rules

STARTS, ROUNDS = 20, 400  # orders tried from nothing; times that some boards are taken up again
STALLED = 45  # rounds without a better arrangement after which a search ends
# searches, each with a seed of its own, where not everything fits; one that finds nothing better is
# the last
SEARCHES = 3
# share of a piece that boards take together above which one search is not thought to lay them all
_CROWDED = 0.55
_NEARLY = 0.9  # of the best area: an arrangement that is worth going on from
_WHOLE = 6  # arrangements that hold everything; the one with most left in one piece is taken
_WAYS = ((-1.0, 0.0), (1.0, 0.0), (0.0, -1.0), (0.0, 1.0))  # boards are moved up to make room
_FEW = 3  # boards left over for which others are moved up, or pressed together
# share of the room above which no board is pressed in: an exhaustive search filled 0.74
_FULL = 0.9
# where all are laid anew to be pressed apart: cells that they may lie too close by; how often each
_CLOSER_BY, _LOOSE = (1.0, 2.0, 3.5), 8


class Filler(Ground):
    """Fills one off-cut."""

    def __init__(self, rules: Rules, wanted: Sequence[Wanted], within: float = WITHIN) -> None:
        """Take the boards that may be wanted, and find for each whether it fits at all."""
        super().__init__(rules, wanted, within)
        self.ranks = [w.priority for w in wanted]
        self.most = 0  # boards that can be laid at all

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
        self.rng = np.random.Generator(np.random.PCG64DXSM(seed))  # however many were drawn from
        return self._beside(laid, rest, patience)

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

    def _beside(
        self, laid: Sequence[LaidBoard], left: Sequence[int], patience: Patience
    ) -> list[LaidBoard]:
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
                    return self._beside([*moved, one], rest, patience)
        # Not where a natural edge is kept: what lies along it would be moved off.
        for index in small if made and not self.rules.piece.keep else ():
            together = self._pressed_in(made, index, patience)
            if together:
                rest.remove(index)
                return self._beside(together, rest, patience)
        return made

    def _pressed_in(
        self, laid: Sequence[LaidBoard], index: int, patience: Patience
    ) -> list[LaidBoard]:
        """Lay a board where it lies least on others, and move all until they lie apart.

        Nothing where they do not. It is not tried where there is hardly room for all: boards
        widened by half their distance lie side by side in the room widened by as much, and never
        fill it.
        """
        every = [*(o.index for o in laid), index]
        half = self.rules.apart / 2
        asked = sum(self.kinds[i].shape.filled.buffer(half).area for i in every)
        if len(laid) == MOST_BOARDS or asked > _FULL * shapely.buffer(self.empty.room, half).area:
            return []
        for loose in self._loose(laid, index):
            if patience.over():
                break
            firm = self._all_pressed(loose)
            if firm:
                return firm
        return []

    def _loose(self, laid: Sequence[LaidBoard], index: int) -> Iterator[list[LaidBoard]]:
        """Arrangements of some boards and one more in which boards lie too close by, or overlap."""
        for start in self._crowded_starts(laid, index):
            yield [*laid, self._laid(index, start)]
        every = [*(o.index for o in laid), index]
        for closer in _CLOSER_BY:
            for _ in range(_LOOSE):
                new = self._lay([], self._order(every, 0.8), lean=True, extra=-closer)
                if len(new) == len(every):
                    yield new

    def _all_pressed(self, loose: Sequence[LaidBoard]) -> list[LaidBoard]:
        """Move boards until all lie as they must; nothing where that is not reached."""
        every, poses = [o.index for o in loose], [o.pose for o in loose]
        kinds = [self.kinds[i] for i in every]
        bodies = [
            Body(
                self.empty.parts(k.shape), k.shape.edge, k.shape.filled, range_of(p.angle, k.ranges)
            )
            for k, p in zip(kinds, poses, strict=True)
        ]
        # A little more to spare than is asked, so that settling each exactly leaves it where it is.
        found, short = pressed(bodies, poses, self.rules.apart, CLEARANCE_SLACK + 2 * TRUE)
        if short >= LOST:
            return []
        firm = self._firm([self._laid(i, p) for i, p in zip(every, found, strict=True)])
        return firm if len(firm) == len(every) else []

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


def _searched(
    filler: Filler, items: Sequence[int], seed: int, patience: Patience
) -> tuple[list[LaidBoard], bool]:
    """Make one search of its own seed; and say whether patience ended it."""
    filler.rng = np.random.Generator(np.random.PCG64DXSM(seed))
    return filler._fill(items, patience), patience.ended


def _always(parts: Parts, scale: float) -> Parts:
    return parts

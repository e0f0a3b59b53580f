"""Lay boards out on off-cuts: placed, checked as they lie, and accounted for."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import shapely

from shapes.collection.board import Board, DrawnBoard, Report
from shapes.errors import InputError, Problem
from shapes.placing.account import DAMP, Account, account
from shapes.placing.bed import Bed
from shapes.placing.fill import Filler
from shapes.placing.fitted import on_piece, report_on
from shapes.placing.ground import LaidBoard, Wanted
from shapes.placing.patience import Patience
from shapes.placing.place import Misfit, Placement, nearest, place_one, with_largest
from shapes.placing.place_many import placements
from shapes.placing.shape import WITHIN, scales_of
from shapes.processes import Each, helpers
from shapes.timber.off_cut import OffCut, Price, Rules, Sawn, stands
from shapes.timber.thickness import Saw, ways
from shapes.units import at_least, at_most

ASKED = 6  # boards left over for which it is worked out what they lack


@dataclass(frozen=True, slots=True, eq=False)
class Covered:
    """An off-cut with (number, placement, report) of the boards on it, and its account."""

    rules: Rules = field(repr=False)
    placed: tuple[tuple[int, Placement, Report], ...]
    account: Account = field(repr=False)

    @property
    def piece(self) -> OffCut:
        """The off-cut."""
        return self.rules.piece

    @property
    def kept_in_all(self) -> tuple[float, float]:
        """Length of natural edge, mm, that is boards' edge now, and that was free to be."""
        free = self.rules.free_natural
        filled = [shapely.Polygon(p.outline.wood.exterior) for _, p, _ in self.placed]
        return float(shapely.intersection(free, shapely.union_all(filled)).length), float(
            free.length
        )

    def kept(self, placement: Placement) -> float:
        """Length of natural edge, mm, that a board takes for its own."""
        return self.rules.kept(shapely.Polygon(placement.outline.wood.exterior))


@dataclass(frozen=True, slots=True, eq=False)
class LaidOut:
    """Every off-cut with (number, placement, report) of each board on it; and what is left over.

    Numbers count what was placed, from 1. ``left`` and ``lacks`` have indices, from 0, of the
    boards that were wanted, as ``names`` has their names; ``lacks`` is of those that fit on no
    off-cut.
    """

    covered: tuple[Covered, ...]
    left: tuple[int, ...]
    lacks: dict[int, tuple[str, Misfit]]  # index: name of the off-cut, misfit
    hurried: bool = False  # whether patience ended before the search did
    names: tuple[str, ...] = ()

    @property
    def crowded(self) -> list[int]:
        """Boards left over that would fit alone, among those that were looked at."""
        return [i for i in list(dict.fromkeys(self.left))[:ASKED] if i not in self.lacks]

    def why(self, index: int) -> str:
        """Say why a board was left over, by its index.

        Nothing where it was not, or nobody looked.
        """
        name = self.names[index]
        if index in self.crowded:
            return f"{name} fits alone: beside the others no room is left for it"
        if index not in self.lacks:
            return ""
        where, misfit = self.lacks[index]
        line = f"{name} fits on no off-cut"
        if math.isfinite(misfit.lacks):
            line += f": on {where} it is short by {at_least(misfit.lacks)} mm at {misfit.name}"
        if misfit.largest is not None:
            line += (
                f"; the largest that would fit there is {at_most(misfit.largest, 3)} of its size"
            )
        return line


def lay_out(
    wanted: Sequence[Wanted],
    pieces: Sequence[OffCut],
    cutter: float,
    *,
    scales: tuple[float, float] | None = None,
    within: float = WITHIN,
    seed: int = 1,
    saw: Saw | None = None,
    moisture: tuple[float | None, float] = (None, DAMP),
    patience: float = math.inf,
    jobs: int = 1,
    tell: Callable[[str], None] = lambda now: None,
) -> LaidOut:
    """Place boards on off-cuts in order; ``scales``: the largest that fits, of one board on one.

    ``patience``: seconds after which the best arrangement that was found is taken; ``jobs``:
    processes to search with, which do not change what is found; ``tell`` hears what is being done.

    A piece that a ``saw`` makes two boards' thicknesses of, or more, is laid out slice by slice.
    Raises InputError where a piece is too thin, or a scale is asked for that the handle forbids.
    """
    _one_thickness(wanted, pieces)
    if saw is not None and scales is None and wanted:
        thick = wanted[0].board.brief.thickness
        pieces = [
            s for p in pieces for s in slices(p, thick if p.wanted is None else p.wanted, saw)
        ]
    patient = Patience(patience)
    beds = [Rules(piece, cutter) for piece in pieces]
    own = [
        [replace(w, board=cut_with(on_piece(w.board, piece), cutter)) for w in wanted]
        for piece in pieces
    ]
    if scales is not None:
        every, left, lacks = _one(own[0][0], beds[0], scales, within)
    else:
        with helpers(min(jobs, len(beds) * sum(w.quantity for w in wanted))) as each:
            fillers = []
            found = each(Filler, beds, own, [within] * len(beds))
            for rules in beds:
                tell(f"what fits on {rules.piece.name}")
                fillers.append(next(found))
            every, left, lacks = _many(fillers, seed, patient, each, tell)
    covered, count = [], 0
    for rules, laid in zip(beds, every, strict=True):
        placed = []
        for _, placement in laid:
            count += 1
            placed.append((count, placement, report_on(placement, rules.piece)))
        covered.append(
            Covered(rules, tuple(placed), account(rules, placed, saw=saw, moisture=moisture))
        )
    names = tuple(w.board.name or w.board.form for w in wanted)
    return LaidOut(tuple(covered), tuple(left), lacks, patient.ended, names)


def cut_with(board: Board | DrawnBoard, cutter: float) -> Board | DrawnBoard:
    """Return a board as it is cut with the cutter that all of its piece is cut with."""
    return replace(board, brief=replace(board.brief, cutter=cutter))


def slices(piece: OffCut, thickness: float, saw: Saw) -> list[OffCut]:
    """Return what a piece gives when it is sawn for boards of ``thickness`` mm.

    Itself where it is not.

    All slices are seen from the face that was measured, its defects in each; price and mass are
    shared.
    """
    found = ways(piece.thickness, thickness, 1.0, 1.0, 1.0, saw, stands(piece))
    count = next((w.pieces for w in found if w.name == "resaw"), 1)
    if count == 1:
        return [piece]
    each = (piece.thickness - (count - 1) * saw.kerf) / count
    price = None if piece.price is None else Price(piece.price.of(piece.volume) / count, "piece")
    mass = None if piece.mass is None else piece.mass * each / piece.thickness
    return [
        replace(
            piece,
            name=f"{piece.name}, slice {k} of {count}",
            thickness=each,
            price=price,
            mass=mass,
            sawn=Sawn(k, count, piece.name, piece.thickness, saw.kerf),
        )
        for k in range(1, count + 1)
    ]


def _one_thickness(wanted: Sequence[Wanted], pieces: Sequence[OffCut]) -> None:
    """Refuse boards of several thicknesses on a piece that is skimmed as a whole."""
    found = sorted({w.board.brief.thickness for w in wanted})
    open_ones = [p.name for p in pieces if p.wanted is None]
    if len(found) > 1 and open_ones:
        says = " and ".join(f"{t:g}" for t in found)
        raise InputError(
            *(
                Problem(
                    f"off-cut '{name}'",
                    f"is skimmed as a whole, and the boards are to be {says} mm thick",
                    "one thickness a piece",
                    "write wanted = ... in it, or place them apart",
                )
                for name in open_ones
            )
        )


Every = list[list[tuple[int, Placement]]]


def _one(
    wanted: Wanted, rules: Rules, scales: tuple[float, float], within: float
) -> tuple[Every, list[int], dict[int, tuple[str, Misfit]]]:
    low, high = scales_of(wanted.board)
    if scales[1] < low or scales[0] > high:
        raise InputError(
            Problem(
                "--scale",
                f"{scales[0]:g} to {scales[1]:g} leaves no room for its handle",
                f"allowed {low:.2f} to {high:.2f}",
                "the body is drawn anew, the handle keeps the size of a hand",
            )
        )
    span = max(scales[0], low), min(scales[1], high)
    found = place_one(wanted.board, Bed(rules), span, within)
    if isinstance(found, Placement):
        return [[(0, found)]], [], {}
    return [[]], [0], {0: (rules.piece.name, found)}


def _many(
    fillers: Sequence[Filler],
    seed: int,
    patience: Patience,
    each: Each,
    tell: Callable[[str], None],
) -> tuple[Every, list[int], dict[int, tuple[str, Misfit]]]:
    """Fill piece by piece.

    Where boards are left that fit somewhere, again with those first that fit on few.
    """
    wanted = fillers[0].wanted
    items = [i for i, w in enumerate(wanted) for _ in range(w.quantity)]
    ranks = [w.priority for w in wanted]
    homes = [sum(f.fits(i) for f in fillers) for i in range(len(wanted))]
    scarce = sorted({(r, h) for r, h in zip(ranks, homes, strict=True)})
    few_first = [scarce.index((r, h)) for r, h in zip(ranks, homes, strict=True)]
    ways = [ranks]
    if len(fillers) > 1 and len(scarce) > len(set(ranks)):
        ways.append(few_first)
    best: list[list[LaidBoard]] = [[] for _ in fillers]
    left = list(items)
    for how in ways:
        found: list[list[LaidBoard]] = [[] for _ in fillers]
        rest = list(items)
        for k in range(len(fillers)):
            tell(f"{len(items) - len(rest)} of {len(items)}, now on {fillers[k].rules.piece.name}")
            found[k] = fillers[k].lay(rest, seed, how, patience, each)
            for one in found[k]:
                rest.remove(one.index)
        if _worth(wanted, found) > _worth(wanted, best):
            best, left = found, rest
        # Who could lie on every piece lost nothing to those with a choice.
        if not any(0 < homes[i] < len(fillers) for i in left) or patience.over():
            break
    every = [placements(f, laid) for f, laid in zip(fillers, best, strict=True)]
    lacks = {}
    for index in [i for i in dict.fromkeys(left) if not homes[i]][:ASKED]:
        if patience.over():
            lacks[index] = fillers[0].rules.piece.name, Misfit(math.inf, "", None)
            continue
        tell("what lacks")
        near = list(
            each(
                nearest,
                [f.wanted[index].board for f in fillers],
                [f.empty for f in fillers],
                [f.within for f in fillers],
            )
        )
        k = min(range(len(near)), key=lambda k: near[k].lacks)
        bed, board = fillers[k].empty, fillers[k].wanted[index].board
        lacks[index] = bed.rules.piece.name, with_largest(near[k], board, bed, fillers[k].within)
    return every, left, lacks


def _worth(wanted: Sequence[Wanted], found: Sequence[Sequence[LaidBoard]]) -> tuple[float, ...]:
    """Area of boards laid, of each priority."""
    laid = [one for piece in found for one in piece]
    return tuple(
        round(sum(o.area for o in laid if wanted[o.index].priority == rank), 3)
        for rank in sorted({w.priority for w in wanted})
    )

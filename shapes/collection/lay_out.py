"""Lay boards out on off-cuts: placed, checked as they lie, and accounted for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely

from shapes.collection.account import DAMP, Account, account
from shapes.collection.board import Board, Drawn, Report
from shapes.collection.fitted import on_piece, report_on
from shapes.collection.place import Bed, Misfit, Placement, place_one
from shapes.collection.place_many import Wanted, place_many
from shapes.collection.shape import WITHIN, scales_of
from shapes.errors import InputError, Problem
from shapes.timber.off_cut import OffCut, Price, Rules, Sawn, stands
from shapes.timber.thickness import Saw, ways

ASKED = 6  # boards left over for which it is worked out what they lack


@dataclass(frozen=True, slots=True, eq=False)
class Covered:
    """An off-cut with (number, placement, report) of the boards on it, and its account."""

    rules: Rules
    placed: tuple[tuple[int, Placement, Report], ...]
    account: Account

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
    """Every off-cut; the boards left over as indices; and what those lack that fit on no off-cut."""

    covered: tuple[Covered, ...]
    left: tuple[int, ...]
    lacks: dict[int, tuple[str, Misfit]]  # index: name of the off-cut, misfit

    @property
    def crowded(self) -> list[int]:
        """Boards left over that would fit alone, among those that were looked at."""
        return [i for i in list(dict.fromkeys(self.left))[:ASKED] if i not in self.lacks]


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
) -> LaidOut:
    """Place boards on off-cuts in order; ``scales``: the largest that fits, of one board on one.

    A piece that a ``saw`` makes two boards' thicknesses of, or more, is laid out slice by slice.
    Raises InputError where a piece is too thin, or a scale is asked for that the handle forbids.
    """
    _one_thickness(wanted, pieces)
    if saw is not None and scales is None and wanted:
        thick = wanted[0].board.brief.thickness
        pieces = [
            s for p in pieces for s in slices(p, thick if p.wanted is None else p.wanted, saw)
        ]
    beds = [Rules(piece, cutter) for piece in pieces]
    own = [[replace(w, board=cut_with(on_piece(w.board, piece), cutter)) for w in wanted] for piece in pieces]  # fmt: skip
    if scales is not None:
        every, left, lacks = _one(own[0][0], beds[0], scales, within)
    else:
        every, left, lacks = _many(own, beds, within, seed)
    covered, count = [], 0
    for rules, placements in zip(beds, every, strict=True):
        placed = []
        for _, placement in placements:
            count += 1
            placed.append((count, placement, report_on(placement, rules.piece)))
        covered.append(
            Covered(rules, tuple(placed), account(rules, placed, saw=saw, moisture=moisture))
        )
    return LaidOut(tuple(covered), tuple(left), lacks)


def cut_with(board: Board | Drawn, cutter: float) -> Board | Drawn:
    """Return a board as it is cut with the cutter that all of its piece is cut with."""
    return replace(board, brief=replace(board.brief, cutter=cutter))


def slices(piece: OffCut, thickness: float, saw: Saw) -> list[OffCut]:
    """Return what a piece gives when it is sawn for boards of ``thickness`` mm; itself where it is not.

    All slices are seen from the face that was measured, its defects in each; price and mass are shared.
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
                Problem(f"off-cut '{name}'", f"is skimmed as a whole, and the boards are to be {says} mm thick", "one thickness a piece", "write wanted = ... in it, or place them apart")
                for name in open_ones
            )
        )  # fmt: skip


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
    own: Sequence[Sequence[Wanted]], beds: Sequence[Rules], within: float, seed: int
) -> tuple[Every, list[int], dict[int, tuple[str, Misfit]]]:
    wanted = own[0]
    left = [i for i, w in enumerate(wanted) for _ in range(w.quantity)]
    every: Every = []
    for rules, of_piece in zip(beds, own, strict=True):
        now = [replace(w, quantity=left.count(i)) for i, w in enumerate(of_piece)]
        placed, left = place_many(rules, now, within, seed)
        every.append(placed)
    lacks: dict[int, tuple[str, Misfit]] = {}
    for index in list(dict.fromkeys(left))[:ASKED]:
        misfits = []
        for rules, of_piece in zip(beds, own, strict=True):
            alone = place_one(of_piece[index].board, Bed(rules), within=within)
            if isinstance(alone, Placement):
                break
            misfits.append((rules.piece.name, alone))
        else:
            lacks[index] = min(misfits, key=lambda m: m[1].lacks)
    return every, left, lacks

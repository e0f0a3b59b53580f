"""What place and estimate share.

Reading off-cuts, laying boards on them, saying what came of it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shapes.collection.board import Board, DrawnBoard
    from shapes.errors import Problem
    from shapes.folders.placement import Blank
    from shapes.library.reading import Reading
    from shapes.placing.lay_out import LaidOut
    from shapes.timber.off_cut import OffCut
    from shapes.timber.thickness import Saw


@dataclass(frozen=True, slots=True)
class Laying:
    """What came of laying boards out.

    Blanks, names left over that should not and that may be, what lacks.
    """

    blanks: list[Blank]
    left: list[str]
    spared: list[str]
    lines: list[str]

    @property
    def over(self) -> list[str]:
        """Every name left over."""
        return self.left + self.spared


def read_off_cuts(names: Sequence[str]) -> list[OffCut]:
    """Read off-cuts from files, or presets by their name; all problems at once."""
    from shapes.cli.common import as_options, note
    from shapes.errors import InputError
    from shapes.library.presets import read_piece

    pieces: list[OffCut] = []
    problems: list[Problem] = []
    for name in _every(names):
        try:
            with as_options():
                pieces.append(read_piece(name, note=note))
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(*problems)
    return pieces


def _every(names: Sequence[str]) -> list[str]:
    """Names, a folder standing for every TOML file in it."""
    every: list[str] = []
    for name in names:
        inside = sorted(Path(name).glob("*.toml")) if Path(name).is_dir() else []
        every += [str(p) for p in inside] or [name]
    return every


def laid_out(
    boards: Sequence[Path],
    off_cuts: Sequence[str],
    reading: Reading,
    brief: Path | None,
    *,
    quantity: str | None = None,
    priority: str | None = None,
    scale: str | None = None,
    within_deg: float = 10.0,
    cutter: str | None = None,
    datum: str = "centre",
    seed: int = 1,
    saw: Saw | None = None,
    moisture: tuple[float | None, float] | None = None,
    not_for_food: bool = False,
    live_edge: bool = False,
    unit: str | None = None,
    first: str | None = None,
    may_be_left: str | None = None,
    patience: float | None = None,
    jobs: int | None = None,
) -> Laying:
    """Lay boards out on off-cuts; what boards lack that ``may_be_left`` is in no line.

    A piece that is not fit for food is set aside unless ``not_for_food``: one of the lines says so.
    """
    from shapes.cli.common import as_options, in_range, note, workers, working
    from shapes.cli.reading import read_all
    from shapes.collection.brief import read_brief
    from shapes.folders.placement import Blank, datum_of
    from shapes.library import laying

    in_range(within_deg, 0, laying.MOST_TURN, "--grain-within")
    in_range(seed, 0, 2**63 - 1, "--seed")
    if patience is not None:
        in_range(patience, *laying.PATIENCE, "--patience")
    processes = workers(jobs)
    every = read_off_cuts(off_cuts)
    found = read_all(boards, reading, read_brief(brief) if brief else None).boards
    shown = unit or next((b.brief.unit for b in found if b.brief.unit), None)
    pieces = [p for p in every if p.fit_for_food or not_for_food]
    aside = [unfit(p) for p in every if p not in pieces]
    for piece in pieces:
        datum_of(piece, datum)  # before the work: whether it is one
    counts = _whole(quantity, len(found), "--quantity", 1, 99)
    ranks, spared = _ranked(len(found), priority, first, may_be_left)
    names = [b.name or b.form for b in found]
    if not pieces:
        every_one = [i for i, n in enumerate(counts) for _ in range(n)]
        return _left_over([], every_one, names, spared, aside)
    scales = None if scale is None else _scales(scale)
    if scales is not None:
        with as_options():
            laying.one_on_one(sum(counts), len(pieces))
    wide = None if cutter is None else _diameter(cutter)
    say_species(found, pieces, stated=brief is not None)
    shown_on, tell = working("laying boards out")
    with shown_on, as_options():
        made = laying.place(
            found,
            pieces,
            quantities=counts,
            priorities=ranks,
            scales=scales,
            within=within_deg,
            cutter=wide,
            keep_live_edge=live_edge,
            saw=saw,
            moisture=moisture,
            patience=math.inf if patience is None else patience,
            seed=seed,
            not_for_food=True,
            jobs=processes,
            tell=tell,
        )
    blanks = [Blank(c, datum_of(c.rules.piece, datum), unit=shown) for c in made.covered]
    if made.hurried:
        note(f"stopped after {patience:g} s with the best found: more patience may place more")
    return _left_over(blanks, made.left, names, spared, aside + _why(made, spared))


def _diameter(text: str) -> float:
    """Read the diameter of the cutter that all boards are cut with, mm."""
    from shapes.cli.common import number_or_text
    from shapes.collection.brief import DIAMETERS
    from shapes.parameters import Range
    from shapes.settings import Number, at

    wanted = Number(Range(*DIAMETERS, "diameter of the cutter", "mm"))
    return float(at("--cutter", wanted, number_or_text(text)))


def _left_over(
    blanks: list[Blank],
    left: Sequence[int],
    names: Sequence[str],
    spared: Sequence[int],
    lines: list[str],
) -> Laying:
    """Tell boards left over, by their index, from those that may be."""
    return Laying(
        blanks,
        [names[i] for i in left if i not in spared],
        [names[i] for i in left if i in spared],
        lines,
    )


def _why(made: LaidOut, spared: Sequence[int]) -> list[str]:
    """Say why each board is left over that should not be, and what would help."""
    lines = []
    for index, (_, misfit) in made.lacks.items():
        if index not in spared:
            scale = (
                ""
                if misfit.largest is None
                else f" (--scale {math.floor(misfit.largest * 100) / 100:g},1)"
            )
            lines.append(made.why(index) + scale)
    return lines + [made.why(i) for i in made.crowded if i not in spared]


def _ranked(
    count: int, priority: str | None, first: str | None, may_be_left: str | None
) -> tuple[list[int], list[int]]:
    """Return the priority of each of ``count`` boards, and those that may be left, by index."""
    from shapes.errors import InputError, Problem

    ranks = _whole(priority, count, "--priority", 1, 9)
    if first is not None and priority is not None:
        raise InputError(
            Problem("--first", "goes without --priority", "", "give the order by one of the two")
        )
    front = _numbers(first, count, "--first")
    spared = _numbers(may_be_left, count, "--may-be-left")
    for place, index in enumerate(front):
        ranks[index] = place - len(front)
    for index in spared:
        ranks[index] = max(ranks) + 1
    return ranks, spared


def said(made: Laying) -> bool:
    """Say on standard error what fails; whether anything does."""
    from collections import Counter

    from shapes.cli.common import note
    from shapes.timber.off_cut import KEPT_SHARE

    bad = False
    for text in made.lines:
        bad = True
        note(text)
    for piece in (b.piece for b in made.blanks):
        if not piece.fit_for_food:
            note(
                f"{piece.name} is NOT FOR FOOD: its origin is '{piece.origin}'; every sheet says so"
            )
    bad = bad or bool(made.left)
    for words, names in (("left over", made.left), ("left over, as may be", made.spared)):
        if names:
            rest = ", ".join(n if c == 1 else f"{c} x {n}" for n, c in Counter(names).items())
            note(f"{words}: {rest}")
    for b in made.blanks:
        if b.piece.keep and b.placed:
            kept_mm, free_mm = b.covered.kept_in_all
            share = kept_mm / max(free_mm, 1e-9)
            note(
                f"{b.piece.name}: {kept_mm:.0f} of {free_mm:.0f} mm of its natural edge"
                f" ({share * 100:.0f} %) are edges of boards"
                + (
                    ""
                    if share >= KEPT_SHARE
                    else (
                        f"; {KEPT_SHARE * 100:.0f} % were asked: give boards with a longer straight side,"
                        " or more of them"
                    )
                )
            )
        for count, placement, report in b.placed:
            kept = b.covered.kept(placement)
            if kept >= 1:
                note(
                    f"board {count} keeps {kept:.0f} mm of the natural edge of {b.piece.name}: ease"
                    " by hand the corners where the cut runs out"
                )
            if not placement.holds:
                bad = True
                near = placement.tightest
                note(
                    f"board {count} is {near.there:.1f} mm from {near.name}, {near.asked:g} asked:"
                    " do not cut it so, and tell us"
                )
            if report.failed:
                bad = True
                note(f"board {count} FAILS {', '.join(report.failed)} as it lies: see shapes check")
    return bad


def unfit(piece: OffCut) -> str:
    """What is said of a piece that is set aside since it is not fit for food."""
    return (
        f"{piece.name} FAILS for food: its origin is '{piece.origin}'; only known solid timber may"
        " touch it: set aside (--not-for-food uses it for what never meets food)"
    )


def other_species(piece: OffCut, own: str) -> str:
    """What is said of boards that were meant to be of another species than their piece."""
    return (
        f"{piece.name} is {piece.species}, not {own}: boards on it are weighed and checked as"
        f" {piece.species}"
    )


def say_species(
    found: Sequence[Board | DrawnBoard], pieces: Sequence[OffCut], *, stated: bool
) -> None:
    """Say where boards come to be of another species than they were drawn for.

    Of a drawing nothing is said unless a brief states (``stated``) what it is to be made of.
    """
    from shapes.cli.common import note
    from shapes.collection.board import Board

    for own in dict.fromkeys(b.brief.species for b in found if stated or isinstance(b, Board)):
        others = [p for p in pieces if p.species != own]
        for piece in others:
            note(other_species(piece, own))


def _scales(text: str) -> tuple[float, float]:
    from shapes.errors import InputError, Problem

    try:
        low, high = (float(v) for v in text.split(","))
    except ValueError:
        raise InputError(
            Problem("--scale", f"'{text}' is not two numbers", "", "write 0.8,1.2")
        ) from None
    if not 0.2 <= low <= high <= 5:
        raise InputError(
            Problem("--scale", f"{text} is out of range", "0.2 to 5, the lesser first")
        )
    return low, high


def _numbers(text: str | None, count: int, where: str) -> list[int]:
    """Read boards by their number, counted from 1, as their indices."""
    from shapes.errors import InputError, Problem

    if text is None:
        return []
    try:
        read = [int(v) - 1 for v in text.split(",")]
    except ValueError:
        raise InputError(
            Problem(where, f"'{text}' is no list of boards' numbers", "", "write 3,1")
        ) from None
    if any(not 0 <= i < count for i in read):
        raise InputError(
            Problem(
                where,
                f"'{text}' names a board that is not there",
                f"allowed 1 to {count}",
                "count the boards as they are named",
            )
        )
    if len(set(read)) < len(read):
        raise InputError(Problem(where, f"'{text}' names a board twice", "", "name each once"))
    return read


def _whole(text: str | None, count: int, where: str, low: int, high: int) -> list[int]:
    """Read one whole number a board; one number goes for all of them."""
    from shapes.errors import InputError, Problem

    if text is None:
        return [1] * count
    try:
        read = [int(v) for v in text.split(",")]
    except ValueError:
        raise InputError(
            Problem(where, f"'{text}' is no list of whole numbers", "", "write 2,1,3")
        ) from None
    if len(read) == 1:
        read = read * count
    if len(read) != count:
        raise InputError(
            Problem(
                where,
                f"names {len(read)} numbers for {count} boards",
                "",
                "one a board, in their order, or one for all",
            )
        )
    if any(not low <= v <= high for v in read):
        raise InputError(Problem(where, f"'{text}' is out of range", f"allowed {low} to {high}"))
    return read

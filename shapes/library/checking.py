"""Check boards, and mend drawings that a cutter cannot follow."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from shapes.collection.board import Board, DrawnBoard, Report, full_report
from shapes.collection.brief import Brief
from shapes.collection.mend import RepairRequest, mend, still_passes
from shapes.errors import InputError, Problem, in_range
from shapes.files.drawing import GAP
from shapes.files.drawing import read_drawing as read_loops
from shapes.geometry.outline import outline
from shapes.library.presets import silent
from shapes.library.reading import Grip
from shapes.library.settings import held_board, sound, with_settings
from shapes.mending.crossings import CannotRepairError, resolved
from shapes.mending.loops import Loops
from shapes.mending.repair import Repaired

MOST_NARROW = 60.0  # mm


def check(
    board: Board | DrawnBoard,
    *,
    brief: Brief | None = None,
    grain: float | None = None,
    grips: Sequence[Grip] = (),
) -> Report:
    """Run every check on a board.

    ``brief`` holds it to another brief than its own. ``grain``: angle of the grain to the board's x
    axis, degrees (along it; of a drawing, as it was read). ``grips``: where hands take hold (x, y
    in mm, degrees), where that is not to be inferred.

    Never raises on a bad board: what is wrong stands in the findings.

    >>> from shapes.library.drawing import generate
    >>> made = generate(Brief(length=420, width=210), 1, pool=12)
    >>> check(made.reports[0].board, brief=Brief(cutter=6)).failed
    ()
    """
    turned = tuple((x, y, math.radians(a)) for x, y, a in grips)
    if isinstance(board, DrawnBoard):
        along = board.grain if grain is None else math.radians(grain)
        board = replace(board, grips=turned or board.grips, grain=along)
    held = board.brief if brief is None else replace(sound(brief), forms=(), handles=())
    return checked(board, held, math.radians(grain or 0.0), turned)


def checked(
    board: Board | DrawnBoard, brief: Brief, grain: float, grips: Sequence[Grip] = ()
) -> Report:
    """Run every check on a board as it is under a brief; angles in radians."""
    return full_report(held_board(board, brief, tuple(grips)), grain)


@dataclass(frozen=True, slots=True, eq=False)
class Mended:
    """A drawing that was mended: its boards before and after, and what was done, in words."""

    before: tuple[Loops, ...]
    after: tuple[Repaired, ...]
    asked: RepairRequest
    notes: tuple[str, ...]

    def write(self, place: str | Path, *, arcs: bool = True) -> None:
        """Write a .dxf or .svg; it takes its name only if what is read back passes.

        ``arcs``: a DXF's edge as lines and arcs within 0.01 mm, else as exact splines. Raises
        OSError.
        """
        _write(self, Path(place), arcs=arcs)


def repair(
    drawing: str | Path,
    cutter: float | str,
    *,
    round_over: float | str | None = None,
    guide_bearing: float | str | None = None,
    thickness: float | str | None = None,
    narrow: float = 0.0,
    unit: str | None = None,
    layers: Sequence[str] = (),
    gap: float = GAP,
    note: Callable[[str], None] = silent,
) -> Mended:
    """Mend what keeps a .dxf or .svg drawing from being cut.

    Only the stretches that fail are drawn anew.

    ``cutter``: its diameter, mm or text with a unit. ``round_over`` or ``guide_bearing``: make room
    for the bearing as well. ``narrow``: thicken wood narrower than this, mm. ``unit``, ``layers``,
    ``gap`` as ``read_boards`` has them; ``note`` hears what was left out.

    Raises InputError where the drawing cannot be read or repaired.
    """
    in_range(narrow, 0, MOST_NARROW, "narrow")
    settings: dict[str, Any] = {
        "cutter": cutter,
        "round_over": round_over,
        "guide_bearing": guide_bearing,
        "thickness": thickness,
    }
    asked = RepairRequest(
        with_settings(Brief(), settings),
        round_over is not None or guide_bearing is not None,
        narrow,
    )
    read = read_loops(Path(drawing), unit, tuple(layers), gap)
    for text in read.notes:
        note(f"{drawing}: {text}")
    try:
        boards, done = resolved(read.boards)
    except CannotRepairError as error:
        raise InputError(Problem(str(drawing), f"cannot be repaired: {error}")) from None
    mended: list[Repaired] = []
    problems = []
    for i, loops in enumerate(boards, start=1):
        where = f"{drawing}: board {i}" if len(boards) > 1 else str(drawing)
        try:
            mended.append(mend(loops, asked))
        except CannotRepairError as error:
            problems.append(Problem(where, f"cannot be repaired: {error}"))
    if problems:
        raise InputError(*problems)
    many = len(mended) > 1
    said = [line for i, r in enumerate(mended, start=1) for line in _said(r, i if many else 0)]
    return Mended(tuple(boards), tuple(mended), asked, (*done, *said))


def _said(r: Repaired, number: int) -> list[str]:
    """Say what was done to one board."""
    name = f"board {number}: " if number else ""
    if r.notes == ["nothing to mend"]:
        return [f"{name}nothing to mend: it is written as it was"]
    count = len(r.stretches)
    first = (
        f"{name}{count} {'stretch' if count == 1 else 'stretches'} of edge drawn anew; it moved by"
        f" {r.moved:.2f} mm at most; {r.gained / 100:.2f} cm2 of wood more, {r.lost / 100:.2f} cm2"
        " less"
    )
    return [first, *(f"{name}{text}" for text in r.notes)]


def _write(made: Mended, out: Path, *, arcs: bool) -> None:
    import tempfile

    from shapes.files.dxf import arcs_of, check_dxf, cut_dxf
    from shapes.files.safe import write_checked
    from shapes.files.svg import check_svg, cut_svg

    outlines = [r.outline for r in made.after]
    same: Callable[[bytes], None]
    if out.suffix.lower() == ".dxf":
        data = cut_dxf(outlines, arcs_of(outlines) if arcs else None)
        same = check_dxf(outlines, (0.0, 0.0))
    else:
        data = cut_svg(outlines).encode()
        same = check_svg(outlines, (0.0, 0.0))

    def check_back(back: bytes) -> None:
        same(back)
        with tempfile.TemporaryDirectory() as folder:
            copy = Path(folder) / f"back{out.suffix.lower()}"
            copy.write_bytes(back)
            again = read_loops(copy)
        if len(again.boards) != len(outlines):
            raise OSError(f"read back {len(again.boards)} boards, not {len(outlines)}")
        for loops in again.boards:
            if not still_passes(outline(loops.edge, loops.openings), made.asked):
                raise OSError("what was read back does not pass")

    write_checked(out, data, check_back)

"""The cutter's verdict on outlines of letters and icons, against offsets by Clipper2 (pyclipr).

Chord error 0.001 mm; a cutter reaches an outline where at most 0.05 mm of wood is left.
"""

from __future__ import annotations

import contextlib
from collections import Counter
from pathlib import Path

import numpy as np
import pytest
from clipper import CHORD, closed_by
from nearest import farthest
from real_outlines import documents
from samples import of

from shapes.checks import report
from shapes.collection.brief import Brief
from shapes.collection.mend import RepairRequest, mend, still_passes, subject
from shapes.errors import OutlineError
from shapes.files.drawing import Drawing, read_drawing
from shapes.files.svg import cut_svg
from shapes.geometry.curve import evaluate, flatten
from shapes.geometry.measures import kinks
from shapes.geometry.outline import Outline, outline
from shapes.mending.crossings import CannotRepairError
from shapes.mending.loops import Loops
from shapes.reach.discs import discs
from shapes.reach.rolling import rolling, uncut_by_rolling
from shapes.tolerances import TOLERANCES

pytestmark = pytest.mark.slow
CUTTERS = (3.0, 6.0, 8.0, 12.7)


def read(folder: Path) -> list[tuple[str, Drawing]]:
    found = []
    for i, (name, text) in enumerate(documents()):
        path = folder / f"{i}.svg"
        path.write_text(text, encoding="utf-8")
        found.append((name, read_drawing(path)))
    return found


def sound(drawings: list[tuple[str, Drawing]]) -> list[tuple[str, Outline]]:
    """The largest board of each drawing, where it is an outline at all."""
    found = []
    for name, drawing in drawings:
        with contextlib.suppress(OutlineError):
            found.append((name, outline(drawing.boards[0].edge, drawing.boards[0].openings)))
    return found


def deepest(board: Outline, cutter: float) -> float:
    """Depth of wood left, by Clipper2, at places all along the curves and at every corner."""
    rings = [flatten(c, CHORD) for c in board.curves]
    closed = closed_by(rings, cutter / 2)
    places = [np.linspace(0, len(c), 24 * len(c), endpoint=False) for c in board.curves]
    return max(
        farthest(evaluate(c, s)[0], closed) for c, s in zip(board.curves, places, strict=True)
    )


def refusal(loops: Loops) -> OutlineError | None:
    try:
        outline(loops.edge, loops.openings)
    except OutlineError as error:
        return error
    return None


def test_every_real_outline_is_read_or_refused_with_its_reason(tmp_path: Path) -> None:
    boards = refused = 0
    for name, drawing in read(tmp_path):
        for loops in drawing.boards:
            boards += 1
            why = refusal(loops)
            if why is not None:
                refused += 1
                assert why.place is not None, name
                assert str(why), name
    print(f"{boards} boards read, {refused} refused for a crossing or a touch")
    assert boards > 800
    assert refused < 0.03 * boards


def test_verdict_of_the_cutter_on_500_real_outlines(tmp_path: Path) -> None:
    table: Counter[tuple[float, bool, bool]] = Counter()
    wrong = []
    boards = sound(read(tmp_path))
    assert len(boards) >= 500
    boards = boards[:: of(1, 8)]
    for i, (name, board) in enumerate(boards):
        ready = rolling(board, discs(board))
        for cutter in CUTTERS[i % 2 :: 2]:  # two of the four for each outline
            depth = deepest(board, cutter)
            clear = uncut_by_rolling(ready, cutter) == ()
            also = depth <= TOLERANCES.uncut
            table[(cutter, clear, also)] += 1
            if clear != also and abs(depth - TOLERANCES.uncut) > 0.005:
                wrong.append((name, cutter, depth, clear))
    for cutter in CUTTERS:
        row = [table[(cutter, ours, theirs)] for ours in (True, False) for theirs in (True, False)]
        print(
            f"{cutter:5.1f} mm: both reach {row[0]}, ours alone {row[1]}, theirs alone {row[2]},"
            f" neither {row[3]}"
        )
    assert not wrong
    assert any((np.abs(kinks(b.edge)) > 0.1).any() for _, b in boards)


def test_repaired_outlines_pass(tmp_path: Path) -> None:
    """Of those that fail only `cutter` or `round-over`, 98 of 100; read back, they pass again."""
    brief = Brief(cutter=6.0, max_mass=30)
    asked = RepairRequest(brief, round_over=True)
    tried = passed = more = 0
    left = []
    for i, (name, drawing) in enumerate(read(tmp_path)[:: of(2, 8)]):
        try:
            board = outline(drawing.boards[0].edge, drawing.boards[0].openings)
        except OutlineError:
            continue
        failed = {f.check for f in report(subject(board, brief)) if f.verdict == "fail"}
        if not failed & {"cutter", "round-over"}:
            continue
        only = failed <= {"cutter", "round-over"}
        if not only and i % 24:
            continue
        tried += only
        try:
            made = mend(drawing.boards[0], asked)
        except CannotRepairError as error:
            left.append(f"{name}: {error}")
            continue
        passed += only
        more += not only
        if i % 5 == 0:
            back = tmp_path / "back.svg"
            back.write_text(cut_svg(made.outline))
            again = read_drawing(back).boards[0]
            assert still_passes(outline(again.edge, again.openings), asked), name
    print(
        f"{passed} of {tried} that fail only the cutter or the round-over pass; so do {more} others"
    )
    print("\n".join(left))
    assert tried >= of(20, 4)
    assert passed >= 0.98 * tried

"""The doors by themselves: what goes in, what comes out, and what they refuse."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
from made_boards import a_box
from made_off_cuts import timber
from PIL import Image

import shapes

BRIEF = shapes.Brief(length=437, width=218, handles=("thumb-hole", "cord-hole"))


@pytest.fixture(scope="module")
def made() -> shapes.Collection:
    return shapes.generate(BRIEF, 3, seed=21, pool=24)


@pytest.fixture(scope="module")
def folder(made: shapes.Collection, tmp_path_factory: pytest.TempPathFactory) -> Path:
    to = tmp_path_factory.mktemp("library") / "boards"
    shapes.write_collection(made, to)
    return to


def test_what_is_drawn_is_what_was_asked(made: shapes.Collection) -> None:
    assert len(made.boards) == 3
    assert all(r.passes for r in made.reports)
    assert len({b.name for b in made.boards} - {""}) == 3
    assert all(r.subject.box[0] < 437.001 and r.subject.box[1] < 218.001 for r in made.reports)
    again = shapes.generate(BRIEF, 3, seed=21, pool=24)
    assert [
        np.array_equal(a.sketch.edge, b.sketch.edge)
        for a, b in zip(made.boards, again.boards, strict=True)
    ] == [True] * 3
    other = shapes.generate(BRIEF, 3, seed=22, pool=24)
    assert not np.array_equal(made.boards[0].sketch.edge, other.boards[0].sketch.edge)


def test_boards_come_back_from_their_folder(made: shapes.Collection, folder: Path) -> None:
    found = shapes.read_boards(folder)
    assert [b.name for b in found] == [b.name for b in made.boards]
    assert [Path(f).name for f in found.files] == ["board.toml"] * 3
    assert len(found[1:]) == 2
    heavy = shapes.read_boards(folder, brief=shapes.Brief(thickness=31, species="hard maple"))
    assert {b.brief.thickness for b in heavy} == {31}
    with pytest.raises(shapes.InputError, match="not empty"):
        shapes.write_collection(made, folder)


def test_a_check_holds_a_board_to_another_brief(made: shapes.Collection) -> None:
    board = made.boards[0]
    assert shapes.check(board).passes
    assert "weight" in shapes.check(board, brief=replace(BRIEF, max_mass=0.31)).failed
    across = shapes.check(board, grain=90.0)
    assert across.subject.grain == pytest.approx(math.pi / 2)
    assert across.board.brief == board.brief
    gripped = shapes.check(board, grips=[(11.0, -7.0, 30.0)])
    assert gripped.subject.grips[0] == pytest.approx((11.0, -7.0, math.pi / 6))


def rectangle(path: Path, long: float, wide: float, notch: float = 0.0) -> Path:
    doc = ezdxf.new(units=4)
    corners = [(0, 0), (long, 0), (long, wide), (0, wide)]
    if notch:
        corners[2:2] = [(long, wide / 3), (long - notch, wide / 2), (long, 2 * wide / 3)]
    doc.modelspace().add_lwpolyline(corners, close=True)
    doc.saveas(path)
    return path


def test_a_drawing_is_turned_with_its_grain_along_x(tmp_path: Path) -> None:
    path = rectangle(tmp_path / "plank.dxf", 131, 307)
    (board,) = shapes.read_drawing(path, grain=90.0, grips=[(65.5, 300.0, 90.0)])
    report = shapes.check(board)
    assert report.subject.box == pytest.approx((307, 131))
    assert board.grips[0] == pytest.approx((146.5, 0.0, 0.0), abs=1e-9)
    with pytest.raises(shapes.InputError, match="is no drawing"):
        shapes.read_drawing(tmp_path / "board.toml")


def test_a_notch_that_no_cutter_reaches_is_mended(tmp_path: Path) -> None:
    path = rectangle(tmp_path / "notched.dxf", 310, 190, notch=41)
    heard: list[str] = []
    done = shapes.repair(path, "1/2 in", note=heard.append)
    done.write(tmp_path / "mended.dxf")
    reach = [
        f
        for f in shapes.check(
            shapes.read_drawing(tmp_path / "mended.dxf")[0], brief=shapes.Brief(cutter=12.7)
        ).findings
        if f.check == "cutter"
    ]
    assert {f.verdict for f in reach} == {"pass"}
    assert {
        f.verdict
        for f in shapes.check(
            shapes.read_drawing(path)[0], brief=shapes.Brief(cutter=12.7)
        ).findings
        if f.check == "cutter"
    } == {"fail"}
    assert "drawn anew" in done.notes[0]


def test_relatives_and_a_set_of_sizes(made: shapes.Collection) -> None:
    board = made.boards[0]
    near = shapes.vary(board, 3, 0.3, seed=4)
    assert {b.form for b in near.boards} == {board.form}
    assert len({b.name for b in near.boards} | {board.name}) == 4
    assert 0 < near.least_difference < 0.25
    sizes = [r.subject.box[0] for r in shapes.vary(board, sizes=2).reports]
    assert sizes == sorted(sizes, reverse=True)
    slim = shapes.vary(board, 1, 0.0, width="7 in", fewer=True).reports[0]
    assert slim.subject.box[1] <= 7 * 25.4


def test_from_boards_to_a_batch_where_they_lie(made: shapes.Collection, tmp_path: Path) -> None:
    """The whole way.

    Placed, written, read back, planned and prepared for the piece, refused elsewhere.
    """
    piece = shapes.read_piece("live-edge-cherry")
    told: list[str] = []
    laid = shapes.place(made.boards[:2], [piece], within=8.0, patience=3, tell=told.append)
    (covered,) = laid.covered
    assert len(covered.placed) + len(laid.left) == 2
    assert covered.placed
    for _, p, report in covered.placed:
        assert all(c.there >= c.asked - 0.01 for c in p.clearances)
        assert report.board.brief.species == piece.species
        assert abs(math.degrees(report.subject.grain)) <= 8.01
    assert told
    for index in laid.left:
        assert laid.names[index] in laid.why(index)
    for _, p, _ in covered.placed:
        assert p.turned == pytest.approx(math.degrees(math.remainder(p.pose.angle, math.tau)))
        assert len(repr(p)) < 300
    shapes.write_placement(laid, tmp_path / "placed", datum="corner")
    found = shapes.read_boards(tmp_path / "placed")
    assert len(found) == len(covered.placed) == len(found.lies)
    assert {found.lies[i].blank.datum for i in range(len(found))} == {piece.corner}
    assert piece.corner != piece.centre
    planned = shapes.plan(found)
    assert [j.name for j in planned.jobs] == [b.name for b in found]
    with pytest.raises(shapes.RefusedError, match="lies on"):
        shapes.export(found, tmp_path / "machine")
    assert not (tmp_path / "machine").exists()
    heard: list[str] = []
    done = shapes.prepare(found, tmp_path / "batch", note=heard.append)
    assert all((tmp_path / "batch" / f).exists() for f in done.files)
    assert any("cutting length is not known" in h for h in heard)
    with pytest.raises(shapes.InputError, match="quantity"):
        shapes.prepare(found, tmp_path / "twice", shapes.Work(quantities=(2,)))
    assert not (tmp_path / "twice").exists()


def test_what_fails_does_not_leave_the_shop(made: shapes.Collection, tmp_path: Path) -> None:
    with pytest.raises(shapes.RefusedError, match="FAILS weight"):
        shapes.export(made.boards, tmp_path / "x", settings={"max_mass": 0.21})
    with pytest.raises(shapes.RefusedError, match="FAILS weight"):
        shapes.prepare(made.boards, tmp_path / "x", shapes.Work(settings={"max_mass": 0.21}))
    assert not (tmp_path / "x").exists()
    files, reports = shapes.export(
        made.boards[:1], tmp_path / "x", ["dxf"], settings={"max_mass": 0.21}, anyway=True
    )
    assert len(files) == 2
    assert reports[0].failed == ("weight",)


def test_a_board_shows_itself_in_a_notebook(made: shapes.Collection) -> None:
    import io

    wide = Image.open(io.BytesIO(shapes.picture(made.boards[0], pixels=317)))
    assert wide.width == 317
    for thing in (made.boards[1], made.reports[1]):
        shown = Image.open(io.BytesIO(thing._repr_png_()))
        assert (shown.format, shown.width) == ("PNG", 900)
    assert Image.open(io.BytesIO(made._repr_png_())).width == 2480
    assert len(repr(made.boards[0])) < 120
    assert len(repr(made)) < 700


PIECE = shapes.read_piece("ash-wedge")
REFUSED: list[tuple[str, Callable[[shapes.Board], Any]]] = [
    ("count: 0 is out of range; allowed 1 to 99", lambda b: shapes.generate(BRIEF, 0)),
    ("seed: -1 is out of range", lambda b: shapes.generate(BRIEF, 2, seed=-1)),
    ("pool: 3 is out of range; allowed 5 to", lambda b: shapes.generate(BRIEF, 5, pool=3)),
    ("did you mean 'carry-boards'", lambda b: shapes.read_brief("cary-boards")),
    ("did you mean 'ash-wedge'", lambda b: shapes.read_piece("ash-wegde")),
    ("there is no such file", lambda b: shapes.read_brief("not-there.toml")),
    ("how_far: 1.2 is out of range", lambda b: shapes.vary(b, how_far=1.2)),
    ("sizes: 9 is out of range", lambda b: shapes.vary(b, sizes=9)),
    ("there is no handle 'knob'", lambda b: shapes.vary(b, handle="knob")),
    ("length: 5 is out of range", lambda b: shapes.vary(b, length=5)),
    ("quantities: are 1 for 2 boards", lambda b: shapes.place([b, b], [PIECE], quantities=[1])),
    ("within: 46 is out of range", lambda b: shapes.place([b], [PIECE], within=46)),
    ("scale: goes with one board on one", lambda b: shapes.place([b, b], [PIECE], scales=(0.5, 1))),
    ("is not fit for food", lambda b: shapes.place([b], [replace(PIECE, origin="pallet")])),
    ("pixels: 20 is out of range", lambda b: shapes.picture(b, pixels=20)),
    ("narrow: 61 is out of range", lambda b: shapes.repair("x.dxf", 6, narrow=61)),
    ("nowhere: there is no such file", lambda b: shapes.read_boards("nowhere")),
    ("formats: unknown format 'stl'; dxf, svg, pdf, png", lambda b: shapes.export([b], "x", "stl")),
    ("beside: unknown thing 'cat'; plate, loaf, hand", lambda b: shapes.picture(b, beside="cat")),
    (
        "brief: thickness: -22 is out of",
        lambda b: shapes.check(b, brief=replace(BRIEF, thickness=-22)),
    ),
    ("unknown name 'hook'", lambda b: shapes.generate(replace(BRIEF, handles=("hook",)), 1)),
    ("'cheese-board' is a name", lambda b: shapes.generate("cheese-board")),  # type: ignore[arg-type]
    ("quantities: 0 is out of range", lambda b: shapes.place([b], PIECE, quantities=0)),
    ("boards: there are none", lambda b: shapes.place([], PIECE)),
    ("are a dict", lambda b: shapes.prepare({}, "x")),  # type: ignore[arg-type]
    ("goes with a brief", lambda b: shapes.generate(_source(), 2, piece=PIECE)),
]


def _source() -> Any:
    from shapes.library.drawing import source_of

    return source_of(BRIEF)


@pytest.mark.parametrize(("words", "call"), REFUSED, ids=[w for w, _ in REFUSED])
def test_what_is_wrong_is_said_in_a_line(
    words: str, call: Callable[[shapes.Board], Any], made: shapes.Collection
) -> None:
    with pytest.raises(shapes.InputError) as caught:
        call(made.boards[0])
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(("within", "fits"), [(10.0, True), (6.0, False)])
def test_boards_are_turned_as_far_as_is_said_and_no_further(within: float, fits: bool) -> None:
    """A bar of 240 x 20 mm turned by 10 degrees lies in 239.8 x 61.4 mm, by 6 in 240.8."""
    angle = math.radians(10)
    size = (
        240 * math.cos(angle) + 20 * math.sin(angle),
        240 * math.sin(angle) + 20 * math.cos(angle),
    )
    piece = timber(size[0] + 22.1, size[1] + 22.1)
    laid = shapes.place([a_box(240, 20, "bar")], [piece], within=within, cutter=6.0)
    assert (laid.left == ()) == fits
    assert laid.names == ("bar",)

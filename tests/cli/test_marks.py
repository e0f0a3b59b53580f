"""Marks of a stated width and place, names from a list, a logo with text, beds.

Files by GDAL and ezdxf.
"""

from __future__ import annotations

import csv
import io
import json
import math
from pathlib import Path

import ezdxf
import pytest
import shapely
from ezdxf import path as paths

from shapes.cli.app import run
from shapes.collection.draw import outline_of
from shapes.files.recipe import read_recipe
from shapes.geometry.curve import flatten, polygon
from shapes.geometry.outline import outline
from shapes.library.reading import _centred

ARTWORK = str(Path(__file__).parents[2] / "gallery" / "artwork.dxf")


@pytest.fixture(scope="module")
def board(collection_folder: Path) -> str:
    recipes = sorted(collection_folder.glob("*/board.toml"))
    return str(next(r for r in recipes if 'form = "mussel"' in r.read_text()).parent)


def bounds_of(file: Path, layer: str = "ENGRAVE") -> tuple[float, float, float, float]:
    space = ezdxf.readfile(file).modelspace()
    lines = [
        shapely.LineString([(v.x, v.y) for v in paths.make_path(e).flattening(0.002)])
        for e in space
        if e.dxf.layer == layer
    ]
    x0, y0, x1, y1 = shapely.union_all(lines).bounds
    return x0, y0, x1, y1


def top_of(board: str) -> tuple[float, float]:
    """The highest place of a board's edge, mm."""
    ring = flatten(outline_of(read_recipe(Path(board) / "board.toml").sketch).edge)
    x, y = ring[ring[:, 1].argmax()]
    return float(x), float(y)


def prepared(board: str, out: Path, *options: str) -> Path:
    assert run(["prepare", board, "--to", str(out), "--pixels", "200", *options]) == 0
    return next(p for p in out.iterdir() if p.is_dir())


def test_a_mark_has_the_width_and_the_place_that_were_asked(board: str, tmp_path: Path) -> None:
    folder = prepared(
        board,
        tmp_path / "b",
        "--text",
        "Mill",
        "--artwork",
        ARTWORK,
        "--mark-width",
        "52",
        "--mark-at",
        "14,-6",
    )
    x0, y0, x1, y1 = bounds_of(folder / "engrave-UNDERSIDE.dxf")
    assert x1 - x0 == pytest.approx(52, abs=0.05)
    assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((0, 0), abs=0.05)
    ax0, ay0, ax1, ay1 = bounds_of(folder / "setting-out-UNDERSIDE.dxf", "AREA")
    assert ((ax0 + ax1) / 2, (ay0 + ay1) / 2) == pytest.approx((14, -6), abs=1e-4)
    made = json.loads((tmp_path / "b" / "batch.json").read_text())["boards"][0]["engraving"]
    assert made["area"]["length"] == pytest.approx(52)
    assert made["says"] == "Mill"


def test_every_name_has_its_file_in_letters_of_one_size(board: str, tmp_path: Path) -> None:
    names = tmp_path / "names.csv"
    names.write_text("Ada,first\nBartholomew\n\nHen\n")
    folder = prepared(board, tmp_path / "b", "--text", "{name}", "--names", str(names))
    found = {p.name for p in folder.glob("engrave*.dxf")}
    assert found == {f"engrave-UNDERSIDE-{n}.dxf" for n in ("01-Ada", "02-Bartholomew", "03-Hen")}
    high = [bounds_of(folder / f"engrave-UNDERSIDE-{n}.dxf") for n in ("01-Ada", "03-Hen")]
    # Both begin with a capital and have no descender: alike to the overshoot of round letters.
    assert high[0][3] - high[0][1] == pytest.approx(high[1][3] - high[1][1], rel=0.12)
    rows = list(csv.DictReader(io.StringIO((tmp_path / "b" / "record.csv").read_text())))
    assert [r["engraved"] for r in rows] == ["Ada", "Bartholomew", "Hen"]
    assert json.loads((tmp_path / "b" / "batch.json").read_text())["boards"][0]["quantity"] == 3
    assert "01 Ada, 02 Bartholomew, 03 Hen" in (folder / "worksheet.html").read_text()


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (
            ["--text", "Hi", "--mark-width", "600"],
            "a mark 600 mm wide does not fit on the underside; up to ",
        ),
        (["--text", "Hi", "--mark-at", "TOP"], "lies too near an edge"),
        (["--text", "Hi", "--mark-at", "here"], "--mark-at: 'here' is no point; write X,Y in mm"),
        (["--text", "Hi", "--names", "names.csv"], "--names: has no place to go to"),
        (["--text", "{name}", "--names", "none.csv"], "none.csv cannot be read as a CSV"),
        (
            ["--text", "{name}", "--names", "names.csv", "--quantity", "5"],
            "2 names go with one board made 2 times",
        ),
    ],
)
def test_marks_that_cannot_be_made_get_one_line(
    board: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    options: list[str],
    says: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("names.csv").write_text("Ada\nCem\n")
    Path("board.toml").write_text((Path(board) / "board.toml").read_text())
    x, y = top_of(board)
    options = [o.replace("TOP", f"{x:.0f},{y - 6:.0f}") for o in options]
    assert run(["prepare", "board.toml", "--to", "out", *options]) == 2
    err = capsys.readouterr().err
    assert says in err
    assert not Path("out").exists()


def test_a_frame_larger_than_the_bed_is_refused(
    board: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text("[laser]\nlength = 300\nwidth = 200\n")
    line = ["prepare", board, "--to", str(tmp_path / "x"), "--text", "Hi", "--workshop", str(shop)]
    assert run(line) == 2
    assert "does not lie on the laser; its bed is 300 x 200 mm" in capsys.readouterr().err
    shop.write_text("[laser]\nlength = 300\nwidth = 500\n")  # turned on the bed it fits
    assert run([*line, "--pixels", "200"]) == 0


def test_another_handle_on_the_same_body(
    board: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from shapes.geometry.outline import bounds

    own = read_recipe(Path(board) / "board.toml")
    other = "thumb-hole" if own.handle == "cord-hole" else "cord-hole"
    line = ["vary", board, "--how-far", "0", "--count", "1", "--plain"]
    assert run([*line, "--handle", other, "--out", str(tmp_path / "h")]) == 0
    made = read_recipe(next((tmp_path / "h").glob("01-*")) / "board.toml")
    assert (made.form, made.handle) == (own.form, other)
    a, b = (outline_of(m.sketch) for m in (own, made))
    assert bounds(a) == pytest.approx(bounds(b), abs=0.1)
    assert a.wood.symmetric_difference(b.wood).area < 0.1 * a.wood.area
    assert run([*line, "--handle", "neck", "--out", str(tmp_path / "n")]) == 2
    assert f"a neck does not go with the form {own.form}" in capsys.readouterr().err
    # A recipe whose form and handle do not go together is refused too.
    spoilt = tmp_path / "board.toml"
    text = (Path(board) / "board.toml").read_text()
    spoilt.write_text(text.replace(f'form = "{own.form}"', 'form = "paddle"'))
    assert run(["vary", str(spoilt), "--out", str(tmp_path / "s")]) == 2
    assert "does not go with the form paddle" in capsys.readouterr().err
    assert run([*line, "--thickness", "24", "--out", str(tmp_path / "t")]) == 0
    thick = read_recipe(next((tmp_path / "t").glob("01-*")) / "board.toml")
    assert thick.brief.thickness == 24


def test_a_length_that_is_asked_leaves_the_width_alone(board: str, tmp_path: Path) -> None:
    from shapes.files.recipe import read_recipe

    own = read_recipe(Path(board) / "board.toml")
    assert own.genes is not None
    line = ["vary", board, "--count", "3", "--plain", "--fewer", "--out", str(tmp_path / "l")]
    asked = round(own.genes.row.box[0] * 0.93)
    assert run([*line, "--length", str(asked)]) == 0
    every = list((tmp_path / "l").glob("0*/board.toml"))
    assert every
    for made in every:
        genes = read_recipe(made).genes
        assert genes is not None
        assert 0.7 * asked <= genes.row.box[0] <= asked
        assert genes.row.box[1] == pytest.approx(own.genes.row.box[1], abs=0.03)


def test_each_mark_goes_on_its_own_face(board: str, tmp_path: Path) -> None:
    prepared(
        board,
        tmp_path / "b",
        "--text",
        "HI",
        "--on",
        "underside",
        "--print-text",
        "HI",
        "--print-on",
        "handle",
        "--anyway",
    )
    made = json.loads((tmp_path / "b" / "batch.json").read_text())["boards"][0]
    assert made["engraving"]["face"] == "underside"
    assert made["print"]["face"] == "handle"


def test_a_grip_turns_with_the_grain() -> None:
    """300 x 120 about (0, 0), grain at 30 degrees.

    What was at (100, 0) lies at (86.6, -50), turned by -30.
    """
    box = outline(polygon([(-150, -60), (150, -60), (150, 60), (-150, 60)]))
    made, grips, grain = _centred(box, ((100.0, 0.0, 0.0),), math.radians(30))
    assert grain == 0.0
    ((x, y, angle),) = grips
    assert (x, y) == pytest.approx((86.602540, -50.0), abs=1e-6)
    assert math.degrees(angle) == pytest.approx(-30)
    assert made.wood.centroid.distance(shapely.Point(0, 0)) < 1e-6

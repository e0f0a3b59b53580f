"""From a piece to its batch, walked as a maker walks it: piece, placing, prepare; files by GDAL."""

from __future__ import annotations

import csv
import io
import json
import math
import re
import shutil
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2 as pdfium
import pytest
import shapely
from gdal import by_gdal

from shapes.cli.app import run

SHOP = str(Path(__file__).parents[2] / "presets" / "workshop.toml")
PIECE = """
species = "black cherry"
thickness = 31
wanted = 20
grain = 3
origin = "known solid timber"
[outline]
offsets = [232, 236, 229, 238, 240, 233, 236]
every = 100
natural = true
[[defects]]
kind = "knot"
circle = [560, 60, 30]
[price]
per_piece = 24.0
"""
DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="110mm" viewBox="0 0 200'
    ' 110"><rect x="0" y="0" width="200" height="110" rx="40"/></svg>'
)


@pytest.fixture(scope="module")
def made(collection_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A placement of a recipe and of a drawing, and its batch."""
    folder = tmp_path_factory.mktemp("walked")
    (folder / "piece.toml").write_text(PIECE)
    (folder / "mine.svg").write_text(DRAWING)
    board = str(next(collection_folder.glob("01-*")))
    line = ["place", board, str(folder / "mine.svg"), "--off-cut", str(folder / "piece.toml")]
    assert run([*line, "--datum", "40,25", "--out", str(folder / "placed")]) == 0
    more = ["--to", str(folder / "batch"), "--workshop", SHOP, "--text", "HI", "--pixels", "300"]
    assert run(["prepare", str(folder / "placed"), *more, "--anyway"]) == 0
    return folder


def listed(made: Path) -> dict[str, Any]:
    return dict(json.loads((made / "batch" / "batch.json").read_text()))


def sheet(made: Path) -> str:
    doc = pdfium.PdfDocument(made / "batch" / "01-piece" / "worksheet.pdf")
    text = " ".join(p.get_textpage().get_text_range() for p in doc)
    doc.close()
    return " ".join(text.split())


def test_there_is_one_cut_file_and_it_lies_as_the_placement_does(made: Path) -> None:
    batch = made / "batch"
    assert [p.parent.name for p in batch.rglob("cut.dxf")] == ["01-piece"]
    assert [p.parent.name for p in batch.rglob("worksheet.pdf")] == ["01-piece"]
    own, placed = (by_gdal(f / "01-piece" / "cut.dxf") for f in (batch, made / "placed"))
    assert set(own) == {"EDGE", "OPENING"}
    for layer in own:
        for a, b in zip(own[layer], placed[layer], strict=True):
            assert shapely.hausdorff_distance(a, b) < 1e-5
    there = {str(p.relative_to(batch)) for p in batch.rglob("*")}
    assert set(listed(made)["files"]) == there


def test_somebodys_own_drawing_on_the_piece_is_not_lost(made: Path) -> None:
    names = [b["name"] for b in listed(made)["boards"]]
    assert len(names) == 2
    assert "mine" in names
    assert (made / "batch" / "01-piece" / f"{names.index('mine') + 1}-mine" / "board.png").is_file()


def test_tabs_of_the_setting_out_file_are_those_of_the_sheet(made: Path) -> None:
    found = by_gdal(made / "batch" / "01-piece" / "setting-out.dxf")
    tabs = [shapely.Polygon(t.coords) for t in found["TAB"]]
    told = [t for b in listed(made)["boards"] for c in b["cutting"]["cuts"] for t in c["tabs"]]
    assert len(tabs) == len(told) >= 5
    (blank,) = found["BLANK"]
    wood = shapely.Polygon(blank.coords)
    for x, y in told:
        near = min(tabs, key=lambda t: t.distance(shapely.Point(x, y)))
        assert near.distance(shapely.Point(x, y)) < 0.01
        assert wood.covers(near)
        assert f"({round(x)}, {round(y)})" in sheet(made)
    screws = listed(made)["blanks"][0]["screws_mm"]
    assert len(screws) >= 3
    assert len(found["FIXING"]) == len(screws)


def test_both_setting_out_files_count_from_the_datum(made: Path) -> None:
    """The piece is 600 mm long and begins 40 mm left and 25 mm below of its datum."""
    for folder in ("placed", "batch"):
        (blank,) = by_gdal(made / folder / "01-piece" / "setting-out.dxf")["BLANK"]
        assert blank.bounds[:3] == pytest.approx((-40, -25, 560), abs=1e-6)


def test_the_placement_picture_measures_the_datum_both_ways(made: Path) -> None:
    """40 mm from the left edge and 25 from the lower one.

    The grain's arrow as it runs, y turned down.
    """
    for folder in ("placed", "batch"):
        picture = (made / folder / "01-piece" / "placement.svg").read_text()
        assert ">40.0<" in picture
        assert ">25.0<" in picture
        assert "rotate(-3)" in picture


def test_the_order_is_as_long_as_all_that_is_cut_of_it(made: Path) -> None:
    told = listed(made)
    each = sum(b["cutting"]["length_mm"] * b["to_make"] for b in told["boards"])
    assert told["length_of_cut_mm"] == pytest.approx(each, abs=1)


def test_the_zero_of_a_mark_is_from_the_frames_corner_x_first(made: Path) -> None:
    """From the frame's file: the mark's datum less the corner of its opening, as that face lies."""
    first = listed(made)["boards"][0]
    folder = made / "batch" / "01-piece" / f"1-{first['name']}"
    frame = by_gdal(folder / "frame-UNDERSIDE.dxf")
    corner = np.min([g.bounds[:2] for layer in frame.values() for g in layer], axis=0)
    area = first["engraving"]["area"]
    x, y = area["x"] - corner[0], area["y"] - corner[1]
    assert abs(x - y) > 5
    assert f"x {x:.1f}, y {y:.1f} from the frame's lower left corner" in sheet(made)


def test_the_widest_cutter_of_the_boards_counts_where_none_is_said(
    made: Path, tmp_path: Path
) -> None:
    """Briefs with cutters of 6 and 8 mm: 8 for the piece, so 8 + 5 from its sawn edge."""
    own = sorted((made / "placed" / "01-piece").glob("board-*.toml"))[0].read_text()
    for cutter in (6, 8):
        (tmp_path / f"{cutter}").mkdir()
        text = re.sub(r"(?m)^cutter = .*$", f"cutter = {cutter}.0", own)
        assert f"cutter = {cutter}.0" in text
        (tmp_path / f"{cutter}" / "board.toml").write_text(
            re.sub(r"(?m)^lies_at = \[[^]]*\]\n", "", text)
        )
    out = tmp_path / "placed"
    boards = [str(tmp_path / "6"), str(tmp_path / "8")]
    (tmp_path / "wide.toml").write_text(
        'thickness = 26\nspecies = "black walnut"\norigin = "known solid'
        ' timber"\n[outline]\nrectangle = [900, 700]\n'
    )
    assert run(["place", *boards, "--off-cut", str(tmp_path / "wide.toml"), "--out", str(out)]) == 0
    (piece,) = json.loads((out / "placement.json").read_text())["off_cuts"]
    assert piece["cutter_mm"] == 8
    asked = {
        c["asked_mm"]
        for b in piece["boards"]
        for c in b["clearances"]
        if c["name"] == "the edge of the piece"
    }
    assert asked == {13.0}


def test_the_sheet_is_about_the_piece(made: Path) -> None:
    text = sheet(made)
    assert "31 mm thick as found" in text
    assert "11 mm comes off in all" in text
    assert "the first face again, to 20.5 mm thick, turn, the second to 20" in text
    assert "finish -20.3" in text
    (stock,) = listed(made)["blanks"]
    assert stock["skim"]["first_mm"][-1] == 5.5
    for one in stock["natural_edge_mm"]:
        near = (math.floor(one["length"]), math.ceil(one["length"]))
        assert any(f"{n} mm: nothing is cut there" in text for n in near)


def test_timber_in_the_prices_is_the_account_of_the_placement(made: Path) -> None:
    account = json.loads((made / "placed" / "placement.json").read_text())["off_cuts"][0]["account"]
    rows = list(csv.DictReader(io.StringIO((made / "batch" / "prices.csv").read_text())))
    for line, row in zip(account["lines"], rows, strict=False):
        assert row["board"] == line["name"]
        assert float(row["timber"]) == pytest.approx(line["cost"], abs=0.006)
    shared = sum(n["cost"] for n in account["lines"])
    assert float(rows[-1]["timber"]) == pytest.approx(shared, abs=0.02)


def test_an_offer_of_a_board_on_a_piece_asks_what_the_batch_does(made: Path) -> None:
    """A board ordered alone.

    Its line of the price table and the set-up, skims of the piece in it.
    """
    out, offer = made / "unmarked", made / "offer.html"
    assert (
        run(
            [
                "prepare",
                str(made / "placed"),
                "--to",
                str(out),
                "--workshop",
                SHOP,
                "--pixels",
                "200",
                "--anyway",
            ]
        )
        == 0
    )
    rows = list(csv.DictReader(io.StringIO((out / "prices.csv").read_text())))
    once = float(rows[-2]["price"])
    assert run(["offer", str(made / "placed"), "--out", str(offer), "--workshop", SHOP]) == 0
    for row in rows[:-2]:
        assert f"price {float(row['price']) + once:.2f}" in offer.read_text()
    assert {r["piece"] for r in csv.DictReader(io.StringIO((out / "record.csv").read_text()))} == {
        "piece"
    }


def test_figures_agree_on_console_sheet_and_in_json(
    made: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    assert (
        run(
            [
                "prepare",
                str(made / "placed"),
                "--to",
                str(made / "again"),
                "--workshop",
                SHOP,
                "--text",
                "HI",
                "--pixels",
                "200",
                "--anyway",
            ]
        )
        == 0
    )
    console = capsys.readouterr().out
    data = listed(made)
    for board in data["boards"]:
        (line,) = (r for r in console.splitlines() if r.startswith(board["name"]))
        assert f"{math.ceil(board['minutes_router'] - 1e-9)} min" in line
        assert f"{sum(board['oil_ml']):.0f}" in line.split()
    (stock,) = data["blanks"]
    assert stock["minutes_machine"] == pytest.approx(
        sum(b["minutes_router"] for b in data["boards"]), abs=0.02
    )
    assert f"{math.ceil(stock['minutes_machine'])} min at the machine" in sheet(made)
    assert stock["minutes_machine"] == pytest.approx(stock["minutes_cutting"] + 6.0, abs=0.01)


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--cutter", "8"], "--cutter: the boards lie on piece as they were placed"),
        (["--thickness", "18"], "--thickness: the boards lie on piece as they were placed"),
        (["--quantity", "2"], "--quantity: a placement holds one board for each place"),
        (["--measured", "32"], "the piece it lies on is 31 mm thick and the board 32 mm"),
    ],
)
def test_what_cannot_be_asked_of_a_piece(
    made: Path, tmp_path: Path, options: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    line = ["prepare", str(made / "placed"), "--to", str(tmp_path / "x"), "--anyway"]
    assert run([*line, *options]) == 2
    assert says in capsys.readouterr().err
    assert not (tmp_path / "x").exists()


def test_one_board_of_a_piece_is_not_cut_alone(
    made: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    one = next((made / "placed").rglob("board-*.toml"))
    assert run(["prepare", str(one), "--to", str(tmp_path / "x"), "--anyway"]) == 2
    assert "piece: holds 2 boards, of which 1 named: it is cut whole" in capsys.readouterr().err
    assert run(["export", str(one), "--to", str(tmp_path / "y")]) == 1
    assert "lies on piece: it is cut by the cut.dxf of that piece" in capsys.readouterr().err
    assert run(["check", str(one.parent), "--json"]) in (0, 1)
    assert len(json.loads(capsys.readouterr().out)) == 2
    assert not (tmp_path / "x").exists()
    assert not (tmp_path / "y").exists()


def test_a_failing_board_is_refused_and_is_loud_where_it_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    paddle = shapely.union(shapely.box(0, 0, 220, 150), shapely.box(200, 64, 380, 88))
    ring = shapely.get_coordinates(
        paddle.buffer(-10, quad_segs=60).buffer(24, quad_segs=60).buffer(-14, quad_segs=60).exterior
    )
    points = " ".join(f"{x:.4f},{y:.4f}" for x, y in ring)
    board = str(tmp_path / "paddle.svg")
    Path(board).write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="160mm" viewBox="0 0 400'
        f' 160"><polygon points="{points}"/></svg>'
    )
    out = tmp_path / "batch"
    light = [
        "prepare",
        board,
        "--to",
        str(tmp_path / "light"),
        "--grip",
        "300,-76",
        "--pixels",
        "200",
        "--load",
        "0.1",
    ]
    assert run(light) == 0, "the same board carries little"
    heavy = [
        "prepare",
        board,
        "--to",
        str(out),
        "--grip",
        "300,-76",
        "--load",
        "20",
        "--pixels",
        "200",
    ]
    capsys.readouterr()
    assert run(heavy) == 1
    told = capsys.readouterr().err
    assert "FAILS strength: " in told
    assert "or say --anyway" in told
    assert not out.exists()
    assert run([*heavy, "--anyway"]) == 0
    made = json.loads((out / "batch.json").read_text())["boards"][0]
    assert "strength" in made["fails"]
    (row,) = csv.DictReader(io.StringIO((out / "record.csv").read_text()))
    assert "strength" in row["fails"]
    html = next(out.rglob("worksheet.html")).read_text()
    assert html.index('<p class="alarm">') < html.index("<figure>")
    assert f"{made['name']} FAILS strength: " in html
    doc = pdfium.PdfDocument(next(out.rglob("worksheet.pdf")))
    assert "FAILS strength" in " ".join(doc[0].get_textpage().get_text_range().split())
    doc.close()
    capsys.readouterr()
    assert (
        run(["export", board, "--to", str(tmp_path / "x"), "--grip", "300,-76", "--load", "20"])
        == 1
    )
    assert "FAILS strength: " in capsys.readouterr().err
    assert not (tmp_path / "x").exists()


def test_timber_that_is_not_for_food_is_refused_and_says_so_on_everything(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    board = str(next(collection_folder.glob("01-*")))
    placed, batch = tmp_path / "placed", tmp_path / "batch"
    found = tmp_path / "found beech.toml"
    found.write_text(
        'species = "european beech"\nthickness = 25\nwanted = 18\norigin ='
        ' "unknown"\n[outline]\nrectangle = [460, 280]\n'
    )
    place = ["place", board, "--off-cut", str(found), "--out", str(placed)]
    assert run(place) == 1
    assert not placed.exists()
    assert run(["generate", "--off-cut", str(found), "--out", str(tmp_path / "g")]) == 1
    assert not (tmp_path / "g").exists()
    assert run([*place, "--not-for-food"]) in (0, 1)  # of beech it may weigh too much
    assert placed.is_dir()
    prepare = ["prepare", str(placed), "--to", str(batch), "--pixels", "200", "--anyway"]
    capsys.readouterr()
    assert run(prepare) == 1
    assert "found beech: is not fit for food: its origin is 'unknown'" in capsys.readouterr().err
    assert not batch.exists()
    assert run([*prepare, "--not-for-food"]) == 0
    for file in ("care-cards.pdf", "01-found-beech/worksheet.pdf"):
        doc = pdfium.PdfDocument(batch / file)
        text = " ".join(doc[0].get_textpage().get_text_range().split())
        doc.close()
        assert "NOT FOR FOOD" in text
        assert "serving board of" not in text
    assert json.loads((batch / "batch.json").read_text())["boards"][0]["for_food"] is False
    (row,) = csv.DictReader(io.StringIO((batch / "record.csv").read_text()))
    assert row["for food"] == "NOT FOR FOOD"
    offer = tmp_path / "offer.html"
    assert run(["offer", str(placed), "--out", str(offer)]) == 0
    assert "NOT FOR FOOD" in offer.read_text()


def test_a_sound_piece_is_used_where_another_is_set_aside(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    board = str(next(collection_folder.glob("01-*")))
    line = ["place", board, "--off-cut", "found-beech", "--off-cut", "walnut-end", "--json"]
    assert run(line) == 1
    told = capsys.readouterr()
    assert [b["off_cut"] for b in json.loads(told.out)["off_cuts"]] == ["walnut end"]
    assert "found beech FAILS for food" in told.err


def test_boards_of_two_briefs_on_one_piece_are_cut_with_one_cutter_and_told_apart(
    collection_folder: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A recipe for a 6 mm cutter and a drawing that is rounded over by 3 mm, placed for 8 mm."""
    monkeypatch.chdir(tmp_path)
    Path("piece.toml").write_text(PIECE)
    Path("mine.svg").write_text(DRAWING)
    own = str(next(collection_folder.glob("01-*")))
    text = (Path(own) / "board.toml").read_text()
    Path("board.toml").write_text(text.replace("round_over = 6.0", "round_over = 3.0"))
    assert "round_over = 3.0" in Path("board.toml").read_text()
    assert (
        run(
            [
                "place",
                "board.toml",
                "mine.svg",
                "--off-cut",
                "piece.toml",
                "--cutter",
                "8",
                "--out",
                "placed",
            ]
        )
        == 0
    )
    monkeypatch.chdir(
        tmp_path / "placed" / "01-piece"
    )  # from within, a board is still one of the piece
    assert run(["prepare", "board-1.toml", "--to", "../../x", "--anyway"]) == 2
    assert "piece: holds 2 boards, of which 1 named" in capsys.readouterr().err
    assert run(["prepare", ".", "--to", "../../batch", "--pixels", "200", "--anyway"]) == 0
    made = json.loads((tmp_path / "batch" / "batch.json").read_text())
    assert [b["cutting"]["cutter_mm"] for b in made["boards"]] == [8.0, 8.0]
    html = (tmp_path / "batch" / "01-piece" / "worksheet.html").read_text()
    numbers = {b["name"]: i for i, b in enumerate(made["boards"], start=1)}
    assert f"Board {numbers['mine']}: Round over both faces, 6 mm" in html
    (other,) = {1, 2} - {numbers["mine"]}
    assert f"Board {other}: Round over both faces, 3 mm" in html


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("account",), -40),
        (("account", "lines"), None),
        (("unit",), [1]),
        (("piece", "name"), "a\x1b"),
        (("piece", "name"), [1]),
        (("piece", "species"), "zz"),
        (("piece", "thickness"), 0),
        (("piece", "thickness"), "x"),
        (("piece", "defects", 0, "kind"), "zz"),
        (("piece", "defects", 0, "may_lie_in"), ["hat"]),
        (("piece", "outline"), [[0, 0], [9, 9], [9, 0], [0, 9]]),
        (("boards", 0, "x_mm"), "left"),
        (("boards", 0, "number"), None),
        (("datum_mm",), [1]),
        (("cutter_mm",), -5),
        (("boards", 0, "x_mm"), 1e12),
    ],
)
def test_a_spoilt_placement_is_one_line_and_never_a_slip(
    made: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    path: tuple[str | int, ...],
    value: object,
) -> None:
    """Its words and figures are read like any other file's.

    Its account is reckoned anew and says nothing.
    """
    spoilt = tmp_path / "placed"
    shutil.copytree(made / "placed", spoilt)
    listed = json.loads((spoilt / "placement.json").read_text())
    here: Any = listed["off_cuts"][0]
    for key in path[:-1]:
        here = here[key]
    here[path[-1]] = value
    (spoilt / "placement.json").write_text(json.dumps(listed))
    capsys.readouterr()
    own = path[0] == "account"
    for command in (["estimate", str(spoilt)], ["check", str(spoilt)]):
        assert run(command) in ((0, 1) if own else (2,))
        err = capsys.readouterr().err
        assert own or err.splitlines() == [
            f"{spoilt / 'placement.json'}: is no placement of this version; place the boards again"
        ]


def test_boards_that_were_moved_in_the_listing_are_measured_where_they_lie(
    made: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What the listing says of clearances is for people; where a board lies is measured anew."""
    moved = tmp_path / "moved"
    shutil.copytree(made / "placed", moved)
    listing = moved / "placement.json"
    told = json.loads(listing.read_text())
    (piece,) = told["off_cuts"]
    one, other = piece["boards"]
    one["x_mm"], one["y_mm"], one["turned_deg"] = (other[k] for k in ("x_mm", "y_mm", "turned_deg"))
    listing.write_text(json.dumps(told))
    capsys.readouterr()
    for line in (["prepare", str(moved), "--to", str(tmp_path / "batch")], ["check", str(moved)]):
        assert run(line) == 2
        said = capsys.readouterr().err
        assert re.search(r"board 1 on \S+: is short by 1\d\d\.\d mm of clearance to the next", said)
        assert "14 mm; lay it anew" in said
        assert "lay it anew" in said
    assert not (tmp_path / "batch").exists()
    # Over the knot: inside of the board, where no clearance sees it.
    one["x_mm"], one["y_mm"] = 560 - piece["datum_mm"][0], 60 - piece["datum_mm"][1]
    other["x_mm"] -= 5000
    piece["boards"] = [one]
    listing.write_text(json.dumps(told))
    assert run(["check", str(moved)]) == 2
    assert "lies over knot 1" in capsys.readouterr().err


def test_a_placement_is_estimated_with_the_saw_and_the_air_that_are_asked(
    made: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["estimate", str(made / "placed"), "--moisture-to", "14", "--json"]) == 0
    damp = json.loads(capsys.readouterr().out)["off_cuts"][0]["account"]
    assert run(["estimate", str(made / "placed"), "--moisture-to", "6", "--json"]) == 0
    dry = json.loads(capsys.readouterr().out)["off_cuts"][0]["account"]
    assert damp["lines"] != dry["lines"]
    assert damp["gross_m3"] == dry["gross_m3"]

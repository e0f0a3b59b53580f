"""shapes place and estimate --off-cut, as typed; the files by an independent reader."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from gdal import by_gdal
from samples import of

from shapes.cli.app import run
from shapes.files.off_cut import read_off_cut
from shapes.files.recipe import read_recipe
from shapes.pictures.placement import placement_picture
from shapes.placing.place import Placement
from shapes.timber.off_cut import OffCut

OFF_CUTS = Path(__file__).parents[2] / "presets" / "off-cuts"


@pytest.fixture(scope="module")
def placed(collection_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Boards of the collection on two off-cuts, by the command itself."""
    out = tmp_path_factory.mktemp("placed") / "placed"
    boards = [str(p) for p in sorted(collection_folder.glob("0[1-4]-*"))]
    off_cuts = ["--off-cut", "walnut-end", "--off-cut", str(OFF_CUTS / "live-edge-cherry.toml")]
    status = run(["place", *boards, *off_cuts, "--out", str(out), "--datum", "corner"])
    assert status in (0, 1)
    return out


def a_box(path: Path, species: str, size: str) -> Path:
    """Write down a sound box of timber."""
    path.write_text(
        f'species = "{species}"\nthickness = 25\nwanted = 18\norigin = "known solid timber"\n'
        f"[outline]\nrectangle = {size}\n"
    )
    return path


def listing(placed: Path) -> list[dict[str, Any]]:
    made = json.loads((placed / "placement.json").read_text())
    assert made["schema"] == 1
    return list(made["off_cuts"])


def piece_of(blank: dict[str, Any]) -> OffCut:
    return read_off_cut(OFF_CUTS / f"{str(blank['off_cut']).replace(' ', '-')}.toml")[0]


def test_every_blank_has_its_files(placed: Path) -> None:
    blanks = listing(placed)
    assert [b["off_cut"] for b in blanks] == ["walnut end", "live-edge cherry"]
    left = json.loads((placed / "placement.json").read_text())["left_over"]
    assert sum(len(b["boards"]) for b in blanks) + len(left) == 4
    assert all(b["boards"] for b in blanks)
    for blank in blanks:
        folder = placed / str(blank["folder"])
        names = {p.name for p in folder.iterdir()}
        assert names >= {"placement.svg", "placement.png", "cut.dxf", "cut.svg", "setting-out.dxf"}


def test_the_cut_file_holds_only_what_is_cut_and_lies_as_told(placed: Path) -> None:
    for blank in listing(placed):
        found = by_gdal(placed / str(blank["folder"]) / "cut.dxf")
        assert set(found) <= {"EDGE", "OPENING"}
        boards = blank["boards"]
        assert len(found["EDGE"]) == len(boards)
        dx, dy = blank["datum_mm"]
        for edge, told in zip(found["EDGE"], boards, strict=True):
            recipe = read_recipe(placed / str(blank["folder"]) / f"board-{told['number']}.toml")
            ring = shapely.get_coordinates(shapely.LineString(edge))
            # The recipe's own outline, turned and moved by the figures in placement.json.
            from shapes.collection.draw import outline_of
            from shapes.geometry.curve import flatten

            a = math.radians(told["turned_deg"])
            p = flatten(outline_of(recipe.sketch).edge, 0.001)
            moved = np.stack(
                [
                    math.cos(a) * p[:, 0] - math.sin(a) * p[:, 1] + told["x_mm"],
                    math.sin(a) * p[:, 0] + math.cos(a) * p[:, 1] + told["y_mm"],
                ],
                axis=1,
            )
            off = shapely.distance(shapely.LinearRing(moved), shapely.points(ring))
            assert off.max() < 0.012
        piece = piece_of(blank)
        at = shapely.affinity.translate(piece.outline, -dx, -dy)
        for edge in found["EDGE"]:
            inside = shapely.Polygon(shapely.get_coordinates(edge)).intersection(at).area
            assert inside > 0.97 * shapely.Polygon(shapely.get_coordinates(edge)).area


def test_the_setting_out_file_shows_the_piece_from_its_datum(placed: Path) -> None:
    for blank in listing(placed):
        piece, found = piece_of(blank), by_gdal(placed / str(blank["folder"]) / "setting-out.dxf")
        dx, dy = blank["datum_mm"]
        assert (dx, dy) == (0, 0)  # the first corner as measured
        assert {"BLANK", "DATUM", "GRAIN", "DEFECT", "EDGE"} <= set(found)
        assert ("FIXING" in found) == bool(piece.fixings)
        ring = shapely.Polygon(shapely.get_coordinates(found["BLANK"][0]))
        assert ring.symmetric_difference(piece.outline).area < 1
        assert len(found["DEFECT"]) == len(piece.defects)
        for shape, defect in zip(found["DEFECT"], piece.defects, strict=True):
            drawn = shapely.Polygon(shapely.get_coordinates(shape))
            assert drawn.symmetric_difference(defect.shape).area < 0.5
        arrow = shapely.get_coordinates(max(found["GRAIN"], key=shapely.length))
        way = arrow[-1] - arrow[0]
        off = math.remainder(math.atan2(way[1], way[0]) - piece.grain, math.pi)
        assert abs(off) < 1e-6
        assert shapely.LineString(arrow).within(ring)
        assert shapely.distance(shapely.union_all(found["DATUM"]), shapely.Point(0, 0)) < 1e-6


def test_the_picture_names_every_board_and_defect(placed: Path) -> None:
    for blank in listing(placed):
        picture = (placed / str(blank["folder"]) / "placement.svg").read_text()
        piece = piece_of(blank)
        for name in [d.name for d in piece.defects] + [f.name for f in piece.fixings]:
            assert f">{name}</text>" in picture
        for told in blank["boards"]:
            assert f">{told['number']}</text>" in picture
            assert f">{told['name']}</text>" in picture
            assert f">{told['x_mm']:.1f}</text>" in picture.replace(">-0.0<", ">0.0<")


def test_estimate_tells_the_account_of_a_placement(
    placed: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["estimate", str(placed), "--tally"]) == 0
    told = capsys.readouterr()
    assert "walnut end: black walnut, 34 mm thick as found, boards 20 mm, 3.50 kg" in told.out
    assert "by the trade's rounding" in told.out
    assert "rest a day" in told.out
    assert "black walnut: skin or respiratory irritant" in told.err
    assert run(["estimate", str(placed), "--json"]) == 0
    made = json.loads(capsys.readouterr().out)
    assert made["off_cuts"][0]["account"]["gross_m3"] == pytest.approx(0.005748, abs=1e-6)


def test_a_shop_that_reads_inches_has_the_account_in_inches_and_pounds(
    placed: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """34 mm are 1 5/16 in on a rule, 3.5 kg 7.72 lb.

    0.005748 m3 are 2.436 board feet of 144 cubic inches.
    """
    shop = tmp_path / "workshop.toml"
    shop.write_text('units = "in"\n')
    assert run(["estimate", str(placed), "--workshop", str(shop)]) == 0
    told = capsys.readouterr().out
    assert "1 5/16 in (34 mm) thick as found, boards 13/16 in (20 mm), 7.72 lb at" in told
    (total,) = [line.split() for line in told.splitlines() if line.startswith("in all   ")][:1]
    assert float(total[2]) == pytest.approx(0.005748 / 0.0254**3 / 144, abs=2e-3)
    assert "litres" not in told
    assert " kg before" not in told
    kilos = listing(placed)[0]["account"]["lines"][0]
    row = next(
        line.split() for line in told.splitlines() if line.startswith(f" 1  {kilos['name']}")
    )
    assert float(row[2]) == pytest.approx(kilos["mass_kg"] / 0.45359237, abs=6e-3)
    assert f"{kilos['moves_flat_mm'] / 25.4:.3f}" in row


def test_a_placement_picture_says_sizes_in_the_makers_unit() -> None:
    """10 x 5 in are 254 x 127 mm; the datum in the middle lies 5 and 2 1/2 in from the edges."""
    piece = OffCut("plank", shapely.box(0, 0, 254, 127), 25.4, "black walnut", 19.05)
    plain = placement_picture(piece, [], piece.centre, 6.35)
    for text in (
        ">254<",
        ">127<",
        ">127.0<",
        ">63.5<",
        ">100 mm<",
        "25.4 mm thick, boards 19.05 mm",
    ):
        assert text in plain
    inches = placement_picture(piece, [], piece.centre, 6.35, "in")
    says = ">10 in (254)<", ">5 in (127)<", ">5 in (127.0)<", ">2 1/2 in (63.5)<", ">4 in<"
    for text in (*says, "1 in (25.4 mm) thick, boards 3/4 in (19.05 mm); 1/4 in (6.35 mm) cutter"):
        assert text in inches


def test_estimate_on_an_off_cut_knows_the_bandsaw(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shop = tmp_path / "workshop.toml"
    shop.write_text("[bandsaw]\nkerf = 1.0\nheight = 250\n")
    board = str(next(collection_folder.glob("02-*")))
    line = [
        "estimate",
        board,
        "--off-cut",
        "oak-block",
        "--workshop",
        str(shop),
        "--moisture-to",
        "14",
    ]
    assert run(line) in (0, 1)  # a board of oak may weigh too much
    told = capsys.readouterr()
    assert "slice 2 of 2: european oak, 26.5 mm thick when sawn from 54 mm" in told.out
    assert "from 10 to 14 % moisture" in told.out
    assert "open pores" in told.err


def test_place_in_json_writes_nothing(
    collection_folder: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    board = str(next(collection_folder.glob("02-*")))
    assert run(["place", board, "--off-cut", "ash-wedge", "--json", "--datum", "100,50"]) == 0
    made = json.loads(capsys.readouterr().out)
    (blank,) = made["off_cuts"]
    assert blank["datum_mm"] == [100, 50]
    (told,) = blank["boards"]
    assert told["clearance_mm"] >= told["asked_mm"] - 0.01
    assert blank["account"]["yield_share"] > 0.05
    assert list(tmp_path.iterdir()) == []


def test_one_board_as_large_as_fits(
    collection_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    board = str(next(collection_folder.glob("09-*")))
    assert run(["place", board, "--off-cut", "oak-block", "--scale", "0.9,1.6", "--json"]) in (0, 1)
    (told,) = json.loads(capsys.readouterr().out)["off_cuts"][0]["boards"]
    assert 1.05 < told["scale"] <= 1.6


def test_timber_of_unknown_origin_fails_for_food(
    collection_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    board = str(next(collection_folder.glob("01-*")))
    assert run(["place", board, "--off-cut", "found-beech"]) == 1
    assert "found beech FAILS for food: its origin is 'unknown'" in capsys.readouterr().err


def test_forty_boards_on_a_small_piece(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    piece = a_box(tmp_path / "small.toml", "black cherry", "[420, 270]")
    boards = [str(p) for p in sorted(collection_folder.glob("0[1-4]-*"))]
    out = tmp_path / "out"
    status = run(["place", *boards, "--quantity", "10", "--off-cut", str(piece), "--out", str(out)])
    assert status == 1
    told = capsys.readouterr().err
    count = len(json.loads((out / "placement.json").read_text())["off_cuts"][0]["boards"])
    assert 1 <= count <= 10
    assert "left over: " in told
    left = sum(
        int(part.split(" x ")[0]) if " x " in part else 1
        for part in told.split("left over: ")[1].split("\n")[0].split(", ")
    )
    assert left == 40 - count


def test_a_board_that_cannot_fit_says_what_lacks(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    piece = a_box(tmp_path / "short.toml", "black cherry", "[230, 190]")
    board = str(next(collection_folder.glob("01-*")))
    out = tmp_path / "out"
    assert run(["place", board, "--off-cut", str(piece), "--out", str(out)]) == 1
    told = capsys.readouterr().err
    assert "it is short by" in told
    assert "mm at the edge of the piece" in told
    assert not out.exists()


def test_a_board_that_lies_too_near_is_told_and_ends_with_one(
    collection_folder: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """It never should be laid so; were it, nobody may cut it without a word."""
    box = str(a_box(tmp_path / "box.toml", "black walnut", "[900, 420]"))
    board = str(next(collection_folder.glob("01-*")))
    assert run(["place", board, "--off-cut", box]) == 0
    capsys.readouterr()
    monkeypatch.setattr(Placement, "holds", property(lambda _: False))
    assert run(["place", board, "--off-cut", box]) == 1
    assert "asked: do not cut it so" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("options", "part"),
    [
        (["--off-cut", "walnut-edn"], "did you mean 'walnut-end'?"),
        (["--off-cut", "walnut-end", "--quantity", "1,2,3"], "names 3 numbers for 1 boards"),
        (["--off-cut", "walnut-end", "--quantity", "0"], "allowed 1 to 99"),
        (["--off-cut", "walnut-end", "--quantity", "two"], "no list of whole numbers"),
        (["--off-cut", "walnut-end", "--scale", "1"], "write 0.8,1.2"),
        (["--off-cut", "walnut-end", "--scale", "2,1"], "the lesser first"),
        (
            ["--off-cut", "walnut-end", "--off-cut", "oak-block", "--scale", "1,2"],
            "goes with one board",
        ),
        (["--off-cut", "walnut-end", "--datum", "mark"], "states no mark"),
        (["--off-cut", "walnut-end", "--datum", "middle"], "centre, corner, mark or X,Y"),
        (["--off-cut", "walnut-end", "--grain-within", "60"], "allowed 0 to 45"),
        (["--off-cut", "walnut-end", "--cutter", "6,5"], "write 6.5"),
        (
            ["--off-cut", "walnut-end", "--first", "2"],
            "names a board that is not there; allowed 1 to 1",
        ),
        (["--off-cut", "walnut-end", "--first", "0"], "names a board that is not there"),
        (["--off-cut", "walnut-end", "--first", "one"], "no list of boards' numbers"),
        (["--off-cut", "walnut-end", "--may-be-left", "1,1"], "names a board twice"),
        (["--off-cut", "walnut-end", "--first", "1", "--priority", "1"], "goes without --priority"),
        (["--off-cut", "walnut-end", "--patience", "0"], "allowed 0.1 to 86400"),
    ],
)
def test_wrong_options_get_one_line(
    collection_folder: Path, capsys: pytest.CaptureFixture[str], options: list[str], part: str
) -> None:
    board = str(next(collection_folder.glob("01-*")))
    assert run(["place", board, *options]) == 2
    told = capsys.readouterr().err.strip()
    assert part in told
    assert len(told.splitlines()) == 1


def test_a_placement_is_replaced_only_with_force_and_nothing_else_is_lost(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    board = str(next(collection_folder.glob("02-*")))
    line = ["place", board, "--off-cut", "oak-block", "--out", str(tmp_path / "out")]
    assert run(line) in (0, 1)  # a board of oak may weigh too much
    assert run(line) == 2
    assert "replace that placement with --force" in capsys.readouterr().err
    assert run([*line, "--force"]) in (0, 1)
    (tmp_path / "out" / "notes.txt").write_text("mine")
    assert run([*line, "--force"]) == 2
    assert "notes.txt" in capsys.readouterr().err
    assert (tmp_path / "out" / "notes.txt").read_text() == "mine"


def test_generate_for_an_off_cut(tmp_path: Path) -> None:
    out = tmp_path / "boards"
    line = ["generate", "--off-cut", "oak-block", "--count", "3", "--pool", "60", "--jobs", "1"]
    assert run([*line, "--out", str(out)]) == 0
    recipes = sorted(out.glob("*/board.toml"))
    assert len(recipes) == 3
    assert read_recipe(recipes[0]).brief.species == "european oak"
    assert "at" in recipes[0].read_text()
    assert run(["place", str(recipes[0]), "--off-cut", "oak-block"]) == 0


def test_off_cuts_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["list", "off-cuts"]) == 0
    told = capsys.readouterr().out
    assert "walnut-end: black walnut, 702 x 262 x 34 mm; knot 1, check 1" in told
    assert "not for food" in told


def test_first_boards_go_before_all_others_and_spared_ones_are_no_failure(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """On a piece that takes one board of four.

    The one that is named first, the others may be left.
    """
    piece = a_box(tmp_path / "one.toml", "black walnut", "[460, 250]")
    boards = [str(p) for p in sorted(collection_folder.glob("0[1-4]-*"))]
    names = [read_recipe(Path(b) / "board.toml").name for b in boards]
    for first in (2, 4)[: of(2, 1)]:
        others = ",".join(str(k) for k in range(1, 5) if k != first)
        out = tmp_path / f"out-{first}"
        asked = ["--off-cut", str(piece), "--first", str(first), "--out", str(out)]
        assert run(["place", *boards, *asked]) == 1
        told = capsys.readouterr().err
        assert "left over: " in told
        made = listing(out)
        assert [b["name"] for b in made[0]["boards"]] == [names[first - 1]]
        assert run(["place", *boards, *asked, "--may-be-left", others, "--force"]) == 0
        told = capsys.readouterr().err
        assert "left over, as may be: " in told
        assert "fits alone" not in told
        left = json.loads((out / "placement.json").read_text())["left_over"]
        assert sorted(left) == sorted(n for i, n in enumerate(names) if i != first - 1)


def test_patience_that_ends_is_said(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    boards = [str(p) for p in sorted(collection_folder.glob("0[1-6]-*"))]
    pieces = ["--off-cut", "maple-plank", "--off-cut", "oak-block"]
    assert run(["place", *boards, *pieces, "--patience", "0.1"]) in (0, 1)
    told = capsys.readouterr().err
    assert "stopped after 0.1 s with the best found: more patience may place more" in told

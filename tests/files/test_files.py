"""What is written is what was drawn: DXF, SVG, recipes, pictures, folders."""

from __future__ import annotations

import errno
import io
import json
import math
import os
import shutil
import subprocess
import sys
from pathlib import Path

import ezdxf
import ezdxf.bbox
import numpy as np
import pytest
import shapely
from PIL import Image
from samples import of

from shapes.cli.app import run
from shapes.collection.board import Board, Report, full_report
from shapes.files.dxf import arcs_of, box_reference, check_dxf, cut_dxf
from shapes.files.raster import pdf, png
from shapes.files.recipe import digest, read_recipe, write_recipe
from shapes.files.safe import cannot_write, write_checked
from shapes.files.svg import check_svg, cut_svg, read_cut_svg
from shapes.folders.chosen import write_files
from shapes.geometry.arcs import arc_points
from shapes.geometry.measures import area
from shapes.pictures.plain import contact_sheet, template


@pytest.fixture(scope="module")
def reports(collection_folder: Path) -> list[Report]:
    return [full_report(read_recipe(p)) for p in sorted(collection_folder.glob("*/board.toml"))]


def test_the_header_codes_of_the_dxf(reports: list[Report]) -> None:
    """$INSUNITS 4 is millimetre, $MEASUREMENT 1 metric, AC1015 R2000 (DXF reference, HEADER)."""
    report = reports[0]
    data = cut_dxf(report.outline, arcs_of(report.outline))
    doc = ezdxf.read(io.StringIO(data.decode("cp1252")))
    assert doc.header["$INSUNITS"] == 4
    assert doc.header["$MEASUREMENT"] == 1
    assert doc.dxfversion == "AC1015"
    assert not doc.audit().errors


def test_a_cut_file_holds_only_what_is_cut(reports: list[Report]) -> None:
    for report in reports:
        doc = ezdxf.read(
            io.StringIO(cut_dxf(report.outline, arcs_of(report.outline)).decode("cp1252"))
        )
        kinds = [(e.dxftype(), e.dxf.layer) for e in doc.modelspace()]
        assert kinds[0] == ("LWPOLYLINE", "EDGE")
        assert kinds[1:] == [("LWPOLYLINE", "OPENING")] * len(report.outline.openings)
        for e in doc.modelspace():
            assert e.closed  # type: ignore[attr-defined]
            p = np.array(e.get_points("xy"))  # type: ignore[attr-defined]
            step = np.hypot(*(np.roll(p, -1, axis=0) - p).T)
            assert step.min() > 0.01


def test_the_setting_out_file_shows_blank_datum_and_grain(reports: list[Report]) -> None:
    report = reports[0]
    blank = report.estimate().blank_mm[:2]
    data = cut_dxf(
        report.outline, arcs_of(report.outline), (0.0, 0.0), box_reference(blank, (0.0, 0.0))
    )
    doc = ezdxf.read(io.StringIO(data.decode("cp1252")))
    layers = {e.dxf.layer for e in doc.modelspace()}
    assert {"EDGE", "BLANK", "DATUM", "GRAIN"} <= layers
    corner = np.array(doc.modelspace().query('*[layer=="BLANK"]')[0].get_points("xy"))
    assert np.ptp(corner, axis=0) == pytest.approx(blank)
    assert corner.mean(axis=0) == pytest.approx((0, 0), abs=1e-9)


@pytest.mark.parametrize("spline", [False, True])
def test_the_dxf_read_back_has_the_area_of_the_board(reports: list[Report], spline: bool) -> None:
    for report in reports[:6]:
        outline = report.outline
        data = cut_dxf(outline, None if spline else arcs_of(outline))
        check_dxf(outline, (0.0, 0.0))(data)
        doc = ezdxf.read(io.StringIO(data.decode("cp1252")))
        total = 0.0
        for i, e in enumerate(doc.modelspace()):
            if spline:
                ring = np.array([(v.x, v.y) for v in e.flattening(1e-4)])  # type: ignore[attr-defined]
            else:
                rows = np.array(e.get_points("xyb"))  # type: ignore[attr-defined]
                ring = arc_points(rows[:, :2], rows[:, 2], 1e-4)
            total += shapely.Polygon(ring).area * (1 if i == 0 else -1)
        assert total == pytest.approx(area(outline.curves), rel=3e-5)


def test_a_faulty_file_never_takes_its_name(reports: list[Report], tmp_path: Path) -> None:
    outline = reports[0].outline
    data = cut_dxf(outline, arcs_of(outline), (0.05, 0.0))
    with pytest.raises(ValueError, match="cannot be written"):
        write_checked(tmp_path / "cut.dxf", data, check_dxf(outline, (0.0, 0.0)))
    assert list(tmp_path.iterdir()) == []


def test_the_svg_is_one_to_one_in_millimetres(reports: list[Report]) -> None:
    """width, height and viewBox agree, so a user unit is 1 mm (W3C SVG 1.1, ch. 7)."""
    import xml.etree.ElementTree as ET

    for report in reports:
        text = cut_svg(report.outline)
        root = ET.fromstring(text)
        _, _, w, h = (float(v) for v in root.attrib["viewBox"].split())
        assert root.attrib["width"] == f"{w:.6f}".rstrip("0").rstrip(".") + "mm"
        assert float(root.attrib["height"].removesuffix("mm")) == h
        assert w == pytest.approx(report.subject.box[0] + 10, abs=1e-5)
        check_svg(report.outline, (0.0, 0.0))(text.encode())
        back = area(read_cut_svg(text.encode()))
        assert back == pytest.approx(area(report.outline.curves), rel=1e-8)
        assert [g.attrib["id"] for g in root] == ["edge", "opening"][: len(root)]


def test_the_corner_datum_shifts_everything_by_half_the_blank(
    reports: list[Report], tmp_path: Path
) -> None:
    report = reports[2]
    blank = report.estimate().blank_mm
    paths = write_files([report], tmp_path, ["dxf", "svg"], corner=True)
    assert [p.name.split("-", 2)[2] for p in paths] == ["cut.dxf", "setting-out.dxf", "cut.svg"]
    doc = ezdxf.readfile(paths[0])
    middle = ezdxf.bbox.extents(doc.modelspace()).center
    assert (middle.x, middle.y) == pytest.approx((blank[0] / 2, blank[1] / 2), abs=0.05)


def test_layer_colours_of_the_makers_own(reports: list[Report]) -> None:
    data = cut_dxf(reports[0].outline, arcs_of(reports[0].outline), colours={"EDGE": "#c0392b"})
    doc = ezdxf.read(io.StringIO(data.decode("cp1252")))
    assert doc.layers.get("EDGE").rgb == (0xC0, 0x39, 0x2B)


def test_a_recipe_draws_the_same_board_again(reports: list[Report], tmp_path: Path) -> None:
    from shapes.collection.draw import draw

    for report in reports:
        path = tmp_path / "board.toml"
        board = report.board
        assert isinstance(board, Board)
        path.write_bytes(write_recipe(board))
        back = read_recipe(path)
        assert digest(back) == digest(board)
        assert back.brief == board.brief
        assert back.genes is not None
        drawn = draw(back.genes)
        assert (drawn.edge == board.sketch.edge).all()


def test_pictures_have_their_sizes(reports: list[Report]) -> None:
    with Image.open(io.BytesIO(png(template(reports[0]), 700))) as picture:
        assert picture.size[0] == 700
    data = pdf(template(reports[0]))
    assert data.startswith(b"%PDF")
    assert pdf(template(reports[0])) == data


def test_the_template_is_printed_one_to_one(reports: list[Report]) -> None:
    """MediaBox in points of 1/72 inch against the board in mm."""
    import re

    report = reports[0]
    box = re.search(rb"/MediaBox \[ ?0 0 ([\d.]+) ([\d.]+)", pdf(template(report)))
    assert box
    assert float(box[1]) / 72 * 25.4 == pytest.approx(report.subject.box[0] + 20, abs=0.2)


def test_the_folder_holds_what_the_plan_says(collection_folder: Path) -> None:
    about = json.loads((collection_folder / "collection.json").read_text())
    assert about["schema"] == 1
    assert len(about["boards"]) == 12
    names = {p.name for p in collection_folder.iterdir()}
    assert names == {"collection.json", "contact-sheet.svg", "contact-sheet.png"} | {
        b["folder"] for b in about["boards"]
    }
    for place, board in enumerate(about["boards"], start=1):
        folder = collection_folder / board["folder"]
        assert board["folder"].startswith(f"{place:02d}-")
        assert {p.name for p in folder.iterdir()} == {
            "board.toml",
            "figures.json",
            "cut.dxf",
            "cut.svg",
            "setting-out.dxf",
        }
        figures = json.loads((folder / "figures.json").read_text())
        assert figures["passes"] is True
        assert figures["outline"] == board["outline"]
        assert figures["estimate"]["mass_kg"] == pytest.approx(board["mass_kg"], abs=1e-6)


def test_the_plain_sheet_shows_every_board_to_one_scale(reports: list[Report]) -> None:
    text = contact_sheet(reports, "plain", 1)
    assert text.count("scale(") == 12
    assert len({part.split(")")[0] for part in text.split("scale(")[1:]}) == 1
    assert "100 mm" in text
    assert "cutter to" in text


def test_the_sheet_of_a_collection_is_finished_and_plain_where_asked(
    collection_folder: Path, tmp_path: Path
) -> None:
    text = (collection_folder / "contact-sheet.svg").read_text()
    assert text.count("<image ") == 12
    assert "100 mm" in text
    with Image.open(collection_folder / "contact-sheet.png") as sheet:
        assert sheet.size[0] == 2480
    plain = ["generate", "--count", "2", "--pool", "24", "--plain", "--out", str(tmp_path / "b")]
    assert run(plain) == 0
    assert "<image " not in (tmp_path / "b" / "contact-sheet.svg").read_text()
    with Image.open(tmp_path / "b" / "contact-sheet.png") as sheet:
        assert sheet.size[0] == 2480


def test_a_dxf_with_colours_has_the_same_bytes_in_any_process() -> None:
    """Whatever the seed of the process's hashes is: seven of them, or three."""
    code = (
        "import sys; from made_boards import boards; from shapes.files.dxf import cut_dxf\n"
        "sys.stdout.buffer.write(cut_dxf(boards(1), None, colours={'EDGE': '#c0392b'}))"
    )
    made = set()
    for seed in "0123456"[: of(7, 3)]:
        space = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(sys.path)}
        run = subprocess.run(
            [sys.executable, "-c", code], check=True, capture_output=True, env=space
        )
        made.add(run.stdout)
    assert len(made) == 1


def test_same_brief_seed_and_version_same_bytes(collection_folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "again"
    brief = collection_folder.parent / "small boards.toml"
    asked = ["generate", str(brief), "--pool", "84", "--out", str(out), "--jobs", "2"]
    assert run(asked) == 0
    for path in sorted(collection_folder.rglob("*")):
        if path.is_file():
            assert (out / path.relative_to(collection_folder)).read_bytes() == path.read_bytes()


def test_a_foreign_file_stops_the_replacing_and_nothing_is_lost(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "boards"
    shutil.copytree(collection_folder, out)
    (out / "notes.txt").write_text("mine")
    before = sorted(p.name for p in out.rglob("*"))
    assert run(["generate", "--preset", "cheese-board", "--out", str(out)]) == 2
    assert "is not empty" in capsys.readouterr().err
    assert run(["generate", "--preset", "cheese-board", "--out", str(out), "--force"]) == 2
    assert "notes.txt" in capsys.readouterr().err
    assert sorted(p.name for p in out.rglob("*")) == before
    (out / "notes.txt").unlink()
    assert run(["generate", "--count", "2", "--pool", "24", "--out", str(out), "--force"]) == 0
    assert len(list(out.glob("*/board.toml"))) == 2
    assert [p.name for p in tmp_path.iterdir()] == ["boards"]


def test_without_cairo_everything_else_is_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    import sys

    monkeypatch.setitem(sys.modules, "cairosvg", None)
    out = tmp_path / "boards"
    assert run(["generate", "--count", "2", "--pool", "24", "--out", str(out)]) == 0
    assert "PNG and PDF need the Cairo library" in capsys.readouterr().err
    assert (out / "contact-sheet.svg").exists()
    assert not (out / "contact-sheet.png").exists()
    board = next(out.glob("*/board.toml"))
    assert run(["export", str(board), "--to", str(tmp_path / "x"), "--format", "pdf"]) == 2
    assert "Cairo" in capsys.readouterr().err


def test_a_full_disk_leaves_nothing_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    real = Path.write_bytes

    def full(self: Path, data: bytes) -> int:
        if "setting-out" in self.name:
            raise OSError(28, "No space left on device")
        return real(self, data)

    monkeypatch.setattr(Path, "write_bytes", full)
    out = tmp_path / "boards"
    assert run(["generate", "--count", "2", "--pool", "24", "--out", str(out)]) == 2
    err = capsys.readouterr().err
    assert "No space left on device" in err
    assert list(tmp_path.iterdir()) == []


def test_interrupted_half_way(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stop(*args: object) -> None:
        raise KeyboardInterrupt

    out = tmp_path / "boards"
    asked = ["generate", "--count", "2", "--pool", "24", "--out", str(out)]
    for what, jobs in (("write_board", "1"), ("finished_sheet", "2")):
        with monkeypatch.context() as patched:
            patched.setattr(f"shapes.folders.collection.{what}", stop)
            assert run([*asked, "--jobs", jobs]) == 130
        assert "interrupted" in capsys.readouterr().err
        assert list(tmp_path.iterdir()) == []


def test_what_goes_wrong_beside_the_sheet_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The boards' files are made in another process.

    A full disk there is one line, and nothing is left.
    """
    monkeypatch.setattr("shapes.folders.collection.write_board", disk_full)
    out = tmp_path / "boards"
    asked = ["generate", "--count", "2", "--pool", "24", "--plain", "--out", str(out)]
    assert run([*asked, "--jobs", "2"]) == 2
    assert "make room" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def disk_full(*args: object) -> None:
    raise cannot_write(Path("cut.dxf"), OSError(errno.ENOSPC, "no space left on device"))


def test_mass_in_the_figures_is_volume_times_density(reports: list[Report]) -> None:
    for report in reports:
        e = report.estimate()
        assert e.mass_kg == pytest.approx(e.board_m3 * e.density_kg_m3)
        assert math.isclose(e.blank_mm[0], report.subject.box[0] + 30, abs_tol=1e-9)


def test_a_straight_side_has_a_bulge_of_nought() -> None:
    """DXF group 42: 0 is a straight segment (the format's own reference).

    Noise of rounding is none.
    """
    from shapes.files.dxf import STRAIGHT_BULGE, cut_dxf
    from shapes.geometry.curve import polygon as ring_of
    from shapes.geometry.outline import outline as outline_of_curve

    ring = np.array([[0.0, 0.0], [300.0, 0.0], [300.0, 120.0], [0.0, 120.0]])
    chain = (ring, np.array([1.5e-12, -3e-12, 0.0, 2e-7]))
    made = outline_of_curve(ring_of(ring))
    doc = ezdxf.read(io.StringIO(cut_dxf(made, [chain]).decode("cp1252")))
    (line,) = doc.modelspace()
    bulges = [row[2] for row in line.get_points("xyb")]  # type: ignore[attr-defined]
    assert bulges == [0.0, 0.0, 0.0, 2e-7]
    assert STRAIGHT_BULGE * 1000 / 2 < 1e-6


def test_a_file_that_runs_the_other_way_or_lies_off_is_not_let_through() -> None:
    """What is read back is held to the board: its direction, and 0.01 mm of its line."""
    from shapes.files.dxf import arcs_of, check_loops, loops_dxf
    from shapes.geometry.curve import Curve
    from shapes.geometry.curve import polygon as ring_of
    from shapes.geometry.outline import outline as closed

    ring = np.array([[0.0, 0.0], [300.0, 0.0], [300.0, 120.0], [0.0, 120.0]])
    right = ring_of(ring)
    wrong = Curve(right.segments[::-1, ::-1])
    check = check_loops([("EDGE", right)], (0.0, 0.0))
    made = closed(right)
    check(loops_dxf([("EDGE", right)], arcs_of(made)))
    with pytest.raises(OSError, match="runs the other way"):
        check(loops_dxf([("EDGE", wrong)], None))
    with pytest.raises(OSError, match="lies over"):
        check(loops_dxf([("EDGE", right)], arcs_of(made), (0.05, 0.0)))

"""areas, plan and prepare as typed; what they write, read by independent readers."""

from __future__ import annotations

import csv
import io
import json
import math
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pypdfium2 as pdfium
import pytest
import shapely
from ezdxf import path as paths
from fontTools.pens.areaPen import AreaPen
from fontTools.ttLib import TTFont
from gdal import by_gdal

from shapes.cli.app import run
from shapes.files.font import fonts
from shapes.files.recipe import read_recipe

SHOP = str(Path(__file__).parents[2] / "presets" / "workshop.toml")
ARTWORK = str(Path(__file__).parents[2] / "gallery" / "artwork.dxf")
DPI = 600


@pytest.fixture(scope="module")
def boards(collection_folder: Path) -> list[str]:
    return [str(p) for p in sorted(collection_folder.glob("0[1-3]-*"))]


@pytest.fixture(scope="module")
def batch(boards: list[str], tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("prepared") / "batch"
    asked = ["--text", "HHH\\nHI", "--print", ARTWORK, "--quantity", "2,1,10", "--workshop", SHOP]
    more = [
        "--oiled",
        "2026-05-14",
        "--timber-source",
        "the yard, plank 7",
        "--oil-batch",
        "B 12",
        "--cutter-path",
    ]
    assert run(["prepare", *boards, "--to", str(out), *asked, *more, "--jobs", "1"]) == 0
    return out


def folders(batch: Path) -> list[Path]:
    return sorted(p for p in batch.iterdir() if p.is_dir())


def shapes_on(path: Path, layer: str | None = None) -> list[shapely.Polygon]:
    """Closed shapes of a DXF as ezdxf flattens them; by even and odd they enclose."""
    found = []
    for e in ezdxf.readfile(path).modelspace():
        if (layer is None or e.dxf.layer == layer) and e.dxftype() != "LINE":
            found.append(
                shapely.Polygon([(v.x, v.y) for v in paths.make_path(e).flattening(0.002)])
            )
    return found


def even_odd(shapes: list[shapely.Polygon]) -> shapely.Geometry:
    made: shapely.Geometry = shapely.Polygon()
    for shape in shapes:
        made = shapely.symmetric_difference(made, shape)
    return made


def letters_area(text: str) -> float:
    """Area of letters in square ems by the font library."""
    font = TTFont(fonts()["Caladea"])
    glyphs, names = font.getGlyphSet(), font.getBestCmap()
    total = 0.0
    for character in text:
        pen = AreaPen(glyphs)
        glyphs[names[ord(character)]].draw(pen)
        total += abs(pen.value)
    return float(total / font["head"].unitsPerEm ** 2)


def listed(batch: Path) -> list[dict[str, Any]]:
    made = json.loads((batch / "batch.json").read_text())
    assert made["schema"] == 1
    return list(made["boards"])


def test_each_board_has_its_files_and_all_are_listed(batch: Path) -> None:
    wanted = {
        "cut.dxf",
        "cut.svg",
        "setting-out.dxf",
        "cutter-path.dxf",
        "engrave-UNDERSIDE.dxf",
        "engrave-UNDERSIDE.svg",
        "frame-UNDERSIDE.dxf",
        "setting-out-UNDERSIDE.dxf",
        "template-a4.pdf",
        "worksheet.html",
        "worksheet.pdf",
    }
    wanted |= {"board.png", "board-UNDERSIDE.png"}
    wanted |= {
        f"print-{n}-UNDERSIDE.{k}" for n in ("white", "colour", "clear") for k in ("svg", "pdf")
    }
    assert len(folders(batch)) == 3
    for folder in folders(batch):
        assert {p.name for p in folder.iterdir()} == wanted
    there = {str(p.relative_to(batch)) for p in batch.rglob("*")}
    assert set(json.loads((batch / "batch.json").read_text())["files"]) == there


def test_a_machines_file_holds_only_what_it_runs(batch: Path) -> None:
    layers = {
        "cut.dxf": {"EDGE", "OPENING"},
        "engrave-UNDERSIDE.dxf": {"ENGRAVE"},
        "frame-UNDERSIDE.dxf": {"EDGE", "OPENING"},
    }
    for folder in folders(batch):
        for name, allowed in layers.items():
            doc = ezdxf.readfile(folder / name)
            assert doc.header["$INSUNITS"] == 4
            assert {e.dxf.layer for e in doc.modelspace()} <= allowed


def test_engraving_has_its_datum_in_the_middle_and_the_fonts_own_area(batch: Path) -> None:
    for folder, board in zip(folders(batch), listed(batch), strict=True):
        made = even_odd(shapes_on(folder / "engrave-UNDERSIDE.dxf"))
        mark = board["engraving"]
        x0, y0, x1, y1 = made.bounds
        assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((0, 0), abs=0.01)
        assert x1 - x0 <= mark["area"]["length"] + 0.01
        assert y1 - y0 <= mark["area"]["width"] + 0.01
        em = mark["capital_mm"] / (
            TTFont(fonts()["Caladea"])["glyf"]["H"].yMax
            / TTFont(fonts()["Caladea"])["head"].unitsPerEm
        )
        assert made.area == pytest.approx(letters_area("HHHHI") * em**2, rel=2e-3)


def test_gdal_reads_the_three_machines_files_at_their_size_and_place(batch: Path) -> None:
    """GDAL's own DXF reader: another program than the one that wrote them."""
    for folder, board in zip(folders(batch), listed(batch), strict=True):
        engraved = [
            shapely.Polygon(shapely.get_coordinates(g))
            for g in by_gdal(folder / "engrave-UNDERSIDE.dxf")["ENGRAVE"]
        ]
        x0, y0, x1, y1 = even_odd(list(engraved)).bounds
        assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((0, 0), abs=0.05)
        area = board["engraving"]["area"]
        assert min(area["length"] - (x1 - x0), area["width"] - (y1 - y0)) == pytest.approx(
            0, abs=0.05
        )
        (edge,) = by_gdal(folder / "cut.dxf")["EDGE"]
        (pocket,) = by_gdal(folder / "frame-UNDERSIDE.dxf")["OPENING"]
        ex0, ey0, ex1, ey1 = edge.bounds
        assert pocket.bounds[0] == pytest.approx(ex0 - 0.1, abs=0.05)
        assert pocket.bounds[2] == pytest.approx(ex1 + 0.1, abs=0.05)
        blank = board["blank_mm"]
        assert (ex1 - ex0 + 30, ey1 - ey0 + 30) == pytest.approx(blank[:2], abs=0.1)


def test_the_area_lies_on_the_underside_clear_of_the_edge(batch: Path) -> None:
    for folder, board in zip(folders(batch), listed(batch), strict=True):
        (edge,) = shapes_on(folder / "setting-out-UNDERSIDE.dxf", "EDGE")
        holes = shapes_on(folder / "setting-out-UNDERSIDE.dxf", "OPENING")
        areas = shapes_on(folder / "setting-out-UNDERSIDE.dxf", "AREA")
        assert len(areas) == 2
        assert areas[0].distance(areas[1]) >= 7.9
        (top,) = shapes_on(folder / "cut.dxf", "EDGE")
        flipped = shapely.transform(top, lambda p: p * (1, -1))
        assert shapely.symmetric_difference(flipped, edge).area < 2e-4 * edge.area
        middles = [(board[n]["area"]["x"], board[n]["area"]["y"]) for n in ("engraving", "print")]
        for area, clear, middle in zip(areas, (14, 11), middles, strict=True):
            assert edge.exterior.distance(area) >= clear - 0.05
            assert all(h.distance(area) >= clear - 0.05 for h in holes)
            assert (area.centroid.x, area.centroid.y) == pytest.approx(middle, abs=1e-3)


def test_the_frame_takes_the_board_as_it_lies(batch: Path) -> None:
    for folder in folders(batch):
        (pocket,) = shapes_on(folder / "frame-UNDERSIDE.dxf", "OPENING")
        (edge,) = shapes_on(folder / "setting-out-UNDERSIDE.dxf", "EDGE")
        assert pocket.covers(edge.buffer(-0.05))
        assert edge.exterior.distance(pocket.exterior) == pytest.approx(0.1, abs=0.03)


def test_tabs_stand_on_the_edge_of_the_setting_out_file(batch: Path) -> None:
    for folder, board in zip(folders(batch), listed(batch), strict=True):
        (edge,) = shapes_on(folder / "setting-out.dxf", "EDGE")
        tabs = shapes_on(folder / "setting-out.dxf", "TAB")
        edges = [c for c in board["cutting"]["cuts"] if c["what"] == "edge"]
        assert len(tabs) >= len(edges[0]["tabs"]) >= 3
        for tab in tabs:
            assert edge.exterior.distance(tab) < 0.05 or len(tabs) > len(edges[0]["tabs"])
            assert tab.area == pytest.approx(10 * 5.98, rel=1e-3)


def test_the_cutters_path_is_half_a_cutter_off(batch: Path) -> None:
    for folder in folders(batch):
        (edge,) = shapes_on(folder / "cut.dxf", "EDGE")
        fine = max(shapes_on(folder / "cutter-path.dxf", "PATH-FINISH"), key=lambda p: p.area)
        rough = max(shapes_on(folder / "cutter-path.dxf", "PATH-ROUGH"), key=lambda p: p.area)
        far = shapely.distance(shapely.points(shapely.get_coordinates(fine)), edge)
        assert (np.abs(far - 2.99) < 0.02).all(), "the workshop's cutter measures 5.98"
        assert rough.exterior.distance(fine.exterior) == pytest.approx(0.4, abs=0.02)


def page(path: Path, dpi: int = DPI) -> tuple[np.ndarray, float]:
    """A PDF's first page as grey values, and pixels to the millimetre."""
    doc = pdfium.PdfDocument(path)
    image = doc[0].render(scale=dpi / 72, grayscale=True).to_numpy()
    doc.close()
    return np.asarray(image).reshape(image.shape[0], image.shape[1]), dpi / 25.4


def test_print_files_lie_on_one_datum_and_white_keeps_inside_the_colour(batch: Path) -> None:
    for folder in folders(batch):
        dark, size = {}, set()
        for name in ("white", "colour", "clear"):
            image, k = page(folder / f"print-{name}-UNDERSIDE.pdf", 300)
            dark[name] = image < 128
            size.add(image.shape)
            svg = (folder / f"print-{name}-UNDERSIDE.svg").read_text()
            w, h = (float(v) for v in re.findall(r'(?:width|height)="([\d.]+)mm"', svg))
            assert image.shape == pytest.approx((h * k, w * k), abs=1.5)
        assert len(size) == 1
        assert not (dark["white"] & ~dark["colour"]).any()
        assert not (dark["colour"] & ~dark["clear"]).any()
        assert dark["white"].sum() < dark["colour"].sum() < dark["clear"].sum()
        rows, columns = np.nonzero(dark["colour"])
        middle = (rows.min() + rows.max()) / 2, (columns.min() + columns.max()) / 2
        assert middle == pytest.approx([(n - 1) / 2 for n in dark["colour"].shape], abs=1.5)


def test_the_template_is_one_to_one(batch: Path, boards: list[str]) -> None:
    """The rendered page, measured.

    The bar of 100 mm, and the widest part that stands on one sheet.
    """
    for folder in folders(batch)[:2]:
        image, k = page(folder / "template-a4.pdf")
        dark = image < 140
        row = dark[-int(6 * k)]
        runs = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(int), [0]])))
        bar = max(b - a for a, b in zip(runs[::2], runs[1::2], strict=True)) / k
        assert bar == pytest.approx(100, abs=0.1 + 0.25)  # the ticks' own width is in it
        assert sorted(image.shape) == pytest.approx([210 * k, 297 * k], abs=1.5)


def sheets(path: Path) -> list[np.ndarray]:
    doc = pdfium.PdfDocument(path)
    made = [np.asarray(p.render(scale=300 / 72, grayscale=True).to_numpy()).squeeze() for p in doc]
    doc.close()
    return made


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_sheets_of_a_template_make_up_the_board(boards: list[str], paper: str) -> None:
    """Every sheet is laid where its crosses say; the drawn line then lies on the board's edge."""
    from shapes.collection.board import full_report
    from shapes.files import paper as papers
    from shapes.geometry.outline import bounds

    report = full_report(read_recipe(Path(boards[0]) / "board.toml"))
    outline = report.outline
    import tempfile

    with tempfile.TemporaryDirectory() as aside:
        path = Path(aside) / "t.pdf"
        path.write_bytes(papers.template_pdf(outline, "one", paper))
        pages = sheets(path)
    k = 300 / 25.4
    h, w = (v / k for v in pages[0].shape)
    step = (w - 2 * 12 - 12, h - 2 * 12 - 12)
    x0, y0, x1, y1 = (b + d for b, d in zip(bounds(outline), (-8, -8, 8, 8), strict=True))
    columns, rows = (
        max(1, math.ceil((v - 12) / s)) for v, s in ((x1 - x0, step[0]), (y1 - y0, step[1]))
    )
    assert len(pages) == columns * rows
    start = ((x0 + x1 - columns * step[0] - 12) / 2, (y0 + y1 - rows * step[1] - 12) / 2)
    found = []
    for i, image in enumerate(pages):
        row, column = divmod(i, columns)
        r, c = np.nonzero(image < 110)
        x = c / k - 12 + start[0] + column * step[0]
        y = (image.shape[0] - r) / k - 12 + start[1] + row * step[1]
        found.append(np.stack([x, y], axis=1))
    line = shapely.MultiPoint(np.concatenate(found))
    on = shapely.points(shapely.get_coordinates(shapely.segmentize(outline.wood.exterior, 2.0)))
    tree = shapely.STRtree(shapely.get_parts(line))
    near = tree.query_nearest(on, return_distance=True)[1]
    assert near.max() < 0.1 + 0.06, "0.1 mm and half a dot of the rendering"


def test_prices_add_up_and_set_up_is_counted_once(batch: Path) -> None:
    rows = list(csv.DictReader(io.StringIO((batch / "prices.csv").read_text())))
    made = json.loads((batch / "batch.json").read_text())
    assert [r["to make"] for r in rows] == ["2", "1", "11", "1", "14"]
    assert rows[-2]["board"] == "set-up, once"
    for name in (
        "timber",
        "machine time",
        "bench time",
        "finish",
        "cost",
        "margin",
        "tax",
        "price",
    ):
        assert sum(float(r[name] or 0) for r in rows[:-1]) == pytest.approx(
            float(rows[-1][name]), abs=1e-6
        )
    for row, price in zip(rows[:-1], made["prices"], strict=True):
        cost = sum(float(row[n] or 0) for n in ("timber", "machine time", "bench time", "finish"))
        assert float(row["cost"]) == pytest.approx(cost, abs=1e-6)
        assert price["margin"] == pytest.approx(0.35 * price["cost"], abs=0.006)
        assert price["tax"] == pytest.approx(0.20 * 1.35 * price["cost"], abs=0.006)
        assert float(row["price"]) == pytest.approx(
            float(row["cost"]) + float(row["margin"]) + float(row["tax"])
        )
        assert float(row["price each"]) == pytest.approx(
            price["price"] / price["quantity"], abs=0.01
        )
    assert made["total"] == pytest.approx(sum(p["price"] for p in made["prices"]))
    assert made["not_priced"] == ["laser time", "printer time and ink"]
    for board in made["boards"]:
        minutes = board["cutting"]["minutes"] + 6.0
        price = next(p for p in made["prices"] if p["name"] == board["name"])
        assert price["machine_minutes"] == pytest.approx(minutes * 1.1 * board["quantity"], abs=0.2)
    # 2, 1 and 10 are ordered: 2, 1 and 11 are made.
    whole = sum(
        b["cutting"]["length_mm"] * n for b, n in zip(made["boards"], (2, 1, 11), strict=True)
    )
    assert made["length_of_cut_mm"] == pytest.approx(whole, abs=8)
    blanks = sum(b["length_of_cut_mm"] for b in made["blanks"])
    assert blanks == pytest.approx(sum(b["cutting"]["length_mm"] for b in made["boards"]), abs=1)


def test_the_record_has_a_line_for_every_board_made(batch: Path) -> None:
    rows = list(csv.DictReader(io.StringIO((batch / "record.csv").read_text())))
    assert len(rows) == 14
    assert {r["timber source"] for r in rows} == {"the yard, plank 7"}
    assert {(r["oil batch"], r["last coat on"], r["cured on"]) for r in rows} == {
        ("B 12", "2026-05-14", "2026-06-04")
    }


def text_of(path: Path) -> tuple[int, str]:
    doc = pdfium.PdfDocument(path)
    text = " ".join(p.get_textpage().get_text_range() for p in doc)
    count = len(doc)
    doc.close()
    return count, re.sub(r"\s+", " ", text)


WORDS = (
    "Draw both diagonals",
    "Turn over on the long edge",
    "greatest thickness + 0.3",
    "anticlockwise round the edge, clockwise in openings, always",
    "Sand 240",
    "Oily rags",
    "never unattended",
    "gloves",
    "2 mg/m3",
    "Search it for metal",
    "turned over on its long edge",
    "pencil its number and UNDERSIDE",
    "2026-06-04",
    "the yard, plank 7",
    "B 12",
    "Load test",
    "4 kg at the far end",
)


def test_the_worksheet_is_one_page_of_pdf_with_every_caution(batch: Path) -> None:
    for folder in folders(batch):
        count, text = text_of(folder / "worksheet.pdf")
        assert count == 1
        for word in WORDS:
            assert word in text, word


@pytest.fixture(scope="module")
def browser() -> str:
    found = next(
        (b for b in map(shutil.which, ("chromium", "chromium-browser", "google-chrome")) if b), None
    )
    if found is None:
        import os

        assert not os.environ.get("CI"), "the worksheet is to be opened in a real browser"
        pytest.skip("no browser of the Chromium family is here")
    return found


@pytest.fixture(scope="module")
def printed(batch: Path, browser: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The HTML worksheet opened and printed by a real browser without a screen."""
    aside = tmp_path_factory.mktemp("browser")
    out = aside / "sheet.pdf"
    quiet = [
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--no-first-run",
        f"--user-data-dir={aside / 'profile'}",
    ]
    page = folders(batch)[0] / "worksheet.html"
    subprocess.run(
        [browser, *quiet, f"--print-to-pdf={out}", "--no-pdf-header-footer", page.as_uri()],
        check=True,
        capture_output=True,
        timeout=120,
    )
    return out


def test_the_html_worksheet_prints_on_one_page_in_a_browser(printed: Path) -> None:
    count, text = text_of(printed)
    assert count == 1
    for word in WORDS:
        assert word in text, word


def test_html_loads_nothing_from_elsewhere(batch: Path) -> None:
    text = (folders(batch)[0] / "worksheet.html").read_text()
    assert not re.findall(r'(?:src|href)="', text)
    assert text.count('type="checkbox"') >= 20


def test_care_cards_are_one_page_a_board(batch: Path) -> None:
    count, text = text_of(batch / "care-cards.pdf")
    assert count == 3
    assert text.count("Never in a dishwasher") == 3


def test_same_input_same_bytes_with_any_number_of_jobs(boards: list[str], tmp_path: Path) -> None:
    for name, jobs in (("a", "1"), ("b", "2")):
        assert (
            run(
                [
                    "prepare",
                    *boards[:2],
                    "--to",
                    str(tmp_path / name),
                    "--text",
                    "{name}",
                    "--jobs",
                    jobs,
                ]
            )
            == 0
        )
    for file in sorted(p for p in (tmp_path / "a").rglob("*") if p.is_file()):
        assert (
            file.read_bytes() == (tmp_path / "b" / file.relative_to(tmp_path / "a")).read_bytes()
        ), file


def test_plan_and_areas_in_json(boards: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        run(["plan", boards[0], "--json", "--hold", "skin", "--z", "spoil", "--measured", "20.4"])
        == 0
    )
    made = json.loads(capsys.readouterr().out)["boards"][0]
    assert made["cutting"]["depth_mm"] == pytest.approx(19.9)
    assert made["cutting"]["cuts"][-1]["passes"][-1]["z"] == pytest.approx(0.5)
    assert run(["areas", boards[0], "--ratio", "3,1", "--json"]) == 0
    areas = json.loads(capsys.readouterr().out)[0]["areas"]
    assert [a["length"] / a["width"] for a in areas] == pytest.approx([3, 1], rel=1e-4)


def test_a_plans_picture(boards: list[str], tmp_path: Path) -> None:
    picture = tmp_path / "plan.svg"
    assert run(["plan", boards[0], "--picture", str(picture)]) == 0
    assert "#c0392b" in picture.read_text(), "lifted fibres are red"


WRONG = [
    (["--text", "x" * 400], "too small to read; at least 4 mm; shorter text"),
    (["--text", "ж"], "the font Caladea-Regular has no 'ж'"),
    (["--text", "A", "--font", "{toml}"], "board.toml is no font"),
    (["--text", "A", "--font", "Nowhere"], "there is no font 'Nowhere'"),
    (["--artwork", "{png}"], "is a bitmap; trace it to outlines"),
    (["--artwork", "{embedded}"], "holds no line to cut"),
    (["--text", "A", "--margin", "100"], "leaves nothing of the underside"),
    (
        ["--text", "A", "--along-edge", "9", "--artwork", "a.svg"],
        "--along-edge: goes without --artwork",
    ),
    (
        ["--text", "A", "--along-edge", "9", "--mark-width", "40"],
        "--along-edge: goes without --mark-width",
    ),
    (["--text", "A", "--angle", "steep"], "--angle: 'steep' is no angle; -90 to 90, or any"),
    (["--text", "two\\nlines", "--along-edge", "10"], "runs along the edge in one line"),
    (["--text", "A", "--letter-height", "180"], "letters 180 mm high do not fit; up to"),
    (["--print-text", "A", "--print-on", "eating"], "never on the eating face"),
    (["--print-text", "A", "--ink", "blue"], "--ink: 'blue' is no colour"),
    (["--oiled", "May"], "--oiled: 'May' is no date; write 2026-05-14"),
    (["--quantity", "1,2"], "--quantity: names 2 boards of 1"),
    (["--quantity", "0"], "--quantity: 0 is out of range"),
    (["--chip-share", "3"], "--chip-share: 3 is out of range"),
    (["--measured", "20,4"], "write 20.4"),
    (["--cutter", "29"], "a hollow that a 29 mm cutter does not reach"),
    (["--workshop", "{shop}"], "did you mean 'rates'?"),
]


@pytest.mark.parametrize(("asked", "says"), WRONG, ids=[w[0][0] + w[0][1][:6] for w in WRONG])
def test_wrong_input_is_one_line_and_writes_nothing(
    asked: list[str],
    says: str,
    boards: list[str],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    png = tmp_path / "photo.png"
    png.write_bytes(b"\x89PNG")
    embedded = tmp_path / "embedded.svg"
    embedded.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="10mm" height="10mm" viewBox="0 0 10'
        ' 10"><image width="10" height="10" href="data:image/png;base64,iVBO"/></svg>'
    )
    shop = tmp_path / "shop.toml"
    shop.write_text("[ratse]\nmachine = 40\n")
    names = {
        "{png}": png,
        "{embedded}": embedded,
        "{shop}": shop,
        "{toml}": Path(boards[0]) / "board.toml",
    }
    asked = [str(names.get(a, a)) for a in asked]
    out = tmp_path / "out"
    status = run(["prepare", boards[1], "--to", str(out), *asked])
    err = capsys.readouterr().err
    assert status == 2, err
    assert says in err
    assert "Traceback" not in err
    assert not out.exists()
    assert not out.with_name("out.partial").exists()


def test_a_batch_of_ours_is_replaced_only_when_forced(
    batch: Path, boards: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["prepare", boards[0], "--to", str(batch)]) == 2
    assert "with --force" in capsys.readouterr().err
    (batch / "mine.txt").write_text("keep")
    assert run(["prepare", boards[0], "--to", str(batch), "--force"]) == 2
    assert "holds what this tool did not write: mine.txt" in capsys.readouterr().err
    (batch / "mine.txt").unlink()


def test_engraving_the_eating_face_is_warned_of(
    boards: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert (
        run(["prepare", boards[0], "--to", str(tmp_path / "o"), "--text", "A", "--on", "eating"])
        == 0
    )
    assert "engraving on the eating face: it holds food" in capsys.readouterr().err
    assert (next((tmp_path / "o").glob("01-*")) / "engrave.dxf").exists()

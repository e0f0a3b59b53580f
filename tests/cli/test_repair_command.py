"""shapes repair, and the whole way from bought-looking artwork to a file the router can cut."""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest

from shapes.cli.app import run
from shapes.files.drawing import read_drawing
from shapes.geometry.curve import bounds
from shapes.geometry.measures import kinks

ARTWORK = Path(__file__).parents[2] / "gallery" / "artwork.dxf"
HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300 200">'


def says(
    capsys: pytest.CaptureFixture[str], *arguments: object, status: int = 0
) -> tuple[str, str]:
    assert run([str(a) for a in arguments]) == status
    out, err = capsys.readouterr()
    return out, err


def verdicts(capsys: pytest.CaptureFixture[str], file: Path, *more: object) -> dict[str, set[str]]:
    run(["check", str(file), "--json", *(str(m) for m in more)])
    (board,) = json.loads(capsys.readouterr().out)
    found: dict[str, set[str]] = {}
    for f in board["findings"]:
        found.setdefault(f["check"], set()).add(f["verdict"])
    return found


@pytest.mark.parametrize("ending", [".dxf", ".svg"])
def test_artwork_goes_all_the_way(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], ending: str
) -> None:
    drawn, out, picture = ARTWORK, tmp_path / f"mended{ending}", tmp_path / "why.png"
    before = verdicts(capsys, drawn)
    assert "fail" in before["cutter"]
    assert "fail" in before["round-over"]
    told, notes = says(
        capsys,
        "repair",
        drawn,
        "--cutter",
        6,
        "--round-over",
        6,
        "--guide-bearing",
        12.7,
        "--out",
        out,
        "--picture",
        picture,
    )
    assert "stretches of edge drawn anew; it moved by" in told
    assert "is filled: the cutter does not get in" in told
    assert "closed 2 gaps" in notes
    assert picture.read_bytes().startswith(b"\x89PNG")
    after = verdicts(capsys, out)
    assert "fail" not in after["cutter"]
    assert "fail" not in after["round-over"]
    says(capsys, "export", out, "--to", tmp_path / "machine", "--format", "dxf", "--format", "svg")
    (cut,) = (tmp_path / "machine").glob("*-cut.dxf")
    (board,) = read_drawing(cut).boards
    x0, y0, x1, y1 = bounds(board.edge)
    assert (x0 + x1, y0 + y1) == pytest.approx((0, 0), abs=0.02)
    assert len(board.openings) == 2
    assert abs(kinks(board.edge)).max() < 1.6  # outward corners alone are left
    assert kinks(board.edge).min() > -0.05  # 3 degrees: smooth


def test_what_is_sound_is_written_as_it_was(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "round.svg"
    file.write_text(f'{HEAD}<circle cx="100" cy="100" r="80"/></svg>')
    told, _ = says(capsys, "repair", file, "--cutter", 6, "--out", tmp_path / "same.svg")
    assert "nothing to mend" in told
    assert (tmp_path / "same.svg").exists()


def test_only_changed_segments_change_in_svg(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file, out = tmp_path / "notch.svg", tmp_path / "mended.svg"
    file.write_text(
        f'{HEAD}<path d="M10 10 C 60 0 200 20 290 10 V190 H160 L150 150 L140 190 H10 Z"/></svg>'
    )
    says(capsys, "repair", file, "--cutter", 8, "--out", out)
    before, after = (read_drawing(f).boards[0].edge for f in (file, out))
    kept = {tuple(s.round(5).ravel()) for s in after.segments}
    kept |= {tuple(s[::-1].round(5).ravel()) for s in after.segments}
    assert sum(tuple(s.round(5).ravel()) in kept for s in before.segments) >= 3


@pytest.mark.parametrize(
    ("arguments", "what"),
    [
        (["--cutter", "0"], "--cutter: 0 is out of range"),
        (["--cutter", "6", "--narrow", "99"], "--narrow: 99 is out of range"),
        (["--cutter", "6", "--unit", "feet"], "no unit known"),
        (["--cutter", "6", "--round-over", "9", "--thickness", "20"], "take 8.5 mm or less"),
    ],
)
def test_wrong_wishes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], what: str
) -> None:
    file = tmp_path / "round.svg"
    file.write_text(f'{HEAD}<circle cx="100" cy="100" r="80"/></svg>')
    _, err = says(capsys, "repair", file, *arguments, "--out", tmp_path / "o.dxf", status=2)
    assert what in err
    assert not (tmp_path / "o.dxf").exists()


def test_places_are_looked_at_before_any_work(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "round.svg"
    file.write_text(f'{HEAD}<circle cx="100" cy="100" r="80"/></svg>')
    (tmp_path / "there.dxf").write_text("mine")
    for out, what in (
        ("there.dxf", "is there already"),
        ("round.svg", "is the file that is to be mended"),
        ("board.pdf", "has another ending"),
        ("no/board.dxf", "its folder is not there"),
    ):
        _, err = says(capsys, "repair", file, "--cutter", 6, "--out", tmp_path / out, status=2)
        assert what in err
    assert (tmp_path / "there.dxf").read_text() == "mine"


def test_a_figure_of_eight_is_refused_with_its_reason(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "eight.svg"
    file.write_text(f'{HEAD}<path d="M0 0 L100 80 L100 0 L0 80 Z"/></svg>')
    _, err = says(capsys, "repair", file, "--cutter", 6, "--out", tmp_path / "o.dxf", status=2)
    assert "cannot be repaired" in err
    assert "which is meant" in err


def test_reach_is_drawn(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    says(capsys, "check", ARTWORK, "--picture", tmp_path / "reach.svg", status=1)
    root = ElementTree.parse(tmp_path / "reach.svg").getroot()
    text = " ".join(t.text or "" for t in root.iter("{http://www.w3.org/2000/svg}text"))
    assert "largest cutter that gets there" in text
    assert "shut" in text
    _, err = says(capsys, "check", ARTWORK, "--picture", tmp_path / "reach.gif", status=2)
    assert "name a .svg or a .png" in err


def test_grip_and_grain_of_a_drawing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = ARTWORK
    run(["check", str(file), "--json", "--grain", "90"])
    (turned,) = json.loads(capsys.readouterr().out)
    assert turned["outline"]["length_mm"] == pytest.approx(203.2, abs=0.01)
    assert any(f["check"] == "grain" and f["verdict"] == "fail" for f in turned["findings"])
    run(["check", str(file), "--json", "--grip", "330,0,0"])
    (held,) = json.loads(capsys.readouterr().out)
    (strength,) = [f for f in held["findings"] if f["check"] == "strength"]
    assert strength["verdict"] in ("pass", "warn")
    assert "grip taken" not in strength["message"]

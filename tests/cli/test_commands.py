"""The commands as a maker types them: exit status, one line per problem, no traceback."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from samples import of

from shapes.cli.app import COMMANDS, run, whole_command
from shapes.forms import FORMS
from shapes.library.presets import briefs


def first_board(folder: Path) -> Path:
    return sorted(folder.glob("*/board.toml"))[0]


def test_check_says_what_it_found(
    collection_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["check", str(collection_folder)]) == 0
    out = capsys.readouterr().out
    assert len(re.findall(r"^ ?\d+  \w+ +passes  ", out, re.M)) == 12
    assert run(["check", str(first_board(collection_folder))]) == 0
    out = capsys.readouterr().out
    for name in ("size", "cutter", "handle", "grain", "weight", "narrow", "sharp", "round-over"):
        assert name in out
    assert "variation" not in out


def test_check_json_is_the_contract(
    collection_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["check", str(first_board(collection_folder)), "--json"]) == 0
    (board,) = json.loads(capsys.readouterr().out)
    assert set(board) == {
        "schema",
        "file",
        "outline",
        "largest_cutter_mm",
        "mass_kg",
        "passes",
        "findings",
    }
    assert set(board["outline"]) == {
        "area_mm2",
        "perimeter_mm",
        "length_mm",
        "width_mm",
        "openings",
        "centroid_mm",
        "least_inside_radius_mm",
        "least_outside_radius_mm",
        "narrowest_mm",
        "bending",
        "variation",
        "curvature_extremes",
        "asymmetry",
        "concave_turning",
        "total_turning",
        "curvature_maxima",
    }
    for finding in board["findings"]:
        assert set(finding) == {"check", "verdict", "measured", "limit", "unit", "where", "message"}
        assert finding["verdict"] in {"pass", "warn", "fail", "skip"}


def test_check_fails_with_a_wider_cutter(
    collection_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    about = json.loads((collection_folder / "collection.json").read_text())
    largest = {b["folder"]: b["largest_cutter_mm"] or 60.0 for b in about["boards"]}
    folder = min(largest, key=lambda name: largest[name])
    assert largest[folder] < 20
    board = str(collection_folder / folder)
    assert run(["check", board, "--cutter", f"{largest[folder] / 1.06:.3f}"]) == 0
    capsys.readouterr()
    assert run(["check", board, "--cutter", f"{largest[folder] / 1.04:.3f}"]) == 1
    assert "FAIL" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--cutter", "0"], "0 is out of range"),
        (["--cutter", "20,5"], "write 20.5"),
        (["--species", "oakk"], "unknown species"),
        (["--max-mass", "-1"], "out of range"),
        (["--grip", "3"], "no point"),
        (["--grain", "1000"], "out of range"),
        (["--round-over", "12"], "more than the thickness"),
    ],
)
def test_check_options_that_are_wrong(
    collection_folder: Path, capsys: pytest.CaptureFixture[str], options: list[str], says: str
) -> None:
    assert run(["check", str(first_board(collection_folder)), *options]) == 2
    err = capsys.readouterr().err
    assert says in err
    assert "Traceback" not in err


def test_estimate_gives_figures(
    collection_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["estimate", str(collection_folder)]) == 0
    out = capsys.readouterr()
    assert len(out.out.splitlines()) == 13
    assert "kg/m3" in out.err
    assert run(["estimate", str(first_board(collection_folder)), "--json"]) == 0
    (figures,) = json.loads(capsys.readouterr().out)
    assert figures["estimate"]["mass_kg"] > 0


def test_export_in_every_format(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    board, to = str(first_board(collection_folder)), str(tmp_path / "to")
    formats = [x for f in ("dxf", "svg", "pdf", "png") for x in ("--format", f)]
    assert run(["export", board, "--to", to, *formats]) == 0
    written = capsys.readouterr().out.split()
    assert len(written) == 6
    assert all(Path(p).stat().st_size > 500 for p in written)
    assert run(["export", board, "--to", to]) == 2
    assert "is there already" in capsys.readouterr().err
    assert run(["export", board, "--to", to, "--force", "--edge", "spline"]) == 0
    assert run(["export", board, "--to", to, "--format", "gcode"]) == 2


def test_vary_draws_relatives(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "kin"
    command = ["vary", str(first_board(collection_folder)), "--count", "3", "--out", str(out)]
    assert run(command) == 0
    assert len(list(out.glob("*/board.toml"))) == 3
    capsys.readouterr()
    slim = [*command[:-1], str(tmp_path / "slim"), "--width", "190"]
    assert run(slim) == 0
    for path in (tmp_path / "slim").glob("*/figures.json"):
        assert json.loads(path.read_text())["outline"]["width_mm"] <= 190


def test_a_set_in_three_sizes_keeps_its_turns_and_its_hole(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    recipes = sorted(collection_folder.glob("*/board.toml"))
    parent = next(r for r in recipes if 'form = "mussel"' in r.read_text()).parent
    out = tmp_path / "set"
    assert run(["vary", str(parent), "--sizes", "3", "--out", str(out)]) == 0
    own = tomllib.loads((parent / "board.toml").read_text())
    made = [tomllib.loads(p.read_text()) for p in sorted(out.glob("*/board.toml"))]
    assert len(made) == 3
    assert made[0]["outline"] == own["outline"]
    for k, board in enumerate(made):
        assert board["row"]["length"] == pytest.approx(own["row"]["length"] * 0.8**k, abs=0.01)
        assert board["row"]["width"] == pytest.approx(own["row"]["width"] * 0.8**k, abs=0.01)
        assert board["hand"] == own["hand"]
        for a, b in zip(board["stretches"], own["stretches"], strict=True):
            assert a["turn"] == pytest.approx(b["turn"], abs=1e-3)
    assert all(json.loads(p.read_text())["passes"] for p in out.glob("*/figures.json"))
    capsys.readouterr()
    smaller, step = next(out.glob("03-*")), 0
    while run(["vary", str(smaller), "--sizes", "5", "--out", str(tmp_path / f"to {step}")]) == 0:
        smaller, step = next((tmp_path / f"to {step}").glob("05-*")), step + 1
        capsys.readouterr()
    assert not (tmp_path / f"to {step}").exists()
    told = capsys.readouterr().err
    assert "size 5 of 5" in told
    assert "ask for fewer sizes" in told
    assert run(["vary", str(parent), "--sizes", "9", "--out", str(tmp_path / "nine")]) == 2
    assert "allowed 2 to 5" in capsys.readouterr().err


def test_a_sheet_with_one_board_of_each_form(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], request: pytest.FixtureRequest
) -> None:
    sheet = tmp_path / "forms.svg"
    every = dict(FORMS)
    request.addfinalizer(lambda: FORMS.update(every))
    request.addfinalizer(FORMS.clear)  # first, so that they stand in their order again
    for name in list(FORMS)[of(len(FORMS), 6) :]:
        del FORMS[name]
    assert run(["list", "forms", "--picture", str(sheet)]) == 0
    words = re.findall(r">\d+  ([a-z-]+)<", sheet.read_text())
    assert words == list(FORMS)
    capsys.readouterr()
    assert run(["list", "handles", "--picture", str(sheet)]) == 2
    assert "shows forms alone" in capsys.readouterr().err
    assert run(["list", "forms", "--picture", str(tmp_path / "forms.gif")]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_keep_holds_boards_in_their_places(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "boards"
    base = ["generate", "--plain", "--count", "4", "--pool", "40", "--out", str(out)]
    assert run(base) == 0
    before = sorted(p.name for p in out.iterdir() if p.is_dir())
    assert run([*base, "--keep", "2,4"]) == 2
    assert "--force" in capsys.readouterr().err
    assert run([*base, "--keep", "2,4", "--force"]) == 0
    after = sorted(p.name for p in out.iterdir() if p.is_dir())
    assert (after[1], after[3]) == (before[1], before[3])
    assert after[0] != before[0]
    whole = ["generate", "--plain", "--pool", "48", "--out", str(tmp_path / "dozen")]
    assert run(whole) == 0
    assert run([*whole, "--keep", "3,7", "--force"]) == 0
    assert len([p for p in (tmp_path / "dozen").iterdir() if p.is_dir()]) == 12
    assert run([*base, "--keep", "9", "--force"]) == 2
    assert "there is no board 9" in capsys.readouterr().err


@pytest.mark.parametrize("what", ["forms", "handles", "species", "presets", "checks"])
def test_list(what: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["list", what]) == 0
    text = capsys.readouterr().out
    assert run(["list", what, "--json"]) == 0
    entries = json.loads(capsys.readouterr().out)
    assert len(entries) >= 8
    for entry in entries:
        assert entry["says"]
        assert f"{entry['name']}: " in text


def test_every_preset_gives_a_full_dozen(tmp_path: Path) -> None:
    names = briefs()
    assert len(names) >= 8
    for name in list(names)[:: of(1, 4)]:
        out = tmp_path / name
        assert (
            run(["generate", "--preset", name, "--plain", "--pool", "84", "--out", str(out)]) == 0
        )
        about = json.loads((out / "collection.json").read_text())
        assert len(about["boards"]) == 12
        assert all(b["passes"] for b in about["boards"])


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["generate", "nowhere.toml"], "there is no such file"),
        (["generate", "--preset", "cheese-bord"], "did you mean 'cheese-board'?"),
        (["generate", "--count", "0"], "allowed 1 to 99"),
        (["generate", "--count", "many"], "--count"),
        (["generate", "--pool", "3"], "allowed 12 to"),
        (["generate", "--jobs", "0"], "allowed 1 to"),
        (["generate", "--seed", "-1"], "out of range"),
        (["generate", "--keep", "x"], "no list of numbers"),
        (["generate", "--workshop", "no.toml"], "there is no such file"),
        (["generate", "--colour", "red"], "--colour"),
        (["vary", "board.toml"], "there is no such file"),
        (["check", "board.dxf"], "there is no such file"),
        (["check", "."], "holds no boards"),
        (["polish"], "polish"),
    ],
)
def test_wrong_commands_say_so_in_a_line(
    arguments: list[str],
    says: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(arguments) == 2
    err = capsys.readouterr().err
    assert says in err
    assert len(err.strip().splitlines()) == 1
    assert list(tmp_path.iterdir()) == []


def test_a_brief_with_four_problems_has_four_lines(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    brief = tmp_path / "brief.toml"
    brief.write_text('lenght = 3\nwidth = "wide"\ncutter = nan\nspecies = "walnutt"\n')
    assert run(["generate", str(brief), "--out", str(tmp_path / "x")]) == 2
    assert len(capsys.readouterr().err.strip().splitlines()) == 4
    assert not (tmp_path / "x").exists()


def test_a_damaged_recipe_is_named(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = first_board(collection_folder).read_text()
    for k, (old, new) in enumerate(
        [("schema = 1", "schema = 9"), ("[outline]", "[outlines]"), ("turn = ", "turn = 1")]
    ):
        path = tmp_path / f"board{k}.toml"
        path.write_text(text.replace(old, new, 1))
        assert run(["check", str(path)]) == 2
        err = capsys.readouterr().err
        assert str(path) in err
        assert "Traceback" not in err


def test_a_name_stays_a_name_whatever_it_holds(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = first_board(collection_folder).read_text()
    start = text.index('name = "')
    line = text[start : text.index("\n", start)]
    for name in ("../../evil", "a/b", "x" * 120, '<&>\\"', "", "Fünf für Öle"):
        board = tmp_path / "board.toml"
        board.write_text(
            text.replace(line, f"name = {json.dumps(name, ensure_ascii=False)}"), encoding="utf-8"
        )
        to = tmp_path / "to"
        assert run(["export", str(board), "--to", str(to), "--format", "svg", "--force"]) == 0
        written = [Path(p) for p in capsys.readouterr().out.splitlines()]
        assert [p.parent for p in written] == [to]
        assert all(len(p.name) < 80 for p in written)


@pytest.mark.parametrize(
    "point", ["[1e9, 0.0]", "[5000.0, 0.0]", "[1.0]", "[nan, 3.0]", "[0.0, 0.0]"]
)
def test_an_outline_spoilt_by_hand_is_a_line_not_a_traceback(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], point: str
) -> None:
    text = first_board(collection_folder).read_text()
    head, tail = text.split("edge = [", 1)
    rows = tail.split("],", 3)
    board = tmp_path / "board.toml"
    board.write_text(
        head + "edge = [" + "],".join([rows[0], rows[1], "\n        " + point[:-1], rows[3]])
    )
    for command in (["check"], ["estimate"], ["export", "--to", str(tmp_path / "to")]):
        status = run([command[0], str(board), *command[1:]])
        err = capsys.readouterr().err
        assert status in (0, 1, 2)
        lines = err.strip().splitlines()
        assert len(lines) <= 1 or (status == 1 and lines[-1] == "nothing was written")
        assert "Traceback" not in err


def test_a_damaged_gene_is_named(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    import re

    text = first_board(collection_folder).read_text()
    board = tmp_path / "board.toml"
    board.write_text(re.sub(r"give = [\d.]+", "give = 70", text, count=1))
    assert run(["vary", str(board), "--out", str(tmp_path / "x")]) == 2
    assert "stretches 1: give: 70 is out of range; allowed 0 to 10" in capsys.readouterr().err
    board.write_text(re.sub(r"turn = ([\d.]+)", "turn = 33.3", text, count=1))
    assert run(["vary", str(board), "--out", str(tmp_path / "x")]) == 2
    assert "degrees in all, not 360" in capsys.readouterr().err


AREA = 60059.322472  # mm2
EARLIER = Path(__file__).parents[1] / "files" / "earlier-board.toml"


def test_a_board_of_an_earlier_way_of_drawing_still_serves(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["check", str(EARLIER), "--json"]) in (0, 1)
    figures = json.loads(capsys.readouterr().out)[0]
    # Measured when it was drawn, by the version that drew it.
    assert figures["outline"]["area_mm2"] == pytest.approx(AREA, rel=1e-6)
    assert run(["export", str(EARLIER), "--to", str(tmp_path / "to"), "--anyway"]) == 0
    assert run(["prepare", str(EARLIER), "--to", str(tmp_path / "batch"), "--anyway"]) == 0
    assert any((tmp_path / "batch").iterdir())
    capsys.readouterr()
    assert run(["vary", str(EARLIER), "--out", str(tmp_path / "x")]) == 2
    err = capsys.readouterr().err
    assert "is not drawn any more, so it has no relatives" in err
    assert len(err.strip().splitlines()) == 1


@pytest.mark.skipif(os.name != "posix", reason="permissions as POSIX has them")
def test_a_read_only_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    place = tmp_path / "file"
    place.write_text("mine")
    assert run(["generate", "--out", str(place)]) == 2
    assert "is a file" in capsys.readouterr().err
    assert place.read_text() == "mine"
    assert run(["generate", "--count", "1", "--pool", "12", "--out", "/proc/boards"]) == 2
    assert "Traceback" not in capsys.readouterr().err


def test_interrupting_the_process_leaves_nothing(tmp_path: Path) -> None:
    import signal
    import time

    code = "from shapes.cli.app import main; main()"
    process = subprocess.Popen(
        [sys.executable, "-c", code, "generate", "--pool", "20000", "--out", str(tmp_path / "b")],
        stderr=subprocess.PIPE,
        text=True,
        cwd=Path(__file__).parents[2],
        # Where the suite itself was started with interrupts ignored, the child is not.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    time.sleep(3)
    process.send_signal(signal.SIGINT)
    _, err = process.communicate(timeout=60)
    assert process.returncode == 130
    assert err.strip() == "interrupted; nothing was written"
    assert list(tmp_path.iterdir()) == []


def test_help_is_printed() -> None:
    done = subprocess.run(
        [sys.executable, "-c", "from shapes.cli.app import main; main()", "--help"],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parents[2],
    )
    for command in ("generate", "check", "export", "estimate", "vary", "list"):
        assert command in done.stdout


def test_help_says_what_the_commands_say_of_themselves() -> None:
    for name, says in COMMANDS.items():
        assert " ".join(str(whole_command(name).help).split("\n\n")[0].split()) == says


def test_thirty_kilograms_are_a_limit_like_any_and_none_is_none(
    capsys: pytest.CaptureFixture[str],
) -> None:
    drawing = str(Path(__file__).parents[2] / "gallery" / "artwork-mended.dxf")
    lines = []
    for limit in ([], ["--cutter", "6"], ["--max-mass", "30"]):
        run(["check", drawing, *limit])
        (line,) = [t for t in capsys.readouterr().out.splitlines() if t.startswith("weight")]
        lines.append(line)
    assert not any("limit" in line for line in lines[:2])
    assert lines[2].endswith("limit 30 kg")

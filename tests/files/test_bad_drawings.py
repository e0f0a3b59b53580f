"""Drawings that cannot be used: one clear line each and exit status 2, or a mending with a note."""

from __future__ import annotations

import random
from pathlib import Path
from types import ModuleType

import ezdxf
import pytest
from fuzzing import READ, commanded, spoilt, tried
from made_boards import boards

from shapes.cli.app import run
from shapes.errors import InputError
from shapes.files import read_dxf, read_svg
from shapes.files.drawing import read_drawing
from shapes.files.dxf import cut_dxf
from shapes.files.svg import cut_svg

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300 200">'
BOMB = "".join(f'<!ENTITY {chr(98 + i)} "{("&" + chr(97 + i) + ";") * 10}">' for i in range(8))

FILES: dict[str, tuple[bytes, str]] = {
    "empty.svg": (b"", "is empty"),
    "empty.dxf": (b"", "is empty"),
    "rubbish.svg": (bytes(range(256)) * 9, "is no SVG that can be read"),
    "rubbish.dxf": (bytes(range(256)) * 9, "is no DXF that can be read"),
    "cut off.svg": ((HEAD + '<path d="M0 0 L9').encode(), "is no SVG that can be read"),
    "html.svg": (b"<html><body/></html>", "is XML, but no SVG"),
    "bomb.svg": (
        f'<!DOCTYPE s [<!ENTITY a "aaaa">{BOMB}]><svg width="9mm">&i;</svg>'.encode(),
        "defines entities",
    ),
    "fetch.svg": (
        b'<!DOCTYPE s [<!ENTITY x SYSTEM "file:///etc/hostname">]><svg width="9mm">&x;</svg>',
        "defines entities",
    ),
    "nan.svg": (
        (HEAD + '<path d="M NaN 0 L 9 9 Z"/></svg>').encode(),
        "has path data that is none",
    ),
    "far.svg": (
        (HEAD + '<path d="M 0 0 L 1e300 9 L 0 9 Z"/></svg>').encode(),
        "not a number below 1 000 000 mm",
    ),
    "words.svg": (
        (HEAD + '<text x="9" y="9">board</text></svg>').encode(),
        "turn text into outlines",
    ),
    "open.svg": (
        (HEAD + '<path fill="none" stroke="red" d="M10 10 H200 V100 H10 V10.5"/></svg>').encode(),
        "0.5 mm from the next",
    ),
    "flat.svg": ((HEAD + '<path d="M10 10 H200 Z"/></svg>').encode(), "encloses nothing"),
    "round.svg": (
        (HEAD + '<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g></svg>').encode(),
        "holds itself",
    ),
    "eight.svg": (
        (HEAD + '<path d="M0 0 L100 80 L100 0 L0 80 Z"/></svg>').encode(),
        "crosses itself at (50.000, -40.000)",
    ),
    "overlap.svg": (
        (
            HEAD
            + '<path d="M10 10 H290 V190 H10 Z M50 50 h60 v60 h-60 Z M90 80 h60 v60 h-60 Z"/></svg>'
        ).encode(),
        "shapes repair mends it",
    ),
    "two.svg": (
        (
            HEAD
            + '<rect width="60" height="60"/><rect x="30" y="30" width="60" height="50"/></svg>'
        ).encode(),
        "two outlines cross at",
    ),
    "blatt \u00e4\u00f6\u00fc.svg": ((HEAD + "</svg>").encode(), "holds no line to cut"),
}


@pytest.mark.parametrize("name", FILES)
def test_one_line_each(tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    data, says = FILES[name]
    path = tmp_path / name
    path.write_bytes(data)
    assert run(["check", str(path)]) == 2
    out, err = capsys.readouterr()
    assert says in err
    assert len(err.strip().splitlines()) == 1
    assert err.startswith(str(path))
    assert out == ""


def uses_without_end() -> bytes:
    levels = "".join(f'<g id="a{i + 1}">' + f'<use href="#a{i}"/>' * 10 + "</g>" for i in range(9))
    return f'{HEAD}<defs><rect id="a0" width="5" height="5"/>{levels}</defs><use href="#a9"/></svg>'.encode()


def blocks(path: Path, levels: int, *, round_: bool) -> None:
    doc = ezdxf.new("R2000", units=4)
    for i in range(levels):
        block = doc.blocks.new(f"B{i}")
        block.add_line((0, 0), (1, 0))
        for k in range(10 if i else 0):
            block.add_blockref(f"B{i - 1}", (k, 0))
    if round_:
        doc.blocks.get("B0").add_blockref(f"B{levels - 1}", (0, 0))
    doc.modelspace().add_blockref(f"B{levels - 1}", (0, 0))
    doc.saveas(path)


def test_copies_of_copies(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "uses.svg").write_bytes(uses_without_end())
    blocks(tmp_path / "blocks.dxf", 8, round_=False)
    blocks(tmp_path / "round.dxf", 3, round_=True)
    for name, says in (
        ("uses.svg", "are read"),
        ("blocks.dxf", "are read"),
        ("round.dxf", "holds itself"),
    ):
        assert run(["check", str(tmp_path / name)]) == 2
        assert says in capsys.readouterr().err


def test_too_large_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "large.svg").write_bytes(b" " * 50_000_000)
    assert run(["check", str(tmp_path / "large.svg")]) == 2
    assert "is 50 MB; at most 20 MB" in capsys.readouterr().err


def test_references_to_outside_are_never_followed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "other.svg").write_text(f'{HEAD}<circle id="a" cx="40" cy="40" r="30"/></svg>')
    text = (
        HEAD
        + '<use href="other.svg#a"/><image href="other.svg"/><rect width="90" height="70"/></svg>'
    )
    (tmp_path / "asks.svg").write_text(text)
    run(["check", str(tmp_path / "asks.svg"), "--json"])
    out, err = capsys.readouterr()
    assert '"openings": 0' in out
    assert "not in the file" in err


def test_good_and_bad_files_together(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "good.svg").write_text(f'{HEAD}<circle cx="90" cy="90" r="80"/></svg>')
    (tmp_path / "bad.svg").write_text("<svg")
    assert run(["check", str(tmp_path)]) == 2
    out, err = capsys.readouterr()
    assert "good" in out
    assert "bad.svg" in err


_INPUTS = {
    "brief": 1500,
    "off-cut": 1200,
    "workshop": 1500,
    "board": 400,
    "svg": 500,
    "dxf": 250,
    "font": 700,
}


@pytest.mark.slow
@pytest.mark.parametrize("kind", READ)
def test_spoilt_files_never_trace_back(tmp_path: Path, kind: str) -> None:
    rng = random.Random(7)
    answers = set()
    path = tmp_path / f"spoilt{READ[kind][1]}"
    for i in range(_INPUTS[kind]):
        path.write_bytes(spoilt(kind, rng))
        answer = tried(kind, path)
        answers.add(answer)
        if i % 50 == 0 and kind in ("board", "svg", "dxf") and answer != "refused":
            commanded(path)
    assert {"read", "refused"} <= answers
    assert "silent" not in answers


def test_a_hole_that_lies_across_a_side_is_mended_or_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Found by spoiling: the plate's lower side cuts the hole where two of its arcs meet."""
    path = tmp_path / "across.svg"
    path.write_text(
        f'{HEAD}<g transform="translate(10 5) rotate(12) scale(1.1)"><rect x="9" y="6" width="869"'
        ' height="83" rx="0"/><circle cx="49" cy="11" r="5"/></g></svg>'
    )
    assert run(["repair", str(path), "--cutter", "6", "--out", str(tmp_path / "m.dxf")]) in (
        0,
        1,
        2,
    )
    err = capsys.readouterr().err
    assert "Traceback" not in err
    assert err.strip()


@pytest.mark.parametrize(("ending", "reader"), [("dxf", read_dxf), ("svg", read_svg)])
def test_a_fault_of_ours_is_not_told_as_damage(
    ending: str, reader: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / f"board.{ending}"
    board = boards(1, seed=5)[0]
    path.write_bytes(cut_dxf(board, None) if ending == "dxf" else cut_svg(board).encode())
    assert len(read_drawing(path).boards) == 1

    def no_number(*_: object) -> None:
        float("a number that is none")

    monkeypatch.setattr(reader, "chosen", no_number)
    with pytest.raises(InputError):
        read_drawing(path)
    monkeypatch.setattr(reader, "chosen", None)  # called all the same, in our own code
    with pytest.raises(TypeError):
        read_drawing(path)

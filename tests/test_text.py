"""What is plain text, what of the rest is refused where it is
read, and what a terminal or table is shown.
"""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shapes.cli.app import run
from shapes.collection.brief import brief_from
from shapes.errors import InputError, Problem
from shapes.folders.figures import _csv
from shapes.text import cell, escaped, is_plain, plain, shown
from shapes.text_files import read_json

# Control, half a pair, no character (Unicode 15, 23.7), turning (UAX 9), private, line and
# paragraph separator.
ODD = [
    "\x00",
    "\x07",
    "\x1b",
    "\x7f",
    "\x9b",
    "\ud800",
    "\ufffe",
    "\U0010ffff",
    "\u202e",
    "\u2066",
    "\u200f",
    "\ue000",
    "\u2028",
    "\n",
]


@pytest.mark.parametrize("character", ODD, ids=[f"U+{ord(c):04X}" for c in ODD])
def test_what_is_no_letter_is_refused_with_its_code_and_place(character: str) -> None:
    with pytest.raises(ValueError, match=rf"U\+{ord(character):04X} at place 3"):
        plain(f"ab{character}c")
    assert not is_plain(character)
    with pytest.raises(InputError) as caught:
        brief_from({"title": f"ab{character}c"})
    assert character not in str(caught.value)


@given(st.text(max_size=30))
def test_what_is_shown_is_plain(text: str) -> None:
    assert all(is_plain(c) for c in escaped(text))
    assert all(is_plain(c) for c in str(Problem(text, text, text, text)))
    assert all(is_plain(c) for c in shown(text))


@pytest.mark.parametrize(
    "value",
    [10**5000, [[]] * 4000, "a" * 10**6, {"a": 1}, float("nan")],
    ids=["int", "list", "text", "table", "nan"],
)
def test_whatever_it_is_it_is_shown_short(value: object) -> None:
    assert 1 <= len(shown(value)) < 70


def test_names_keep_their_letters() -> None:
    for name in ("Öl für Käthe", "板 1", "Ναός", "naïve — 3/4 & more", "<b>"):
        assert plain(f" {name} ") == name
    with pytest.raises(ValueError, match="121 characters, at most 120"):
        plain("a" * 121)
    with pytest.raises(ValueError, match="is empty"):
        plain("  ")


def test_no_cell_of_a_table_is_a_formula() -> None:
    rows = list(
        csv.reader(io.StringIO(_csv([["=1+1", "+x", "-x", "@me", "-4.5", "beech", 3]]).decode()))
    )
    assert rows == [["'=1+1", "'+x", "'-x", "'@me", "-4.5", "beech", "3"]]
    assert cell("") == ""


@pytest.mark.parametrize(
    "text", ['{"a": NaN}', '{"a": "\\u0007"}', "[" * 5000, '{"a": 1e300}', "", "{"]
)
def test_json_that_this_tool_never_wrote_is_refused(tmp_path: Path, text: str) -> None:
    path = tmp_path / "placement.json"
    path.write_text(text)
    with pytest.raises(ValueError, match=r".+"):
        read_json(path)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("length = " + "9" * 5000, "is no TOML"),
        ("a = " + "[" * 3000 + "]" * 3000, "nested too deep"),
        ("length = 0x" + "f" * 900, "that is out of range"),
        ("count = inf", "inf is out of range"),
        ("edges = nan", "is no setting here"),
        ("forms = [['bean']]", "unknown name ['bean']"),
        ('"' + "k" * 100_000 + '" = 1', "is no setting here"),
        ("title = '" + "t" * 900_000 + "'", "900000 characters, at most 120"),
        ('title = "\\u001b[31m red"', "U+001B"),
        ("# " + "x" * 3_000_000, "at most 2 MB"),
        ("length = 1979-05-27", "must be a number"),
        (
            "weighed = { mass = 1, length = { a = 1 }, width = 3, thickness = 2 }",
            "length: must be a number, not {'a': 1}",
        ),
    ],
)
def test_spoilt_briefs_say_what_is_wrong_in_short_lines(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, says: str
) -> None:
    path = tmp_path / "brief.toml"
    path.write_text(text)
    assert run(["generate", str(path), "--out", str(tmp_path / "out")]) == 2
    out, err = capsys.readouterr()
    assert says in err
    assert out == ""
    assert all(line.isprintable() and len(line) < 900 for line in err.splitlines())
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    "options",
    [
        ["prepare", "BOARD", "--text", "a\x1bb"],
        ["prepare", "BOARD", "--print-text", "a\x00b"],
        ["prepare", "BOARD", "--timber-source", "\u202eabc"],
        ["prepare", "BOARD", "--oil-batch", "x" * 200],
        ["offer", "BOARD", "--title", "a\x07"],
    ],
)
def test_texts_of_options_are_plain(
    collection_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], options: list[str]
) -> None:
    board = str(min(collection_folder.glob("01-*")))
    to = (
        ["--out", str(tmp_path / "o.html")]
        if options[0] == "offer"
        else ["--to", str(tmp_path / "to")]
    )
    assert run([board if o == "BOARD" else o for o in options] + to) == 2
    err = capsys.readouterr().err
    assert err.startswith(options[2])
    assert all(line.isprintable() for line in err.splitlines())
    assert list(tmp_path.iterdir()) == []


def test_a_drawing_is_called_after_its_file_where_that_is_plain(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "a\x1b[31mb.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="90mm"><rect width="99"'
        ' height="60"/></svg>'
    )
    assert run(["check", str(path)]) == 2
    err = capsys.readouterr().err
    assert "U+001B" in err
    assert "\x1b" not in err

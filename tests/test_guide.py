"""What README and guide say of settings, promises, commands
and what they print is what the code holds.
"""

from __future__ import annotations

import json
import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from settings_table import in_guide, tables

from shapes.checks import SAYS
from shapes.cli import app
from shapes.cli.app import run, whole_command
from shapes.cli.marking import MOST_NAMES
from shapes.files import drawn, font, measured
from shapes.mending.loops import MEET
from shapes.settings import Tables
from shapes.text import NAME, TEXT
from shapes.text_files import LARGEST_FILE

ROOT = Path(__file__).parents[1]
GUIDE = ROOT / "DEVELOPERS.md"
PAGES = sorted((ROOT / "gallery" / "guide").glob("*.md"))
FIGURES = {
    "a command ends with 0": 0,
    "1: done": app.FAILS,
    "2: the input": app.WRONG,
    "130: interrupted": app.INTERRUPTED,
    "143: stopped": app.STOPPED,
    "bytes of a file of settings": LARGEST_FILE,
    "characters of a name": NAME,
    "characters of a text": TEXT,
    "corners or offsets": measured._CORNERS.most,
    "tables of one kind": Tables(int).most,
    "names in a CSV": MOST_NAMES,
    "bytes of a drawing": drawn.LARGEST_FILE,
    "lines, arcs and cubics": drawn.MOST_POINTS,
    "boards in a drawing": drawn.MOST_BOARDS,
    "openings in a drawing": drawn.MOST_OPENINGS,
    "corners in a drawing": drawn.MOST_CORNERS,
    "mm of a board": drawn.LARGEST_BOARD,
    "lines of a drawing that end": MEET,
    "bytes of a font": font.LARGEST_FONT,
}
"""Begin of a promise in the guide, and what the code holds."""


def test_the_guide_has_every_setting_as_it_is_declared() -> None:
    assert in_guide() == tables()
    assert "| `cutters[].measured` | 1 to 80 mm |  | measured diameter |" in tables()


def test_the_guide_asks_what_every_check_asks() -> None:
    """The table of checks is written by hand: none may be missing from it, none too many."""
    text = (ROOT / "gallery" / "guide" / "boards.md").read_text(encoding="utf-8")
    table = text.split("| check | question |")[1].split("\n\n")[0]
    named = [
        n
        for cell in re.findall(r"^\| ([a-z, -]+) \|", table, re.MULTILINE)
        for n in cell.split(", ")
        if n != "---"
    ]
    assert sorted(named) == sorted(SAYS)


def test_settings_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["list", "settings", "--json"]) == 0
    rows = {r["name"]: r for r in json.loads(capsys.readouterr().out)}
    assert rows["brief: length"]["allowed"] == "120 to 1500 mm"
    assert rows["off-cut: outline.every"]["default"] == "50"
    assert len(rows) > 100


def promises() -> list[tuple[str, str]]:
    table = GUIDE.read_text(encoding="utf-8").split("## What is promised")[1].split("\n## ")[0]
    rows = re.findall(r"^\| (.+?) \| (\S+) \|$", table, re.MULTILINE)
    return [(str(says), str(shown)) for says, shown in rows if shown != "---"]


def test_every_figure_that_is_promised_is_the_codes_own() -> None:
    figures = [(says, shown) for says, shown in promises() if not shown.startswith("test_")]
    assert len(figures) == len(FIGURES)
    for says, shown in figures:
        (own,) = [v for begin, v in FIGURES.items() if says.startswith(begin)]
        assert float(shown) == own, says


def test_every_other_promise_names_a_test_that_there_is() -> None:
    every = "".join(p.read_text(encoding="utf-8") for p in Path(__file__).parent.rglob("test_*.py"))
    named = [shown for _, shown in promises() if shown.startswith("test_")]
    assert len(named) >= 6
    for name in named:
        assert f"def {name}(" in every


def test_the_readme_is_short_and_leads_to_every_page_of_the_guide() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert len(text.splitlines()) < 150
    assert len(PAGES) >= 7
    for page in PAGES:
        assert f"(gallery/guide/{page.name})" in text
    for file in [ROOT / "README.md", *PAGES]:
        for link in re.findall(r"\]\(([^)#]+)\)", file.read_text(encoding="utf-8")):
            assert (file.parent / link).exists(), f"{file.name}: {link}"


def test_the_readmes_tasks_print_what_it_says(tmp_path: Path) -> None:
    for folder in ("gallery", "presets"):
        (tmp_path / folder).symlink_to(ROOT / folder)
    there = os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]])
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    ran = 0
    for block in re.findall(r"^```console\n(.*?)^```", text, re.MULTILINE | re.DOTALL):
        for step in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, _, wanted = step.partition("\n")
            done = subprocess.run(
                ["bash", "-c", command],
                cwd=tmp_path,
                env={**os.environ, "PATH": there},
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
                text=True,
                check=False,
            )
            assert done.returncode in (0, 1), done.stdout
            _same_lines(done.stdout, wanted)
            ran += 1
    assert ran >= 6


def _same_lines(printed: str, wanted: str) -> None:
    """Assert that text says each wanted line, in any order: the two streams mix as they come."""
    lines = [" ".join(line.split()) for line in printed.splitlines()]
    asked = [" ".join(line.split()) for line in wanted.splitlines()]
    for line in asked:
        assert line == "..." or line in lines, f"not printed: {line}\n{printed}"
    if "..." not in asked:
        assert sorted(asked) == sorted(lines)


def test_every_command_of_the_guide_can_be_typed() -> None:
    typed = [
        re.split(r"\s{3,}", line.strip())[0]
        for page in PAGES
        for line in page.read_text(encoding="utf-8").splitlines()
        if line.startswith("    shapes ")
    ]
    assert len(typed) > 40
    for line in typed:
        _, name, *arguments = shlex.split(line)
        if "..." not in arguments:
            whole_command(name).make_context(name, arguments)

"""Forms of other packages: found by their entry point, drawn where a brief names them."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
MODULE = """
from dataclasses import replace
from shapes.forms.free import FREE
skerry = replace(FREE["mussel"], says="a mussel of another house", seldom=False)
wrong = 7
"""


def installed(folder: Path, points: str) -> dict[str, str]:
    """A package as an installer leaves it, on the path of another process."""
    (folder / "quay.py").write_text(MODULE, encoding="utf-8")
    about = folder / "quay-1.0.dist-info"
    about.mkdir()
    (about / "METADATA").write_text("Metadata-Version: 2.1\nName: quay\nVersion: 1.0\n", "utf-8")
    (about / "entry_points.txt").write_text(f"[shapes.forms]\n{points}\n", "utf-8")
    return {**os.environ, "PYTHONPATH": os.pathsep.join([str(folder), str(ROOT)])}


def command(where: dict[str, str], *words: str) -> subprocess.CompletedProcess[str]:
    code = "import sys; from shapes.cli import main; sys.argv[0] = 'shapes'; main()"
    return subprocess.run(
        [sys.executable, "-c", code, *words], env=where, capture_output=True, text=True, check=False
    )


def test_a_form_of_another_package_is_listed_and_drawn(tmp_path: Path) -> None:
    where = installed(tmp_path, "skerry = quay:skerry\nmussel = quay:skerry")
    said = command(where, "list", "forms")
    assert said.returncode == 0, said.stderr
    assert "a mussel of another house" in said.stdout
    assert said.stdout.count("a mussel of another house") == 1  # our mussel stays ours
    brief = tmp_path / "b.toml"
    brief.write_text('length = 437\nwidth = 208\nforms = ["skerry"]\nhandles = ["cord-hole"]\n')
    made = command(where, "generate", str(brief), "--count", "2", "--out", str(tmp_path / "boards"))
    assert made.returncode == 0, made.stderr
    assert len(list((tmp_path / "boards").glob("*-skerry-*"))) == 2
    # Without the package the boards still check; only relatives cannot be drawn.
    board = next((tmp_path / "boards").glob("01-*"))
    bare = {**os.environ, "PYTHONPATH": str(ROOT)}
    assert command(bare, "check", str(board)).returncode == 0
    again = command(bare, "vary", str(board), "--out", str(tmp_path / "near"))
    assert again.returncode == 2
    assert "its form 'skerry' is not drawn any more" in again.stderr


def test_boards_do_not_change_with_what_is_installed(tmp_path: Path) -> None:
    where = installed(tmp_path, "skerry = quay:skerry")
    code = (
        "import shapes; print([b.form for b in shapes.generate(shapes.Brief(length=437, width=208),"
        " 4, pool=16).boards])"
    )
    with_it, without = (
        subprocess.run(
            [sys.executable, "-c", code], env=env, capture_output=True, text=True, check=True
        ).stdout
        for env in (where, {**os.environ, "PYTHONPATH": str(ROOT)})
    )
    assert with_it == without
    assert with_it.count("'") == 8


def test_what_is_no_form_is_said_in_a_line(tmp_path: Path) -> None:
    said = command(installed(tmp_path, "skerry = quay:wrong"), "list", "forms")
    assert said.returncode == 2
    assert (
        said.stderr.strip()
        == "form 'skerry' of quay: is no form that can be drawn: it is a int; mend that package, or"
        " uninstall it"
    )

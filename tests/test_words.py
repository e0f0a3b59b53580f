"""What messages tell people to type is there to be typed."""

from __future__ import annotations

import ast
import re
from pathlib import Path

from shapes.cli.app import COMMANDS, whole_command

ROOT = Path(__file__).parents[1]
EVERYWHERE = {"--help"}


def options() -> set[str]:
    every = [p for n in COMMANDS for p in whole_command(n).params]
    return EVERYWHERE.union(*(set(p.opts) | set(p.secondary_opts) for p in every))


def test_every_option_that_is_named_is_one() -> None:
    known, seen = options(), 0
    for path in (ROOT / "shapes").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                for name in re.findall(r"(?<![\w-])--[a-z][a-z-]*[a-z]", node.value):
                    assert name in known, f"{path.name}: {name}"
                    seen += 1
    assert seen > 100


def test_every_option_of_the_guide_is_one() -> None:
    known, seen = options(), 0
    pages = [ROOT / "README.md", *(ROOT / "gallery" / "guide").glob("*.md")]
    for path in pages:
        text = re.sub(r"```sh.*?```", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
        for name in re.findall(r"(?<![\w-])--[a-z][a-z-]*[a-z]", text):
            assert name in known, f"{path.name}: {name}"
            seen += 1
    assert seen > 60

"""Imports run downwards only, and round in no circle."""

from __future__ import annotations

import ast
from pathlib import Path

ROOT = Path(__file__).parents[1] / "shapes"
# Low to high; rooms of one number stand side by side and do not know one another.
FLOORS = {
    "": 0,  # units, tolerances, errors, parameters
    "geometry": 1,
    "reach": 2,
    "mending": 3,
    "forms": 4,
    "handles": 4,
    "timber": 4,
    "checks": 5,
    "collection": 6,
    "placing": 7,
    "workshop": 8,
    "files": 9,
    "pictures": 10,
    "folders": 11,
    "library": 12,
    "cli": 14,
    "page": 13,
}


def imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("shapes"):
            found.add(node.module)
        elif isinstance(node, ast.Import):
            found |= {a.name for a in node.names if a.name.startswith("shapes")}
    return found


def room(module: str) -> str:
    parts = module.split(".")
    return parts[1] if len(parts) > 1 and parts[1] in FLOORS else ""


def test_every_arrow_runs_down() -> None:
    seen = 0
    for path in sorted(ROOT.rglob("*.py")):
        own = ".".join(path.relative_to(ROOT.parent).with_suffix("").parts)
        for target in imports(path):
            a, b = room(own), room(target)
            seen += 1
            assert FLOORS[b] < FLOORS[a] or a == b, f"{own} imports {target}"
    assert seen > 100


def test_no_circles() -> None:
    graph = {
        ".".join(p.relative_to(ROOT.parent).with_suffix("").parts).removesuffix(
            ".__init__"
        ): imports(p)
        for p in ROOT.rglob("*.py")
    }
    done: set[str] = set()

    def walk(name: str, trail: tuple[str, ...]) -> None:
        assert name not in trail, " -> ".join((*trail, name))
        if name in done or name not in graph:
            return
        for target in graph[name]:
            if target != name:
                walk(target, (*trail, name))
        done.add(name)

    for name in graph:
        walk(name, ())
    assert len(done) > 60


def test_no_module_is_a_house() -> None:
    for path in ROOT.rglob("*.py"):
        assert len(path.read_text().splitlines()) <= 450, path


def test_no_function_is_a_room() -> None:
    """Sixty lines from its docstring to its end; what a command declares stands before that."""
    for path in ROOT.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                body = node.body[ast.get_docstring(node) is not None :]
                long = (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0
                assert long <= 60, f"{path}: {node.name} has {long} lines"


def test_every_deliberate_break_still_finds_its_place() -> None:
    """The list is run by hand (tests/faults.py): it may not rot meanwhile."""
    from faults import FAULTS

    for fault in FAULTS:
        assert fault.right in (ROOT / fault.file).read_text(encoding="utf-8"), fault
        for test in fault.tests.split():
            assert test.startswith("--") or (ROOT.parent / test).exists(), test
    assert len({(f.file, f.right) for f in FAULTS}) == len(FAULTS) >= 60

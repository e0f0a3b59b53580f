"""What `import shapes` offers: all of it is there, light until used, and what commands call."""

from __future__ import annotations

import ast
import doctest
import inspect
import re
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

import shapes

ROOT = Path(shapes.__file__).parent
GUIDE = ROOT.parent / "gallery" / "guide" / "scripts.md"
# What a door does, where it lies deeper: a command that imports it comes in past the door.
DEEPER = {
    "shapes.collection.generate": {"generate"},
    "shapes.collection.pool": {"AtRandom"},
    "shapes.placing.fitted": {"brief_on"},
    "shapes.collection.board": {"full_report"},
    "shapes.collection.vary": {"near", "in_sizes", "in_another_box", "with_handle", "stretches_of"},
    "shapes.placing.lay_out": {"lay_out"},
    "shapes.collection.mend": {"mend", "RepairRequest"},
    "shapes.files.drawing": {"read_drawing"},
    "shapes.files.recipe": {"read_recipe"},
    "shapes.files.off_cut": {"read_off_cut"},
    "shapes.folders.batch": {"prepare", "prepare_all", "write_batch"},
    "shapes.folders.chosen": {"write_files"},
}
# Checks of boards that a command only measures on the way to something else.
MEASURES = {"estimate.py", "areas.py", "offer.py"}


def test_every_name_is_there_and_the_stub_says_the_same() -> None:
    stub = set(re.findall(r"import (\w+) as \1", (ROOT / "__init__.pyi").read_text("utf-8")))
    assert stub == set(shapes.__all__) == {n for n in dir(shapes) if n[0] != "_"}
    assert 20 <= len(stub) <= 32
    for name in shapes.__all__:
        thing = getattr(shapes, name)
        assert thing.__name__ == name
        assert len(inspect.getdoc(thing) or "") > 40, name
    with pytest.raises(AttributeError, match="nothing"):
        shapes.nothing  # type: ignore[attr-defined]  # noqa: B018


def test_each_door_says_what_it_raises() -> None:
    doors = [getattr(shapes, n) for n in shapes.__all__ if inspect.isfunction(getattr(shapes, n))]
    assert len(doors) >= 14
    for door in doors:
        assert "raise" in (inspect.getdoc(door) or "").lower(), door.__name__
        assert all(p.annotation is not p.empty for p in inspect.signature(door).parameters.values())


def test_nothing_is_imported_before_it_is_used() -> None:
    said = subprocess.run(
        [
            sys.executable,
            "-c",
            (
                "import shapes, sys; print(*[m for m in sys.modules if m.startswith(('shapes.',"
                " 'numpy', 'shapely', 'scipy'))])"
            ),
        ],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT.parent,
    )
    assert said.stdout.strip() == ""


def test_commands_come_in_by_the_doors() -> None:
    seen = 0
    for path in sorted((ROOT / "cli").glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module in DEEPER:
                past = {a.name for a in node.names} & DEEPER[node.module]
                if path.name in MEASURES:
                    past -= {"full_report"}
                assert not past, f"{path.name} imports {past} of {node.module}"
                seen += 1
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith(
                "shapes.library"
            ):
                seen += 100
    assert seen > 700
    for module, names in DEEPER.items():
        assert all(hasattr(import_module(module), n) for n in names), module


@pytest.mark.parametrize("name", ["checking", "drawing"])
def test_examples_in_docstrings(name: str) -> None:
    failed, tried = doctest.testmod(import_module(f"shapes.library.{name}"))
    assert (failed, tried >= 2) == (0, True)


def examples() -> list[str]:
    return re.findall(r"```python\n(.*?)```", GUIDE.read_text("utf-8"), re.S)


def run(number: int, folder: Path) -> str:
    code = examples()[number].replace("patience=30", "patience=3")
    assert 6 <= len(code.strip().splitlines()) <= 22
    return subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=folder
    ).stdout


def test_the_guides_example_of_a_dozen(tmp_path: Path) -> None:
    lines = run(0, tmp_path).splitlines()
    pulls = [float(re.search(r"([\d.]+) N m", line)[1]) for line in lines]  # type: ignore[index]
    assert len(pulls) == 4
    assert pulls == sorted(pulls)
    assert len(list((tmp_path / "machine").glob("*-cut.dxf"))) == 4


def test_the_guides_example_of_a_folder_of_drawings(tmp_path: Path) -> None:
    import ezdxf

    (tmp_path / "drawings").mkdir()
    for name, (long, wide) in {"narrow": (300, 40), "square": (301, 203)}.items():
        doc = ezdxf.new(units=4)
        doc.modelspace().add_lwpolyline([(0, 0), (long, 0), (long, wide), (0, wide)], close=True)
        doc.saveas(tmp_path / "drawings" / f"{name}.dxf")
    rows = [line.split(",") for line in run(1, tmp_path).splitlines()]
    assert [r[:3] for r in rows] == [["narrow", "300", "40"], ["square", "301", "203"]]
    assert len(examples()) == 4


def test_the_guides_example_of_an_off_cut(tmp_path: Path) -> None:
    said = run(2, tmp_path)
    assert "turned by" in said
    assert list((tmp_path / "batch").glob("*/worksheet.html"))
    assert said.count("fits") + said.count("turned by") == 3


def test_the_guides_example_of_a_form(tmp_path: Path) -> None:
    run(3, tmp_path)
    boards = shapes.read_boards(*sorted((tmp_path / "skiffs").glob("*-skiff-*")))
    assert [b.form for b in boards] == ["skiff"] * 4

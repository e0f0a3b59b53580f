"""What the page may ask of a board, and what one press does about a check that fails."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from shapes.collection.board import Board, full_report
from shapes.collection.brief import Brief
from shapes.errors import InputError
from shapes.library.drawing import generate
from shapes.library.reading import read_boards
from shapes.page import shaping


@pytest.fixture(scope="module")
def board(collection_folder: Path) -> Board:
    found = read_boards(collection_folder)[0]
    assert isinstance(found, Board)
    return found


@pytest.fixture(scope="module")
def necked() -> Board:
    made = generate(
        Brief(length=520, width=240, forms=("paddle",), handles=("neck",)), 1, pool=30, seed=4
    )
    return made.boards[0]


TOUCHES: list[dict[str, Any]] = [
    {"set": {"thickness": 24.5}},
    {"set": {"species": "hard maple"}},
    {"set": {"cutter": 4}},
    {"box": {"length": 371}},
    {"hand": "across", "value": 21.5},
    {"hand": "along", "value": 7},
    {"name": "Tern"},
]


@pytest.mark.parametrize("touch", TOUCHES, ids=lambda t: next(iter(t)))
def test_each_touch_changes_what_it_names(board: Board, touch: dict[str, Any]) -> None:
    made = shaping.touch(board, touch)
    assert made.what
    told = shaping.drawn(made.board, shaping.reported(made.board))
    before = shaping.drawn(board, shaping.reported(board))
    assert told != before
    if "set" in touch:
        ((name, value),) = touch["set"].items()
        assert told["settings"][name] == value
        assert told["path"] == before["path"]
    if "box" in touch:
        assert told["size"][0] == pytest.approx(371, abs=0.1)


def test_a_neck_and_another_handle(necked: Board) -> None:
    wider = shaping.touch(necked, {"neck": {"wide": 39.5}}).board
    told = shaping.drawn(wider, shaping.reported(wider))
    assert told["neck"]["wide"] == pytest.approx(39.5, abs=0.05)
    assert "neck-hole" in told["handles"]
    with pytest.raises(InputError, match="does not go with"):
        shaping.touch(necked, {"handle": "two-openings"})


@pytest.mark.parametrize(
    ("touch", "says"),
    [
        (None, "names one of"),
        ([], "names one of"),
        ({"pull": {}, "set": {}}, "names one of"),
        ({"pull": {"from": [0, 0]}}, "lacks its values"),
        ({"pull": {"from": [0], "to": [1, 2]}}, "lacks its values"),
        ({"pull": {"from": [0, float("nan")], "to": [1, 2]}}, "out of range"),
        ({"pull": {"from": [0, True], "to": [1, 2]}}, "out of range"),
        ({"pull": {"from": [0, 0], "to": [1, 1e9]}}, "out of range"),
        ({"stretch": "nowhere", "radius": 20}, "none of that name"),
        ({"stretch": "low"}, "state a turn"),
        ({"hand": "<script>", "value": 3}, "no such size"),
        ({"set": {"thickness": "much"}}, "thickness"),
        ({"set": {"thickness": 900}}, "thickness"),
        ({"set": {"price": 3}}, "a setting is one of"),
        ({"handle": "reins"}, "no handle"),
        ({"box": {"length": -4}}, "out of range"),
        ({"box": 7}, "lacks its values"),
    ],
)
def test_what_is_malformed_is_said(board: Board, touch: Any, says: str) -> None:
    with pytest.raises((InputError, ValueError), match=says):
        shaping.touch(board, touch)


def test_a_hole_moves_the_way_that_the_page_is_told(board: Board) -> None:
    told = shaping.drawn(board, shaping.reported(board))
    (hole,) = told["holes"]
    for by in (11.0, -9.0):
        made = shaping.touch(board, {"hand": hole["name"], "value": by}).board
        (now,) = shaping.drawn(made, shaping.reported(made))["holes"]
        moved = [b - a for a, b in zip(hole["at"], now["at"], strict=True)]
        assert (moved[0] * hole["way"][0] + moved[1] * hole["way"][1]) * by > 0


def failing(board: Board, check: str) -> dict[str, Any]:
    told = shaping.drawn(board, shaping.reported(board))
    return next(f for f in told["findings"] if f["check"] == check and f["verdict"] == "fail")


def heavy(board: Board) -> Board:
    return replace(board, brief=replace(board.brief, thickness=31, max_mass=0.7))


def long(board: Board) -> Board:
    assert board.genes is not None
    length, width = board.genes.row.box
    return replace(board, brief=replace(board.brief, length=length - 21.7, width=width + 0.4))


@pytest.mark.parametrize(("spoil", "check"), [(heavy, "weight"), (long, "size")])
def test_a_press_mends_what_fails(board: Board, spoil: Any, check: str) -> None:
    spoilt = spoil(board)
    fix = failing(spoilt, check)["fix"]
    mended = shaping.touch(spoilt, fix["touch"]).board
    assert check not in full_report(mended).failed
    assert fix["label"]


def test_a_press_gives_a_hole_its_rim_back(board: Board) -> None:
    spoilt = shaping.touch(board, {"hand": "rim", "value": 10.4}).board
    check = next(c for c in full_report(spoilt).failed if c in ("handle", "narrow"))
    mended = shaping.touch(spoilt, failing(spoilt, check)["fix"]["touch"]).board
    assert check not in full_report(mended).failed


def test_a_weak_neck_is_thickened(necked: Board) -> None:
    spoilt = replace(necked, brief=replace(necked.brief, thickness=12, round_over=4, load=9))
    fix = failing(spoilt, "strength")["fix"]
    assert fix is not None
    mended = shaping.touch(spoilt, fix["touch"]).board
    assert "strength" not in full_report(mended).failed

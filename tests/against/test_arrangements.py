"""Boards that an exhaustive search lays on a rectangle, laid there: tests/arrangements.py."""

from __future__ import annotations

import itertools
import json
from typing import Any

import pytest
import samples
import shapely
from arrangements import APART, FILE, RIM
from made_off_cuts import timber

from shapes.collection.board import DrawnBoard
from shapes.collection.brief import Brief
from shapes.geometry.curve import polygon
from shapes.geometry.outline import Outline
from shapes.placing.ground import Wanted
from shapes.placing.lay_out import lay_out

CASES: list[dict[str, Any]] = json.loads(FILE.read_text())["cases"]


@pytest.mark.parametrize("case", CASES, ids=range(len(CASES)))
def test_what_was_found_holds(case: dict[str, Any]) -> None:
    """By GEOS: the boards lie in the rectangle, clear of its edge and of one another."""
    lying = [shapely.Polygon(b) for b in case["lying"]]
    room = shapely.box(0, 0, *case["size"]).buffer(-RIM + 0.01, join_style="mitre")
    assert all(room.contains(b) for b in lying)
    assert all(a.distance(b) >= APART - 0.01 for a, b in itertools.combinations(lying, 2))
    for board, there in zip(case["boards"], lying, strict=True):
        assert shapely.Polygon(board).area == pytest.approx(there.area, rel=1e-4)


@pytest.mark.slow
@pytest.mark.parametrize("k", range(10) if samples.of(10, 2) == 10 else (5, 8))
def test_no_board_is_left_over_that_it_lays(k: int) -> None:
    """The two of a sample are those where a board has to be pressed in."""
    case = CASES[k]
    boards = [
        Wanted(DrawnBoard(Brief(), Outline(polygon([tuple(p) for p in b])), name))
        for b, name in zip(case["boards"], case["names"], strict=True)
    ]
    assert lay_out(boards, [timber(*case["size"])], 6.0).left == ()

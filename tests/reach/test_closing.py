"""Opening and closing against the discs, which find the same in another way."""

from __future__ import annotations

import math

import pytest
import shapely
from made_boards import boards
from shapes_of_known_size import ellipse, filleted_corner, slot

from shapes.geometry.outline import Outline, outline, transformed
from shapes.reach.closing import closing, opening, quarter_segments
from shapes.reach.discs import discs
from shapes.reach.reach import uncut


def test_a_right_angle_keeps_what_a_cutter_leaves() -> None:
    """Between a corner of radius 3 and a cutter of radius 8: (1 - pi / 4) (8^2 - 3^2) of area."""
    board = filleted_corner(3.0)
    (filled,) = closing([board], 8.0)
    assert filled.area - board.wood.area == pytest.approx((1 - math.pi / 4) * 55, abs=0.1)


def test_openings_take_narrow_parts_away() -> None:
    board = outline(ellipse(100, 80), [slot(10.0, 60.0, 0, 66)])  # a rim of 5 mm at its thinnest
    (kept,) = opening([board], 6.0)
    assert board.wood.area - kept.area > 100
    (whole,) = opening([board], 2.0)
    assert whole.area == pytest.approx(board.wood.area, rel=1e-4)
    assert opening([outline(ellipse(30, 20))], 25.0)[0].is_empty


def test_many_boards_at_once_are_those_one_by_one() -> None:
    some = [transformed(Outline(b.edge), scale=0.3) for b in boards(8, seed=4)]
    together = closing(some, 9.0)
    for board, filled in zip(some, together, strict=True):
        assert filled.equals(closing([board], 9.0)[0])
        left = uncut(discs(board), 18.0)
        depth = left[0].depth if left else 0.0
        added = shapely.difference(filled, board.wood)
        assert (added.area > 1.0) == (depth > 0.02) or added.area < 4.0
        assert added.area <= 1.0 or depth > 0.0


@pytest.mark.parametrize("radius", [1.5, 3.0, 30.0])
def test_segments_keep_the_deviation(radius: float) -> None:
    step = math.pi / 2 / quarter_segments(radius, 0.01)
    assert radius * (1 - math.cos(step / 2)) <= 0.01

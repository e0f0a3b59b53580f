"""The narrowest place and the runs of a hand's width, on shapes with known answers."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_boards import boards
from shapes_of_known_size import Pen, ellipse, polar, slot

from shapes.geometry.curve import circle, polygon, reverse
from shapes.geometry.outline import Outline, outline, transformed
from shapes.reach.discs import discs
from shapes.reach.width import narrowest, runs


@pytest.mark.parametrize(("a", "b"), [(190.0, 120.0), (150.0, 60.0), (200.0, 170.0)])
def test_an_ellipse(a: float, b: float) -> None:
    """2 b^2 / sqrt(a^2 cos^2 75 + b^2 sin^2 75): contacts 150 degrees apart (house plan)."""
    c, s = math.cos(math.radians(75)), math.sin(math.radians(75))
    wanted = 2 * b * b / math.hypot(a * c, b * s)
    assert narrowest(discs(outline(ellipse(a, b)))).width == pytest.approx(wanted, abs=0.01)


def test_the_ellipse_of_the_house_plan() -> None:
    found = narrowest(discs(outline(ellipse(190, 120)))).width
    assert found == pytest.approx(228.733, abs=0.001)


@pytest.mark.parametrize("waist", [9.0, 31.0, 60.0])
def test_a_waist(waist: float) -> None:
    """A board whose sides are arcs of radius 80 that leave ``waist`` between them."""
    r, h = 80.0, waist / 2
    cy = h + r
    turn = 60.0
    x, y = r * math.sin(math.radians(turn)), cy - r * math.cos(math.radians(turn))
    pen = Pen(-x, -y).arc(0, -cy, -2 * turn).line(x + 80, -y).line(x + 80, y).line(x, y)
    board = outline(pen.arc(0, cy, -2 * turn).line(-x - 80, y).line(-x - 80, -y).close())
    found = narrowest(discs(board))
    assert found.width == pytest.approx(waist, abs=0.01)
    assert found.place == pytest.approx((0, 0), abs=0.5)


def test_the_rim_of_a_hole() -> None:
    board = outline(ellipse(100, 80), [circle((0, 55), 10)])
    assert narrowest(discs(board)).width == pytest.approx(15.0, abs=0.01)


def test_a_strip_of_parallel_sides() -> None:
    assert narrowest(discs(outline(slot(36.0, 200.0)))).width == pytest.approx(36.0, abs=0.01)


def test_where_nothing_faces_itself_the_largest_disc_counts() -> None:
    side = 200.0
    triangle = polygon([(0, 0), (side, 0), (side / 2, side * math.sqrt(3) / 2)])
    found = narrowest(discs(outline(triangle))).width
    assert found == pytest.approx(side / math.sqrt(3), abs=0.05)


def test_an_inside_corner_counts_with_its_whole_cone() -> None:
    """A V notch whose point stands 30 mm above the straight lower edge."""
    board = outline(
        polygon([(-150, 0), (150, 0), (150, 200), (60, 200), (0, 30), (-60, 200), (-150, 200)])
    )
    assert narrowest(discs(board)).width == pytest.approx(30.0, abs=0.01)


@given(st.floats(-3, 3), st.floats(0.3, 3))
def test_the_narrowest_place_moves_with_the_board(angle: float, scale: float) -> None:
    board = outline(ellipse(100, 80), [circle((0, 55), 10)])
    moved = transformed(board, angle, scale, (10_000.0, -3_000.0))
    assert narrowest(discs(moved)).width == pytest.approx(15.0 * scale, abs=0.01 * max(1, scale))


def _paddle(width: float, length: float) -> Outline:
    """A round board of radius 90 with a straight handle that ends in a half circle."""
    r, h = 90.0, width / 2
    x = math.sqrt(r * r - h * h)
    turn = 360 - 2 * math.degrees(math.asin(h / r))
    pen = Pen(x, h).arc(0, 0, turn).line(x + length, -h).arc(x + length, 0, 180)
    return outline(pen.close())


@pytest.mark.parametrize("length", [70.0, 110.0, 160.0])
def test_a_grip_is_as_long_as_its_straight_run(length: float) -> None:
    found = runs(discs(_paddle(34.0, length)), 28.0, 42.0)[0]
    # The discs go on a little into the body before they outgrow 42 mm.
    assert length - 5 <= found.length <= length + 12
    assert found.least == pytest.approx(34.0, abs=0.2)
    assert math.degrees(math.remainder(found.angle, math.pi)) == pytest.approx(0, abs=0.5)


def test_a_board_without_a_handle_has_no_grip() -> None:
    assert runs(discs(outline(ellipse(190, 120))), 28.0, 42.0) == []


def test_a_bar_beside_an_opening() -> None:
    board = outline(
        polygon([(-200, -120), (200, -120), (200, 120), (-200, 120)]), [slot(40.0, 90.0, 0, -72)]
    )
    found = runs(discs(board), 20.0, 35.0, "bar")[0]
    assert found.least == pytest.approx(28.0, abs=0.2)
    assert 90 <= found.length <= 135  # the straight side, and some of each round end


def test_a_lobed_curve_by_brute_force() -> None:
    """The least distance of opposite contacts over a dense table, derived another way."""
    curve = polar(lambda t: 100 + 45 * np.cos(2 * t), lambda t: -90 * np.sin(2 * t))
    found = narrowest(discs(outline(curve))).width
    assert found == pytest.approx(2 * 55.0, abs=0.01)
    assert narrowest(discs(outline(reverse(curve)))).width == pytest.approx(found, abs=1e-6)


def test_a_wedge_whose_least_disc_has_three_contacts() -> None:
    """A wedge of 20.8 degrees cut off 12 mm wide: the least disc touches the end and both sides."""
    half, slope = 6.0, 55.0 / 300.0
    tilt = math.atan(slope)
    board = outline(polygon([(0, -half), (300, -half - 55), (300, half + 55), (0, half)]))
    # A disc in the mouth: r from the end, and r / cos(tilt) = half + slope * r from the sides.
    r = half / (1 / math.cos(tilt) - slope)
    assert narrowest(discs(board)).width == pytest.approx(2 * r, abs=0.01)


def test_the_narrowest_place_does_not_depend_on_the_samples() -> None:
    for board in boards(12, seed=11):
        coarse, fine = (narrowest(discs(board, *gap)).width for gap in ((1.5, 4.5), (0.5, 1.2)))
        assert coarse == pytest.approx(fine, abs=0.01)

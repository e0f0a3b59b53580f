"""The largest rectangle of a ratio.

Closed forms, and what stays when a region is turned or moved.
"""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from made_boards import boards
from shapely import affinity

from shapes.geometry.rectangle import Rectangle, largest_of_ratio

CIRCLE = shapely.Point(31, -17).buffer(83, quad_segs=400)


def found(region: shapely.Geometry, ratio: float, angle: float | None = None) -> Rectangle:
    made = largest_of_ratio(region, ratio, angle)
    assert made is not None
    assert shapely.covers(region, made.polygon)
    assert made.length / made.width == pytest.approx(ratio)
    return made


@pytest.mark.parametrize("ratio", [0.4, 1.0, 2.7, 9.0])
def test_a_circle_takes_its_inscribed_rectangle(ratio: float) -> None:
    assert found(CIRCLE, ratio).length == pytest.approx(2 * 83 / math.hypot(1, 1 / ratio), rel=1e-3)


@pytest.mark.parametrize("ratio", [0.7, 1.6, 5.0])
def test_an_ellipse_takes_the_rectangle_of_its_equation(ratio: float) -> None:
    """Along the axes: (x/a)^2 + (y/b)^2 = 1 at a corner (x, x/ratio)."""
    ellipse = affinity.scale(shapely.Point(0, 0).buffer(1, quad_segs=600), 150, 90)
    half = 1 / math.hypot(1 / 150, 1 / (90 * ratio))
    assert found(ellipse, ratio, 0.0).length == pytest.approx(2 * half, rel=1e-3)


def test_a_rectangle_takes_itself_turned_as_it_is() -> None:
    box = affinity.rotate(shapely.box(0, 0, 230, 70), 23, origin=(0, 0))
    made = found(box, 230 / 70)
    assert made.length == pytest.approx(230, rel=2e-3)
    assert math.degrees(made.angle) == pytest.approx(23, abs=0.5)


def test_it_keeps_out_of_a_hole() -> None:
    plate = shapely.box(0, 0, 300, 100).difference(shapely.Point(110, 50).buffer(20))
    made = found(plate, 1.0, 0.0)
    assert made.length == pytest.approx(100, rel=1e-3)
    assert made.x > 179


def test_a_fixed_angle_is_kept_and_any_angle_is_never_worse() -> None:
    region = boards(3)[2].wood.buffer(-14)
    fixed = found(region, 3.0, math.radians(20))
    assert fixed.angle == pytest.approx(math.radians(20))
    assert found(region, 3.0).length >= fixed.length * 0.999


def test_nothing_lies_in_nothing() -> None:
    assert largest_of_ratio(shapely.Polygon(), 2.0) is None
    assert largest_of_ratio(shapely.box(0, 0, 5, 5).buffer(-4), 2.0) is None


@settings(max_examples=12)
@given(st.floats(-180, 180), st.floats(-2000, 2000), st.integers(0, 7))
@example(90.0, 0.0, 3)
def test_turned_and_moved_it_is_as_large(turn: float, shift: float, which: int) -> None:
    region = boards(8)[which].wood.buffer(-14)
    moved = affinity.translate(affinity.rotate(region, turn, origin=(0, 0)), shift, -shift)
    assert found(moved, 3.0).length == pytest.approx(found(region, 3.0).length, rel=8e-3)


def test_it_reads_upright() -> None:
    for board in boards(6):
        angle = found(board.wood.buffer(-14), 4.0).angle
        assert -math.pi / 2 < angle <= math.pi / 2

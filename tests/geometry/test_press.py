"""Shapes moved together until all keep their distance, against places that can be reckoned."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely

from shapes.geometry.pose import Pose, Region
from shapes.geometry.press import TRUE, Body, pressed


def a_bar(length: float, width: float, room: shapely.Geometry, turns: tuple[float, float]) -> Body:
    """A bar about the origin."""
    bar = shapely.box(-length / 2, -width / 2, length / 2, width / 2)
    edge = shapely.get_coordinates(shapely.segmentize(bar.exterior, 2.0))
    return Body([(edge, Region(room))], edge, bar, turns)


def lying(bodies: list[Body], poses: list[Pose]) -> list[shapely.Polygon]:
    return [shapely.transform(b.filled, p.of) for b, p in zip(bodies, poses, strict=True)]


@pytest.mark.parametrize(("spare_room", "fits"), [(0.2, True), (-0.4, False)])
def test_bars_side_by_side_fill_a_room_to_the_last(spare_room: float, fits: bool) -> None:
    """N bars of width w and n - 1 gaps g need n w + (n - 1) g, and what is to spare all round.

    Where that is not there, what lacks is spread evenly: over n + 1 gaps.
    """
    n, width, apart, spare = 4, 30.0, 9.0, 0.02
    high = n * width + (n - 1) * apart + (n + 1) * spare + spare_room
    room = shapely.box(0, 0, 200.2, high)
    bodies = [a_bar(200, width, room, (0.0, 0.0)) for _ in range(n)]
    start = [Pose(100.1 + 3 * (-1) ** k, 20.0 + 30 * k, 0.0) for k in range(n)]
    poses, short = pressed(bodies, start, apart, spare)
    bars = lying(bodies, poses)
    if fits:
        assert short < TRUE
        for a, b in itertools.combinations(bars, 2):
            assert a.distance(b) >= apart + spare - TRUE
        assert all(room.buffer(-spare + TRUE).contains(b) for b in bars)
    else:
        assert short == pytest.approx(-spare_room / (n + 1), abs=0.02)


def test_a_shape_that_turns_carries_its_neighbours_distance() -> None:
    """Two bars in a room that lies askew and holds both with 0.3 mm to spare."""
    length, width, apart, turn = 200.0, 24.0, 10.0, math.radians(8)
    both = shapely.box(-length / 2, -29, length / 2, 29).buffer(0.3, join_style="mitre")
    room = shapely.affinity.rotate(both, math.degrees(turn), origin=(0, 0))
    bodies = [a_bar(length, width, room, (-0.3, 0.3)) for _ in range(2)]
    poses, short = pressed(bodies, [Pose(0, 15, 0.05), Pose(0, -16, 0.05)], apart, 0.02)
    assert short < TRUE
    above, below = lying(bodies, poses)
    assert above.distance(below) >= apart + 0.02 - TRUE
    assert all(p.angle == pytest.approx(turn, abs=0.6 / 100) for p in poses)


def test_a_turn_stays_within_what_it_may_be() -> None:
    """Level it would fit: turned by t a bar l x w is l cos t + w sin t long, so half of it lacks."""
    least, spare = 0.02, 0.02
    room = shapely.box(-100.15, -40, 100.15, 40)
    body = a_bar(200, 24, room, (least, 0.05))
    poses, short = pressed([body], [Pose(0, 0, 0.05)], 10.0, spare)
    assert poses[0].angle == pytest.approx(least, abs=1e-6)
    long = 200 * math.cos(least) + 24 * math.sin(least)
    assert short == pytest.approx((long - 200.3) / 2 + spare, abs=0.01)


def test_what_lies_hopelessly_is_left_where_it_lies() -> None:
    """Two bars one on the other in a room for one."""
    room = shapely.box(-101, -13, 101, 13)
    bodies = [a_bar(200, 24, room, (0.0, 0.0)) for _ in range(2)]
    start = [Pose(0, 0, 0.0), Pose(0, 0.5, 0.0)]
    _, short = pressed(bodies, start, 10.0, 0.02)
    assert short > 5
    assert np.isfinite(short)

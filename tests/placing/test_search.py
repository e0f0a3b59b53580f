"""Fields of distances against exact ones, and that no
place that holds is ever left out of a search.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from shapes.geometry.curve import turn
from shapes.geometry.pose import Pose, Region
from shapes.placing.field import field_of
from shapes.placing.search import COARSE, FINE, Clear, HeldPoints, Search, inside

ROOM = shapely.box(0, 0, 300, 150).difference(shapely.Point(210, 60).buffer(20))
BAR = np.array([(x, y) for x in np.linspace(-60, 60, 25) for y in (-20.0, 20.0)])


@pytest.mark.parametrize("out", [False, True])
def test_a_field_has_the_depth_of_its_region(out: bool) -> None:
    field = field_of(ROOM, 1.5, out=out)
    points = np.random.default_rng(3).uniform((-60, -60), (360, 210), (4000, 2))
    exact = Region(ROOM, out=out).depth(points)[0]
    found = field.at(points[:, 0], points[:, 1])
    off = found - exact
    on = (points > 0).all(axis=1) & (points < (300, 150)).all(axis=1)
    assert np.abs(off[on]).max() <= field.error
    # Beyond the grid it may only promise more than there is: what is promised is looked at more
    # closely.
    assert off[~on].min() >= -field.error
    assert (np.sign(found[~on]) == (1 if out else -1)).mean() > 0.97


@pytest.mark.parametrize("seed", range(12))
def test_the_one_place_that_holds_lies_in_a_box_at_every_level(seed: int) -> None:
    """A room that is a random shape where it lies, a third of a millimetre wider.

    The shape fits there alone.
    """
    rng = np.random.default_rng(seed)
    u = np.linspace(0, 2 * np.pi, 160, endpoint=False)
    waves = sum(rng.uniform(-12, 12) * np.cos(k * u + rng.uniform(0, 6)) for k in (1, 2, 3, 5))
    ring = np.stack([(150 + waves) * np.cos(u), (70 + waves) * np.sin(u)], axis=1)
    turns = [(-0.2, 0.15), (math.pi - 0.2, math.pi + 0.15)]
    a, b = turns[seed % 2]
    pose = Pose(
        float(rng.uniform(-400, 400)), float(rng.uniform(-400, 400)), float(rng.uniform(a, b))
    )
    room = shapely.Polygon(pose.of(ring)).buffer(0.3)
    search = Search([HeldPoints(ring, field_of(room, 1.5))], [], room.bounds, turns)
    about = np.array([pose.x, pose.y, pose.angle])
    seen = 0
    for boxes in search.levels(0.0):
        reach = np.array([boxes.half, boxes.half, boxes.swing]) * 1.000001
        middle = about + np.append(turn(search.centre, pose.angle), 0.0)
        assert (np.abs(boxes.about - middle) / reach).max(axis=1).min() <= 1
        seen += 1
    assert boxes.half == FINE
    assert seen == round(math.log2(COARSE / FINE)) + 1
    found = search.pose(boxes.about[0])
    assert math.hypot(found.x - pose.x, found.y - pose.y) < 3


def test_a_room_that_is_just_as_long_is_searched_where_a_turned_bar_fits() -> None:
    """400 x 20 in a room too short for it unless it is turned by ten degrees.

    L cos + w sin by l sin + w cos.
    """
    angle, long, wide = math.radians(10.0), 400.0, 20.0
    room = (
        long * math.cos(angle) + wide * math.sin(angle) + 0.1,
        long * math.sin(angle) + wide * math.cos(angle) + 0.1,
    )
    assert room[0] < long
    x, y = np.linspace(-long / 2, long / 2, 161), np.linspace(-wide / 2, wide / 2, 9)
    rim = np.array(
        [(a, b) for a in x for b in (-wide / 2, wide / 2)]
        + [(a, b) for a in (-long / 2, long / 2) for b in y]
    )
    region = shapely.box(0, 0, *room)
    search = Search([HeldPoints(rim, field_of(region, 1.5))], [], (0, 0, *room), [(0.0, 0.2)])
    *_, last = search.levels(0.0)
    assert last.half == FINE
    assert search.pose(last.about[0]).angle == pytest.approx(angle, abs=0.004)
    short = shapely.box(0, 0, room[0] - 9, room[1])
    none = list(
        Search([HeldPoints(rim, field_of(short, 1.5))], [], short.bounds, [(0.0, 0.2)]).levels(0.0)
    )
    assert not none or none[-1].half > FINE


def test_what_no_part_may_cover_is_kept_out_of_the_shape() -> None:
    """A knot that no edge touches, in the middle of a bar.

    Only a field of the bar itself sees it.
    """
    bar = shapely.box(-60, -20, 60, 20)
    knot = shapely.Point(150, 75).buffer(4)
    held = [HeldPoints(BAR, field_of(shapely.box(0, 0, 300, 150), 1.5))]
    clear = [Clear(inside(knot), field_of(bar, 1.5, out=True))]
    (covered,) = (np.array([[150.0, 75.0, 0.3]]),)
    free, shut = (
        Search(held, c, (0, 0, 300, 150), [(0.3, 0.3)])._measured(covered, 1.0, 0.0, -math.inf)
        for c in ([], clear)
    )
    assert free.depth[0] > 25
    assert shut.depth[0] == pytest.approx(-20, abs=2)
    for boxes in Search(held, clear, (0, 0, 300, 150), [(0.0, 0.0)]).levels(0.0):
        last = boxes
    for about in last.about[:20]:
        lies = shapely.Polygon(turn(np.array(bar.exterior.coords), float(about[2])) + about[:2])
        assert not lies.contains(shapely.Point(150, 75))


def test_a_point_in_every_part() -> None:
    two = shapely.MultiPolygon([shapely.box(0, 0, 2, 2), shapely.box(5, 5, 6, 9)])
    points = inside(two)
    assert points.shape == (2, 2)
    assert shapely.contains_xy(two, points[:, 0], points[:, 1]).all()
    assert inside(shapely.Polygon()).shape == (0, 2)


def test_the_first_boxes_hold_every_place_at_every_turn() -> None:
    """A long bar lies level near either wall of a room that
    leaves it little of that when it is turned.
    """
    x = np.linspace(-150, 150, 61)
    bar = np.array([(a, b) for a in x for b in (-5.0, 5.0)])
    room = shapely.box(0, 0, 320, 60)
    search = Search([HeldPoints(bar, field_of(room, 1.5))], [], room.bounds, [(0.0, 0.2)])
    first = next(search.levels())
    reach = np.array([first.half, first.half, first.swing]) + 1e-9
    rng = np.random.default_rng(2)
    seen = 0
    while seen < 200:
        at = rng.uniform((150, 5, 0), (170, 55, 0.2))
        if Region(room).depth(Pose(float(at[0]), float(at[1]), float(at[2])).of(bar))[0].min() < 0:
            continue
        seen += 1
        assert (np.abs(first.about - at) / reach).max(axis=1).min() <= 1

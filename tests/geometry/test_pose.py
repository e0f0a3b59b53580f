from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from shapes.geometry.pose import Parts, Pose, Region, settle
from shapes.placing.corridor import corridors


def square(side: float) -> np.ndarray:
    ring = shapely.segmentize(shapely.box(-side / 2, -side / 2, side / 2, side / 2), 2.0)
    return np.asarray(shapely.get_coordinates(ring)[:-1])


def test_depth_and_the_way_it_grows() -> None:
    points = np.array([[5.0, 40.0], [50.0, 97.0], [-3.0, 50.0]])
    depth, way = Region(shapely.box(0, 0, 100, 100)).depth(points)
    assert depth == pytest.approx([5, 3, -3])
    assert way == pytest.approx(np.array([[1, 0], [0, -1], [1, 0]]))
    outside = Region(shapely.box(0, 0, 100, 100), out=True).depth(points)
    assert outside[0] == pytest.approx([-5, -3, 3])
    assert outside[1] == pytest.approx(np.array([[-1, 0], [0, 1], [-1, 0]]))


def test_a_square_settles_into_a_square_and_grows_to_it() -> None:
    """A square of side 60 in one of side 100 that is turned by 8 degrees.

    Scale 100 / 60 exactly.
    """
    turned = shapely.affinity.rotate(shapely.box(-50, -50, 50, 50), 8.0)

    def parts(scale: float) -> Parts:
        return [(square(60.0 * scale), Region(turned))]

    done = settle(
        parts, Pose(9.0, -7.0, 0.0), 1.0, scales=(1.0, 3.0), turns=(-0.3, 0.3), spare=0.0, steps=60
    )
    assert done.scale == pytest.approx(100 / 60, rel=1e-3)
    assert done.pose.angle == pytest.approx(math.radians(8), abs=1e-3)
    assert done.depth >= -0.01


def test_what_cannot_fit_is_said_so() -> None:
    region = Region(shapely.box(0, 0, 50, 50))
    done = settle(
        lambda s: [(square(60.0), region)],
        Pose(25.0, 25.0, 0.0),
        1.0,
        scales=(1.0, 1.0),
        turns=(0.0, 0.0),
        spare=0.0,
    )
    assert done.depth == pytest.approx(-5 * math.sqrt(2), abs=0.01)  # its corners


def test_corridors_go_below_and_above_a_hole() -> None:
    region = shapely.box(0, 0, 600, 260).difference(shapely.Point(300, 130).buffer(30))
    found = corridors(region)
    assert len(found) >= 2
    for c in found:
        ring = np.concatenate(
            [np.stack([c.x, c.low], axis=1), np.stack([c.x, c.high], axis=1)[::-1]]
        )
        assert shapely.Polygon(ring).within(region.buffer(1.5))
    middle = [float(np.interp(300, c.x, (c.low + c.high) / 2)) for c in found]
    assert min(middle) < 100
    assert max(middle) > 160

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapes_of_known_size import ellipse, slot, through

from shapes.errors import OutlineError
from shapes.geometry import curve as curves
from shapes.geometry.curve import Curve, circle, evaluate, flatten, polygon, refine, spline
from shapes.geometry.outline import Outline, mirrored, outline, shoelace, transformed

control_points = st.lists(
    st.tuples(st.floats(-500, 500), st.floats(-500, 500)), min_size=3, max_size=20
)


@given(control_points)
def test_a_spline_is_twice_continuously_differentiable(control: list[tuple[float, float]]) -> None:
    curve = spline(control)
    b = curve.segments
    after = np.roll(b, -1, axis=0)
    assert b[:, 3] - b[:, 2] == pytest.approx(after[:, 1] - after[:, 0], abs=1e-9)
    second = b[:, 3] - 2 * b[:, 2] + b[:, 1]
    assert second == pytest.approx(after[:, 2] - 2 * after[:, 1] + after[:, 0], abs=1e-9)


@given(control_points)
def test_refining_leaves_the_curve_as_it_is(control: list[tuple[float, float]]) -> None:
    curve, finer = spline(control), spline(refine(np.array(control)))
    s = np.linspace(0, len(control), 37)[:-1]
    assert evaluate(finer, 2 * s)[0] == pytest.approx(evaluate(curve, s)[0], abs=1e-9)


def test_a_spline_through_points_passes_through_them() -> None:
    points = np.array([(0, 0), (50, 7), (80, 60), (20, 90), (-30, 40.0)])
    assert evaluate(spline(through(points)), np.arange(5))[0] == pytest.approx(points, abs=1e-10)


def test_a_circle_is_true_to_a_ten_millionth_of_its_radius() -> None:
    p = evaluate(circle((3, 4), 200.0), np.linspace(0, 16, 4001)[:-1])[0]
    assert np.abs(np.hypot(*(p - [3, 4]).T) / 200 - 1).max() < 6.7e-8


@pytest.mark.parametrize("deviation", [1.0, 0.1, 0.01, 0.001])
def test_flattening_keeps_its_deviation(deviation: float) -> None:
    curve = spline([(0, 0), (120, -10), (190, 70), (90, 120), (-20, 90)])
    ring = shapely.LinearRing(flatten(curve, deviation))
    p = evaluate(curve, np.linspace(0, 5, 5001)[:-1])[0]
    away = shapely.distance(ring, shapely.points(p)).max()
    assert away <= deviation
    assert len(ring.coords) < 60 / math.sqrt(deviation)


def test_bounds_are_those_of_a_dense_polygon() -> None:
    curve = spline([(0, 0), (120, -30), (190, 70), (90, 150), (-20, 90)])
    p = evaluate(curve, np.linspace(0, 5, 50001)[:-1])[0]
    wanted = [*p.min(axis=0), *p.max(axis=0)]
    assert curves.bounds(curve) == pytest.approx(wanted, abs=1e-5)


def test_segments_cannot_be_changed() -> None:
    curve = ellipse(100, 60)
    with pytest.raises(ValueError, match="read-only"):
        curve.segments[0, 0, 0] = 1.0


@pytest.mark.parametrize(
    ("segments", "says"),
    [
        (np.zeros((2, 3, 2)), "shape"),
        (np.full((2, 4, 2), np.nan), "not a number"),
        (np.full((1, 4, 2), 1e300), "not a number below"),
        (np.array([[[0, 0], [1, 0], [2, 0], [3, 0.0]]]), "gap"),
    ],
)
def test_what_is_no_chain_is_refused(segments: np.ndarray, says: str) -> None:
    with pytest.raises(OutlineError, match=says):
        Curve(segments)


def test_the_outline_keeps_its_conventions() -> None:
    edge = ellipse(100, 60)
    with pytest.raises(OutlineError, match="anticlockwise"):
        Outline(curves.reverse(edge))
    with pytest.raises(OutlineError, match="clockwise"):
        Outline(edge, (circle((0, 0), 9),))
    made = outline(curves.reverse(edge), [circle((0, 0), 9)])
    assert shoelace(flatten(made.edge)) > 0
    assert shoelace(flatten(made.openings[0])) < 0


@pytest.mark.parametrize(
    ("edge", "openings", "says"),
    [
        (polygon([(0, 0), (100, 100), (100, 0), (0, 90)]), [], "crosses itself"),
        (ellipse(100, 60), [circle((95, 0), 9)], "crosses itself"),
        (ellipse(100, 60), [circle((150, 0), 9)], "outside the edge"),
        (ellipse(100, 60), [slot(20, 40), circle((0, 0), 5)], "in another"),
    ],
)
def test_what_is_no_outline_is_refused_with_its_place(
    edge: Curve, openings: list[Curve], says: str
) -> None:
    with pytest.raises(OutlineError, match=says) as caught:
        outline(edge, openings)
    assert caught.value.place is not None


def test_moving_and_mirroring_keep_the_wood() -> None:
    board = outline(
        spline([(0, 0), (120, -10), (190, 70), (90, 120), (-20, 90)]), [circle((80, 50), 10)]
    )
    moved = transformed(board, 1.1, 1.0, (10_000, -10_000))
    flipped = mirrored(board)
    assert moved.wood.area == pytest.approx(board.wood.area, rel=1e-9)
    assert flipped.wood.area == pytest.approx(board.wood.area, rel=1e-9)
    assert len(flipped.openings) == 1

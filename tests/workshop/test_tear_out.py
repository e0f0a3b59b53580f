"""Where fibres lift: on a disc the quadrants are known; turned and mirrored boards agree."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from made_boards import boards

from shapes.geometry.curve import circle, mirror, polygon
from shapes.geometry.outline import Outline, outline, transformed
from shapes.workshop.tear_out import FLAT, STEEP, TearOut, lifts, tear_out

R = 90.0


def of(shape: Outline, grain: float = 0.0) -> TearOut:
    return tear_out(shape, grain, 20.0, 6.0, 12.7)


def test_a_disc_lifts_from_three_to_twelve_and_from_nine_to_six() -> None:
    """Common practice.

    Routed anticlockwise, a round board tears uphill: 3 to 12 and 9 to 6 o'clock.
    """
    made = of(outline(circle((0, 0), R)))
    assert len(made.lifted) == 2
    assert made.length(edge=True) == pytest.approx(2 * R * (STEEP - FLAT), rel=0.03)
    for run in made.lifted:
        x, y = run.points.T
        assert (x * y > 0).all(), "upper right and lower left"


def test_in_an_opening_travelled_clockwise_the_same_rule_holds() -> None:
    made = of(outline(circle((0, 0), 140), [circle((0, 0), 40, clockwise=True)]))
    inside = [run for run in made.lifted if run.loop == 1]
    assert len(inside) == 2
    for run in inside:
        x, y = run.points.T
        assert (x * y > 0).all(), "12 to 3 and 6 to 9 o'clock"


def test_the_other_way_round_nothing_lifts() -> None:
    a = np.linspace(0, math.tau, 100)
    tangent = np.stack([np.cos(a), np.sin(a)], axis=1)
    assert lifts(tangent, 0.3, wood_left=True).any()
    assert not lifts(tangent, 0.3, wood_left=False).any()


@given(st.floats(-math.pi, math.pi), st.integers(0, 9))
def test_turned_with_its_grain_it_lifts_the_same(angle: float, which: int) -> None:
    board = boards(10)[which]
    turned = transformed(board, angle)
    assert of(turned, angle).length(edge=True) == pytest.approx(
        of(board).length(edge=True), abs=3.0
    )


def test_a_mirrored_board_lifts_where_the_other_did_not() -> None:
    for board in boards(6):
        flipped = Outline(mirror(board.edge), tuple(mirror(c) for c in board.openings))
        one, other = of(board), of(flipped)
        for run in one.lifted:
            middle = run.points[len(run.points) // 2] * (1, -1)
            if run.loop == 0:
                far = [np.hypot(*(r.points - middle).T).min() for r in other.lifted if r.loop == 0]
                assert min(far, default=99) > 1.0


def test_only_the_flat_that_the_round_over_leaves_keeps_lifted_fibres() -> None:
    small = circle((40, 0), 5, clockwise=True)
    made = tear_out(outline(circle((0, 0), R), [small]), 0.0, 20.0, 6.0, 12.7)
    assert made.flat == (8.0, 20.0), "a hole too small for the bit keeps its whole height"


def test_turned_over_the_other_stretches_lift() -> None:
    """A bit turns clockwise as one looks down on either face.

    Underside up, the mirror image lifts.
    """
    for board in [outline(circle((0, 0), R)), *boards(4)]:
        made = of(board)
        assert sum(f.length for f in made.under) > 0
        for run in made.under:
            middle = run.points[len(run.points) // 2]
            assert board.wood.boundary.distance(shapely.Point(middle)) < 0.05, "seen from above"
            far = [
                np.hypot(*(r.points - middle).T).min() for r in made.lifted if r.loop == run.loop
            ]
            assert min(far, default=99) > 1.0
    x, y = of(outline(circle((0, 0), R))).under[0].points.T
    assert (x * y < 0).all()


def test_advice_never_turns_the_trimmer_round() -> None:
    made = of(boards(1)[0])
    assert any("edge" in line and "clockwise" in line for line in made.router())
    assert made.trimmer() == [
        "never change direction; take half the depth at a time there, or leave the last 0.5 mm to"
        " sanding"
    ]
    assert of(outline(polygon([(-90, -60), (90, -60), (90, 60), (-90, 60)]))).trimmer() == []

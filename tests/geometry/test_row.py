"""Rows of stretches.

Closed at their box, every turn kept, radii reached, widths of slots constant.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from shapes.errors import OutlineError
from shapes.geometry.curve import bounds, evaluate, flatten, spline
from shapes.geometry.measures import least_radii, length, turning
from shapes.geometry.row import Row, Stretch, solve
from shapes.geometry.trace import (
    KNOT_STEP,
    across,
    control_of,
    curve_of,
    hollow_turning,
    slot,
    trace,
)

rad = math.radians


def oblong(box: tuple[float, float] = (371.0, 187.0), corner: float = 31.0) -> Row:
    """Four sides and four corners of unlike radii; the first side runs along x."""
    radii = (corner, 47.0, 23.0, 71.0)
    sides = (240.0, 90.0, 220.0, 70.0)
    made = []
    for i, (r, s) in enumerate(zip(radii, sides, strict=True)):
        made.append(Stretch(rad(3.0 * (i % 2)), s, 1.0, f"side {i}"))
        turn = rad(90.0 - 3.0 * (i % 2))
        made.append(Stretch(turn, turn * r, 0.0, f"corner {i}"))
    return Row(tuple(made), box)


def hollowed() -> Row:
    """An oblong one side of which is a hollow of 22 degrees."""
    row = oblong()
    made = list(row.stretches)
    made[4] = replace(made[4], turn=rad(-22.0))
    made[3] = replace(made[3], turn=made[3].turn + rad(11.0))
    made[5] = replace(made[5], turn=made[5].turn + rad(11.0))
    return replace(row, stretches=tuple(made), heading=rad(-1.0))


def test_a_row_closes_in_its_box_and_keeps_its_turns() -> None:
    solved = solve([oblong(), hollowed()])
    for s, asked in zip(solved, (oblong(), hollowed()), strict=True):
        assert s.error < 1e-6
        for got, want in zip(s.row.stretches, asked.stretches, strict=True):
            assert abs(got.turn - want.turn) < 1e-9
            assert got.give > 0 or got.length == pytest.approx(want.length, abs=1e-12)
        x0, y0, x1, y1 = bounds(curve_of(trace(s.row)))
        assert x1 - x0 == pytest.approx(371.0, abs=0.01)
        assert y1 - y0 == pytest.approx(187.0, abs=0.01)


def test_the_way_round_is_closed_by_a_fine_sum_of_its_headings() -> None:
    """By another way: 200 000 small steps along the headings, the midpoint rule."""
    row = solve([hollowed()])[0].row
    total = sum(s.length for s in row.stretches)
    way = (np.arange(200_000) + 0.5) * total / 200_000
    p, heading, curvature = trace(row).at(way)
    step = total / 200_000
    end = np.array([np.cos(heading).sum(), np.sin(heading).sum()]) * step
    assert np.hypot(*end) < 1e-4
    assert float(curvature.sum()) * step == pytest.approx(2 * math.pi, abs=1e-7)
    steps = np.cumsum(np.stack([np.cos(heading), np.sin(heading)], axis=1) * step, axis=0)
    assert np.abs(np.diff(p, axis=0)[:-1] - np.diff(steps, axis=0)[:-1]).max() < 1e-5


def test_a_long_enough_radius_is_reached_exactly_and_followed_by_the_spline() -> None:
    row = solve([oblong(corner=31.0)])[0].row
    drawn = trace(row, 0.5)
    for i, s in enumerate(row.stretches):
        k = drawn.at(np.array([drawn.middle(i)]))[2][0]
        assert s.turn / s.length == pytest.approx(k, rel=1e-9)
    assert 1 / drawn.curvatures.max() == pytest.approx(23.0, rel=1e-3)
    assert least_radii(curve_of(drawn))[1] == pytest.approx(23.0, rel=0.03)


@given(st.floats(0.7, 1.6), st.floats(-0.3, 0.3), st.floats(20.0, 60.0))
@settings(max_examples=25, deadline=None)
def test_the_spline_lies_within_its_tolerance(scale: float, heading: float, corner: float) -> None:
    row = oblong((371.0 * scale, 187.0 * scale), corner)
    row = replace(row, heading=heading)
    solved = solve([row])[0]
    if solved.error > 1e-6 or solved.moved > 0.85:
        return
    drawn = trace(solved.row, KNOT_STEP)
    ring = shapely.LinearRing(flatten(spline(control_of(drawn)), 2e-4))
    far = shapely.distance(ring, shapely.points(trace(solved.row, 0.7).points))
    assert float(far.max()) < 0.005


def test_many_rows_at_once_are_the_rows_one_by_one() -> None:
    rows = [oblong((300.0 + 7 * k, 160.0 + 5 * k), 20.0 + k) for k in range(5)] + [hollowed()]
    rows.append(
        replace(oblong(), stretches=(*oblong().stretches[:-1], *_split(oblong().stretches[-1])))
    )
    together = solve(rows)
    for row, solved in zip(rows, together, strict=True):
        assert solve([row])[0] == solved


def _split(s: Stretch) -> tuple[Stretch, Stretch]:
    a = replace(s, turn=s.turn * 0.4, length=s.length * 0.4, name="a")
    return a, replace(s, turn=s.turn * 0.6, length=s.length * 0.6, name="b")


def test_a_height_is_met_by_turning_the_row() -> None:
    row = replace(oblong(), height=(2, 6, 17.5), swings=0.6)
    solved = solve([row])[0]
    assert solved.error < 1e-6
    drawn = trace(solved.row)
    a, b = (drawn.at(np.array([drawn.middle(i)]))[0][0, 1] for i in (2, 6))
    # The middle meant is half way along the core; that along the stretch lies a few mm further.
    assert a - b == pytest.approx(17.5, abs=3.0)
    flat = solve([replace(row, height=(2, 6, 0.0))])[0].row
    a, b = (trace(flat).at(np.array([trace(flat).middle(i)]))[0][0, 1] for i in (2, 6))
    assert abs(a - b) < 3.0
    assert abs(solved.row.heading) > 1e-3


def test_a_drop_closes_at_every_size_though_its_height_grows_however_it_turns() -> None:
    # It rests on its long flank: turned either way it stands higher, so that turning it to and fro
    # makes it no lower, and its lengths have to give.
    drop = (
        Stretch(0.661, 213.9, 1.0, "full flank"),
        Stretch(1.0143, 78.2, 0.2, "heel"),
        Stretch(1.078, 71.3, 0.2, "end"),
        Stretch(1.0281, 71.5, 0.2, "crown"),
        Stretch(0.3426, 202.6, 1.0, "taut flank"),
        Stretch(math.tau - 4.124, 73.1, 0.0, "tip"),
    )
    sizes = np.linspace(0.8, 1.2, 81)
    rows = [Row(drop, (282.6 * k, 139.7 * k), -0.612, 20.0, None, 0.6) for k in sizes.tolist()]
    for k, solved in zip(sizes, solve(rows), strict=True):
        assert solved.error < 1e-6, k


def test_a_row_that_cannot_close_says_so() -> None:
    row = oblong((371.0, 20.0))
    assert solve([row])[0].error > 1.0


def test_turning_of_known_shapes() -> None:
    row = solve([hollowed()])[0].row
    drawn = trace(row, 0.05)
    step = drawn.length / len(drawn.way)
    hollow = -float(np.minimum(drawn.curvatures, 0).sum()) * step
    assert hollow_turning(row) == pytest.approx(hollow, rel=0.02)
    measured = turning(curve_of(trace(row)))
    assert measured.hollow == pytest.approx(hollow, rel=0.03)
    assert measured.total == pytest.approx(2 * math.pi + 2 * hollow, rel=0.01)
    assert measured.maxima == 4
    assert len(measured.hollows) == 1


def test_bar_and_opening_keep_their_widths() -> None:
    """Distances by GEOS from points of the opening's two sides: to the edge, and to each other."""
    row = solve([oblong((420.0, 230.0))])[0].row
    drawn = trace(row, 2.0)
    way = drawn.middle(4)
    control = slot(drawn, way, 122.0, 27.5, 39.5)
    edge = shapely.LinearRing(flatten(curve_of(drawn), 1e-3))
    ring = flatten(spline(control), 1e-3)
    away = shapely.distance(edge, shapely.points(ring))
    middle = drawn.at(np.array([way]))[0][0]
    along = np.abs(ring[:, 0] - middle[0]) < 35
    outer, inner = along & (away < 45), along & (away >= 45)
    assert np.abs(away[outer] - 27.5).max() < 0.05
    assert np.abs(away[inner] - 67.0).max() < 0.05
    box = shapely.minimum_rotated_rectangle(shapely.Polygon(ring))
    assert max(np.hypot(*np.diff(np.asarray(box.exterior.coords)[:3], axis=0).T)) == pytest.approx(
        122.0, abs=3.0
    )


def test_no_opening_beside_a_tight_bend() -> None:
    drawn = trace(solve([oblong()])[0].row, 2.0)
    with pytest.raises(OutlineError):
        slot(drawn, drawn.middle(1), 122.0, 27.5, 39.5)


def test_an_eased_half_turn_is_wider_than_its_radius_says() -> None:
    plain = Stretch(math.pi, math.pi * 17.0)
    assert across([plain]) > 34.5
    assert across([plain], ease=0.2) == pytest.approx(34.0, abs=0.1)


def test_a_circle_of_stretches_is_a_circle() -> None:
    third = Stretch(2 * math.pi / 3, 2 * math.pi / 3 * 90.0)
    solved = solve([Row((third, third, third), (180.0, 180.0))])[0]
    curve = curve_of(trace(solved.row))
    assert length(curve) == pytest.approx(2 * math.pi * 90, rel=1e-6)
    p = evaluate(curve, np.linspace(0, len(curve), 400, endpoint=False))[0]
    x0, y0, x1, y1 = bounds(curve)
    away = np.hypot(p[:, 0] - (x0 + x1) / 2, p[:, 1] - (y0 + y1) / 2)
    assert np.ptp(away) < 0.01
    assert turning(curve).maxima == 0

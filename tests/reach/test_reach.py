"""The largest cutter and the wood it leaves, on shapes with known answers."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapes_of_known_size import Pen, ellipse, filleted_corner, keyhole, notched, polar, slot

from shapes.geometry.curve import circle, polygon
from shapes.geometry.outline import Outline, outline, transformed
from shapes.reach.discs import discs
from shapes.reach.reach import largest_cutter, uncut

ROOT = math.sqrt(2) - 1


@pytest.mark.parametrize("radius", [1.5, 2.0, 3.0, 4.7, 8.0, 12.3, 14.0])
def test_a_filleted_right_angle(radius: float) -> None:
    wanted = 2 * radius + 0.1 / ROOT
    assert largest_cutter(discs(filleted_corner(radius))) == pytest.approx(wanted, abs=0.02)


@pytest.mark.parametrize("cutter", [7.0, 8.0, 12.7, 20.0])
def test_the_wood_left_in_a_filleted_right_angle(cutter: float) -> None:
    left = uncut(discs(filleted_corner(3.0)), cutter)
    assert left[0].depth == pytest.approx((cutter / 2 - 3.0) * ROOT, abs=0.001)
    middle = 3.0 - 3.0 * math.sqrt(0.5)
    assert left[0].place == pytest.approx((middle, middle), abs=0.2)


@pytest.mark.parametrize("width", [6.0, 9.0, 20.0])
def test_a_slot_takes_a_cutter_of_its_width(width: float) -> None:
    board = outline(ellipse(100, 80), [slot(width, 60)])
    assert largest_cutter(discs(board)) == pytest.approx(width, abs=0.02)
    assert math.isinf(uncut(discs(board), width + 0.2)[0].depth)


@pytest.mark.parametrize("diameter", [6.3, 8.0, 29.0])
def test_a_round_hole_takes_a_cutter_of_its_own_size(diameter: float) -> None:
    board = outline(ellipse(100, 80), [circle((20, 5), diameter / 2)])
    assert largest_cutter(discs(board)) == pytest.approx(diameter, abs=0.02)


@pytest.mark.parametrize("width", [8.0, 14.0])
def test_an_inlet_of_parallel_sides(width: float) -> None:
    # The round end is filled to at most 0.05 mm by a cutter that no longer gets in: none does.
    assert largest_cutter(discs(notched(width, 90.0))) == pytest.approx(width, abs=0.02)
    deep = uncut(discs(notched(width, 90.0)), width + 1.0)[0]
    assert deep.depth > 30


@pytest.mark.parametrize(("neck", "bulb"), [(10.0, 12.0), (16.0, 14.0)])
def test_a_chamber_behind_a_neck(neck: float, bulb: float) -> None:
    """A cutter wider than the neck still plunges into the chamber; it leaves two lips.

    At the neck's corner with the chamber (an outward corner) the disc in the chamber and the disc
    at the neck's mouth leave wood along the parallel sides: none may stay, so the neck decides.
    """
    assert largest_cutter(discs(keyhole(neck, bulb))) == pytest.approx(neck, abs=0.02)


def test_a_square_inside_corner_is_never_reached() -> None:
    board = outline(polygon([(0, 0), (200, 0), (200, 80), (80, 80), (80, 200), (0, 200)]))
    # 0.05 mm of wood may stay in the corner: R (sqrt 2 - 1) = 0.05.
    assert largest_cutter(discs(board)) == pytest.approx(0.1 / ROOT, abs=0.02)
    left = uncut(discs(board), 6.0)
    assert left[0].depth == pytest.approx(3 * ROOT, abs=0.005)
    assert left[0].place == pytest.approx((80, 80), abs=0.05)


@pytest.mark.parametrize("points", [5, 7])
@pytest.mark.parametrize("fillet", [2.0, 5.0])
def test_stars_with_filleted_valleys(points: int, fillet: float) -> None:
    """A valley of half angle b filleted with r: R = r + 0.05 / (1 / sin b - 1)."""
    outer, inner = 150.0, 80.0
    step = math.pi / points
    valley = np.array([inner, 0.0])
    tip = outer * np.array([math.cos(step), math.sin(step)])
    half = math.pi - math.atan2(tip[1], tip[0] - valley[0])  # opening half angle, from outside
    half = math.pi - half
    board = _star(points, outer, inner, fillet)
    wanted = 2 * (fillet + 0.05 / (1 / math.sin(half) - 1))
    assert largest_cutter(discs(board)) == pytest.approx(wanted, abs=0.02)


def _star(points: int, outer: float, inner: float, fillet: float) -> Outline:
    step = math.pi / points
    pen: Pen | None = None
    for k in range(points):
        at = 2 * step * k
        tip_before = outer * np.array([math.cos(at - step), math.sin(at - step)])
        tip_after = outer * np.array([math.cos(at + step), math.sin(at + step)])
        valley = inner * np.array([math.cos(at), math.sin(at)])
        side = (tip_before - valley) / np.hypot(*(tip_before - valley))
        out = np.array([math.cos(at), math.sin(at)])
        sine = abs(float(out[0] * side[1] - out[1] * side[0]))
        cosine = float(out @ side)
        centre = valley + out * fillet / sine
        touch = valley + side * fillet * cosine / sine
        if pen is None:
            pen = Pen(float(touch[0]), float(touch[1]))
        else:
            pen.line(float(touch[0]), float(touch[1]))
        turn = -2 * (90 - math.degrees(math.atan2(sine, cosine)))
        pen.arc(float(centre[0]), float(centre[1]), turn)
        pen.line(float(tip_after[0]), float(tip_after[1]))
    assert pen is not None
    return outline(pen.close())


def test_a_wavy_edge_needs_a_cutter_near_its_least_radius() -> None:
    a, b, k = 8.0, 100.0, 9.0
    curve = polar(lambda t: b + a * np.cos(k * t), lambda t: -a * k * np.sin(k * t), 1200)
    r = b - a
    radius = 1 / ((r * a * k * k - r * r) / r**3)
    found = largest_cutter(discs(outline(curve)))
    assert found is not None
    assert found > 2 * radius  # the curvature alone would allow less than 0.05 mm does
    left = uncut(discs(outline(curve)), found)
    assert left[0].depth == pytest.approx(0.05, abs=0.002)


def test_a_star_with_square_valleys() -> None:
    """Fans at several corners.

    A valley of half angle b keeps 0.05 mm at R (1 / sin b - 1) = 0.05.
    """
    points, outer, inner = 6, 150.0, 100.0
    step = math.pi / points
    ring = [
        (r * math.cos(k * step), r * math.sin(k * step))
        for k, r in ((k, outer if k % 2 else inner) for k in range(2 * points))
    ]
    tip = np.array(ring[1]) - np.array(ring[0])
    half = math.atan2(tip[1], tip[0])
    wanted = 2 * 0.05 / (1 / math.sin(half) - 1)
    assert largest_cutter(discs(outline(polygon(ring)))) == pytest.approx(wanted, abs=0.02)


def test_nothing_limits_a_board_without_hollows() -> None:
    assert largest_cutter(discs(outline(ellipse(190, 120)))) is None


@given(st.floats(-3, 3), st.floats(0.4, 2.5))
def test_the_largest_cutter_turns_and_scales_with_the_board(angle: float, scale: float) -> None:
    board = outline(ellipse(100, 80), [slot(9.0, 60)])
    moved = transformed(board, angle, scale, (9_000.0, -400.0))
    assert largest_cutter(discs(moved)) == pytest.approx(9.0 * scale, abs=0.02)

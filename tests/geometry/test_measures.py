from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapes_of_known_size import ellipse, filleted_corner, polar, slot, through

from shapes.errors import OutlineError
from shapes.geometry import curve as curves
from shapes.geometry.curve import Array, Curve, polygon, spline
from shapes.geometry.measures import (
    curvature,
    curvature_jumps,
    extremes,
    fairness,
    least_radii,
    length,
    section,
)

grid = st.lists(
    st.tuples(st.integers(-400, 400), st.integers(-300, 300)), min_size=5, max_size=12, unique=True
)


def exact_section(control: list[tuple[int, int]]) -> tuple[Fraction, ...]:
    """Area and raw moments of a cubic spline in rational numbers: an independent derivation."""
    n = len(control)
    area = mx = my = ixx = iyy = Fraction(0)

    def multiply(a: list[Fraction], b: list[Fraction]) -> list[Fraction]:
        out = [Fraction(0)] * (len(a) + len(b) - 1)
        for i, u in enumerate(a):
            for j, v in enumerate(b):
                out[i + j] += u * v
        return out

    def integral(a: list[Fraction]) -> Fraction:
        return sum((c / (i + 1) for i, c in enumerate(a)), Fraction(0))

    for i in range(n):
        rows = [control[(i + k - 1) % n] for k in range(4)]
        xy = []
        for axis in (0, 1):
            a, b, c, d = (Fraction(r[axis]) for r in rows)
            xy.append(
                [(a + 4 * b + c) / 6, (c - a) / 2, (a - 2 * b + c) / 2, (d - a + 3 * b - 3 * c) / 6]
            )
        x, y = xy
        dx, dy = ([k * p[k] for k in range(1, 4)] for p in (x, y))
        area += (integral(multiply(x, dy)) - integral(multiply(y, dx))) / 2
        mx += integral(multiply(multiply(x, x), dy)) / 2
        my -= integral(multiply(multiply(y, y), dx)) / 2
        ixx -= integral(multiply(multiply(multiply(y, y), y), dx)) / 3
        iyy += integral(multiply(multiply(multiply(x, x), x), dy)) / 3
    return area, mx, my, ixx, iyy


@given(grid)
def test_area_centroid_and_second_moments_agree_with_rational_numbers(
    control: list[tuple[int, int]],
) -> None:
    area, mx, my, ixx, iyy = exact_section(control)
    size = max(max(abs(x), abs(y)) for x, y in control)
    if abs(area) < size * size / 100:
        return
    s = section([spline(control)])
    assert s.area == pytest.approx(float(area), rel=1e-12, abs=1e-12 * size**2)
    cx, cy = mx / area, my / area
    assert s.centroid[0] == pytest.approx(float(cx), rel=1e-12, abs=1e-11 * size)
    assert s.centroid[1] == pytest.approx(float(cy), rel=1e-12, abs=1e-11 * size)
    scale = 1e-11 * size**4
    assert s.ixx == pytest.approx(float(ixx - cy * cy * area), rel=1e-12, abs=scale)
    assert s.iyy == pytest.approx(float(iyy - cx * cx * area), rel=1e-12, abs=scale)


@given(
    grid,
    st.floats(-3, 3),
    st.floats(0.5, 2),
    st.floats(-1e4, 1e4),
    st.integers(0, 11),
)
def test_measures_do_not_depend_on_place_turn_start_or_direction(
    control: list[tuple[int, int]], angle: float, scale: float, shift: float, start: int
) -> None:
    curve = spline(control)
    size = max(max(abs(x), abs(y)) for x, y in control)
    if abs(exact_section(control)[0]) < size * size / 50:
        return
    s = section([curve])
    moved = curves.transform(curve, angle, scale, (shift, -shift / 2))
    m = section([moved])
    assert m.area == pytest.approx(s.area * scale**2, rel=1e-9)
    assert m.ixx + m.iyy == pytest.approx((s.ixx + s.iyy) * scale**4, rel=1e-7)
    assert length(moved) == pytest.approx(length(curve) * scale, rel=1e-8)
    back = section([curves.reverse(curve)])
    assert back.area == pytest.approx(-s.area, rel=1e-12)
    rolled = section([Curve(np.roll(curve.segments, start, axis=0))])
    assert rolled.area == pytest.approx(s.area, rel=1e-12)


def test_a_polygon_has_the_moments_of_a_rectangle() -> None:
    s = section([polygon([(3, 5), (113, 5), (113, 45), (3, 45)])])
    assert s.area == pytest.approx(110 * 40, rel=1e-14)
    assert s.centroid == pytest.approx((58, 25), rel=1e-14)
    assert s.ixx == pytest.approx(110 * 40**3 / 12, rel=1e-12)
    assert s.iyy == pytest.approx(40 * 110**3 / 12, rel=1e-12)
    assert s.ixy == pytest.approx(0, abs=1e-6)


def test_loops_without_area_raise() -> None:
    with pytest.raises(OutlineError, match="no area"):
        section([polygon([(0, 0), (10, 0), (20, 0)])])


def test_an_opening_takes_its_area_away() -> None:
    hole = curves.reverse(slot(20, 60))
    s = section([polygon([(-100, -50), (100, -50), (100, 50), (-100, 50)]), hole])
    assert s.area == pytest.approx(200 * 100 - (20 * 60 + math.pi * 100), rel=1e-8)


def test_least_inside_radius_on_known_curves() -> None:
    assert least_radii(filleted_corner(4.0).edge)[0] == pytest.approx(4.0, rel=1e-3)
    assert least_radii(filleted_corner(4.0).edge)[1] == pytest.approx(10.0, rel=1e-3)
    # r = b + a cos k t: at the bottom of a hollow k = (r^2 + 2 r'^2 - r r'') / r^3 of either sign.
    a, b, k = 20.0, 100.0, 5.0
    curve = polar(lambda t: b + a * np.cos(k * t), lambda t: -a * k * np.sin(k * t))
    r = b - a
    bottom = (r * r - r * a * k * k) / (r * r) ** 1.5
    assert least_radii(curve)[0] == pytest.approx(-1 / bottom, rel=1e-3)
    top = ((b + a) ** 2 + (b + a) * a * k * k) / (b + a) ** 3
    assert least_radii(curve)[1] == pytest.approx(1 / top, rel=1e-3)


def test_a_corner_has_radius_zero_on_its_own_side() -> None:
    arrow = polygon([(0, 0), (100, -50), (80, 0), (100, 50)])
    inside, outside = least_radii(arrow)
    assert inside == 0
    assert outside == 0
    assert least_radii(polygon([(0, 0), (100, 0), (0, 80)])) == (math.inf, 0)


def test_an_ellipse_has_four_extremes_and_its_end_radii() -> None:
    curve = spline(through(_ring(150, 90, 160)))
    at, k = extremes(curve)
    strong = [round(1 / v, 0) for v in k if abs(1 / v - 54) < 1 or abs(1 / v - 250) < 3]
    assert sorted(set(strong)) == [54.0, 250.0]
    assert len(at) >= 4


def _ring(a: float, b: float, n: int) -> Array:
    t = np.arange(n) * 2 * np.pi / n
    return np.stack([a * np.cos(t), b * np.sin(t)], axis=1)


def test_a_circle_is_perfectly_fair() -> None:
    bending, variation = fairness(curves.circle((7, 3), 91.0))
    assert bending == pytest.approx(1, rel=1e-6)
    assert variation == pytest.approx(0, abs=0.01)  # 16 cubics err by 6.6e-8 of the radius


def test_a_circle_and_an_ellipse_have_the_extremes_they_should() -> None:
    assert len(extremes(curves.circle((0, 0), 100.0))[0]) == 0
    assert len(extremes(spline(through(_ring(150, 90, 24))))[0]) >= 4


def test_a_chain_of_arcs_has_jumps_in_its_curvature() -> None:
    assert curvature_jumps(filleted_corner(10.0).edge)
    assert not curvature_jumps(spline([(0, 0), (120, -10), (190, 70), (90, 120), (-20, 90)]))


def test_fairness_of_an_ellipse_by_quadrature() -> None:
    from scipy.integrate import quad
    from scipy.special import ellipe

    a, b = 150.0, 90.0
    total = 4 * a * ellipe(1 - b * b / a / a)

    def speed(t: float) -> float:
        return math.hypot(a * math.sin(t), b * math.cos(t))

    bending = (
        total * quad(lambda t: (a * b) ** 2 / speed(t) ** 5, 0, 2 * math.pi)[0] / 4 / math.pi**2
    )
    variation = (
        total**3
        * quad(
            lambda t: (
                (3 * a * b * (a * a - b * b) * math.sin(t) * math.cos(t)) ** 2 / speed(t) ** 11
            ),
            0,
            2 * math.pi,
        )[0]
    )
    got = fairness(ellipse(a, b, 2000))
    assert got[0] == pytest.approx(bending, rel=1e-4)
    smooth = fairness(spline(through(_ring(a, b, 300))))
    assert smooth[0] == pytest.approx(bending, rel=1e-5)
    assert smooth[1] == pytest.approx(variation, rel=1e-3)


def test_fairness_has_no_scale() -> None:
    control = [(0, 0), (120, -10), (190, 70), (90, 120), (-20, 90)]
    small, large = spline(control), curves.transform(spline(control), 0.4, 7.0)
    assert fairness(large) == pytest.approx(fairness(small), rel=1e-9)


def test_curvature_is_that_of_finite_differences() -> None:
    curve = spline([(0, 0), (120, -10), (190, 70), (90, 120), (-20, 90)])
    s = np.array([0.31, 1.77, 3.2, 4.9])
    h = 1e-4
    p = [curves.evaluate(curve, s + d)[0] for d in (-h, 0, h)]
    v, a = (p[2] - p[0]) / (2 * h), (p[2] - 2 * p[1] + p[0]) / h**2
    k = curves.cross(v, a) / np.hypot(*v.T) ** 3
    assert curvature(curve, s) == pytest.approx(k, rel=1e-5)

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from made_boards import boards
from shapes_of_known_size import filleted_corner, slot

from shapes.geometry.arcs import arc_area, arc_points, arcs
from shapes.geometry.curve import Array, Curve, circle, flatten, reverse
from shapes.geometry.measures import area


def away(points: Array, ring: Array) -> float:
    return float(shapely.distance(shapely.LinearRing(ring), shapely.points(points)).max())


def assert_close(curve: Curve) -> int:
    points, bulges = arcs(curve)
    made, wanted = arc_points(points, bulges, 1e-4), flatten(curve, 1e-4)
    assert away(made, wanted) <= 0.01
    assert away(wanted, made) <= 0.01
    assert away(points, wanted) <= 2e-4  # the ends lie on the curve
    chord = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
    assert chord.min() > 0.05
    return len(points)


def test_arcs_keep_to_the_curve_both_ways() -> None:
    counts = []
    total_error = []
    for board in boards(30):
        counts.append(sum(assert_close(c) for c in board.curves))
        made = sum(arc_area(*arcs(c)) for c in board.curves)
        total_error.append(abs(made / area(board.curves) - 1))
    assert np.median(counts) <= 90
    assert max(total_error) <= 2e-5


def test_kinks_between_arcs_are_below_a_degree() -> None:
    worst = 0.0
    for board in boards(12):
        for curve in board.curves:
            p, g = arcs(curve)
            chord = np.roll(p, -1, axis=0) - p
            heading = np.arctan2(chord[:, 1], chord[:, 0])
            half = 2 * np.arctan(g)
            leave, arrive = heading - half, heading + half
            jump = np.roll(leave, -1) - arrive
            worst = max(worst, float(np.abs(np.remainder(jump + np.pi, 2 * np.pi) - np.pi).max()))
    assert math.degrees(worst) < 1.0


def test_a_circle_takes_few_arcs_and_keeps_its_way() -> None:
    p, g = arcs(circle((3, 4), 50.0))
    assert len(p) <= 9
    assert (g > 0).all()
    assert (arcs(circle((3, 4), 50.0, clockwise=True))[1] < 0).all()


def test_lines_and_arcs_are_found_again() -> None:
    assert assert_close(filleted_corner(12.0).edge) <= 44
    assert assert_close(reverse(slot(20, 90))) <= 40


def test_a_corner_stays_a_corner() -> None:
    from shapes.geometry.curve import polygon

    p, g = arcs(polygon([(0, 0), (100, 0), (60, 80)]))
    found = {(round(x, 9), round(y, 9)) for x, y in p.tolist()}
    assert {(0.0, 0.0), (100.0, 0.0), (60.0, 80.0)} <= found
    assert np.abs(g).max() < 1e-6


def test_bulge_by_its_definition() -> None:
    """Bulge 0.1 over a chord of 100: radius 252.5, sagitta 5 (DXF group 42)."""
    p = arc_points(np.array([(0.0, 0.0), (100.0, 0.0)]), np.array([0.1, 0.0]), 1e-5)
    assert p[:, 1].min() == pytest.approx(-5.0, abs=1e-4)


def least_by_dynamic_programming(curve: Curve, tolerance: float) -> int:
    """Fewest arcs over a dense set of ends, by dynamic programming from every early start.

    An independent fit: the arc through both ends and the middle sample, its height then searched.
    """
    n, per = 420, 24
    m = len(curve)
    s = np.arange(n) * m / n
    from shapes.geometry.curve import evaluate

    start = evaluate(curve, s)[0]

    def fits(i: int, j: int) -> bool:
        t = s[i] + (np.arange(1, per) / per) * (j - i) * m / n
        p = evaluate(curve, np.mod(t, m))[0]
        a, b = start[i % n], start[j % n]
        u = (b - a) / np.hypot(*(b - a))
        q = (p - (a + b) / 2) @ np.array([[u[0], -u[1]], [u[1], u[0]]])
        h = float(np.hypot(*(b - a))) / 2
        best = math.inf
        sag0 = q[per // 2 - 1, 1]
        for sag in sag0 + np.linspace(-1.5, 1.5, 31) * tolerance:
            if abs(sag) < 1e-9:
                miss = float(np.abs(q[:, 1]).max())
            else:
                r = (h * h + sag * sag) / (2 * abs(sag))
                centre = np.array([0.0, sag - math.copysign(r, sag)])
                miss = float(np.abs(np.hypot(*(q - centre).T) - r).max())
            best = min(best, miss)
        return best <= tolerance

    reach = []
    j = 1
    for i in range(n):
        j = max(j, i + 1)
        while j < i + n // 2 and fits(i, j + 1):
            j += 1
        reach.append(j - i)
    best = n
    for first in range(reach[0] + 1):
        at, hops = first, 0
        while at < first + n:
            at += reach[at % n]
            hops += 1
        best = min(best, hops)
    return best


@pytest.mark.slow
def test_no_more_than_15_percent_above_the_fewest_arcs() -> None:
    ratios = []
    for board in boards(20, seed=31):
        fewest = least_by_dynamic_programming(board.edge, 0.01)
        ratios.append(len(arcs(board.edge)[0]) / fewest)
    print(f"arcs over the fewest: mean {np.mean(ratios):.3f}, worst {max(ratios):.3f}")
    assert max(ratios) <= 1.15

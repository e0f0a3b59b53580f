"""The surface that is seen, against closed forms and against sections and areas by GEOS."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from made_boards import boards

from shapes.geometry.curve import circle, flatten, polygon
from shapes.geometry.outline import Outline, bounds, outline
from shapes.pictures.screen import Screen, coverage, dragged
from shapes.pictures.surface import COUNTERSUNK, LEAN, Rim, Seen, rims_of, screen_round, seen

T, R = 21.0, 5.5  # mm


def disc(radius: float = 61.0) -> Outline:
    return outline(circle((3.0, -2.0), radius))


def sight(board: Outline, lean: float = LEAN, scale: float = 3.1, *, bearing: float = 12.7) -> Seen:
    screen = screen_round(bounds(board), scale, 12.0, T)
    return seen(rims_of(board, T, R, bearing), T, screen, lean)


def curved(on: Seen) -> tuple[np.ndarray, np.ndarray]:
    """Places and normals where the surface is not level, of pixels that are wholly covered."""
    whole = on.cover.reshape(-1)[on.at[on.flat :]] > 0.999
    return on.place[on.flat :][whole].astype(float), on.normal[on.flat :][whole].astype(float)


@pytest.mark.parametrize("lean", [0.0, 0.34, 0.7])
def test_normals_of_a_disc_are_those_of_a_quarter_round(lean: float) -> None:
    """Distance q from the middle, depth u.

    On the torus about q = 61 - r, u = r, normals run from its core.
    """
    place, normal = curved(sight(disc(), lean))
    assert len(place) > 2000
    x, y = place[:, 0] - 3.0, place[:, 1] + 2.0
    q, u = np.hypot(x, y), -place[:, 2]
    top = u < R
    out, up = q - (61.0 - R), R - u
    off = np.abs(np.hypot(out, up)[top] - R)
    assert np.quantile(off, 0.999) < 0.05  # mm: a sixth of a pixel
    assert off.max() < 0.1
    expected = np.stack([x / q * out, y / q * out, up], axis=1)[top] / np.hypot(out, up)[top, None]
    assert np.abs(normal[top] - expected).max() < 0.01
    wall = (u > R + 0.05) & (u < T - R - 0.05)
    assert np.abs(q[wall] - 61.0).max(initial=0) < 0.05
    assert (
        np.abs(normal[wall] - np.stack([x / q, y / q, 0 * q], axis=1)[wall]).max(initial=0) < 0.01
    )
    assert bool(wall.any()) == (lean > 0)


def test_normals_along_a_straight_edge() -> None:
    """Across a straight edge at y = 0 the normal is (0, -(r
    - d), r - u) / r, d mm inside at depth u.
    """
    on = sight(outline(polygon([[-90, 0], [90, 0], [90, 80], [-90, 80]])))
    place, normal = curved(on)
    low = (np.abs(place[:, 0]) < 80) & (place[:, 1] < 20)
    d, u = place[low, 1], -place[low, 2]
    top = u < R
    assert np.abs(normal[low][top, 1] + (R - d[top]) / R).max() < 0.02
    assert np.abs(normal[low][top, 2] - (R - u[top]) / R).max() < 0.02
    assert np.abs(normal[low][:, 0]).max() < 1e-6
    wall = (u > R) & (u < T - R)
    assert np.abs(d[wall]).max() < 0.02
    # The wall is as high on the picture as the lean says.
    rows = (on.screen.top - 0.0 + LEAN * u[wall]).max() - (on.screen.top + LEAN * u[wall]).min()
    assert rows == pytest.approx(LEAN * (T - 2 * R), abs=1.0 / on.screen.scale)


def test_every_place_lies_on_the_line_of_sight_and_on_the_board() -> None:
    for board in boards(4, seed=11):
        on = sight(board)
        x, y = on.screen.centres()
        seen_from = np.stack([x[on.at % on.screen.columns], y[on.at // on.screen.columns]], axis=1)
        assert np.abs(on.place[:, 0] - seen_from[:, 0]).max() < 1e-3
        assert np.abs(on.place[:, 1] + LEAN * on.place[:, 2] - seen_from[:, 1]).max() < 1e-3
        rng = np.random.default_rng(4)
        whole = np.flatnonzero(on.cover.reshape(-1)[on.at] > 0.999)
        for i in rng.choice(whole, 60, replace=False):
            px, py, z = on.place[i].astype(float)
            if any(shapely.distance(h, shapely.Point(px, py)) < R for h in board.wood.interiors):
                continue  # a hole that the bearing does not enter is countersunk, not rounded
            near = min(-z, T + z)
            inset = R - math.sqrt(max(R * R - max(R - near, 0.0) ** 2, 0.0))
            section = board.wood.buffer(-inset, quad_segs=64)
            gap = shapely.distance(section, shapely.Point(px, py))
            assert gap < 0.12, (px, py, z)
            if i >= on.flat and inset < R - 0.3:  # neither does it lie within the wood
                assert shapely.distance(section.boundary, shapely.Point(px, py)) < 0.5


@pytest.mark.parametrize("scale", [1.3, 3.7])
def test_coverage_has_the_area_and_the_box_of_what_it_covers(scale: float) -> None:
    for board in boards(6, seed=9):
        screen = screen_round(bounds(board), scale, 9.0, T)
        cover = coverage(screen, [flatten(c) for c in board.curves])
        assert cover.sum() / scale**2 == pytest.approx(board.wood.area, rel=2e-4)
        there = cover > 0.5
        columns, rows = np.flatnonzero(there.any(axis=0)), np.flatnonzero(there.any(axis=1))
        x0, y0, x1, y1 = board.wood.bounds
        half = 0.5 / scale + 0.02
        assert screen.left + columns[0] / scale == pytest.approx(x0, abs=2 * half)
        assert screen.left + (columns[-1] + 1) / scale == pytest.approx(x1, abs=2 * half)
        assert screen.top - rows[0] / scale == pytest.approx(y1, abs=2 * half)
        assert screen.top - (rows[-1] + 1) / scale == pytest.approx(y0, abs=2 * half)


def test_coverage_is_exact_for_a_box_between_pixels() -> None:
    screen = Screen(0.0, 10.0, 1.0, 12, 10)
    ring = np.array([[2.25, 3.5], [7.75, 3.5], [7.75, 8.0], [2.25, 8.0]])
    cover = coverage(screen, [ring])
    assert cover[2:6, 2] == pytest.approx(0.75)
    assert cover[2:6, 7] == pytest.approx(0.75)
    assert cover[2:6, 3:7] == pytest.approx(1.0)
    assert cover[6, 4] == pytest.approx(0.5)
    assert cover[1].max() == cover[7].max() == 0.0


def swept(wood: shapely.Polygon, first: float, last: float) -> shapely.Geometry:
    """All that a shape passes over on its way down from ``first`` to ``last``, by GEOS."""
    steps = np.linspace(first, last, 80)
    return shapely.union_all([shapely.transform(wood, lambda p, s=s: p - (0, s)) for s in steps])


def test_picture_and_outline_agree_to_half_a_pixel() -> None:
    """Straight from above the picture is the outline; leaning, the outline dragged down by GEOS."""
    for board in boards(5, seed=10):
        for lean in (0.0, LEAN):
            on = sight(board, lean)
            more = R * (math.hypot(1, lean) - 1)
            edge = swept(
                shapely.Polygon(board.wood.exterior), lean * R - more, lean * (T - R) + more
            )
            holes = []
            for i, curve in enumerate(board.openings):
                rim = next(r for r in rims_of(board, T, R, 12.7) if curve in r.curves)
                rounded = 0.0 if rim.straight else more  # as with the edge
                first, last = lean * rim.size - rounded, lean * (T - rim.size) + rounded
                hole = shapely.Polygon(flatten(board.openings[i]))
                ends = [shapely.transform(hole, lambda p, s=s: p - (0, s)) for s in (first, last)]
                holes.append(shapely.intersection(*ends))
            expected = shapely.difference(edge, shapely.union_all(holes))
            scale = on.screen.scale
            assert on.cover.sum() / scale**2 == pytest.approx(
                expected.area, abs=0.5 / scale * expected.length
            )
            seen_wood = on.cover > 0.5
            x, y = on.screen.centres()
            inner = shapely.contains_xy(expected.buffer(-0.55 / scale), *np.meshgrid(x, y))
            outer = shapely.contains_xy(expected.buffer(0.55 / scale), *np.meshgrid(x, y))
            assert not (inner & ~seen_wood).any()
            assert not (seen_wood & ~outer).any()


def test_a_hole_too_narrow_for_the_bit_is_countersunk() -> None:
    """At 45 degrees, COUNTERSUNK mm wide; its wall is seen below that."""
    board = outline(circle((0.0, 0.0), 60.0), [circle((10.0, 5.0), 7.0)])
    rims = rims_of(board, T, R, 12.7)
    assert [len(r.curves) for r in rims] == [1, 1]
    assert (rims[1].size, rims[1].straight) == (COUNTERSUNK, True)
    place, normal = curved(sight(board, 0.0))
    q = np.hypot(place[:, 0] - 10.0, place[:, 1] - 5.0)
    near = q < 12
    assert np.abs(q[near] - 7.0 - (COUNTERSUNK + place[near, 2])).max() < 0.05
    near = (q > 7.4) & (q < 7.0 + COUNTERSUNK - 0.4)  # its two edges turn within a pixel
    assert normal[near, 2] == pytest.approx(math.sqrt(0.5), abs=1e-6)
    inward = np.stack([10.0 - place[near, 0], 5.0 - place[near, 1]], axis=1) / q[near, None]
    assert np.abs(normal[near, :2] - inward * math.sqrt(0.5)).max() < 0.02
    wide = outline(circle((0.0, 0.0), 60.0), [circle((10.0, 5.0), 14.0)])
    assert [len(r.curves) for r in rims_of(wide, T, R, 12.7)] == [2]


@pytest.mark.parametrize(
    ("wanted", "thickness", "size"), [(5.5, 21, 5.5), (12, 18, 9), (0, 18, 0.4)]
)
def test_the_round_over_is_the_stated_one(wanted: float, thickness: float, size: float) -> None:
    assert rims_of(disc(), thickness, wanted, 12.7)[0].size == size


def test_dragging_passes_over_every_step() -> None:
    cells = np.zeros((12, 12), dtype=np.float32)
    cells[2, 3] = 1
    assert np.argwhere(dragged(cells, 5)).tolist() == [[i, 3] for i in range(2, 8)]
    assert np.argwhere(dragged(cells, 3, 3)).tolist() == [[2 + i, 3 + i] for i in range(4)]
    assert dragged(cells, 0).sum() == 1


def test_the_inset_is_that_of_a_quarter_round() -> None:
    rim = Rim((disc().edge,), R)
    u = np.array([0.0, R * (1 - math.sin(math.radians(30))), R, T / 2, T - R, T])
    expected = [R, R * (1 - math.cos(math.radians(30))), 0, 0, 0, R]
    assert rim.inset(u, T) == pytest.approx(expected, abs=1e-9)

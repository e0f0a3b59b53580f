"""Reach by rolling the cutter: known shapes, polylines, and agreement of three independent ways."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from clipper import CHORD, closed_by
from made_boards import boards
from samples import of
from shapes_of_known_size import filleted_corner, hermite, keyhole, notched, slot

from shapes.geometry.curve import Array, Curve, circle, evaluate, flatten, polygon
from shapes.geometry.measures import least_radii
from shapes.geometry.outline import Outline, outline
from shapes.reach.discs import balls, discs
from shapes.reach.reach import CORNER, INLET, OPENING, largest_cutter
from shapes.reach.rolling import Rolling, largest_by_rolling, rolling, uncut_by_rolling

EASE = 0.1 / (math.sqrt(2) - 1)  # what 0.05 mm of wood allows a right-angled corner


def largest(board: Outline) -> float | None:
    return largest_by_rolling(rolling(board, discs(board)))


def faceted(board: Outline, deviation: float) -> Outline:
    return outline(
        polygon(flatten(board.edge, deviation)),
        [polygon(flatten(c, deviation)) for c in board.openings],
    )


def depth_left(board: Outline, cutter: float) -> float:
    closed = closed_by([flatten(c, CHORD) for c in board.curves], cutter / 2)
    line = shapely.unary_union([shapely.LinearRing(p) for p in closed])
    shapely.prepare(line)
    return max(
        float(
            shapely.distance(
                line,
                shapely.points(evaluate(c, np.linspace(0, len(c), 40 * len(c), endpoint=False))[0]),
            ).max()
        )
        for c in board.curves
    )


def star(tips: int, far: float, near: float, fillet: float) -> Outline:
    """A star of straight sides, its valleys and tips rounded by ``fillet``."""
    a = np.arange(2 * tips) * math.pi / tips
    r = np.where(np.arange(2 * tips) % 2 == 0, far, near)
    sharp = shapely.Polygon(np.stack([r * np.cos(a), r * np.sin(a)], axis=1))
    soft = (
        sharp.buffer(fillet, quad_segs=180)
        .buffer(-2 * fillet, quad_segs=180)
        .buffer(fillet, quad_segs=180)
    )
    return outline(polygon(np.asarray(soft.exterior.coords)[:-1]))


def epitrochoid(lobes: int, size: float, depth: float) -> Curve:
    """Lobes with smooth valleys: x = R cos t - d cos((n + 1) t)."""
    k = lobes + 1

    def place(t: Array) -> Array:
        return np.stack(
            [size * np.cos(t) - depth * np.cos(k * t), size * np.sin(t) - depth * np.sin(k * t)],
            axis=1,
        )

    def slope(t: Array) -> Array:
        return np.stack(
            [
                -size * np.sin(t) + depth * k * np.sin(k * t),
                size * np.cos(t) - depth * k * np.cos(k * t),
            ],
            axis=1,
        )

    return hermite(place, slope, 1200)


@pytest.mark.parametrize("radius", [3.0, 5.0, 10.0, 14.0])
def test_right_angled_corner_with_a_fillet(radius: float) -> None:
    assert largest(filleted_corner(radius)) == pytest.approx(2 * radius + EASE, abs=0.02)
    # The same from facets a micrometre off it.
    assert largest(faceted(filleted_corner(radius), 0.0001)) == pytest.approx(
        2 * radius + EASE, abs=0.02
    )


@pytest.mark.parametrize("width", [6.2, 11.0, 25.0])
def test_slots_and_holes(width: float) -> None:
    board = outline(polygon([(-90, -60), (90, -60), (90, 60), (-90, 60)]), [slot(width, 70)])
    assert largest(board) == pytest.approx(width, abs=0.02)
    board = outline(
        polygon([(-90, -60), (90, -60), (90, 60), (-90, 60)]), [circle((3, 4), width / 2)]
    )
    assert largest(board) == pytest.approx(width, abs=0.02)


def test_inlets_and_keyholes() -> None:
    assert largest(notched(14.0, 90.0)) == pytest.approx(14.0, abs=0.02)
    assert largest(keyhole(10.0, 20.0)) == pytest.approx(10.0, abs=0.02)
    assert largest(faceted(keyhole(10.0, 20.0), 0.001)) == pytest.approx(10.0, abs=0.02)


def test_a_sharp_star_by_its_corner_angle() -> None:
    """A cutter of radius R leaves R (1 / sin(a / 2) - 1) in a corner of angle a."""
    tips, far, near = 7, 150.0, 110.0
    a = np.arange(2 * tips) * math.pi / tips
    r = np.where(np.arange(2 * tips) % 2 == 0, far, near)
    p = np.stack([r * np.cos(a), r * np.sin(a)], axis=1)
    u, v = p[0] - p[1], p[2] - p[1]
    inside = 2 * math.pi - math.acos(float(u @ v) / float(np.hypot(*u) * np.hypot(*v)))
    want = 2 * 0.05 / (1 / math.sin((2 * math.pi - inside) / 2) - 1)
    assert largest(outline(polygon(p))) == pytest.approx(want, abs=0.02)


@pytest.mark.parametrize(
    "board",
    [
        star(7, 150, 100, 6.0),
        star(5, 160, 90, 9.0),
        outline(epitrochoid(6, 120.0, 12.0)),
        outline(epitrochoid(9, 130.0, 8.0)),
    ][:: of(1, 2)],
)
def test_what_it_finds_leaves_a_twentieth(board: Outline) -> None:
    """No closed form: Clipper2 has to find 0.05 mm left a little above and less a little below."""
    found = largest(board)
    assert found is not None
    assert found < 30
    assert depth_left(board, found + 0.06) > 0.05
    assert depth_left(board, found - 0.06) < 0.0505


@pytest.mark.parametrize("deviation", [0.05, 0.01])
def test_coarse_polylines_as_they_are(deviation: float) -> None:
    for board in (filleted_corner(5.0), filleted_corner(10.0), notched(14.0, 90.0)):
        coarse = faceted(board, deviation)
        found = largest(coarse)
        assert found is not None
        assert depth_left(coarse, found + 0.05) > 0.049
        assert depth_left(coarse, found - 0.05) < 0.051


def test_three_ways_agree() -> None:
    """Curvature and bottlenecks from below; discs polished on the curve; rolling."""
    for board in [*boards(25, seed=3), filleted_corner(4.0), notched(12.0, 80.0)]:
        d = discs(board)
        by_discs, by_rolling = largest_cutter(d), largest_by_rolling(rolling(board, d))
        if by_discs is None or by_rolling is None:
            assert by_discs is by_rolling
            continue
        assert by_discs == pytest.approx(by_rolling, abs=0.02 if by_discs < 30 else 0.1)
        least = min(2 * min(least_radii(c)[0] for c in board.curves), 2 * float(d.outer.min()))
        assert least <= by_discs + 0.02


def test_kinds_and_places() -> None:
    (corner,) = uncut_by_rolling(_ready(filleted_corner(3.0)), 8.0)
    assert corner.kind == CORNER
    assert np.hypot(*(np.array(corner.place) - 3 * (1 - math.sqrt(0.5)))) < 0.05
    (inlet,) = uncut_by_rolling(_ready(notched(14.0, 90.0)), 16.0)
    assert inlet.kind == INLET
    hole = outline(polygon([(-90, -60), (90, -60), (90, 60), (-90, 60)]), [circle((0, 0), 2.0)])
    (shut,) = uncut_by_rolling(_ready(hole), 6.0)
    assert shut.kind == OPENING
    assert math.isinf(shut.depth)


def _ready(board: Outline) -> Rolling:
    return rolling(board, discs(board))


def test_searching_a_tree_finds_the_discs_of_the_table() -> None:
    for board in boards(4, seed=9):
        d = discs(board)
        inner, _, outer, _ = balls(d.p, d.n)
        smooth = np.isfinite(d.inner)
        # The table caps discs by the curve's own bend as well; the tree knows samples only.
        assert (inner[smooth] >= d.inner[smooth] * (1 - 1e-9)).all()
        close = (np.abs(inner - d.inner) < 1e-6) | (inner > d.inner)
        assert close.all()
        assert (outer >= np.where(np.isfinite(d.outer), d.outer, 0) * (1 - 1e-9)).all()

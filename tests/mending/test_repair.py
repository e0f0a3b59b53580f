"""Repair: only the stretch that fails is new, curvature runs on, the cutter gets round."""

from __future__ import annotations

import math

import numpy as np
import pytest
from made_boards import boards
from shapes_of_known_size import filleted_corner, notched

from shapes.geometry.curve import Curve, circle, evaluate, polygon
from shapes.geometry.measures import curvature, kinks
from shapes.geometry.outline import Outline, outline
from shapes.mending.crossings import CannotRepairError, resolved
from shapes.mending.loops import Loops
from shapes.mending.repair import Repaired, RepairLimits, repaired
from shapes.mending.stretch import between
from shapes.reach.discs import discs
from shapes.reach.rolling import largest_by_rolling, rolling
from shapes.reach.width import narrowest

BOX = [(-100.0, -70.0), (100.0, -70.0), (100.0, 70.0), (-100.0, 70.0)]


def largest(board: Outline) -> float:
    return largest_by_rolling(rolling(board, discs(board))) or 60.0


def mended(board: Outline, radius: float) -> Repaired:
    return repaired(Loops(board.edge, board.openings), RepairLimits(radius))


def test_a_split_curve_is_the_same_curve() -> None:
    for board in boards(5, seed=8):
        edge = board.edge
        part = between(edge, 1.3, 4.75)
        for k, (a, b) in enumerate(((1.3, 2.0), (2.0, 3.0), (3.0, 4.0), (4.0, 4.75))):
            t = np.linspace(0, 1, 9)
            want = evaluate(edge, a + (b - a) * np.clip(t, 0, 1 - 1e-12))[0]
            w = np.stack([(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3], axis=1)
            assert np.abs(w @ part[k] - want).max() < 1e-9
        assert len(between(edge, 2.0, 2.0)) == len(edge)


def test_only_the_corner_is_drawn_anew_and_the_rest_is_kept_exactly() -> None:
    board = filleted_corner(1.0)
    result = mended(board, 5.0)
    assert len(result.stretches) == 1
    assert largest(result.outline) >= 10.0
    far = [s for s in board.edge.segments if np.hypot(*(s[[0, 3]]).T).min() > 40]
    kept = {tuple(s.ravel()) for s in result.outline.edge.segments}
    assert len(far) > 10
    assert all(tuple(s.ravel()) in kept for s in far)


def test_the_blend_moves_the_edge_little_more_than_the_cutter_asks() -> None:
    """A right-angled corner eased to R lies R (sqrt 2 - 1) off the corner."""
    for radius in (3.15, 6.35):
        board = outline(polygon([(-90, -80), (90, -80), (90, 0), (0, 0), (0, 80), (-90, 80)]))
        result = mended(board, radius)
        least = radius * (math.sqrt(2) - 1)
        assert least < result.moved < 1.35 * least
        assert result.gained == pytest.approx(radius**2 * (1 - math.pi / 4), rel=0.6)
        assert result.lost < 0.02


def test_curvature_runs_on_through_both_ends_of_a_blend() -> None:
    for board, radius in (
        (filleted_corner(1.0), 5.0),
        (notched(14.0, 90.0), 8.0),
        (_valley(), 6.35),
    ):
        edge = mended(board, radius).outline.edge
        s = np.arange(len(edge), dtype=float)
        before, after = curvature(edge, (s - 1e-7) % len(edge)), curvature(edge, s + 1e-7)
        old = {tuple(p) for p in board.edge.segments[:, 0]}
        joints = [k for k in range(len(edge)) if tuple(edge.segments[k, 0]) not in old]
        assert len(joints) > 5
        assert np.abs(kinks(edge)[joints]).max() < 1e-4
        assert np.abs(before - after)[joints].max() < 0.05 / radius


def _valley() -> Outline:
    """Two scallops that meet in a cusp, on a straight board."""
    r = 25.0
    top = [(-2 * r, 0.0)]
    a = np.linspace(math.pi, 0, 60)
    left = np.stack([-r + r * np.cos(a), r * np.sin(a)], axis=1)
    right = np.stack([r + r * np.cos(a), r * np.sin(a)], axis=1)
    points = [
        *top,
        *left[1:-1],
        (0.0, 0.0),
        *right[1:-1],
        (2 * r, 0.0),
        (2 * r, -90.0),
        (-2 * r, -90.0),
    ]
    return outline(polygon(points[::-1]))


def test_inlets_too_narrow_are_filled() -> None:
    result = mended(notched(14.0, 90.0), 8.0)
    assert largest(result.outline) >= 16.0
    assert result.gained > 14 * 50
    assert result.moved > 50


@pytest.mark.parametrize(("radius", "filled"), [(1.0, True), (2.8, False)])
def test_small_holes_are_filled_or_widened_whichever_changes_less(
    radius: float, filled: bool
) -> None:
    board = outline(polygon(BOX), [circle((20, 10), radius)])
    result = mended(board, 3.15)
    assert len(result.outline.openings) == (0 if filled else 1)
    assert any(("filled" if filled else "widened") in note for note in result.notes)
    assert largest(result.outline) >= 6.3


def test_holes_too_small_for_the_bearing_need_only_the_cutter() -> None:
    board = outline(polygon(BOX), [circle((20, 10), 5.0)])
    result = repaired(Loops(board.edge, board.openings), RepairLimits(3.15, 6.4, 14.2))
    assert result.stretches == []
    assert result.outline.openings[0] is board.openings[0]


def test_thin_bars_are_thickened() -> None:
    board = outline(polygon(BOX), [polygon([(-60, 40), (60, 40), (60, 64), (-60, 64)])])
    assert narrowest(discs(board)).width == pytest.approx(6.0, abs=0.02)
    result = repaired(Loops(board.edge, board.openings), RepairLimits(3.15, narrow=12.0))
    assert narrowest(discs(result.outline)).width >= 12.0
    assert any("thickened" in note for note in result.notes)


def test_a_slip_beyond_a_crossing_goes() -> None:
    points = [(0, 0), (200, 0), (200, 100), (95, 100), (103, 106), (95, 106), (103, 100), (0, 100)]
    boards_, notes = resolved([Loops(polygon(points))])
    assert len(boards_) == 1
    assert any("crossed itself" in note for note in notes)
    made = outline(boards_[0].edge)
    assert made.wood.area == pytest.approx(20000, abs=60)
    # Straight sides far from the crossing are the same to the bit.
    assert any(np.array_equal(s, polygon(points).segments[0]) for s in made.edge.segments)


def test_curves_that_cross_are_split_where_they_do() -> None:
    """Two discs of radius 50 whose middles lie 60 apart meet at (30, +-40)."""
    both = [Loops(circle((0, 0), 50.0)), Loops(circle((60, 0), 50.0))]
    (joined,), notes = resolved(both)
    assert any("joined" in note for note in notes)
    corners = joined.edge.segments[np.abs(kinks(joined.edge)) > 0.5][:, 0]
    assert sorted(map(tuple, corners.round(3))) == [(30.0, -40.0), (30.0, 40.0)]
    lens = 2 * (2500 * math.acos(0.6) - 30 * 40)
    assert outline(joined.edge).wood.area == pytest.approx(5000 * math.pi - lens, rel=1e-3)


def test_an_opening_across_the_edge_becomes_an_inlet() -> None:
    (board,), _ = resolved([Loops(polygon(BOX), (circle((95, 0), 20.0),))])
    assert board.openings == ()
    assert 27_000 < outline(board.edge).wood.area < 28_000


def test_what_crosses_in_two_like_halves_is_refused() -> None:
    eight = polygon([(0, 0), (100, 80), (100, 0), (0, 80)])
    with pytest.raises(CannotRepairError, match="which is meant"):
        resolved([Loops(eight)])


def test_nothing_that_crosses_nothing_is_touched() -> None:
    for board in boards(6, seed=4):
        loops = Loops(board.edge, board.openings)
        (same,), notes = resolved([loops])
        assert same is loops
        assert notes == []


def test_a_curve_of_free_form_keeps_its_segments() -> None:
    """A drawn board with a notch let in: the repair gives most of the board back as it was."""
    board = boards(1, seed=12)[0]
    top = int(board.edge.segments[:, 0, 1].argmax())
    s = board.edge.segments
    at = s[top, 0]
    notch = [at, at + np.array((0.5, -12.0)), at + np.array((1.0, 0.0))]
    chain = list(s)
    chain[top - 1] = s[top - 1]
    lines = polygon([notch[0], notch[1], notch[2]]).segments[:2]
    rest = s[top].copy()
    rest[0] = notch[2]
    spoilt = Curve(np.array([*chain[:top], *lines, rest, *chain[top + 1 :]]))
    result = repaired(Loops(spoilt, board.openings), RepairLimits(3.15))
    kept = {tuple(x.ravel()) for x in result.outline.edge.segments}
    assert sum(tuple(x.ravel()) in kept for x in s) >= len(s) - 4
    assert largest(result.outline) >= 6.3

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from made_boards import boards

from shapes.geometry.curve import Array, flatten, turn
from shapes.geometry.overlap import (
    Likeness,
    asymmetry,
    difference,
    exact_difference,
    likeness,
    quick_asymmetry,
)


def oval(a: float, b: float, n: int = 240) -> Array:
    t = np.arange(n) * 2 * np.pi / n
    return np.stack([a * np.cos(t), b * np.sin(t)], axis=1)


def by_brute_force(one: Likeness, two: Likeness, flips: tuple[int, ...] = (1, -1)) -> float:
    base = shapely.Polygon(one.ring.astype(float))
    best = 0.0
    for flip in flips:
        for angle in np.arange(0, 2 * math.pi, math.radians(0.5)):
            other = turn(two.ring.astype(float) * [1, flip], float(angle))
            best = max(best, base.intersection(shapely.Polygon(other)).area)
    return 1 - best / (2 * math.pi - best)


def test_an_ellipse_is_its_own_mirror_image() -> None:
    assert asymmetry(likeness(oval(190, 120))) == pytest.approx(0, abs=0.003)


def test_round_boards_are_their_own_mirror_images_at_every_turn() -> None:
    disc = likeness(oval(100, 100))
    assert asymmetry(disc) == pytest.approx(0, abs=0.003)
    assert asymmetry(likeness(oval(100, 99))) == pytest.approx(0, abs=0.003)
    assert exact_difference(disc, disc) == pytest.approx(0, abs=0.003)


def test_boards_are_as_different_as_brute_force_finds() -> None:
    likes = [likeness(flatten(b.edge, 0.2)) for b in boards(6, seed=8)]
    for i, a in enumerate(likes):
        assert asymmetry(a) == pytest.approx(by_brute_force(a, a, (-1,)), abs=0.003)
        assert quick_asymmetry(a) == pytest.approx(asymmetry(a), abs=0.045)
        for b in likes[i + 1 :]:
            wanted = by_brute_force(a, b)
            assert exact_difference(a, b) == pytest.approx(wanted, abs=0.003)
            assert difference(a, [b])[0] == pytest.approx(wanted, abs=0.035)


@given(st.floats(-3.1, 3.1), st.booleans(), st.floats(0.2, 5), st.floats(-500, 500))
def test_turning_mirroring_scaling_and_moving_make_no_difference(
    angle: float, flip: bool, scale: float, shift: float
) -> None:
    t = np.arange(180) * 2 * np.pi / 180
    r = 100 + 30 * np.cos(t) + 12 * np.sin(2 * t) + 6 * np.cos(3 * t + 1)
    ring = r[:, None] * np.stack([np.cos(t), 0.7 * np.sin(t)], axis=1)
    other = turn(ring, angle) * scale + shift
    if flip:
        other = (other * [1, -1])[::-1]
    assert exact_difference(likeness(ring), likeness(other)) == pytest.approx(0, abs=0.004)


def test_what_is_kept_of_a_candidate_stays_small() -> None:
    assert likeness(oval(190, 120)).spectrum.nbytes <= 8000

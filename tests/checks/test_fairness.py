"""The fairness check can fail: a small bump is flagged, an untouched board is not."""

from __future__ import annotations

import math

import numpy as np

from shapes.checks import CHECKS, first_failure
from shapes.collection.board import Board, subject_of
from shapes.collection.brief import Brief
from shapes.collection.pool import AtRandom, board_of, screen_one
from shapes.errors import OutlineError
from shapes.geometry.curve import Array, refine
from shapes.handles.hand import Sketch

HEIGHT, WAVELENGTH = 3.0, 25.0  # mm, the bump of the house plan


def accepted(count: int) -> list[Board]:
    source = AtRandom(Brief())
    found: list[Board] = []
    k = 0
    while len(found) < count:
        if screen_one(source, 17, k, 0)[0]:
            found.append(board_of(source, 17, k, 0))
        k += 1
    return found


def bumped(control: Array, place: float, height: float = HEIGHT) -> Array:
    """Control points of the same edge, knots inserted, with one wave of 3 mm by 25 mm on it."""
    for _ in range(4):
        control = refine(control)
    after, before = np.roll(control, -1, axis=0), np.roll(control, 1, axis=0)
    step = np.hypot(*(after - control).T)
    run = np.concatenate([[0.0], np.cumsum(step)])
    v = after - before
    normal = np.stack([v[:, 1], -v[:, 0]], axis=1) / np.hypot(*v.T)[:, None]
    d = run[:-1] - place * run[-1]
    d = d - run[-1] * np.round(d / run[-1])
    inside = np.abs(d) < WAVELENGTH / 2
    lift = np.where(inside, height / 2 * (1 + np.cos(2 * math.pi * d / WAVELENGTH)), 0.0)
    return np.asarray(control + lift[:, None] * normal)


def flagged(board: Board) -> bool:
    return any(f.verdict == "fail" for f in CHECKS["fairness"](subject_of(board)))


def test_a_bump_is_flagged_and_an_untouched_board_is_not() -> None:
    rng = np.random.default_rng(5)
    boards = accepted(100)
    untouched = sum(flagged(b) for b in boards)
    caught = laid_again = 0
    for board in boards:
        place = float(rng.random())
        same = Sketch(bumped(board.sketch.edge, place, 0.0), (), board.sketch.grip)
        laid_again += flagged(Board(board.brief, board.genes, same))
        edge = bumped(board.sketch.edge, place)
        sketch = Sketch(edge, (), board.sketch.grip)
        try:
            caught += flagged(Board(board.brief, board.genes, sketch))
        except OutlineError:
            caught += 1
    print(
        f"bumps flagged {caught} of 100, untouched {untouched}, laid again without a bump {laid_again}"
    )
    assert caught >= 95
    assert untouched <= 5
    assert laid_again <= 5


def test_screening_and_the_full_report_agree() -> None:
    """What screening passes fails the full report rarely; what it fails, fails there too."""
    source = AtRandom(Brief())
    from shapes.checks import passes, report

    wrong_pass = wrong_fail = 0
    for k in range(60):
        board = board_of(source, 23, k, 0)
        try:
            quick = first_failure(subject_of(board, rough=True))
        except OutlineError:
            continue
        full = passes(report(subject_of(board)))
        wrong_pass += quick is None and not full
        wrong_fail += quick is not None and full
    assert wrong_pass <= 2
    assert wrong_fail <= 6

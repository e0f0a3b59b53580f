"""Handle sizes against ANSUR II (2010-2012 public data) and NIOSH 94-110 (1994), Table 6."""

from __future__ import annotations

import pytest

from shapes.handles import hand

# ANSUR II, hand breadth at metacarpals, mm: p5 women, p95 men, p99 men, largest of 6068 people.
P95_MEN, P99_MEN, LARGEST = 96.0, 99.0, 105.0
# NIOSH 94-110 Table 6: optimal hand-hold cut-out 4.5 in long, 1.5 in high; handle 0.75 to 1.5 in.
CUT_OUT = (4.5 * 25.4, 1.5 * 25.4)


def test_a_grip_takes_all_but_the_broadest_hands() -> None:
    assert hand.GRIP >= P99_MEN
    assert hand.BAR_RUN >= P95_MEN


def test_an_opening_is_the_cut_out_of_the_standard() -> None:
    assert pytest.approx(CUT_OUT[0], abs=1.0) == hand.OPENING_LENGTH
    assert hand.OPENING_LENGTH > LARGEST
    assert pytest.approx(CUT_OUT[1], abs=0.2) == hand.OPENING_DISC


def test_a_neck_is_about_as_wide_as_the_best_handle() -> None:
    """Drury 1983: best handle diameter 25 to 40 mm."""
    assert 25 <= hand.NECK_WIDTH[0] < 40
    assert hand.NECK_WIDTH[1] <= 1.1 * 40

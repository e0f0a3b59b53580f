from __future__ import annotations

from fractions import Fraction

import pytest

from shapes.timber.lumber import board_feet, tally
from shapes.timber.thickness import FLATTEN, Saw, ways


def test_a_board_foot_exactly() -> None:
    """1 in x 12 in x 12 in, in exact fractions of a millimetre: 25.4 mm an inch."""
    inch = Fraction(254, 10)
    for feet in (Fraction(1), Fraction(7, 2), Fraction(11, 3)):
        volume = feet * 144 * inch**3
        assert board_feet(float(volume)) == pytest.approx(float(feet), rel=1e-15)
    assert board_feet(0.002359737216e9) == pytest.approx(1.0, rel=1e-12)


def test_the_trades_rounding() -> None:
    """Whole feet of length, surface measure to a whole number, under an inch counts as one."""
    foot, inch = 304.8, 25.4
    # 8 ft 11 in by 7 1/2 in: 8 x 7.5 / 12 = 5
    assert tally(8 * foot + 11 * inch, 7.5 * inch, 0.8 * inch) == 5.0
    # 10 ft by 6 1/4 in: 5.208 -> 5; 8/4: x 2
    assert tally(10 * foot, 6.25 * inch, 2 * inch) == pytest.approx(10.0)
    # 12 ft by 7.6 in: 7.6 -> 8; 5/4
    assert tally(12 * foot, 7.6 * inch, 1.25 * inch) == pytest.approx(10.0)
    assert tally(11.9 * inch, 8 * inch, inch) == 0.0


def test_skimming_takes_about_the_same_from_both_faces() -> None:
    (skim,) = ways(27.0, 20.0, 60_000.0, 600.0, 0.68, None, 200.0)
    assert (skim.name, skim.pieces) == ("skim", 1)
    assert skim.faces == (3.5, 3.5)
    assert skim.chips == 7.0
    assert skim.rest  # over 5 mm in all
    assert skim.mass_before == pytest.approx(60_000 * 27e-9 * 600)
    assert not ways(24.0, 20.0, 60_000.0, 600.0, 0.68, None, 200.0)[0].rest


def test_resawing_adds_up() -> None:
    """Pieces, what is skimmed off both faces of each, and the kerfs make the thickness again."""
    skim, resaw = ways(54.0, 20.0, 60_000.0, 600.0, 0.68, Saw(1.2, 280.0), 230.0)
    assert skim.chips == 34.0
    assert resaw.pieces == 2
    assert resaw.pieces * (20.0 + sum(resaw.faces)) + resaw.kerfs == pytest.approx(54.0)
    assert resaw.kerfs == pytest.approx(1.2)
    assert resaw.faces == pytest.approx((3.2, 3.2))
    assert resaw.chips == pytest.approx(14.0)
    assert min(resaw.faces) >= FLATTEN
    assert "saw in 2" in resaw.advice


@pytest.mark.parametrize(
    ("found", "width", "pieces"),
    [(47.1, 200.0, 1), (47.3, 200.0, 2), (47.3, 300.0, 1), (71.5, 200.0, 3)],
)
def test_when_a_piece_can_be_resawn(found: float, width: float, pieces: int) -> None:
    """Two of 20 mm need 2 x (20 + 3) and a kerf of 1.2; the saw takes 280 mm."""
    made = ways(found, 20.0, 60_000.0, 600.0, 0.68, Saw(1.2, 280.0), width)
    assert made[-1].pieces == pieces


def test_too_thin_is_no_way() -> None:
    assert ways(18.0, 20.0, 60_000.0, 600.0, 0.68, Saw(), 200.0) == []

from __future__ import annotations

import pytest

from shapes.timber.estimate import Allowances, estimate
from shapes.timber.solid import Solid
from shapes.timber.surface import Areas


def test_every_figure_by_hand() -> None:
    body = Solid(volume=1.1e6, face=52_000.0, edge=23_000.0)
    e = estimate(
        (370.0, 190.0),
        18.0,
        body,
        Areas(0.104, 0.013, 0.010, 0.004),
        620.0,
        0.1,
        Allowances(12.0, 5.0),
        4000.0,
    )
    assert e.blank_mm == (394.0, 214.0, 23.0)
    assert e.blank_m3 == pytest.approx(394 * 214 * 23 * 1e-9)
    assert e.board_feet == pytest.approx(394 * 214 * 23 / (144 * 25.4**3))
    assert e.mass_kg == pytest.approx(0.682)
    assert e.mass_band_kg == pytest.approx((0.6138, 0.7502))
    assert e.yield_share == pytest.approx(1.1e6 / (394 * 214 * 23))
    assert e.finished_area_m2 == pytest.approx(0.127)
    assert e.oil_ml == pytest.approx((0.127 + 1.5 * 0.004) * (42 + 30))
    assert e.timber_cost == pytest.approx(e.blank_m3 * 4000)


def test_no_price_no_cost() -> None:
    e = estimate(
        (370.0, 190.0),
        18.0,
        Solid(1e6, 5e4, 2e4),
        Areas(0.1, 0.01, 0.01, 0.0),
        620.0,
        0.1,
        Allowances(),
        None,
    )
    assert e.timber_cost is None

from __future__ import annotations

import math

import pytest
import shapely

from shapes.timber.off_cut import OVER_NATURAL, Defect, Fixing, OffCut, Price, Rules, zone
from shapes.units import MM3_PER_BOARD_FOOT


def piece(**more: object) -> OffCut:
    settings: dict[str, object] = {
        "name": "p",
        "outline": shapely.box(0, 0, 600, 220),
        "thickness": 30.0,
        "species": "black walnut",
    }
    return OffCut(**{**settings, **more})  # type: ignore[arg-type]


def at(x: float, y: float) -> shapely.Point:
    return shapely.Point(x, y)


def test_the_kerf_and_the_margin_keep_from_the_edge() -> None:
    rules = Rules(piece(margin=4.0), 8.0)
    assert rules.room.bounds == pytest.approx((12, 12, 588, 208), abs=0.01)


def test_density_is_the_pieces_own_if_it_was_weighed() -> None:
    assert piece(mass=2.5).density == pytest.approx(2.5 / (0.6 * 0.22 * 0.03))
    # Black walnut, G 0.55 at 12 %: 0.5058 basic, 0.5610 at 8 %, times 1080.
    assert piece().density == pytest.approx(605.8, abs=0.1)


def test_prices() -> None:
    volume = 0.6 * 0.22 * 0.03
    assert Price(30.0, "piece").of(volume * 1e9) == 30.0
    assert Price(4000.0, "m3").of(volume * 1e9) == pytest.approx(4000 * volume)
    assert Price(9.0, "board foot").of(2.5 * MM3_PER_BOARD_FOOT) == pytest.approx(22.5)


def test_a_knot_keeps_the_kerf_too_in_the_waste_and_its_clearance_alone_in_an_opening() -> None:
    knot = Defect("knot 1", "knot", at(300, 110).buffer(10, quad_segs=64), 5.0, ("opening",))
    rules = Rules(piece(defects=(knot,)), 6.0)
    near = shapely.distance(rules.room.boundary, at(300, 110))
    assert near == pytest.approx(10 + 5 + 6, abs=0.05)
    assert not rules.room.contains(at(300, 110 + 20.9))
    assert rules.room.contains(at(300, 110 + 21.1))
    assert shapely.contains(rules.wood_zone, at(300, 124.9))
    assert not shapely.contains(rules.wood_zone, at(300, 125.1))
    assert rules.shut.is_empty


def test_a_check_runs_on_along_the_grain() -> None:
    check = Defect("check 1", "check", shapely.box(0, 100, 60, 103), 25.0)
    grain = math.radians(10)
    rules = Rules(piece(defects=(check,), grain=grain), 6.0)
    ahead = 60 + 25 * math.cos(grain), 101.5 + 25 * math.sin(grain)
    assert not rules.room.contains(at(ahead[0], ahead[1]))
    assert not rules.room.contains(at(ahead[0] + 10.5 * math.cos(grain), ahead[1]))
    assert rules.room.contains(at(ahead[0] + 13.0, ahead[1]))
    assert not shapely.is_empty(rules.shut)


def test_sapwood_may_lie_anywhere_and_pith_in_no_handle() -> None:
    sap = Defect(
        "sapwood 1", "sapwood", shapely.box(0, 180, 600, 220), 0.0, ("opening", "body", "handle")
    )
    pith = Defect("pith 1", "pith", shapely.box(0, 100, 600, 104), 5.0, ("opening", "body"))
    rules = Rules(piece(defects=(sap, pith)), 6.0)
    assert rules.room.area == pytest.approx(Rules(piece(), 6.0).room.area)
    assert rules.handle_zone.bounds == pytest.approx((-5, 95, 605, 109), abs=0.01)


def test_fixings_by_common_practice() -> None:
    """Sunk screws 10 mm from the path's edge; proud ones 40 mm from the cutter's centre."""
    sunk, proud = (
        Fixing("a", (100, 110), 8.0, proud=False),
        Fixing("b", (400, 110), 8.0, proud=True),
    )
    rules = Rules(piece(fixings=(sunk, proud)), 6.0)
    assert rules.room.boundary.distance(at(100, 110)) == pytest.approx(4 + 6 + 10, abs=0.05)
    assert rules.room.boundary.distance(at(400, 110)) == pytest.approx(4 + 3 + 40, abs=0.1)


def test_metal_keeps_from_the_cutter() -> None:
    nail = Defect("metal 1", "metal", at(300, 110).buffer(2, quad_segs=64), 25.0)
    rules = Rules(piece(defects=(nail,)), 6.0)
    assert rules.room.boundary.distance(at(300, 110)) == pytest.approx(2 + 25 + 6, abs=0.05)


def test_a_natural_edge_may_be_run_over() -> None:
    live = shapely.LineString([(600, 220), (0, 220)])
    rules = Rules(piece(natural=live), 6.0)
    assert rules.room.contains(at(300, 220 + OVER_NATURAL - 0.1))
    assert not rules.room.contains(at(300, 220 + OVER_NATURAL + 0.1))
    assert not rules.room.contains(at(300, 10.9))
    assert rules.kept(shapely.box(100, 100, 300, 225)) == pytest.approx(200)
    assert rules.kept(shapely.box(100, 100, 300, 215)) == 0
    assert not shapely.contains(rules.rim_zone, at(300, 204.9))
    assert shapely.contains(rules.rim_zone, at(300, 205.1))


def test_zones_are_drawn_round_never_inside() -> None:
    wide = zone(at(0, 0), 40.0)
    assert shapely.distance(wide.boundary, at(0, 0)) >= 40.0 - 1e-9
    assert wide.bounds[2] <= 40.05

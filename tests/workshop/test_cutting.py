"""The cutting plan: passes, feeds, holding, lengths against closed forms, and refusals."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely
from made_boards import drawn
from shapes_of_known_size import ellipse

from shapes.checks.subject import Limits, Subject
from shapes.collection.board import Report, full_report
from shapes.collection.brief import Brief
from shapes.collection.pool import AtRandom
from shapes.errors import InputError
from shapes.geometry.curve import circle, polygon
from shapes.geometry.measures import length
from shapes.geometry.outline import Outline, outline
from shapes.workshop.cutting import CLEARED, cutting_plan
from shapes.workshop.feeds import chip_load, feed_rate, feeds, rim_speed
from shapes.workshop.plan import LEFT, SKIN, Plan
from shapes.workshop.shop import Cutter, Machine
from shapes.workshop.tabs import NECK, TAB_SPACING

BLANK = (430.0, 280.0, 24.0)


def subject(shape: Outline, **limits: float) -> Subject:
    return Subject(shape, Limits(**limits))  # type: ignore[arg-type]


def plan(shape: Outline, cutter: Cutter | None = None, **how: object) -> Plan:
    return cutting_plan(subject(shape), cutter or Cutter(), Machine(), **{"blank": BLANK, **how})  # type: ignore[arg-type]


def oval(*holes: object) -> Outline:
    return outline(ellipse(190, 115), holes)  # type: ignore[arg-type]


@cache
def reports(handle: str, count: int = 6) -> tuple[Report, ...]:
    source = AtRandom(Brief(handles=(handle,)))
    return tuple(full_report(drawn(source, 11, k)) for k in range(count))


def test_feed_against_the_trade_tables_example() -> None:
    """Tooling trade tables (secondary): 2 edges x 0.1 mm x 18000 = 3600 mm/min."""
    assert feed_rate(2, 0.1, 18000) == pytest.approx(3600)


@pytest.mark.parametrize(
    ("diameter", "rpm", "speed"),
    [(6, 18000, 5.65), (12.7, 18000, 11.97), (25, 18000, 23.56), (50, 12000, 31.42)],
)
def test_rim_speed_against_the_table(diameter: float, rpm: float, speed: float) -> None:
    """The rim runs at pi D n / 60000: computed values to two digits."""
    assert rim_speed(diameter, rpm) == pytest.approx(speed, abs=0.005)


@pytest.mark.parametrize(
    ("inch", "low", "high"),
    [(1 / 8, 0.002, 0.004), (1 / 4, 0.005, 0.007), (3 / 8, 0.013, 0.015), (1 / 2, 0.017, 0.019)],
)
def test_chip_loads_lie_in_the_trades_bands(inch: float, low: float, high: float) -> None:
    """Hardwood, solid-carbide spiral, in inches an edge: tooling trade tables (secondary)."""
    assert low * 25.4 - 0.006 <= chip_load(inch * 25.4, 1.0) <= high * 25.4 + 0.006
    assert chip_load(inch * 25.4) == pytest.approx(chip_load(inch * 25.4, 1.0) / 2)


def test_deep_passes_are_slower_as_the_table_says() -> None:
    """Same source: 25 % less at two diameters deep, half at three."""
    at = [feeds(Cutter(), Machine(), 6.0 * k).full_depth for k in (1, 2, 3, 4)]
    assert [v / at[0] for v in at] == pytest.approx([1, 0.75, 0.5, 0.5])


def test_never_above_the_marked_rpm() -> None:
    assert feeds(Cutter(rpm=12000), Machine(), 3.0).rpm == 12000
    assert feeds(Cutter(rpm=30000), Machine(most_rpm=15000), 3.0).rpm == 15000
    assert feeds(Cutter(rpm=24000), Machine(least_rpm=20000), 3.0).rpm == 20000
    assert feeds(Cutter(diameter=80), Machine(), 3.0).rpm == pytest.approx(9549, abs=1)
    with pytest.raises(InputError, match="has no rpm marked, so 9549 at most"):
        feeds(Cutter(diameter=80), Machine(least_rpm=12000), 3.0)
    with pytest.raises(InputError, match="is marked 6000 rpm"):
        feeds(Cutter(rpm=6000), Machine(least_rpm=8000), 3.0)


@pytest.mark.parametrize("diameter", [3.0, 6.0, 8.0, 12.7])
def test_length_of_cut_against_steiners_formula(diameter: float) -> None:
    """A parallel curve is longer by 2 pi r, whatever the shape: to 0.1 %."""
    made = plan(oval(circle((40, 10), 45, clockwise=True)), Cutter(diameter=diameter), hold="skin")
    edge, hole = made.cuts[-1], made.cuts[0]
    long, r = length(ellipse(190, 115)), diameter / 2
    assert [p.length for p in edge.passes[:-1]] == pytest.approx(
        [long + math.tau * (r + LEFT)] * (len(edge.passes) - 1), rel=1e-3
    )
    assert edge.passes[-1].length == pytest.approx(long + math.tau * r, rel=1e-3)
    assert hole.passes[-1].length == pytest.approx(math.tau * (45 - r), rel=1e-3)
    assert made.length == pytest.approx(sum(p.length for c in made.cuts for p in c.passes))


@pytest.mark.parametrize("diameter", [3.0, 6.0, 12.7])
@pytest.mark.parametrize("z_from", ["top", "spoil"])
def test_passes_go_down_by_half_the_diameter_at_most(diameter: float, z_from: str) -> None:
    made = plan(oval(), Cutter(diameter=diameter), z_from=z_from, hold="tabs", thickness=20.4)
    top = 0.0 if z_from == "top" else 20.4
    z = np.array([top, *(p.z for p in made.cuts[-1].passes[:-1])])
    assert (-np.diff(z) <= diameter / 2 + 1e-3).all()
    assert z[-1] == made.cuts[-1].passes[-1].z == pytest.approx(top - 20.7, abs=1e-3)
    assert made.measured


def test_a_skin_is_left() -> None:
    made = plan(oval(), hold="skin")
    assert made.cuts[-1].passes[-1].z == pytest.approx(-(20 - SKIN))
    assert made.tabs == ()


def test_openings_come_first_and_nothing_is_cut_free() -> None:
    small = circle((-90, 0), CLEARED / 2 - 0.5, clockwise=True)
    large = circle((70, 0), CLEARED / 2 + 0.5, clockwise=True)
    made = plan(oval(small, large))
    assert [c.held for c in made.cuts[:2]] == ["cleared to chips", "two tabs"]
    assert made.cuts[-1].what == "edge"
    assert len(made.cuts[1].tabs) == 2
    # Cleared wholly: the rings are no farther apart than the cutter is wide.
    rings = made.cuts[0].passes[0].length / math.tau
    assert rings > 3 * 26


@pytest.mark.parametrize("handle", ["neck", "opening", "thumb-hole", "cord-hole"])
def test_tabs_stand_where_they_may(handle: str) -> None:
    """Along the grain, outward or straight, off the neck, apart: measured anew on the board."""
    seen = 0
    for report in reports(handle):
        made = cutting_plan(report.subject, Cutter(), Machine(), blank=report.estimate().blank_mm)
        if made.hold == "skin":
            continue
        wood = report.outline.wood
        assert 3 <= len(made.cuts[-1].tabs) <= 5
        for i, tab in enumerate(made.cuts[-1].tabs):
            seen += 1
            assert abs(math.remainder(tab.angle, math.pi)) <= math.radians(26)
            across = np.array([-math.sin(tab.angle), math.cos(tab.angle)])
            inward = np.array([tab.x, tab.y]) + across * NECK / 2 * 0.98
            assert wood.contains_properly(_point(inward)), "on a neck"
            for other in made.cuts[-1].tabs[:i]:
                assert math.hypot(tab.x - other.x, tab.y - other.y) >= TAB_SPACING
    assert seen >= 6


def _point(p: np.ndarray) -> shapely.Point:
    return shapely.Point(p)


def test_skims_take_the_same_off_both_faces() -> None:
    made = plan(oval(), skimmer=Cutter("wide", 25.0))
    assert made.skim is not None
    assert made.skim.first[-1] + made.skim.second[-1] == pytest.approx(4.0)
    assert not made.skim.rest
    thick = plan(oval(), blank=(430.0, 280.0, 26.0))
    assert thick.skim is not None
    assert thick.skim.rest
    assert thick.skim.before == (0.85, 1.65, 2.5)
    assert thick.skim.first == thick.skim.second == (0.85, 1.65, 2.5, 3.0)


def test_times_are_lengths_over_feeds() -> None:
    made = plan(oval(), hold="skin")
    edge = made.cuts[-1]
    assert edge.minutes == pytest.approx(0.15 + sum(p.length / p.feed for p in edge.passes))
    assert made.skim is not None
    assert made.minutes == pytest.approx(edge.minutes + made.skim.minutes)


def problems(shape: Outline, cutter: Cutter | None = None, **how: object) -> list[str]:
    with pytest.raises(InputError) as caught:
        plan(shape, cutter, **how)
    return str(caught.value).splitlines()


def test_what_cannot_be_cut_is_refused_in_one_line_each() -> None:
    assert problems(oval(), Cutter("spiral", 6, None, 18.0)) == [
        "spiral: cuts 18 mm deep and the board is 20 mm thick; at least 22 mm; take a longer cutter"
        " or a thinner board"
    ]
    assert problems(oval(), Cutter("spiral", 6, None, 21.9))[0].startswith(
        "spiral: cuts 21.9 mm deep"
    )
    assert plan(oval(), Cutter("spiral", 6, None, 22.0)).cutting_length == 22.0
    notched = outline(
        polygon(
            [
                (-150, -90),
                (150, -90),
                (150, 90),
                (20, 90),
                (20, 30),
                (-20, 30),
                (-20, 90),
                (-150, 90),
            ]
        )
    )
    assert (
        "a hollow that a 12 mm cutter does not reach"
        in problems(notched, Cutter(diameter=12.0), hold="skin")[0]
    )
    assert "the table takes 1200 x 800 mm" in problems(oval(), blank=(1300.0, 300.0, 24.0))[0]
    assert "100 mm under the collet, not 107" in problems(oval(), blank=(430.0, 300.0, 85.0))[0]
    assert (
        "its blank is 18 mm thick and the board 20 mm"
        in problems(oval(), blank=(430.0, 300.0, 18.0))[0]
    )
    loose = problems(oval(), Cutter(diameter=12.7), blank=(410.0, 260.0, 24.0))
    assert loose == [
        "board: its blank leaves 15.0 mm all round, and a 12.7 mm cutter would cut it loose; at"
        " least 18.1 mm; raise the brief's allowance, or take a smaller cutter"
    ]
    round_one = outline(circle((0, 0), 80))
    upright = (160.0, 420.0, 24.0)
    assert (
        "hold it by a skin: --hold skin"
        in problems(outline(ellipse(45, 190)), hold="tabs", blank=upright)[0]
    )
    assert plan(outline(ellipse(45, 190)), blank=upright).hold == "skin"
    assert plan(round_one, hold="skin").hold == "skin"


def test_a_cutter_longer_than_needed_is_told() -> None:
    long = plan(oval(), Cutter("long one", 6, 6.0, 60.0))
    assert any("a shorter one bends less" in n for n in long.notes)
    fit = plan(oval(), Cutter("fit", 6, 6.0, 25.0))
    assert fit.notes == ()
    assert any("not known" in n for n in plan(oval()).notes)


def test_the_measured_diameter_is_what_is_offset_by() -> None:
    worn = plan(oval(), Cutter(diameter=6.0, measured=5.8), hold="skin")
    new = plan(oval(), replace(Cutter(), diameter=6.0), hold="skin")
    less = new.cuts[-1].passes[-1].length - worn.cuts[-1].passes[-1].length
    assert less == pytest.approx(math.pi * 0.2, abs=0.01)


def test_a_gap_hardly_wider_than_the_cutter_is_never_ploughed_at_full_depth() -> None:
    made = plan(oval(circle((60, 0), 3.2, clockwise=True)), hold="skin")
    hole = made.cuts[0].passes
    assert [p.length for p in hole] == pytest.approx([math.tau * 0.2] * len(hole), rel=1e-2)
    assert np.diff([0.0, *(p.z for p in hole)]).min() >= -3.0
    ring = np.asarray(
        shapely.LineString([(0, 0), (60, 0)]).buffer(5.5, quad_segs=90).exterior.coords
    )
    slot = outline(ellipse(190, 115), [polygon(ring[:-1])])
    assert plan(slot).cuts[0].held == "cleared to chips", "its slug would be a sliver"


@pytest.mark.parametrize("seed", range(4))
def test_an_openings_tabs_are_on_no_bar(seed: int) -> None:
    source = AtRandom(Brief(length=460, width=280, handles=("opening",)))
    for k in range(4):
        report = full_report(drawn(source, seed, k))
        made = cutting_plan(report.subject, Cutter(), Machine(), blank=report.estimate().blank_mm)
        for cut in made.cuts[:-1]:
            assert cut.held in ("two tabs", "cleared to chips", "a skin of 0.5 mm")
            for tab in cut.tabs:
                inward = np.array([tab.x, tab.y]) + NECK * 0.98 * np.array(
                    [-math.sin(tab.angle), math.cos(tab.angle)]
                )
                assert report.outline.wood.contains_properly(_point(inward)), "on a bar"


def test_tabs_keep_out_of_hollows_of_polylines_too() -> None:
    """A peanut drawn in facets: its waist is hollow, and no tab stands there."""
    a = np.linspace(0, math.tau, 700, endpoint=False)
    r = 130 + 45 * np.cos(2 * a)
    peanut = outline(polygon(np.stack([r * np.cos(a), r * np.sin(a)], axis=1)))
    made = plan(peanut, blank=(420.0, 260.0, 24.0), hold="tabs")
    assert len(made.tabs) >= 3
    for tab in made.tabs:
        assert abs(tab.x) > 45


def test_no_tab_stands_in_a_shallow_hollow_along_the_grain() -> None:
    """A long side hollowed by an arc of 250 mm radius: nowhere steep, and nowhere fit for a tab."""
    a = np.linspace(math.radians(-111), math.radians(-69), 60)
    arc = np.stack([250 * np.cos(a), 320 + 250 * np.sin(a)], axis=1)
    ring = np.concatenate([[(-150, -70), (150, -70), (150, 86)], arc[::-1], [(-150, 86)]])
    made = plan(outline(polygon(ring)), hold="tabs", blank=(420.0, 240.0, 24.0))
    assert len(made.tabs) >= 3
    assert not [t for t in made.tabs if t.y > 60 and abs(t.x) < 85]


def test_tabs_keep_their_own_length_from_end_grain() -> None:
    """Corners of 8 mm radius.

    45 degrees to the grain is reached 6.28 mm round them, so 8.7 mm of side stay free.
    """
    ring = shapely.get_coordinates(shapely.box(-142, -62, 142, 62).buffer(8, quad_segs=60).exterior)
    made = plan(outline(polygon(ring[:-1])), hold="tabs", blank=(400.0, 240.0, 24.0))
    assert len(made.tabs) >= 3
    assert all(abs(t.x) <= 142 - 8.7 + 0.6 for t in made.tabs)


@pytest.mark.parametrize(
    ("density", "long", "thick"),
    [(504, 14.0, 3.0), (579, 14.0, 3.0), (616, 10.0, 3.0), (706, 10.0, 2.0)],
)
def test_tabs_are_longer_in_light_wood_and_thinner_in_dense(
    density: float, long: float, thick: float
) -> None:
    """Khaya, walnut and maple by their density in kg/m3; a tab's plan is as long as it says."""
    made = cutting_plan(
        subject(oval(), density=density), Cutter(), Machine(), blank=BLANK, hold="tabs"
    )
    assert made.tab_thick == thick
    assert {t.long for t in made.tabs} == {long}
    corners = made.tabs[0].plan(6.0)
    assert np.hypot(*(corners[1] - corners[0])) == pytest.approx(long)


def test_longer_tabs_keep_further_from_end_grain() -> None:
    """As above, in wood of 500 kg/m3: a tab of 14 mm keeps 21 mm of side round its middle clear."""
    ring = shapely.get_coordinates(shapely.box(-142, -62, 142, 62).buffer(8, quad_segs=60).exterior)
    board = outline(polygon(ring[:-1]))
    made = cutting_plan(
        subject(board, density=500), Cutter(), Machine(), blank=(400.0, 240.0, 24.0), hold="tabs"
    )
    assert len(made.tabs) >= 3
    assert all(abs(t.x) <= 142 + 6.28 - 21 + 0.6 for t in made.tabs)


def test_the_cutters_path_runs_anticlockwise_round_the_edge() -> None:
    from shapes.geometry.outline import shoelace
    from shapes.workshop.paths import finishing_path

    hole, edge = finishing_path(oval(circle((60, 0), 20, clockwise=True)), 3.0)
    assert shoelace(edge) > 0 > shoelace(hole)

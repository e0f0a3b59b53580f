"""A set-up against a job reckoned by hand (authorities/bench_job.toml), then over random pieces."""

from __future__ import annotations

import math
import re
import tomllib
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely
from gdal import by_gdal
from made_boards import drawn
from made_off_cuts import off_cut

from shapes.collection.board import DrawnBoard, full_report
from shapes.collection.brief import Brief
from shapes.collection.pool import AtRandom
from shapes.errors import InputError
from shapes.files.machine import face_file, reference_of
from shapes.folders.figures import job_json
from shapes.geometry.curve import polygon
from shapes.geometry.outline import outline, transformed
from shapes.geometry.pose import Pose
from shapes.geometry.rectangle import Rectangle
from shapes.placing.account import account
from shapes.placing.bed import Bed
from shapes.placing.fitted import on_piece, report_on
from shapes.placing.lay_out import slices
from shapes.placing.place import Placement, place_one
from shapes.timber.off_cut import Defect, Fixing, OffCut, Price, Rules
from shapes.timber.thickness import Saw
from shapes.units import in_both
from shapes.workshop.face import face_of
from shapes.workshop.feeds import LEAST_CHIP, feeds, thinning
from shapes.workshop.job import HANDLING, JobOptions, Placed
from shapes.workshop.lettering import Mark
from shapes.workshop.price import batch_of
from shapes.workshop.set_up import Lies, SetUp, set_up
from shapes.workshop.sheet import alarms, worksheet
from shapes.workshop.shop import Cutter, Machine, Rates, RoundOver, Workshop
from shapes.workshop.stock import of_piece
from shapes.workshop.tabs import LONG

HAND = tomllib.loads((Path(__file__).parents[1] / "authorities" / "bench_job.toml").read_text())
ROUNDED = shapely.box(-130, -40, 130, 40).buffer(20, quad_segs=60)
SHOP = Workshop(
    cutters=(
        Cutter("eight", 8.0, 7.94, 40.0, 2, 24000.0),
        Cutter("wide", 40.0, None, 12.0, 2, 16000.0),
    ),
    round_overs=(RoundOver(6.0, 12.7),),
    rates=Rates(60.0, 30.0, 20.0),
    stated=("cutters", "round_overs", "rates", "laser"),
)
PLAIN = JobOptions()
AT = Pose(260.0, 100.0, math.radians(7.5))


def the_piece(**how: object) -> OffCut:
    made = OffCut(
        "the piece",
        shapely.box(0, 0, 500, 200),
        31.0,
        "hard maple",
        20.0,
        grain=math.radians(3),
        price=Price(24.0, "piece"),
    )
    return replace(made, **how)  # type: ignore[arg-type]


def the_job(
    piece: OffCut, asked: JobOptions = PLAIN, pose: Pose = AT, shop: Workshop = SHOP
) -> SetUp:
    ring = shapely.get_coordinates(ROUNDED.exterior)[:-1]
    board = on_piece(DrawnBoard(Brief(cutter=8.0), outline(polygon(ring)), "one"), piece)
    lying = transformed(board.outline, pose.angle, shift=(pose.x, pose.y))  # type: ignore[union-attr]
    placed = Placement(board, 1.0, pose, lying, ())
    report = report_on(placed, piece)
    (line,) = account(Rules(piece, 8.0), [(1, placed, report)]).lines
    return set_up([Lies(report, "one", pose, 1, line)], shop, asked, of_piece(piece, (0.0, 0.0)))


@cache
def by_hand() -> SetUp:
    return the_job(the_piece())


def test_a_piece_is_skimmed_from_its_own_thickness() -> None:
    skim = by_hand().skim
    assert skim is not None
    assert skim.first == skim.second == tuple(HAND["skims"])
    assert skim.rest is HAND["rest"]
    assert skim.before == tuple(HAND["skims"][:-1])
    assert skim.off == 2 * HAND["off_each_face"]
    assert skim.row == pytest.approx(HAND["skim_row"])
    assert skim.length == pytest.approx(HAND["skim_length"])
    assert by_hand().jobs[0].plan.skim is None, "skimmed once, as a whole"
    assert by_hand().head_depth == pytest.approx(HAND["head_depth"])
    # Its chip load is a share of the trade's too: half of that is half the feed.
    slow, slower = (the_job(the_piece(), JobOptions(chip_share=v)).skim for v in (0.2, 0.1))
    assert slow is not None
    assert slower is not None
    assert slower.feed == pytest.approx(slow.feed / 2)


def test_passes_end_below_the_piece_as_it_will_be() -> None:
    plan = by_hand().jobs[0].plan
    assert plan.last_z == HAND["last_z_top"]
    assert len(plan.cuts[-1].passes) - 1 == HAND["passes"]
    assert plan.cutting_length == HAND["cutting_length"]
    assert plan.tab_z == -18.0  # 2 mm over the underside of 20: maple is dense
    light = the_job(the_piece(species="black cherry")).jobs[0].plan
    assert light.tab_z == -17.0
    assert (
        the_job(the_piece(), JobOptions(z_from="spoil")).jobs[0].plan.last_z == HAND["last_z_spoil"]
    )
    assert the_job(the_piece(), JobOptions(z_from="spoil")).jobs[0].plan.tab_z == 2.0
    assert (
        the_job(the_piece(), JobOptions(hold="skin")).jobs[0].plan.last_z == HAND["last_z_skin_top"]
    )
    for z in (p.z for c in plan.cuts for p in c.passes):
        assert z * 20 == pytest.approx(round(z * 20)), "set to 0.05 mm"


def test_the_grain_is_the_pieces_as_the_board_lies() -> None:
    job = by_hand().jobs[0]
    assert math.degrees(job.report.subject.grain) == pytest.approx(HAND["grain_as_it_lies_deg"])
    assert by_hand().stock.grain == pytest.approx(math.radians(3))
    # What lifts, laid on the piece: its tangents climb against 3 degrees, not against x.
    for found in job.lifted.lifted:
        p = job.pose.of(found.points)
        d = np.diff(p, axis=0)
        off = np.degrees(np.arctan2(d[:, 1], d[:, 0])) - 3.0
        turned = (off + 90) % 180 - 90
        assert (turned < -8 + 2.5).all()
        assert (turned > -70 - 2.5).all()
    # 12 degrees up to the board both long sides lift, 12 degrees down neither; at the piece's own 3
    # to x, none.
    up, down = (
        the_job(the_piece(), pose=replace(AT, angle=math.radians(a))).jobs[0] for a in (-9, 15)
    )
    assert up.lifted.length(edge=True) > 520
    assert down.lifted.length(edge=True) < 60
    assert sum(f.length for f in down.lifted.under) > 520


def test_screws_stand_in_the_waste_of_the_piece() -> None:
    made = by_hand()
    assert 3 <= len(made.held.screws) <= 6
    board = transformed(made.jobs[0].report.outline, AT.angle, shift=(AT.x, AT.y)).wood
    for x, y in made.held.screws:
        point = shapely.Point(x, y)
        assert board.distance(point) >= HAND["screw_to_board"] - 0.01
        assert made.stock.outline.exterior.distance(point) >= 9.0 - 0.06
        assert made.stock.outline.contains(point)
        assert 20 - 0.06 <= x <= 480 + 0.06, "end grain splits"
    assert not made.held.loose


def test_fixings_that_are_stated_are_those_that_hold() -> None:
    screws = (
        Fixing("screw 1", (12.0, 12.0), 8.0, False),
        Fixing("screw 2", (488.0, 188.0), 8.0, False),
    )
    made = the_job(the_piece(fixings=screws))
    text = " ".join(worksheet(made).groups[0].steps)
    assert "Held as you stated: screw 1 (12, 12), screw 2 (488, 188)" in text
    # Two do not hold it: others are added, far from those that are there.
    assert made.held.enough
    assert 1 <= len(made.held.screws) <= 4
    assert all(f"({x:.0f}, {y:.0f})" in text for x, y in made.held.screws)
    assert all(math.dist(p, f.at) >= 60 for p in made.held.screws for f in screws)
    assert len(made.jobs[0].tabs) >= 3


def test_what_is_measured_may_not_be_more_than_the_piece() -> None:
    with pytest.raises(
        InputError,
        match="the piece it lies on is 31 mm thick and the board 32 mm; allowed up to 31 mm",
    ):
        the_job(the_piece(), JobOptions(thickness=32.0))
    thick = the_job(the_piece(), JobOptions(thickness=20.4))
    assert thick.jobs[0].plan.last_z == -20.7
    assert thick.skim is not None
    assert thick.skim.off == pytest.approx(10.6)


def test_timber_costs_what_the_account_says_and_nothing_of_another_timber() -> None:
    job = by_hand().jobs[0]
    assert job.line is not None
    assert job.costs.timber == pytest.approx(job.line.cost, abs=0.006)
    line = batch_of([job]).lines[0]
    assert line.timber == pytest.approx(job.line.cost, abs=0.006), (
        "no tenth more: there is no second piece"
    )
    assert line.machine == pytest.approx(job.machine_minutes * 1.1, abs=0.01)  # 60 an hour
    free = the_job(the_piece(price=None)).jobs[0]
    assert free.costs.timber is None
    assert batch_of([free]).lines[0].timber is None
    assert batch_of([free]).lines[0].price is None
    assert by_hand().volume_m3 * 1000 == pytest.approx(HAND["volume_l"])


def test_minutes_of_the_machine_are_cutting_skimming_and_handling_once() -> None:
    made = by_hand()
    assert made.skim is not None
    assert made.cutting_minutes == pytest.approx(made.jobs[0].plan.minutes + made.skim.minutes)
    assert made.machine_minutes == pytest.approx(made.cutting_minutes + HANDLING)


def test_the_natural_edge_is_told_and_no_tab_stands_by_it() -> None:
    edge = shapely.LineString([(500, 200), (0, 200)])
    pose = Pose(250.0, 143.0, 0.0)  # 3 mm over the natural edge
    piece = the_piece(natural=edge, grain=0.0)
    made = the_job(piece, pose=pose)
    ((a, b, long),) = made.kept(made.jobs[0])
    # A rounded rectangle, 3 mm of it over: 260 of straight edge, and 2 sqrt(20^2 - 17^2) of its
    # corners.
    assert long == pytest.approx(260 + 2 * math.sqrt(400 - 289), abs=0.1)
    assert {round(a[1]), round(b[1])} == {200}
    text = " ".join(worksheet(made).groups[0].steps)
    assert (
        f"keeps the natural edge, green, from ({a[0]:.0f}, 200) to ({b[0]:.0f}, 200), {long:.0f}"
        " mm: nothing is cut there" in text
    )
    assert "ease the corner by hand" in text
    for tab in made.jobs[0].tabs:
        assert shapely.Polygon(tab.plan(7.94)).distance(edge) >= LONG


@pytest.mark.parametrize("seed", range(24))
def test_tabs_keep_clear_of_all_that_they_must(seed: int) -> None:
    """Measured anew in the piece's own coordinates, over
    random pieces with knots, checks and live edges.
    """
    piece = replace(
        off_cut(seed),
        species="black walnut",
        thickness=27.0,
        wanted=20.0,
        origin="known solid timber",
        mass=None,
    )
    board = on_piece(drawn(AtRandom(Brief(length=300, width=160)), seed, 0), piece)
    placed = place_one(board, Bed(Rules(piece, 6.0)))
    if not isinstance(placed, Placement):
        pytest.skip("no place for this board")
    report = report_on(placed, piece)
    (line,) = account(Rules(piece, 6.0), [(1, placed, report)]).lines
    made = set_up(
        [Lies(report, "one", placed.pose, 1, line)],
        Workshop(),
        JobOptions(),
        of_piece(piece, (0.0, 0.0)),
    )
    filled = shapely.Polygon(placed.outline.wood.exterior)
    assert filled.symmetric_difference(made.jobs[0].filled).area < 1
    edge = [
        t for t in made.jobs[0].tabs if filled.exterior.distance(shapely.Point(t.x, t.y)) < 0.01
    ]
    for tab in edge:
        plan = shapely.Polygon(tab.plan(6.0))
        assert piece.outline.buffer(1e-6).contains(plan), "half in the air"
        for d in piece.defects:
            assert plan.distance(d.shape) >= LONG - 1e-6
        if piece.natural is not None:
            assert plan.distance(piece.natural) >= LONG - 1e-6
        off = math.remainder(tab.angle - piece.grain, math.pi)
        assert abs(off) <= math.radians(25.5)
        # The wood of the tab lies outside the board, in the slot; a stretch of LONG each side is no
        # end grain.
        assert filled.intersection(plan).area < 0.35 * plan.area
        ring = filled.exterior
        here = ring.project(shapely.Point(tab.x, tab.y))
        for s in np.linspace(-1.4 * LONG, 1.4 * LONG, 15):
            p, q = (ring.interpolate((here + s + e) % ring.length) for e in (-0.5, 0.5))
            steep = math.remainder(math.atan2(q.y - p.y, q.x - p.x) - piece.grain, math.pi)
            assert abs(steep) <= math.radians(47), "within its own length of end grain"


def test_waste_that_no_screw_holds_is_told_and_has_no_tab() -> None:
    """A board over both natural edges parts the waste in two.

    The right part is too small for a screw.
    """
    low, high = (shapely.LineString([(500, y), (0, y)]) for y in (0, 114))
    piece = the_piece(
        outline=shapely.box(0, 0, 500, 114), natural=shapely.union_all([low, high]), grain=0.0
    )
    made = the_job(piece, pose=Pose(332.0, 57.0, 0.0))
    ((x, y),) = made.held.loose
    assert x > 470
    assert f"waste round ({x:.0f}, {y:.0f}) has room for no screw" in " ".join(
        worksheet(made).groups[0].steps
    )
    assert made.jobs[0].plan.hold == "skin"
    assert len(made.kept(made.jobs[0])) == 2


def test_nothing_lifts_along_a_natural_edge() -> None:
    """Steep grain, a long side over the live edge.

    Of the lifted stretches only those within the wood count.
    """
    edge = shapely.LineString([(500, 200), (0, 200)])
    piece = the_piece(natural=edge, grain=math.radians(12))
    over = the_job(piece, pose=Pose(250.0, 143.0, 0.0)).jobs[0]
    clear = the_job(piece, pose=Pose(250.0, 120.0, 0.0)).jobs[0]
    both = clear.lifted.length(edge=True)
    assert both > 520
    assert over.lifted.length(edge=True) == pytest.approx(both / 2, abs=30)
    for found in over.lifted.lifted:
        assert over.pose.of(found.points)[:, 1].max() <= 200


def test_after_a_rest_the_measured_face_is_up_again() -> None:
    steps = " ".join(worksheet(by_hand()).groups[1].steps)
    # 31 - 5.5 - 5 = 20.5 when the first face is done, then 20.
    assert (
        "the first face again, to 20.5 mm thick, turn, the second to 20; the face you measured must"
        " be up" in steps
    )
    assert "Drill the holes for the screws right through from the face you measured" in " ".join(
        worksheet(by_hand()).groups[0].steps
    )


def test_a_frames_corner_and_a_marks_datum(monkeypatch: pytest.MonkeyPatch) -> None:
    job = by_hand().jobs[0]
    area = Rectangle(12.0, -7.0, 80.0, 30.0, 0.0)
    mark = Mark.__new__(Mark)
    object.__setattr__(mark, "area", area)
    placed = Placed(face_of(job.report, "eating", "engraving"), mark)
    x, y = job.from_corner(placed)
    half = HAND["frame_half"]
    assert x == pytest.approx(12.0 + half[0], abs=0.02)
    assert y >= -7.0 + half[1] - 0.02  # a finger gap may make the frame taller
    assert job.proof_load == HAND["proof_load"]


def test_chips_of_the_finishing_pass_are_thick_enough_or_told() -> None:
    """Geometry of milling: an edge leaves at cos a = 1 - 2 e/D, its chip is f sin a thick there."""
    assert thinning(0.4, 7.94) == pytest.approx(HAND["thinning"], abs=5e-4)
    assert thinning(4.0, 8.0) == thinning(7.0, 8.0) == 1.0
    six = feeds(Cutter(diameter=6.0), Machine(), 20.3, 0.5, left=0.4)
    assert six.real_chip == pytest.approx(LEAST_CHIP)
    assert six.full_depth == pytest.approx(2 * 18000 * LEAST_CHIP / thinning(0.4, 6.0))
    assert six.full_depth > feeds(Cutter(diameter=6.0), Machine(), 20.3, 0.5).full_depth
    big = feeds(Cutter(diameter=12.7), Machine(), 20.3, 0.5, left=0.4)
    assert big.real_chip > LEAST_CHIP
    slow = replace(SHOP, machine=Machine(feed=900.0))
    notes = the_job(the_piece(), shop=slow).jobs[0].notes
    assert any("finishing pass cuts chips of 0.011 mm" in n for n in notes)
    assert not any("finishing pass cuts" in n for n in by_hand().jobs[0].notes)


def test_a_workshop_that_lacks_a_tool_says_so_and_nothing_is_invented() -> None:
    bare = the_job(the_piece(), shop=Workshop())
    assert alarms(bare) == ()
    text = " ".join(s for g in worksheet(bare).groups for s in g.steps)
    assert "rpm ________, feed ________" in text
    assert "A cutter of 8 mm, measured ________" in text
    assert "18000" not in text
    assert "25 mm" not in text
    rows = {
        r[0]: r for g in worksheet(bare).groups if g.title.startswith("Materials") for r in g.rows
    }
    assert rows["machine"][1:] == ("________", "________")
    poor = replace(SHOP, cutters=SHOP.cutters[1:], round_overs=(RoundOver(3.0, 9.0),))
    assert alarms(the_job(the_piece(), shop=poor)) == (
        "the workshop lists no cutter of 8 mm",
        "the workshop lists no round-over bit of 6 mm",
    )
    narrow = replace(SHOP, cutters=SHOP.cutters[:1])
    assert "no cutter wide enough to skim with" in " ".join(
        alarms(the_job(the_piece(), shop=narrow))
    )
    assert "7.94 mm across" in " ".join(s for g in worksheet(by_hand()).groups for s in g.steps)


def test_timber_that_is_not_for_food_stands_in_red() -> None:
    made = the_job(the_piece(origin="painted"))
    assert alarms(made)[0].startswith("NOT FOR FOOD, origin 'painted'")
    text = " ".join(s for g in worksheet(made).groups for s in g.steps)
    assert "food and dispatch" not in text


def test_a_defect_keeps_screws_away() -> None:
    """Where screws would stand on a sound piece there are knots: they go elsewhere."""
    at = by_hand().held.screws
    knots = tuple(
        Defect(f"knot {i}", "knot", shapely.Point(p).buffer(6), 5.0) for i, p in enumerate(at)
    )
    made = the_job(the_piece(defects=knots))
    assert made.held.screws
    for p in made.held.screws:
        assert all(knot.shape.distance(shapely.Point(p)) >= 9 - 0.06 for knot in knots)


def test_no_tab_leads_into_the_strip_beside_a_natural_edge() -> None:
    """A long side 14 mm below the live edge: the strip between is wood, and 6 mm wide."""
    edge = shapely.LineString([(500, 200), (0, 200)])
    made = the_job(the_piece(natural=edge, grain=0.0), pose=Pose(250.0, 126.0, 0.0))
    assert len(made.jobs[0].tabs) >= 3
    for tab in made.jobs[0].tabs:
        assert shapely.Polygon(tab.plan(7.94)).distance(edge) >= LONG


def test_no_tab_leads_over_the_edge_of_the_wood() -> None:
    """The lower side lies a slot and a third of a millimetre from the edge of the piece.

    No waste is left there.
    """
    made = the_job(the_piece(margin=0.0, grain=0.0), pose=Pose(250.0, 60 + 7.94 + 0.3, 0.0))
    assert len(made.jobs[0].tabs) >= 3
    assert all(t.y > 100 for t in made.jobs[0].tabs)


def test_markup_and_margin_by_their_own_formulas() -> None:
    """Markup m of cost is margin m / (1 + m) of price.

    Bookkeeping, any textbook. 54 % is 35.06 %.
    """
    assert Workshop(markup=54.0).markup_share == pytest.approx(0.54)
    assert Workshop(markup=54.0).margin_share == pytest.approx(0.54 / 1.54)
    assert Workshop(margin=35.0).markup_share == pytest.approx(0.35 / 0.65)
    assert Workshop(margin=35.0).margin_share == pytest.approx(0.35)
    assert Workshop().markup_share == 0


def test_a_price_is_told_only_where_all_of_it_is_known() -> None:
    """Rates of the machine alone.

    Costs stand in their columns, and nowhere a price that is none.
    """
    from shapes.folders.figures import prices_csv

    shop = replace(SHOP, rates=Rates(60.0, None, 20.0))
    rows = [
        r.split(",")
        for r in (
            prices_csv(batch_of(the_job(the_piece(), shop=shop).jobs)).decode().splitlines()[1:]
        )
    ]
    named = [line.split(",") for line in prices_csv(batch_of(by_hand().jobs)).decode().splitlines()]
    head = (
        ",".join(named[0])
        .replace('"machine minutes, spoilt ones in them"', "m")
        .replace('"bench minutes, spoilt ones in them"', "b")
        .split(",")
    )
    board, total = dict(zip(head, rows[0], strict=True)), dict(zip(head, rows[-1], strict=True))
    assert board["machine time"] != ""
    assert board["bench time"] == board["price"] == board["price each"] == ""
    assert total["bench time"] == total["price"] == ""
    assert float(total["machine time"]) > float(board["machine time"])


def test_a_skin_is_left_in_the_thinnest_place_and_a_cut_goes_through_the_thickest() -> None:
    """By the smallest thickness no skin is cut through.

    By the greatest no wood stays under a tab's slot.
    """
    skin, tabs = (
        " ".join(
            s for g in worksheet(the_job(the_piece(), JobOptions(hold=h))).groups for s in g.steps
        )
        for h in ("skin", "tabs")
    )
    assert "last depth = smallest thickness - 0.5 = ________ mm (planned 19.5)" in skin
    assert "last depth = greatest thickness + 0.3 = ________ mm (planned 20.3)" in tabs


def test_places_count_from_a_datum_that_is_not_the_corner() -> None:
    """A screw at (12, 12) of a piece whose datum is its middle, (250, 100), lies at (-238, -88)."""
    piece = the_piece(fixings=(Fixing("screw 1", (12.0, 12.0), 8.0, False),))
    stock = of_piece(piece, (250.0, 100.0))
    ((_, at),) = stock.fixings
    assert at == (-238.0, -88.0)
    assert stock.outline.bounds == (-250.0, -100.0, 250.0, 100.0)
    shown = reference_of(stock)
    assert shown.fixings == [(-238.0, -88.0, 4.0)]
    x, y = np.array(shown.blank).T
    assert (x.min(), y.min(), x.max(), y.max()) == (-250, -100, 250, 100)


def test_end_grain_is_where_the_pieces_grain_ends() -> None:
    """Grain upright: the long sides are end grain, and screws keep 20 mm from them."""
    made = the_job(the_piece(grain=math.radians(90)), pose=Pose(250.0, 100.0, 0.0))
    assert made.held.screws
    assert all(20 - 0.06 <= y <= 180 + 0.06 for _, y in made.held.screws)
    assert any(x < 20 or x > 480 for x, _ in made.held.screws)


def test_a_slices_sheet_says_what_it_is_sawn_from() -> None:
    """54 mm, a kerf of 1.2: two slices of 26.4, sawn from the block of 54."""
    block = the_piece(name="oak block", thickness=54.0)
    first, second = slices(block, 20.0, Saw(1.2, 230.0))
    assert first.thickness == pytest.approx(26.4)
    for piece, which in ((first, 1), (second, 2)):
        text = " ".join(worksheet(the_job(piece)).groups[0].steps)
        assert f"It is slice {which} of 2" in text
        assert "saw oak block, 54 mm thick, into 2 on the bandsaw, kerf 1.2 mm" in text


def test_lifted_stretches_are_told_where_they_lie_on_the_piece() -> None:
    """Grain 12 degrees, a board at (250, 110).

    The ends of what lifts are points of its edge there.
    """
    made = the_job(the_piece(grain=math.radians(12)), pose=Pose(250.0, 110.0, 0.0))
    (job,) = made.jobs
    edge = job.outline.wood.exterior
    told = job_json(job)["tear_out"]["stretches"]
    assert told
    ends = [p for one in told for p in (one["from"], one["to"])]
    assert max(edge.distance(shapely.Point(p)) for p in ends) < 0.1


def test_the_grains_arrow_turns_over_with_the_board(tmp_path: Path) -> None:
    """As it lies the grain runs at 3 - 7.5 degrees to the board; seen from underneath at 4.5."""
    (job,) = by_hand().jobs
    for name, deg in (("underside", 4.5), ("eating", -4.5)):
        mark = Mark.__new__(Mark)
        object.__setattr__(mark, "area", Rectangle(0.0, 0.0, 80.0, 30.0, 0.0))
        placed = Placed(face_of(job.report, name, "engraving"), mark)
        file = face_file(job, [placed])
        path = tmp_path / file.name
        path.write_bytes(file.data)
        lines = [shapely.get_coordinates(g) for g in by_gdal(path)["GRAIN"]]
        pairs = [p[k : k + 2] for p in lines for k in range(len(p) - 1)]
        a, b = max(pairs, key=lambda p: math.dist(*p))
        angle = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
        assert math.remainder(angle - deg, 180.0) == pytest.approx(0.0, abs=0.01)


def test_end_grain_of_a_board_follows_the_grain_as_it_lies() -> None:
    """300 x 120 x 20: the ends are 0.0048 m2; with the grain across, the sides, 0.0120 m2, are."""
    box = outline(polygon([(-150, -60), (150, -60), (150, 60), (-150, 60)]))
    for deg, ends in ((0, 2 * 120 * 20e-6), (90, 2 * 300 * 20e-6)):
        board = DrawnBoard(Brief(round_over=0.0), box, "one", grain=math.radians(deg))
        assert full_report(board).areas().end_grain == pytest.approx(ends, rel=5e-3)
        piece = the_piece(outline=shapely.box(0, 0, 500, 400), grain=math.radians(deg), wanted=20.0)
        on = on_piece(replace(board, grain=0.0), piece)
        pose = Pose(250.0, 200.0, 0.0)
        lying = Placement(on, 1.0, pose, transformed(box, 0.0, shift=(250, 200)), ())
        assert report_on(lying, piece).areas().end_grain == pytest.approx(ends, rel=5e-3)


def test_those_who_work_in_inches_read_them_behind_every_length() -> None:
    """1 in is 25.4 mm, exactly (1959): to the thousandth, above 2 in to the sixteenth."""
    sheet = worksheet(the_job(the_piece(), shop=replace(SHOP, unit="in")))
    texts = [t for g in sheet.groups for t in (*g.steps, *g.cautions, *sum(g.rows, ()))]
    seen = 0
    for text in texts:
        for found in re.finditer(
            r"(?<![\w.])([\d.]+) mm(/min)?(?![\w/])(\)| \(([^()]*) in[^()]*\))?", text
        ):
            if found[3] == ")":
                assert " in (" in text[: found.start()], text
                continue
            assert found[4], text
            whole, _, part = found[4].rpartition(" x ")[2].rpartition(" ")
            inches = sum(float(Fraction(v)) for v in (whole, part) if v)
            near = 0.51 if found[2] else 0.00051 if float(found[1]) < 50.8 else 1 / 32 + 1e-9
            assert abs(inches - float(found[1]) / 25.4) <= near, text
            seen += 1
    assert seen > 15
    assert " in)" not in " ".join(t for g in worksheet(by_hand()).groups for t in g.steps)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("60 x 304.8 mm off", "60 x 304.8 mm (2 3/8 x 12 in) off"),
        ("12.7 mm, 3 mm2 and 4 mm/s", "12.7 mm (0.500 in), 3 mm2 and 4 mm/s"),
        ("3 in (76.2 mm), or (2.54 mm)", "3 in (76.2 mm), or (2.54 mm (0.100 in))"),
        ("no x 12, y 7 mm of ________ mm", "no x 12, y 7 mm (0.276 in) of ________ mm"),
        ("feed 2540 mm/min", "feed 2540 mm/min (100 in/min)"),
    ],
)
def test_inches_are_written_behind_what_is_a_length(text: str, wanted: str) -> None:
    assert in_both(text) == wanted

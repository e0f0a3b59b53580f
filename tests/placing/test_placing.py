"""Placing one and many, drawing for a piece, and the account, on the preset off-cuts."""

from __future__ import annotations

import json
import math
from dataclasses import fields, replace
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
import shapely
from made_boards import a_box, drawn
from made_off_cuts import timber

from shapes.collection.board import Board, DrawnBoard, full_report
from shapes.collection.brief import Brief
from shapes.collection.draw import closed, draw
from shapes.collection.generate import generate
from shapes.collection.pool import AtRandom
from shapes.errors import CannotMeetError, InputError
from shapes.files.off_cut import read_off_cut
from shapes.folders.piece import piece_from, piece_json
from shapes.geometry.curve import polygon
from shapes.geometry.outline import Outline, transformed
from shapes.geometry.outline import outline as outline_from
from shapes.geometry.pose import Pose
from shapes.handles.hand import Round
from shapes.placing.account import account
from shapes.placing.bed import Bed
from shapes.placing.fitted import brief_on, on_piece, report_on
from shapes.placing.ground import Wanted
from shapes.placing.lay_out import lay_out
from shapes.placing.left import rectangle_left
from shapes.placing.on_wood import OnWood
from shapes.placing.place import Misfit, Placement, place_one
from shapes.placing.place_many import place_many
from shapes.placing.shape import resized, shape_of, turns_of
from shapes.timber.off_cut import Defect, OffCut, Price, Rules
from shapes.timber.thickness import Saw

PRESETS = Path(__file__).parents[2] / "presets" / "off-cuts"


def preset(name: str) -> OffCut:
    return read_off_cut(PRESETS / f"{name}.toml")[0]


def board(k: int, handle: str | None = None, **more: object) -> Board:
    brief = Brief(length=420, width=230, handles=(handle,) if handle else (), **more)  # type: ignore[arg-type]
    return drawn(AtRandom(brief), 5, k)


@pytest.mark.parametrize(
    ("size", "room", "scale"),
    [((100, 50), (422, 122), 2.0), ((100, 80), (322, 182), 2.0), ((90, 30), (292, 422), 3.0)],
)
def test_the_largest_box_in_a_box_by_hand(
    size: tuple[float, float], room: tuple[float, float], scale: float
) -> None:
    """Cutter 6 and margin 5 leave 11 mm all round; not turned, the tighter side decides."""
    made = place_one(a_box(*size), Bed(Rules(timber(*room), 6.0)), (0.5, 4.0), within=0.0)
    assert isinstance(made, Placement)
    assert made.scale == pytest.approx(scale, rel=1e-3)
    assert made.scale <= scale * 1.0001  # a distance may fall short by 0.005 mm
    assert made.tightest.asked == 11.0
    assert made.tightest.there == pytest.approx(11.0, abs=0.06)


def test_a_box_that_is_too_long_lacks_what_it_lacks() -> None:
    found = place_one(a_box(200, 50), Bed(Rules(timber(202, 122), 6.0)), within=0.0)
    assert isinstance(found, Misfit)
    assert found.lacks == pytest.approx(10.0, abs=0.05)  # at each end: 20 mm too long
    assert found.name == "the edge of the piece"
    assert found.largest == pytest.approx(0.9, rel=2e-3)


def test_the_grain_keeps_within_its_angle_of_the_neck() -> None:
    for k in range(4):
        neck = board(k, "neck")
        tilt = neck.sketch.grip[0][2]
        piece = replace(preset("ash-wedge"), defects=())
        for within in (0.0, math.radians(6)):
            made = place_one(neck, Bed(Rules(piece, 6.0)), (0.7, 1.0), within)
            assert isinstance(made, Placement)
            off = math.remainder(made.pose.angle + tilt - piece.grain, math.pi)
            assert abs(off) <= within + 1e-6
            ranges = turns_of(neck, piece.grain, within)
            assert len(ranges) == 2


def test_scaling_draws_the_body_anew_and_leaves_the_hand_its_size() -> None:
    made = board(3, "opening", forms=("half-moon",))
    small = resized(made, 0.85)
    assert isinstance(small, Board)
    areas = [shape_of(b).filled.area for b in (made, small)]
    assert areas[1] / areas[0] == pytest.approx(0.85**2, rel=0.03)
    holes = [shapely.Polygon(shape_of(b).wood.interiors[0]).area for b in (made, small)]
    assert holes[1] == pytest.approx(holes[0], rel=0.08)
    assert [f.verdict for f in full_report(small).findings if f.check == "handle"] == ["pass"]


def test_an_opening_may_swallow_a_knot_and_the_wood_may_not() -> None:
    """A piece hardly larger than the board, the knot where its opening comes to lie."""
    made = board(3, "opening", forms=("half-moon",))
    shape = shape_of(made)
    middle = shapely.Polygon(shape.wood.interiors[0]).centroid
    x0, y0, x1, y1 = shape.filled.bounds
    edge = shapely.box(x0 - 12, y0 - 12, x1 + 12, y1 + 12)

    def piece(knot: shapely.Point) -> OffCut:
        shapes = Defect("knot 1", "knot", knot.buffer(9), 5.0, ("opening",))
        return OffCut("p", edge, 30.0, "black walnut", defects=(shapes,))

    within = math.radians(1)
    held = place_one(made, Bed(Rules(piece(middle), 6.0)), within=within)
    assert isinstance(held, Placement)
    away = shapely.Point(middle.x + 120, middle.y)
    assert isinstance(place_one(made, Bed(Rules(piece(away), 6.0)), within=within), Misfit)
    shut = replace(piece(middle), defects=(Defect("rot 1", "rot", middle.buffer(2), 5.0, ()),))
    assert isinstance(place_one(made, Bed(Rules(shut, 6.0)), within=within), Misfit)


def test_as_many_boxes_as_fit_and_the_urgent_ones_first() -> None:
    """Two of 100 x 80 with 14 mm between and 11 mm round them take 236 x 102."""
    small, large = a_box(100, 80, "small"), a_box(214, 80, "large")
    rules = Rules(timber(237, 103), 6.0)
    placed, left = place_many(rules, [Wanted(small, 5)], 0.0)
    assert (len(placed), len(left)) == (2, 3)
    placed, left = place_many(rules, [Wanted(small, 2), Wanted(large)], 0.0)
    assert [i for i, _ in placed] == [1]  # the larger area
    placed, left = place_many(rules, [Wanted(small, 2, 1), Wanted(large, 1, 2)], 0.0)
    assert [i for i, _ in placed] == [0, 0]  # the more urgent
    assert left == [1]


def test_one_off_cut_then_the_next() -> None:
    wanted = [Wanted(a_box(200, 80), 3)]
    made = lay_out(wanted, [timber(230, 110), timber(230, 210)], 6.0)
    assert [len(c.placed) for c in made.covered] == [1, 2]
    assert [n for c in made.covered for n, _, _ in c.placed] == [1, 2, 3]
    assert made.left == ()


def test_what_is_left_over_is_told_with_what_lacks() -> None:
    made = lay_out([Wanted(a_box(300, 80, "long"))], [timber(230, 110)], 6.0)
    assert made.left == (0,)
    where, misfit = made.lacks[0]
    assert where == "p"
    assert misfit.lacks == pytest.approx(46, abs=2)
    assert misfit.largest == pytest.approx(0.69, abs=0.02)


def test_too_thin_a_piece_is_refused_in_one_line() -> None:
    with pytest.raises(InputError, match="18 mm thick, the boards are to be 20 mm"):
        brief_on(replace(timber(300, 200), thickness=18.0), Brief())


def test_boards_take_timber_and_weight_from_the_piece() -> None:
    piece = replace(preset("walnut-end"), wanted=19.0)
    made = on_piece(board(3, species="hard maple"), piece)
    assert (made.brief.species, made.brief.thickness) == ("black walnut", 19.0)
    assert made.brief.density == pytest.approx(piece.density, rel=1e-9)
    assert made.brief.price_per_m3 == pytest.approx(22 / (piece.volume * 1e-9))


@pytest.mark.parametrize("name", ["walnut-end", "live-edge-cherry", "oak-block"])
def test_every_figure_of_an_account_adds_up(name: str) -> None:
    piece = preset(name)
    boards = [
        on_piece(drawn(AtRandom(Brief(length=300, width=170)), 5, k), piece) for k in (1, 3, 6)
    ]
    rules = Rules(piece, 6.0)
    placed, _ = place_many(rules, [Wanted(b) for b in boards])
    lines = [(i, p, report_on(p, piece)) for i, (_, p) in enumerate(placed, start=1)]
    a = account(rules, lines, saw=Saw(1.2, 300))
    parts = a.boards_m3 + a.skimmed_m3 + a.kerf_m3 + a.openings_m3 + a.rounded_m3 + a.left_m3
    assert parts == pytest.approx(a.gross_m3, rel=1e-9)
    assert a.chips_m3 + a.boards_m3 + a.left_m3 == pytest.approx(a.gross_m3, rel=1e-9)
    assert min(a.boards_m3, a.skimmed_m3, a.kerf_m3, a.rounded_m3, a.left_m3) > 0
    assert sum(n.board_m3 for n in a.lines) == pytest.approx(a.boards_m3)
    assert a.yield_share == pytest.approx(a.boards_m3 / a.gross_m3)
    assert a.price is not None
    assert a.price_left is not None
    assert sum(n.cost or 0 for n in a.lines) + a.price_left == pytest.approx(a.price)
    # The kerf, by another way: it is about length times cutter, where an outline runs on the piece.
    long = sum(
        shapely.length(p.outline.wood.exterior.intersection(piece.outline)) for _, p, _ in lines
    )
    assert a.kerf_m3 == pytest.approx(long * 6.0 * a.thickness_mm[1] * 1e-9, rel=0.08)
    # Cost is shared by area.
    first, last = a.lines[0], a.lines[-1]
    areas = [
        shapely.Polygon(p.outline.wood.exterior).intersection(piece.outline).area
        for _, p, _ in lines
    ]
    assert (first.cost or 0) / (last.cost or 1) == pytest.approx(areas[0] / areas[-1])


def test_the_largest_rectangle_left_by_hand() -> None:
    """A box of 200 x 100 in the corner of 600 x 240.

    240 x 400 beside it, less the kerf and a cell.
    """
    rules = Rules(timber(600, 240), 6.0)
    left = rectangle_left(rules, [shapely.box(0, 0, 194, 240)])
    assert left is not None
    assert left[0] == pytest.approx(400, abs=4.1)
    assert left[1] == pytest.approx(240, abs=4.1)
    assert left[0] <= 400
    assert left[1] <= 240
    ring = shapely.Polygon(left[2])
    assert ring.within(shapely.box(200, 0, 600, 240).buffer(1e-6))


def test_nothing_on_a_piece_costs_nothing() -> None:
    piece = replace(timber(400, 150), price=Price(12.0, "piece"))
    a = account(Rules(piece, 6.0), [])
    assert a.lines == ()
    assert a.skimmed_m3 == 0
    assert a.left_m3 == pytest.approx(a.gross_m3)
    assert a.price_left == pytest.approx(12.0, rel=0.03)


def test_a_collection_drawn_for_a_piece_lies_on_it() -> None:
    piece = preset("walnut-end")
    brief = brief_on(piece, Brief(), sized=False)
    made = generate(OnWood(brief, piece), 3, 5)
    assert len(made.reports) == 5
    bed = Bed(Rules(piece, brief.cutter))
    for report in made.reports:
        assert report.passes
        placed = place_one(report.board, bed)
        assert isinstance(placed, Placement)
        assert max(c.asked - c.there for c in placed.clearances) <= 0.01


def test_the_same_piece_and_seed_the_same_boards_with_any_number_of_jobs() -> None:
    piece = preset("oak-block")
    brief = brief_on(piece, Brief(), sized=False)
    one, two = (generate(OnWood(brief, piece), 4, 3, pool_size=48, jobs=j) for j in (1, 2))
    for a, b in zip(one.reports, two.reports, strict=True):
        assert isinstance(a.board, Board)
        assert isinstance(b.board, Board)
        assert np.array_equal(a.board.sketch.edge, b.board.sketch.edge)


def test_a_piece_with_no_room_says_so() -> None:
    piece = timber(200, 58)
    with pytest.raises(CannotMeetError, match="no stretch of it"):
        OnWood(brief_on(piece, Brief(), sized=False), piece)


def test_a_rectangle_worth_keeping_goes_before_a_larger_sliver() -> None:
    """600 x 190 with a check from below.

    600 x 70 above it is larger than 200 x 190 beside it, and of no use.
    """
    from shapes.placing.account import WORTH_KEEPING

    rot = Defect("rot 1", "rot", shapely.box(200, 0, 600, 100), 20.0)
    piece = OffCut("one", shapely.box(0, 0, 600, 190), 30.0, "black walnut", defects=(rot,))
    sliver = rectangle_left(Rules(piece, 6.0), [])
    kept = rectangle_left(Rules(piece, 6.0), [], WORTH_KEEPING)
    assert sliver is not None
    assert kept is not None
    assert sliver[:2] == pytest.approx((600, 70), abs=5)
    assert (
        kept[:2] == pytest.approx((180, 190), abs=5) or kept == sliver
    )  # 180 < 200: none is worth it
    wider = OffCut("one", shapely.box(-60, 0, 600, 190), 30.0, "black walnut", defects=(rot,))
    kept = rectangle_left(Rules(wider, 6.0), [], WORTH_KEEPING)
    assert kept is not None
    assert kept[:2] == pytest.approx((240, 190), abs=5)
    free = shapely.difference(wider.outline, rot.shape.buffer(19.9))
    assert free.buffer(0.1).covers(shapely.Polygon(kept[2]))


def test_a_piece_stands_on_its_long_edge_at_the_saw() -> None:
    """A rectangle 500 x 220 stands 220 high, however its grain runs or it was measured."""
    from shapely import affinity

    from shapes.placing.lay_out import slices
    from shapes.timber.off_cut import stands

    for turned in (0.0, 5.0, 31.0):
        outline = affinity.rotate(shapely.box(0, 0, 500, 220), turned)
        piece = OffCut(
            "ash",
            outline,
            52.0,
            "white ash",
            20.0,
            grain=0.09,
            mass=3.0,
            price=Price(40.0, "piece"),
        )
        assert stands(piece) == pytest.approx(220)
        assert slices(piece, 20.0, Saw(1.6, 219.0)) == [piece]
        two = slices(piece, 20.0, Saw(1.6, 221.0))
        assert [s.thickness for s in two] == pytest.approx([25.2, 25.2])  # (52 - 1.6) / 2
        assert sum(s.price.of(s.volume) for s in two if s.price) == pytest.approx(40.0)
        assert two[0].density == pytest.approx(piece.density)
        assert [s.sawn.which for s in two if s.sawn] == [1, 2]


def test_a_live_edge_that_is_to_be_kept_becomes_the_edge_of_boards() -> None:
    """Two boards with a long level side on a waving edge.

    Most of it is theirs, and the rules still hold.
    """
    y = [232, 236, 241, 233, 229, 226, 231, 238, 242, 240, 233, 229, 234]
    top = [(60.0 * i, v) for i, v in enumerate(y)]
    outline = shapely.Polygon([(0, 0), (720, 0), *top[::-1]])
    edge = shapely.LineString(top)
    piece = OffCut("live", outline, 28.0, "black cherry", 20.0, natural=edge)
    ring = shapely.box(-140, -60, 140, 60).buffer(0).buffer(-30).buffer(30, quad_segs=40)
    board = DrawnBoard(Brief(), outline_of_ring(ring), "slab")
    kept = {}
    for keep in (False, True):
        rules = Rules(replace(piece, keep=keep), 6.0)
        placed, left = place_many(rules, [Wanted(board, 2)])
        assert not left
        filled = [shapely.Polygon(p.outline.wood.exterior) for _, p in placed]
        kept[keep] = sum(rules.kept(f) for f in filled)
        assert filled[0].distance(filled[1]) >= 14 - 0.02
        for f in filled:
            beyond = shapely.difference(f, outline)
            if not beyond.is_empty:
                far = shapely.distance(
                    outline, shapely.points(shapely.get_coordinates(beyond))
                ).max()
                assert far <= rules.over + 0.01
    assert kept[True] >= 0.6 * edge.length
    assert kept[True] > 1.5 * kept[False]


def outline_of_ring(shape: shapely.Polygon) -> Outline:
    ring = shapely.get_coordinates(shapely.orient_polygons(shape).exterior)[:-1]
    return outline_from(polygon(ring))


def test_only_a_board_that_runs_over_is_limited_by_the_natural_edge() -> None:
    edge = shapely.LineString([(700, 240), (0, 240)])
    piece = OffCut("live", shapely.box(0, 0, 700, 240), 28.0, "black cherry", 20.0, natural=edge)
    bed = Bed(Rules(piece, 6.0))
    ring = shapely.box(-140, -60, 140, 60).buffer(-30).buffer(30, quad_segs=40)
    board = shape_of(DrawnBoard(Brief(), outline_of_ring(ring), "slab"))
    clear = bed.allows(*board.lying(Pose(350.0, 120.0, 0.0)))
    assert not any("natural" in c.name for c in clear)
    assert clear[0].there == pytest.approx(60)
    over = bed.allows(*board.lying(Pose(350.0, 185.0, 0.0)))
    (told,) = [c for c in over if "natural" in c.name]
    assert told.name == "what may run over the natural edge, 8 mm"
    assert told.there == pytest.approx(3, abs=0.01)


def test_a_brief_on_timber_that_is_not_for_food_says_so_in_every_recipe() -> None:
    for origin, fit in (("known solid timber", True), ("unknown", False), ("painted", False)):
        piece = OffCut(
            "one", shapely.box(0, 0, 500, 200), 28.0, "black cherry", 20.0, origin=origin
        )
        assert brief_on(piece, Brief()).for_food is fit
        assert brief_on(piece, Brief(for_food=False)).for_food is False
    priced = Brief(price_per_m3=4000.0)  # that of another timber
    assert brief_on(piece, priced).price_per_m3 is None


def test_what_the_account_says_of_a_board_by_hand() -> None:
    """Black cherry, Wood Handbook Table 13-5.

    0.00248 tangential, 0.00126 radial, a percent of moisture.
    """
    piece = OffCut("one", shapely.box(0, 0, 500, 200), 28.0, "black cherry", 20.0, moisture=10.0)
    board = on_piece(
        DrawnBoard(Brief(), outline_of_ring(shapely.box(-150, -60, 150, 60)), "slab"), piece
    )
    pose = Pose(250.0, 100.0, 0.0)
    lying, _ = shape_of(board).lying(pose)
    placed = Placement(board, 1.0, pose, lying, ())
    report = report_on(placed, piece)
    made = account(Rules(piece, 6.0), [(1, placed, report)], moisture=(None, 14.0))
    (line,) = made.lines
    assert line.moves_flat_mm == pytest.approx(120 * 0.00248 * 4, rel=1e-9)
    assert line.moves_quarter_mm == pytest.approx(120 * 0.00126 * 4, rel=1e-9)
    assert line.kiln_dry_kg == pytest.approx(line.mass_kg * 108 / 110)
    # Steiner: a slot of 6 mm round a box of perimeter 840 holds 840 x 6 + pi x 36, through 20 mm.
    assert made.kerf_m3 == pytest.approx((840 * 6 + math.pi * 36) * 20e-9, rel=2e-3)


def test_a_handle_is_the_hand_and_the_root_beyond_it() -> None:
    """100 mm of hand (ANSUR II: 99 at the 99th percentile of
    men) and 25 on either side, which is our choice.
    """
    ring = outline_of_ring(shapely.box(-200, -150, 200, 150))
    shape = shape_of(DrawnBoard(Brief(), ring, "slab", grips=((10.0, 20.0, 0.0),)))
    x0, y0, x1, y1 = shape.handle.bounds
    assert (x1 - x0, y1 - y0) == pytest.approx((150, 150), abs=0.5)


def test_a_board_turned_a_quarter_is_as_wide_as_it_is_long() -> None:
    """300 x 120 turned by 90 degrees, grain along x, 10 to 14 %.

    300 mm move by 0.00248 a per cent.
    """
    piece = OffCut("p", shapely.box(0, 0, 500, 400), 25.0, "black cherry", 20.0, moisture=10.0)
    board = on_piece(a_box(300, 120), piece)
    pose = Pose(310.0, 50.0, math.radians(90))
    lying = transformed(board.outline, pose.angle, shift=(pose.x, pose.y))  # type: ignore[union-attr]
    placed = Placement(board, 1.0, pose, lying, ())
    made = account(
        Rules(piece, 6.0), [(1, placed, report_on(placed, piece))], moisture=(10.0, 14.0)
    )
    (line,) = made.lines
    assert line.width_mm == pytest.approx(300, abs=0.01)
    assert line.moves_flat_mm == pytest.approx(300 * 0.00248 * 4, rel=1e-3)


def test_the_tally_of_a_piece_by_hand() -> None:
    """702 x 262 x 34: 2 whole feet, 10.31 in x 2 / 12 = 1.72, so 2, by 34 / 25.4 in: 2.677."""
    piece = OffCut("p", shapely.box(0, 0, 702, 262), 34.0, "black walnut")
    assert account(Rules(piece, 6.0), []).board_feet_tally == pytest.approx(2 * 34 / 25.4, abs=1e-3)


def test_a_strip_is_not_worth_keeping_however_long() -> None:
    """598 x 68 mm are left: long enough, and under 80 wide."""
    piece = timber(600, 70, price=Price(12.0, "piece"))
    made = account(Rules(piece, 6.0), [])
    assert made.left_mm is not None
    assert made.left_mm[1] < 80
    assert made.left_kept is False
    assert made.price_left == 0


def test_the_next_board_is_the_nearest_one() -> None:
    """Three boxes in a row: each has its neighbour 14 to 16 mm away, not the one beyond it."""
    piece = OffCut("p", shapely.box(0, 0, 380, 103), 25.0, "black walnut", margin=5.0)
    placed, left = place_many(Rules(piece, 6.0), [Wanted(a_box(100, 80), 3)], within=0.0)
    assert not left
    for _, p in placed:
        (near,) = [c for c in p.clearances if c.name == "the next board"]
        assert 13.9 <= near.there <= 17


def test_a_hole_is_drawn_over_the_knot_it_is_to_swallow() -> None:
    """What _over proposes lays the middle of an opening on
    the knot, whichever way the board lies.
    """
    knot = Defect("knot 1", "knot", shapely.Point(150, 120).buffer(6), 5.0, ("opening",))
    piece = OffCut("p", shapely.box(0, 0, 460, 250), 25.0, "black walnut", 20.0, defects=(knot,))
    brief = brief_on(piece, Brief(handles=("thumb-hole",), forms=("turned", "mussel")), sized=False)
    source = OnWood(brief, piece)
    seen = 0
    for k in range(40):
        rng = np.random.default_rng(k)
        genes = source._over("turned", "thumb-hole", rng.random(64), rng)
        if genes is None:
            continue
        assert genes.at is not None
        hole = draw(closed([genes])[0] or genes).openings[0]
        assert isinstance(hole, Round)
        (there,) = Pose(*genes.at).of(np.array([[hole.x, hole.y]]))
        seen += 1
        assert math.dist(there, (150, 120)) < 0.5
    assert seen >= 3


def test_a_piece_is_the_same_when_it_is_read_back() -> None:
    """Every field, with values that are no defaults."""
    base = preset("walnut-end")
    piece = replace(
        base,
        moisture=12.0,
        grain=0.2,
        rings=40.0,
        source="yard",
        keep=True,
        margin=7.0,
        mark=(3.0, 4.0),
        corner=(1.0, 2.0),
        natural=shapely.LineString([(0, 0), (702, 0)]),
    )
    again = piece_from(json.loads(json.dumps(piece_json(piece))))
    for f in fields(OffCut):
        a, b = getattr(piece, f.name), getattr(again, f.name)
        if isinstance(a, shapely.Geometry):
            assert shapely.hausdorff_distance(a, b) < 1e-5, f.name
        elif f.name in ("defects", "fixings"):
            assert [(d.name, getattr(d, "kind", "")) for d in a] == [
                (d.name, getattr(d, "kind", "")) for d in b
            ]
        elif isinstance(a, tuple):
            assert list(a) == pytest.approx(list(b)), f.name
        else:
            assert a == (pytest.approx(b) if isinstance(a, float) else b), f.name


@pytest.mark.parametrize(("cutter", "asked"), [(6.0, 14.0), (12.0, 20.0)])
def test_boards_keep_the_cutter_and_8_mm_from_one_another(cutter: float, asked: float) -> None:
    """Seven pieces 5 mm apart in length, wide enough for two boxes and at last for three.

    One piece alone may have boards lie apart by chance, however little is asked.
    """
    counts = []
    for spare in range(0, 35, 5):
        around, box = 2 * (cutter + 5.0), 100.0
        long = around + 3 * box + 2 * asked - 30 + spare + 0.5
        piece = OffCut("p", shapely.box(0, 0, long, 80 + around + 1), 25.0, "black walnut")
        placed, _ = place_many(Rules(piece, cutter), [Wanted(a_box(box, 80), 3)], within=0.0)
        filled = [shapely.Polygon(p.outline.wood.exterior) for _, p in placed]
        for a, b in combinations(filled, 2):
            assert a.distance(b) >= asked - 0.01, long
        told = [c for _, p in placed for c in p.clearances if c.name == "the next board"]
        assert len(told) == len(placed)
        assert all(c.asked == asked <= c.there + 0.01 for c in told)
        counts.append(len(placed))
    assert counts == [2] * 6 + [3]

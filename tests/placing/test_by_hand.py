"""Boards laid by hand.

What lacks is said, the nearest lawful place is found, the piece is as placing has it.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely
from made_boards import a_box

from shapes.geometry.pose import Pose
from shapes.placing.by_hand import Table
from shapes.timber.off_cut import Defect, Fixing, OffCut

CUTTER, MARGIN = 6.0, 5.0  # a brief's own cutter, and the wood that stays beyond the kerf


def a_piece(*defects: Defect) -> OffCut:
    return OffCut("slat", shapely.box(13, 7, 613, 307), 28.0, "hard maple", defects=defects)


def centred(long: float, wide: float, x: float, y: float, turned: float = 0.0) -> Pose:
    """The pose at which a box, drawn from its lower left corner, has its middle at (x, y)."""
    c, s = math.cos(turned), math.sin(turned)
    return Pose(x - (c * long - s * wide) / 2, y - (s * long + c * wide) / 2, turned)


A, B = (201, 103), (187, 91)


def table(*sizes: tuple[float, float], defects: tuple[Defect, ...] = ()) -> Table:
    return Table(a_piece(*defects), [a_box(long, wide, f"box {long:g}") for long, wide in sizes])


def test_a_clearance_is_the_distance_that_there_is() -> None:
    made = table((201, 103))
    (one,) = made.lying([centred(*A, 13 + 201 / 2 + 17.3, 150)])
    tight = one.placement.clearances[0]
    assert (tight.name, round(tight.there, 3), tight.asked) == (
        "the edge of the piece",
        17.3,
        CUTTER + MARGIN,
    )
    assert one.holds
    (near,) = made.lying([centred(*A, 13 + 201 / 2 + 10.9, 150)])
    assert not near.holds


@pytest.mark.parametrize("turned", [10.4, -10.4, 169.3])
def test_too_far_off_the_grain_does_not_hold(turned: float) -> None:
    (one,) = table((201, 103)).lying([centred(*A, 313, 157, math.radians(turned))])
    off = min(abs(turned), abs(180 - turned)) - 10
    assert one.off_grain == pytest.approx(off, abs=1e-6)
    assert not one.holds
    (right,) = table((201, 103)).lying([centred(*A, 313, 157, math.radians(9.7))])
    assert right.holds


def test_neighbours_keep_their_distance_and_overlap_is_less_than_none() -> None:
    made = table((201, 103), (187, 91))
    apart = 201 / 2 + 187 / 2
    for gap, holds in ((14.2, True), (13.7, False)):  # the cutter and 8 mm
        every = made.lying([centred(*A, 150, 150), centred(*B, 150 + apart + gap, 150)])
        assert [one.holds for one in every] == [holds, holds]
        assert min(c.there for c in every[0].placement.clearances) == pytest.approx(gap)
    over = made.lying([centred(*A, 150, 150), centred(*B, 171, 150)])
    assert over[1].placement.clearances[0].there < 0


@pytest.mark.parametrize(("into", "over"), [(0.2, "screw 1"), (-0.2, "")])
def test_a_board_over_the_rim_of_a_screw_is_told_which(into: float, over: str) -> None:
    """The screw's middle lies beyond the board's end; a knot lies in its opening, as it may."""
    screw = Fixing("screw 1", (320, 151), 8.0, proud=False)
    end = 316 + into
    knot = Defect("knot 1", "knot", shapely.Point(end - 100, 151).buffer(4), 2.0, ("opening",))
    piece = replace(a_piece(knot), fixings=(screw,))
    board = a_box(*A, "box", opening=(60, 30, 141, 73))
    (one,) = Table(piece, [board]).lying([centred(*A, end - 201 / 2, 150)])
    assert one.inside == over
    assert not one.holds
    assert one.placement.clearances[0].name == "screw 1"


@pytest.mark.parametrize(
    ("up", "over", "holds"),
    [
        (0, "", True),
        (16, "", False),
        (24, "knot 1", False),
        (-52, "knot 1", False),
        (-58, "", False),
    ],
)
def test_a_knot_in_the_wood_is_named_and_one_beside_it_is_too_near(
    up: float, over: str, holds: bool
) -> None:
    """A knot of 8 mm that may lie in an opening 43 mm high, 2 mm from its rim and 8 from the edge.

    The edge runs 51.5 mm from the middle of the board.
    """
    knot = Defect("knot 1", "knot", shapely.Point(313, 157).buffer(4), 2.0, ("opening",))
    board = a_box(*A, "box", opening=(60, 30, 141, 73))
    (one,) = Table(a_piece(knot), [board]).lying([centred(*A, 313, 157 + up)])
    assert (one.inside, one.holds) == (over, holds)


def test_settling_finds_the_nearest_place_and_a_judge_of_its_own_agrees() -> None:
    knot = Defect("knot 1", "knot", shapely.Point(310, 160).buffer(20), 5.0)
    made = table((201, 103), (187, 91), defects=(knot,))
    poses = [centred(*A, 303, 171), centred(*B, 500, 80)]
    assert not made.lying(poses)[0].holds
    pose = made.settled(poses, 0)
    assert pose is not None
    poses[0] = pose
    assert all(one.holds for one in made.lying(poses))
    box = shapely.affinity.translate(
        shapely.affinity.rotate(
            shapely.box(0, 0, 201, 103), math.degrees(pose.angle), origin=(0, 0)
        ),
        pose.x,
        pose.y,
    )
    assert box.distance(knot.shape) >= CUTTER + 5 - 0.01
    assert box.distance(a_piece().outline.boundary) >= CUTTER + MARGIN - 0.01
    assert (
        box.distance(shapely.box(500 - 93.5, 80 - 45.5, 500 + 93.5, 80 + 45.5)) >= CUTTER + 8 - 0.01
    )


def test_where_there_is_no_room_none_is_made_up() -> None:
    made = table((570, 270), (187, 91))
    assert made.settled([centred(570, 270, 313, 157), centred(*B, 300, 150)], 1) is None


def test_the_piece_is_accounted_for_as_placing_does() -> None:
    made = table((201, 103), (187, 91))
    covered = made.covered([centred(*A, 150, 150), centred(*B, 420, 90, math.pi)])
    assert [number for number, _, _ in covered.placed] == [1, 2]
    assert all(report.board.brief.species == "hard maple" for _, _, report in covered.placed)
    account = covered.account
    parts = (
        account.boards_m3
        + account.skimmed_m3
        + account.kerf_m3
        + account.openings_m3
        + account.rounded_m3
        + account.left_m3
    )
    assert parts == pytest.approx(0.6 * 0.3 * 0.028, rel=1e-6)


def test_a_board_settles_clear_of_the_one_that_it_was_put_upon() -> None:
    """On a piece with 3 mm to spare across, so that the distance between the two decides."""
    made = table((551, 170.5), (541, 91))
    poses = [centred(551, 170.5, 313, 190), centred(541, 91, 313, 7 + 12.3 + 45.5)]
    pose = made.settled(poses, 0)
    assert pose is not None
    box = shapely.affinity.translate(
        shapely.affinity.rotate(
            shapely.box(0, 0, 551, 170.5), math.degrees(pose.angle), origin=(0, 0)
        ),
        pose.x,
        pose.y,
    )
    other = shapely.box(313 - 270.5, 19.3, 313 + 270.5, 19.3 + 91)
    assert box.distance(other) >= CUTTER + 8 - 0.01
    assert box.distance(a_piece().outline.boundary) >= CUTTER + MARGIN - 0.01

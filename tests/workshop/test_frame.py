"""Locating frames: the sanded board drops in, the cutter gets everywhere, fingers get at it."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from made_boards import boards

from shapes.geometry.curve import polygon
from shapes.geometry.outline import Outline, flip_of, outline, turned_over
from shapes.workshop.frame import CLEARANCE, FINGER, SANDED, frame, sheet_thickness


def pocket(made: Outline) -> shapely.Polygon:
    return shapely.Polygon(made.wood.interiors[0])


CORNERED = outline(polygon([(-150, -80), (150, -80), (150, 80), (-150, 80)]))


@pytest.mark.parametrize("board", [*boards(6), CORNERED])
@pytest.mark.parametrize("cutter", [3.0, 6.0, 12.7])
def test_the_sanded_board_has_its_clearance_all_round(board: Outline, cutter: float) -> None:
    hole = pocket(frame(board, cutter))
    sanded = shapely.Polygon(board.wood.exterior).buffer(-SANDED, quad_segs=64)
    assert shapely.covers(hole, sanded)
    assert sanded.distance(hole.exterior) == pytest.approx(CLEARANCE, abs=0.02)
    r = cutter / 2 - 0.02  # the frame's arcs are chords within 0.005 mm
    reach = hole.buffer(-r, quad_segs=64).buffer(r * 1.0005, quad_segs=64)
    left = [p for p in shapely.get_parts(shapely.difference(hole, reach)) if p.area > 0.5]
    assert not left, "the cutter gets into every corner of the pocket"


def test_two_finger_gaps_face_each_other() -> None:
    board = boards(1)[0]
    hole = pocket(frame(board, 6.0))
    gaps = shapely.difference(hole, shapely.Polygon(board.wood.exterior).buffer(1.0))
    wide = [p for p in shapely.get_parts(gaps) if p.area > 0.25 * np.pi * FINGER**2]
    assert len(wide) == 2
    assert abs(wide[0].centroid.x - wide[1].centroid.x) < FINGER


def test_the_middle_of_the_sheet_is_the_boards_datum() -> None:
    for board in boards(8):
        x0, y0, x1, y1 = frame(board, 6.0).wood.bounds
        assert (x0 + x1, y0 + y1) == pytest.approx((0, 0), abs=1e-9)


def test_the_sheet_stands_against_flat_edge() -> None:
    assert sheet_thickness(6.0) == 9.0


def test_the_undersides_frame_is_the_mirror_of_the_faces() -> None:
    board = boards(2)[1]
    top, under = pocket(frame(board, 6.0)), pocket(frame(turned_over(board), 6.0))
    flipped = shapely.transform(top, lambda p: p * (1, -1))
    assert shapely.symmetric_difference(flipped, under).area < 0.002 * top.area


def test_an_upright_board_is_turned_over_about_its_own_long_edge() -> None:
    """Longer across than along: x changes its sign and y stays.

    Of a board longer along, the other way round.
    """
    ring = np.array([[-40.0, -150.0], [60.0, -150.0], [40.0, 150.0], [-40.0, 150.0]])
    upright = outline(polygon(ring))
    assert flip_of(upright).tolist() == [-1.0, 1.0]
    assert turned_over(upright).wood.bounds == pytest.approx((-60.0, -150.0, 40.0, 150.0))
    lying = outline(polygon([(-150, -60), (150, -40), (150, 40), (-150, 40)]))
    assert flip_of(lying).tolist() == [1.0, -1.0]
    assert turned_over(lying).wood.bounds == pytest.approx((-150.0, -40.0, 150.0, 60.0))

"""Areas on a face, lettering and artwork.

Clear of what they must be, whole, legible, said when not.
"""

from __future__ import annotations

import contextlib
import math
from functools import cache
from pathlib import Path

import made_boards
import numpy as np
import pytest
import shapely

from shapes.collection.board import Board, Report, full_report
from shapes.collection.brief import Brief
from shapes.collection.pool import AtRandom
from shapes.errors import InputError
from shapes.files.font import Font, fonts, open_font
from shapes.geometry.curve import circle, polygon
from shapes.geometry.outline import turned_over
from shapes.geometry.rectangle import Rectangle
from shapes.mending.loops import Loops, nest
from shapes.placing.shape import shape_of
from shapes.workshop.face import CLEAR, areas, face_of
from shapes.workshop.lettering import (
    Mark,
    along_edge,
    drawn,
    fineness,
    lettered,
    set_lines,
    size_of,
)

AREA = Rectangle(20.0, -10.0, 0.3, 160.0, 40.0)


@cache
def report(handle: str = "neck", seed: int = 3) -> Report:
    return full_report(made_boards.drawn(AtRandom(Brief(handles=(handle,))), seed, 0))


@cache
def font() -> Font:
    return open_font("Caladea")


@pytest.mark.parametrize("use", ["engraving", "print"])
@pytest.mark.parametrize("handle", ["neck", "opening", "cord-hole", "none"])
def test_an_area_is_clear_of_edge_openings_and_handle(use: str, handle: str) -> None:
    one = report(handle)
    asked = one.board.brief.round_over + CLEAR[use]
    face = face_of(one, "underside", use)
    for area in areas(face, [4.0, 1.0]):
        ring = area.polygon
        assert face.outline.wood.boundary.distance(ring) >= asked - 0.02
        back = shapely.transform(ring, lambda p: p * (1, -1))
        assert isinstance(one.board, Board)
        assert back.intersection(shape_of(one.board).handle).area < 0.01


def test_several_areas_keep_apart() -> None:
    first, second, third = areas(face_of(report(), "underside", "engraving"), [3.0, 1.0, 1.0])
    assert first.polygon.distance(second.polygon) >= 7.99
    assert second.polygon.distance(third.polygon) >= 7.99


def test_the_underside_is_the_board_turned_over_on_its_long_edge() -> None:
    one = report()
    over = turned_over(one.outline)
    assert over.wood.area == pytest.approx(one.outline.wood.area, rel=1e-9)
    flipped = shapely.transform(one.outline.wood, lambda p: p * (1, -1))
    assert shapely.symmetric_difference(flipped, over.wood).area < 2.0
    assert face_of(one, "eating", "engraving").suffix == ""
    assert face_of(one, "underside", "engraving").suffix == "-UNDERSIDE"


def test_the_handle_face_is_on_the_handle() -> None:
    one = report()
    assert isinstance(one.board, Board)
    area = areas(face_of(one, "handle", "engraving", 2.0), [4.0])[0]
    assert shape_of(one.board).handle.buffer(0.01).covers(area.polygon)


def test_faces_that_take_nothing_are_told() -> None:
    with pytest.raises(InputError, match="has no handle to mark; say underside"):
        face_of(report("none"), "handle", "engraving")
    with pytest.raises(
        InputError, match="leaves nothing of the underside; take a smaller --margin"
    ):
        face_of(report(), "underside", "engraving", 100.0)
    with pytest.raises(InputError, match="no room is left on the underside for area"):
        areas(face_of(report(), "underside", "engraving"), [1.0] * 60)


def test_text_fills_its_area_and_stays_in_it() -> None:
    curves = set_lines(font(), "Harvest\nrye 7")
    mark = lettered(font(), curves, AREA, "Harvest")
    assert AREA.polygon.buffer(1e-6).covers(mark.filled)
    length, width = size_of(curves)
    assert length / width > 0
    turned = shapely.affinity.rotate(mark.filled, -math.degrees(AREA.angle), origin=(20, -10))
    x0, y0, x1, y1 = turned.bounds
    assert (x1 - x0 == pytest.approx(160, abs=0.01)) or (y1 - y0 == pytest.approx(40, abs=0.01))
    assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((20, -10), abs=0.01)


def test_lines_stand_below_one_another_and_letters_keep_their_order() -> None:
    one, two = size_of(set_lines(font(), "HH")), size_of(set_lines(font(), "HH\nHH"))
    assert two[0] == pytest.approx(one[0])
    assert two[1] == pytest.approx(one[1] + 1.35)
    assert size_of(set_lines(font(), r"HH\nHH")) == pytest.approx(two)


def test_capitals_are_as_high_as_said() -> None:
    curves = set_lines(font(), "HH")
    mark = lettered(font(), curves, Rectangle(0, 0, 0.0, 160, 40), "HH", 11.5)
    y0, y1 = mark.filled.bounds[1], mark.filled.bounds[3]
    assert y1 - y0 == pytest.approx(11.5, abs=0.01) == pytest.approx(mark.capital, abs=0.01)


def test_letters_that_touch_become_one_shape() -> None:
    a, b = circle((0, 0), 10), circle((12, 0), 10)
    mark = drawn([a, b], Rectangle(0, 0, 0.0, 32, 20), "two")
    assert len(mark.loops) == 1
    lens = 2 * 100 * math.acos(0.6) - 12 / 2 * math.sqrt(4 * 100 - 144)
    assert mark.filled.area == pytest.approx(2 * math.pi * 100 - lens, rel=5e-4)


def a_mark(*shapes: shapely.Geometry) -> Mark:
    loops = [
        Loops(
            polygon(shapely.get_coordinates(s.exterior)[:-1]),
            tuple(polygon(shapely.get_coordinates(r)[:-1]) for r in s.interiors),
        )
        for s in shapes
    ]
    return Mark(tuple(loops), Rectangle(0, 0, 0, 10, 10), None, "x")


def test_strokes_and_gaps_finer_than_the_spot_are_measured() -> None:
    thin = fineness(a_mark(shapely.box(0, 0, 10, 0.3)), 0.4)
    assert thin.stroke == pytest.approx(0.3, abs=0.01)
    assert thin.gap is None
    near = fineness(a_mark(shapely.box(0, 0, 10, 2), shapely.box(0, 2.25, 10, 5)), 0.4)
    assert near.gap == pytest.approx(0.25, abs=0.01)
    assert near.stroke is None
    fine = fineness(a_mark(shapely.box(0, 0, 10, 0.41), shapely.box(0, 2, 10, 5)), 0.4)
    assert fine == type(fine)(None, None)


def test_a_sharp_corner_is_no_fine_stroke() -> None:
    wedge = shapely.Polygon([(0, 0), (10, -3), (10, 3)])  # 33 degrees
    assert fineness(a_mark(wedge), 0.4).stroke is None


def test_along_the_edge_it_keeps_its_distance_and_reads_upright() -> None:
    for seed in range(3):
        face = face_of(report("none", seed), "underside", "engraving")
        mark = along_edge(font(), "Made of one plank", face, 12.0, 5.0)
        assert face.outline.wood.boundary.distance(mark.filled) >= 11.9
        assert abs(mark.area.angle) < math.radians(75)
        assert len(nest(mark.curves)[0]) >= 14


def test_what_cannot_be_read_says_the_largest_that_would() -> None:
    curves = set_lines(
        font(), "a very long line of text that nobody will ever be able to read on it"
    )
    with pytest.raises(
        InputError,
        match=(
            r"board: takes the text with capitals (\d\.\d) mm high at most, too small to read; at"
            r" least 4 mm"
        ),
    ) as caught:
        lettered(font(), curves, Rectangle(0, 0, 0, 90, 20), "x")
    most = float(str(caught.value).split("capitals ")[1].split(" mm")[0])
    made = lettered(font(), curves, Rectangle(0, 0, 0, 90, 20), "x", most - 0.05)
    assert made.capital == pytest.approx(most - 0.05)
    with pytest.raises(
        InputError, match=rf"letters {most + 0.2:g} mm high do not fit; up to {most}"
    ):
        lettered(font(), curves, Rectangle(0, 0, 0, 90, 20), "x", round(most + 0.2, 2))
    face = face_of(report("none"), "underside", "engraving")
    with pytest.raises(InputError, match=r"finds no stretch of edge; up to \d+\.\d mm"):
        along_edge(font(), "Made of one plank of black walnut from the yard", face, 12.0, 30.0)


def test_a_letter_that_the_font_lacks_is_named() -> None:
    with pytest.raises(
        InputError, match="--text: the font Caladea-Regular has no 'ж', '木'; use another"
    ):
        set_lines(font(), "ok ж木")
    with pytest.raises(InputError, match="says nothing"):
        set_lines(font(), " \n ")


def test_what_is_no_font_is_told(tmp_path: Path) -> None:
    rubbish = tmp_path / "rubbish.ttf"
    rubbish.write_bytes(bytes(np.random.default_rng(1).integers(0, 256, 5000, dtype=np.uint8)))
    with pytest.raises(InputError, match=r"rubbish\.ttf is no font; name a \.ttf or \.otf file"):
        open_font(str(rubbish))
    with pytest.raises(InputError, match="there is no font 'Caladeo'; did you mean 'Caladea'"):
        open_font("Caladeo")


@pytest.mark.parametrize("share", [0.001, 0.05, 0.5, 0.9])
def test_half_a_font_is_refused_or_used_never_worse(share: float, tmp_path: Path) -> None:
    whole = fonts()["Caladea"].read_bytes()
    path = tmp_path / "half.ttf"
    path.write_bytes(whole[: int(share * len(whole))])
    with contextlib.suppress(InputError):
        assert open_font(str(path)).capital > 0

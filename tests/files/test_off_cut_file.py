"""Off-cuts as a maker writes them, and what is said where they are wrong."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shapes.errors import InputError
from shapes.files.off_cut import read_off_cut
from shapes.timber.off_cut import KINDS, OffCut

PRESETS = sorted((Path(__file__).parents[2] / "presets" / "off-cuts").glob("*.toml"))
HEAD = 'species = "black walnut"\nthickness = 30\norigin = "known solid timber"\n'
BOX = "[outline]\nrectangle = [600, 220]\n"


def read(tmp_path: Path, text: str) -> tuple[OffCut, list[str]]:
    path = tmp_path / "piece.toml"
    path.write_text(text)
    return read_off_cut(path)


def said(tmp_path: Path, text: str) -> str:
    with pytest.raises(InputError) as caught:
        read(tmp_path, text)
    return str(caught.value)


def test_there_are_six_presets_and_all_are_sound() -> None:
    assert len(PRESETS) == 6
    pieces = [read_off_cut(p)[0] for p in PRESETS]
    assert len({p.species for p in pieces}) == 6
    assert sum(not p.fit_for_food for p in pieces) == 1
    assert {d.kind for p in pieces for d in p.defects} >= {"knot", "check", "pith", "metal", "rot"}


def test_a_rectangle_with_everything(tmp_path: Path) -> None:
    piece, notes = read(
        tmp_path,
        'name = "shelf"\nthickness = "1 1/4 in"\nspecies = "Black Walnut"\nwanted = 20\nmoisture ='
        ' 9\nmass = 2.6\ngrain = 3\nmargin = 4\nmark = [10, 12]\norigin = "known solid timber"\n'
        + BOX
        + '[[defects]]\nkind = "knot"\ncircle = [100, 90, 30]\nclearance = 8\n'
        + '[[defects]]\nkind = "pith"\nstrip = [0, 110, 600, 114, 6]\nmay_lie_in = ["body"]\n'
        + "[[fixings]]\nat = [20, 20]\ndiameter = 9\nproud = true\n[price]\nper_m3 = 3000\n",
    )
    assert notes == []
    assert piece.outline.area == 600 * 220
    assert piece.thickness == 31.75
    assert piece.grain == pytest.approx(math.radians(3))
    assert piece.mark == (10, 12)
    knot, pith = piece.defects
    assert (knot.name, knot.clearance, knot.may_lie_in) == ("knot 1", 8.0, ("opening",))
    assert knot.shape.area == pytest.approx(math.pi * 15**2, rel=2e-3)
    assert pith.may_lie_in == ("body",)
    assert pith.shape.area == pytest.approx(6 * math.hypot(600, 4))
    assert (piece.fixings[0].proud, piece.fixings[0].diameter) == (True, 9.0)
    assert piece.price is not None
    assert piece.price.per == "m3"


def test_offsets_from_a_straight_edge(tmp_path: Path) -> None:
    piece, _ = read(
        tmp_path,
        HEAD + "[outline]\noffsets = [100, 120, 110]\nevery = 200\nlength = 350\nnatural = true\n",
    )
    assert piece.outline.area == pytest.approx(200 * 110 + 150 * 115)
    assert piece.natural is not None
    assert piece.natural.length == pytest.approx(math.hypot(200, 20) + math.hypot(150, 10))


def test_sides_marked_natural_by_number(tmp_path: Path) -> None:
    piece, _ = read(
        tmp_path,
        HEAD + "[outline]\ncorners = [[0, 0], [500, 0], [500, 200], [0, 210]]\nnatural = [2, 3]\n",
    )
    assert piece.natural is not None
    assert piece.natural.length == pytest.approx(200 + math.hypot(500, 10))


def test_measured_clockwise_is_the_same_piece(tmp_path: Path) -> None:
    text = HEAD + "[outline]\ncorners = [[0, 0], [0, 210], [500, 200], [500, 0]]\n"
    piece, _ = read(tmp_path, text)
    assert shapely.is_ccw(piece.outline.exterior)


def test_a_first_corner_measured_again_is_dropped_and_said(tmp_path: Path) -> None:
    piece, notes = read(
        tmp_path,
        HEAD + "[outline]\ncorners = [[0, 0], [500, 0], [500, 200], [0, 210], [3, 4]]\n",
    )
    assert len(shapely.get_coordinates(piece.outline.exterior)) == 5
    assert notes == ["piece.toml: the last corner is 5.0 mm from the first, so taken for it again"]


def test_a_drawing_gives_the_outline_and_its_holes(tmp_path: Path) -> None:
    (tmp_path / "p.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="300mm" viewBox="0 0 600'
        ' 300"><path d="M0,0 H600 V300 H0 Z"/><circle cx="100" cy="100" r="12"/></svg>'
    )
    piece, _ = read(tmp_path, HEAD + '[outline]\ndrawing = "p.svg"\n')
    assert piece.outline.area == pytest.approx(600 * 300)
    assert [d.kind for d in piece.defects] == ["hole"]
    assert piece.defects[0].shape.centroid.y == pytest.approx(200, abs=0.01)


def test_corners_in_the_wrong_order_are_refused_and_nothing_is_written(tmp_path: Path) -> None:
    text = HEAD + "[outline]\ncorners = [[0, 0], [640, 0], [0, 220], [640, 240]]\n"
    message = said(tmp_path, text)
    assert "side 2 crosses side 4" in message
    assert "the order 1, 2, 4, 3 would do" in message
    assert [p.name for p in tmp_path.iterdir()] == ["piece.toml"]


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("", ["outline: is missing", "thickness: is missing", "species: is missing"]),
        (HEAD + "[outline]\n", ["has no way to it"]),
        (HEAD + "[outline]\nrectangle = [600]\n", ["[600] is not [length, width]"]),
        (HEAD + "[outline]\nrectangle = [60, 40]\n", ["encloses 24 cm2", "in mm?"]),
        (HEAD + "[outline]\ncorners = [[0, 0], [1, 1]]\n", ["three corners"]),
        (
            HEAD + "[outline]\ncorners = [[0, 0], [9, 0], [9, 0], [9, 9]]\n",
            ["corners 2 and 3 are the same"],
        ),
        (HEAD + "[outline]\noffsets = [100, 90]\nlength = 200\n", ["does not end at the last"]),
        (HEAD + "[outline]\nrectangle = [600, 220]\nnatural = [5]\n", ["[5] names no sides"]),
        (HEAD + "[outline]\nrectangle = [600, 220]\nnatural = true\n", ["names no sides"]),
        (HEAD + '[outline]\ndrawing = "no.dxf"\n', ["there is no such file"]),
        (HEAD + "wanted = 31\n" + BOX, ["31 mm is more than the piece has"]),
        (HEAD + "mass = 90\n" + BOX, ["comes to 22727 kg/m3", "weigh and measure again"]),
        (HEAD + "graim = 3\n" + BOX, ["did you mean 'grain'?"]),
        (HEAD.replace("known solid timber", "painted wood") + BOX, ["did you mean 'painted'?"]),
        (HEAD.replace("black walnut", "black walnutt") + BOX, ["did you mean 'black walnut'?"]),
        (HEAD + BOX + "[price]\nper_piece = 0\n", ["price: per_piece: 0 is out of range"]),
        (HEAD + BOX + "[price]\nper_kg = 3\n", ["did you mean 'per_m3'?"]),
        (
            HEAD + BOX + '[[defects]]\nkind = "knott"\ncircle = [1, 2, 3]\n',
            ["did you mean 'knot'?"],
        ),
        (
            HEAD + BOX + '[[defects]]\nkind = "knot"\ncircle = [900, 50, 20]\n',
            ["lies outside the piece", "x 0 to 600"],
        ),
        (HEAD + BOX + '[[defects]]\nkind = "knot"\n', ["one of circle, polygon, strip"]),
        (HEAD + BOX + '[[defects]]\nkind = "knot"\ncircle = [10, 50]\n', ["is not a circle"]),
        (
            HEAD
            + BOX
            + '[[defects]]\nkind = "rot"\npolygon = [[0, 0], [90, 90], [90, 0], [0, 90]]\n',
            ["crosses itself"],
        ),
        (
            HEAD
            + BOX
            + '[[defects]]\nkind = "pith"\ncircle = [9, 50, 4]\nmay_lie_in = ["handle"]\n',
            ["never lie in a handle"],
        ),
        (
            HEAD + BOX + '[[defects]]\nkind = "stain"\ncircle = [9, 50, 4]\nmay_lie_in = "neck"\n',
            ["unknown name 'neck'", "did you mean 'handle'?"],
        ),
        (HEAD + BOX + "[[fixings]]\nat = [700, 20]\n", ["the screw at (700, 20) lies outside"]),
        (HEAD + "defects = 3\n" + BOX, ["is no list of tables"]),
        (HEAD + "mark = [1, nan]\n" + BOX, ["mark"]),
    ],
)
def test_what_is_wrong_is_said_in_one_line_each(
    tmp_path: Path, text: str, parts: list[str]
) -> None:
    message = said(tmp_path, text)
    for part in parts:
        assert part in message
    assert len(message.splitlines()) >= len(parts) - message.count(";")


def test_every_kind_of_defect_is_read(tmp_path: Path) -> None:
    rows = "".join(f'[[defects]]\nkind = "{kind}"\ncircle = [200, 100, 9]\n' for kind in KINDS)
    piece, _ = read(tmp_path, HEAD + BOX + rows)
    assert [d.kind for d in piece.defects] == list(KINDS)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.dictionaries(
        st.sampled_from(["outline", "thickness", "grain", "defects", "fixings", "price", "mark"]),
        st.recursive(
            st.one_of(st.none(), st.booleans(), st.floats(), st.text(max_size=4)),
            lambda inner: st.one_of(
                st.lists(inner, max_size=4),
                st.dictionaries(
                    st.sampled_from(["corners", "rectangle", "offsets", "kind", "circle", "at"]),
                    inner,
                    max_size=3,
                ),
            ),
            max_leaves=8,
        ),
    )
)
def test_nothing_but_a_clear_error_comes_of_nonsense(
    tmp_path: Path, table: dict[str, object]
) -> None:
    import tomli_w

    def plain(value: object) -> object:
        if value is None:
            return "nothing"
        if isinstance(value, dict):
            return {k: plain(v) for k, v in value.items()}
        if isinstance(value, list):
            return [plain(v) for v in value]
        return value

    text = tomli_w.dumps({"species": "black walnut", **{k: plain(v) for k, v in table.items()}})
    try:
        piece, _ = read(tmp_path, text)
    except InputError:
        return
    assert np.isfinite(piece.outline.area)

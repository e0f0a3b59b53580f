"""Every problem of a brief is named at once: what, where, the allowed range and the remedy."""

from __future__ import annotations

import math
from dataclasses import fields
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shapes.collection.brief import Brief, brief_from, read_brief
from shapes.errors import InputError, Problem


def problems(table: dict[str, object]) -> list[str]:
    with pytest.raises(InputError) as caught:
        brief_from(table)
    return [str(p) for p in caught.value.problems]


def test_the_default_brief_stands() -> None:
    assert brief_from({}) == Brief()
    assert brief_from(Brief().as_table()) == Brief()


@pytest.mark.parametrize(
    ("table", "parts"),
    [
        ({"lenght": 400}, ["lenght", "no setting", "did you mean 'length'?"]),
        ({"length": -5}, ["length", "-5 is out of range", "120 to 1500 mm"]),
        ({"length": math.nan}, ["nan is out of range"]),
        ({"length": "twenty"}, ["is not a length", "120 to 1500 mm"]),
        ({"cutter": "20,5"}, ["decimal comma", "write 20.5"]),
        ({"thickness": True}, ["must be a number, not True"]),
        ({"count": 2.5}, ["must be a whole number, not 2.5"]),
        ({"species": "black wallnut"}, ["did you mean 'black walnut'?"]),
        ({"species": 7}, ["is no text"]),
        ({"forms": ["stoan"]}, ["unknown name 'stoan'", "did you mean 'stone'?"]),
        ({"handles": []}, ["no list of names"]),
        ({"asymmetry": "yes"}, ["neither true nor false"]),
        ({"round_over": 15}, ["more than the thickness", "0 to 10 mm"]),
        ({"neck_width": 41, "width": 80}, ["leaves no body", "up to 40 mm"]),
        ({"cutter": 12, "handles": ["cord-hole"]}, ["does not get into its 10 mm hole"]),
        (
            {"cutter": 20, "least_inside_radius": 5},
            ["less than a 20 mm cutter reaches", "10.50 to 60"],
        ),
        ({"handles": ["two-openings"], "width": 150}, ["needs a board of 420 x 220 mm"]),
        ({"forms": ["half-moon"], "handles": ["neck"]}, ["none of these handles suits"]),
        ({"weighed": {"mass": 1, "length": 600, "width": 160}}, ["weighed: thickness: is missing"]),
        ({"weighed": {"mass": 90, "length": 100, "width": 100, "thickness": 10}}, ["900000 kg/m3"]),
        ({"weighed": 3}, ["weighed: is no table", "settings: mass, length, width, thickness"]),
    ],
)
def test_what_is_wrong_is_said_with_its_place(table: dict[str, object], parts: list[str]) -> None:
    found = problems(table)
    assert len(found) == 1
    assert found[0].startswith("brief: ")
    for part in parts:
        assert part in found[0]


def test_every_problem_at_once() -> None:
    found = problems({"lenght": 1, "cutter": 99, "species": "balsa wood", "count": 0})
    assert len(found) == 4


def test_lengths_with_units() -> None:
    brief = brief_from({"cutter": "1/4 in", "length": "40 cm", "guide_bearing": "1/2 in"})
    assert (brief.cutter, brief.length, brief.guide_bearing) == (6.35, 400.0, 12.7)


def test_a_weighed_piece_gives_its_own_density() -> None:
    brief = brief_from({"weighed": {"mass": 1.42, "length": 600, "width": 160, "thickness": 26}})
    assert brief.density == pytest.approx(1.42 / (0.6 * 0.16 * 0.026))
    assert brief.band < Brief().band


def test_the_inside_radius_follows_the_bits() -> None:
    assert Brief().inside_radius == 12.0
    assert Brief(guide_bearing=30.0).inside_radius == pytest.approx(15.75)
    assert Brief(least_inside_radius=20.0).inside_radius == 20.0


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (None, "there is no such file"),
        (b"\xff\xfe\x00\x80", "is not text"),
        (b"length = ", "is no TOML"),
        (b"length = 1e400", "out of range"),
    ],
)
def test_files_that_cannot_be_read(tmp_path: Path, content: bytes | None, says: str) -> None:
    path = tmp_path / "a brief ä.toml"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(InputError, match=says):
        read_brief(path)
    with pytest.raises(InputError, match="is a folder"):
        read_brief(tmp_path)


@given(
    st.dictionaries(
        st.sampled_from([f.name for f in fields(Brief)]),
        st.one_of(
            st.none(),
            st.booleans(),
            st.floats(),
            st.text(max_size=8),
            st.lists(st.text(max_size=5), max_size=3),
            st.dictionaries(st.text(max_size=4), st.floats(), max_size=3),
        ),
        max_size=6,
    )
)
@example({"length": "\n"})
@example({"forms": ["a\nb"]})
@example({"species": "oak\n?"})
def test_no_value_ends_in_anything_but_a_brief_or_its_problems(table: dict[str, object]) -> None:
    found: tuple[Problem, ...] = ()
    try:
        assert brief_from(table).allowed
    except InputError as error:
        found = error.problems or (Problem("", "no problem was named\n"),)
    assert all("\n" not in str(p) for p in found)


@pytest.mark.parametrize(
    ("text", "kg"),
    [
        ("2 lb", 0.90718474),
        ("24 oz", 0.680388555),
        ("900 g", 0.9),
        ("1.2", 1.2),
        ("1 1/2 lbs", 0.680388555),
    ],
)
def test_masses_in_pounds_and_ounces(text: str, kg: float) -> None:
    """The international pound is 0.45359237 kg exactly (1959), an ounce a sixteenth of it."""
    assert brief_from({"max_mass": text}).max_mass == pytest.approx(kg, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "mm"), [("16 1/2 inches", 419.1), ("1.5 ft", 457.2), ('16"', 406.4)]
)
def test_lengths_as_they_are_written_in_inches(text: str, mm: float) -> None:
    brief = brief_from({"length": text})
    assert brief.length == pytest.approx(mm)
    assert brief.unit == "in"


def test_a_mass_that_is_none_and_a_maple_of_no_kind() -> None:
    with pytest.raises(InputError, match="is not a mass"):
        brief_from({"max_mass": "2 stone"})
    with pytest.raises(InputError, match="several kinds of maple"):
        brief_from({"species": "maple"})
    assert brief_from({"rings": "quarter sawn"}).rings == 80
    assert brief_from({"units": "in"}).unit == "in"


@pytest.mark.parametrize(
    ("mm", "says"),
    [(457.2, "18"), (252.4, "9 15/16"), (12.7, "1/2"), (19.05, "3/4"), (0.5, "0"), (25.0, "1")],
)
def test_inches_as_a_rule_shows_them(mm: float, says: str) -> None:
    from shapes.units import figure

    assert figure(mm, "in") == says


def test_a_small_board_has_a_thumbs_hole_only_where_it_is_asked_for() -> None:
    """From 400 mm on, our choice by eye: in a smaller board a 30 mm hole looks too large."""
    for length, there in ((399.5, False), (400.5, True)):
        handles = {h for _, h in Brief(length=length, width=205).allowed}
        assert ("thumb-hole" in handles) == there
        assert "cord-hole" in handles
    asked = Brief(length=300, width=180, handles=("thumb-hole",))
    assert {h for _, h in asked.allowed} == {"thumb-hole"}
    assert Brief(length=118, width=81).allowed  # too small for either

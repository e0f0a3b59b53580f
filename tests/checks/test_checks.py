"""Each check passes what it should and fails what it must."""

from __future__ import annotations

import json
import math
from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest
from shapes_of_known_size import Pen, ellipse, filleted_corner, slot

from shapes.checks import _QUICK, CHECKS, LOOSEN, SAYS, WARNS, passes, report
from shapes.checks.finding import Finding
from shapes.checks.looks import looks
from shapes.checks.subject import Limits, Subject
from shapes.collection.board import describe
from shapes.collection.brief import Brief
from shapes.errors import OutlineError
from shapes.geometry.curve import Curve, circle, polygon, spline
from shapes.geometry.outline import Outline, outline, transformed


def one(board: Outline, check: str, handle: str | None = None, **limits: object) -> list[Finding]:
    return CHECKS[check](Subject(board, Limits(**limits), handle=handle))  # type: ignore[arg-type]


def verdicts(found: list[Finding]) -> list[str]:
    return [f.verdict for f in found]


OVAL = outline(ellipse(190, 110))


def test_every_check_is_explained() -> None:
    assert set(SAYS) == set(CHECKS)
    assert all(text.endswith("?") for text in SAYS.values())
    assert set(_QUICK) < set(CHECKS)
    assert all(LOOSEN[n] and WARNS[n] for n in CHECKS)


def test_a_board_is_held_to_all_that_its_brief_says() -> None:
    """Each limit that a brief has a setting for is that setting, whatever it is."""
    shared = {f.name for f in fields(Limits)} & {f.name for f in fields(Brief)}
    assert shared >= {"length", "width", "max_mass", "cutter", "load", "jerk", "asymmetry"}
    plain = Brief()
    other: dict[str, Any] = {}
    for name in shared:
        value = getattr(plain, name)
        if isinstance(value, bool):
            other[name] = not value
        else:
            other[name] = 40.0 if value is None else round(float(value) * 1.05, 3)
    brief = replace(plain, **other)
    for name in shared:
        assert getattr(brief.limits(), name) == other[name], name


def test_size_as_it_lies_and_turned() -> None:
    assert verdicts(one(OVAL, "size", length=400.0, width=230.0)) == ["pass"]
    tilted = transformed(OVAL, math.radians(8))
    found = one(tilted, "size", length=380.5, width=220.5)
    assert verdicts(found) == ["pass"]
    assert "turned" in found[0].message
    found = one(OVAL, "size", length=370.0, width=230.0)
    assert verdicts(found) == ["fail"]
    assert "too long by 10.0 mm" in found[0].message
    assert verdicts(one(OVAL, "size")) == ["skip"]


@pytest.mark.parametrize(("cutter", "verdict"), [(5.7, "pass"), (6.1, "fail")])
def test_cutter_with_its_margin(cutter: float, verdict: str) -> None:
    """A right angle filleted with 3 takes 6.2414 mm; with 5 % margin up to 5.944."""
    found = one(filleted_corner(3.0), "cutter", cutter=cutter)
    assert verdicts(found) == [verdict]
    assert found[0].measured == pytest.approx(6.2414, abs=0.01)
    assert found[0].limit == pytest.approx(cutter * 1.05)


def test_cutter_tells_how_much_wood_stays_and_where() -> None:
    found = one(filleted_corner(3.0), "cutter", cutter=12.7)[0]
    assert "leaves 1.39 mm of wood" in found.message
    assert "ease inside corners to 6.7 mm radius" in found.message  # 12.7 x 1.05 / 2 = 6.67, up
    assert found.where[0] == pytest.approx((0.879, 0.879), abs=0.3)


def test_a_hollow_below_the_briefs_radius_fails_only_what_we_drew() -> None:
    board = filleted_corner(8.0)
    ours = one(board, "cutter", least_inside_radius=12.0, generated=True)
    theirs = one(board, "cutter", least_inside_radius=12.0)
    assert verdicts(ours) == ["pass", "fail"]
    assert verdicts(theirs) == ["pass", "warn"]


def test_a_bored_hole_is_not_held_to_the_radius_of_hollows() -> None:
    board = outline(ellipse(190, 110), [circle((150, 0), 5.0)])
    assert verdicts(one(board, "cutter", least_inside_radius=12.0)) == ["pass"]


def test_weight_in_its_three_bands_and_the_thickness_that_would_do() -> None:
    mass = Subject(OVAL, Limits()).mass
    assert verdicts(one(OVAL, "weight", max_mass=mass * 1.2)) == ["pass"]
    assert verdicts(one(OVAL, "weight", max_mass=mass * 1.05)) == ["warn"]
    found = one(OVAL, "weight", max_mass=mass * 0.8)
    assert verdicts(found) == ["fail"]
    thick = float(found[0].message.split(": ")[-1].split(" mm")[0])
    assert Subject(OVAL, Limits(thickness=thick)).mass == pytest.approx(mass * 0.8, rel=0.01)


def test_narrow_and_its_place() -> None:
    board = outline(ellipse(190, 110), [circle((0, 95), 9.0)])
    found = one(board, "narrow")
    assert verdicts(found) == ["fail"]
    assert found[0].measured == pytest.approx(6.0, abs=0.05)
    assert found[0].where[0] == pytest.approx((0, 107), abs=0.5)
    assert verdicts(one(OVAL, "narrow")) == ["pass"]


def test_sharp_follows_the_round_over() -> None:
    board = filleted_corner(20.0)  # outside corners of 10 mm radius
    assert verdicts(one(board, "sharp", round_over=7.5)) == ["pass"]
    found = one(board, "sharp", round_over=9.0)
    assert verdicts(found) == ["fail"]
    assert found[0].measured == pytest.approx(10.0, rel=1e-3)
    assert len(found[0].where) >= 1


def test_asymmetry_only_when_asked() -> None:
    assert verdicts(one(OVAL, "asymmetry")) == ["skip"]
    assert verdicts(one(OVAL, "asymmetry", asymmetry=True)) == ["warn"]
    assert verdicts(one(OVAL, "asymmetry", asymmetry=True, generated=True)) == ["fail"]


def paddle(width: float, length: float, angle_deg: float = 0.0) -> Outline:
    r, h = 90.0, width / 2
    x = math.sqrt(r * r - h * h)
    turn = 360 - 2 * math.degrees(math.asin(h / r))
    pen = Pen(x, h).arc(0, 0, turn).line(x + length, -h).arc(x + length, 0, 180)
    return transformed(outline(pen.close()), math.radians(angle_deg))


@pytest.mark.parametrize(
    ("angle", "verdict"), [(0, "pass"), (13, "pass"), (22, "warn"), (34, "fail"), (90, "fail")]
)
def test_grain_along_the_neck(angle: float, verdict: str) -> None:
    found = one(paddle(34, 120, angle), "grain")
    assert verdicts(found) == [verdict]
    assert found[0].measured == pytest.approx(angle, abs=1.0)
    if verdict == "fail":
        assert "short grain" in found[0].message


def test_grain_is_measured_from_the_grain() -> None:
    turned = Subject(paddle(34, 120, 34), Limits(), grain=math.radians(34))
    assert verdicts(CHECKS["grain"](turned)) == ["pass"]


@pytest.mark.parametrize(
    ("width", "length", "verdict"),
    [(34, 120, "pass"), (34, 60, "fail"), (24, 140, "fail"), (46, 140, "fail")],
)
def test_a_neck_fits_the_hand(width: float, length: float, verdict: str) -> None:
    assert verdicts(one(paddle(width, length), "handle", "neck", density=1500.0)) == [verdict]


def test_three_fingers_do_for_a_light_board() -> None:
    board = paddle(34, 80)
    assert verdicts(one(board, "handle", "neck", density=600.0)) == ["pass"]
    assert verdicts(one(board, "handle", "neck", density=2500.0)) == ["fail"]


def test_a_thin_board_wants_a_broader_neck() -> None:
    board = paddle(30, 130)
    assert verdicts(one(board, "handle", "neck", thickness=20.0)) == ["pass"]
    assert verdicts(one(board, "handle", "neck", thickness=16.0)) == ["fail"]


def test_a_stated_width_of_neck_is_asked_for() -> None:
    assert verdicts(one(paddle(36, 130), "handle", "neck", neck_width=33.0)) == ["pass"]
    assert verdicts(one(paddle(40, 130), "handle", "neck", neck_width=30.0)) == ["fail"]


SLAB: Curve = (
    Pen(-190, -100)
    .line(190, -100)
    .arc(190, -80, 90)
    .line(210, 80)
    .arc(190, 80, 90)
    .line(-190, 100)
    .arc(-190, 80, 90)
    .line(-210, -80)
    .arc(-190, -80, 90)
    .close()
)


@pytest.mark.parametrize(
    ("height", "straight", "bar", "verdict"),
    [
        (40, 80, 28, "pass"),
        (34, 90, 28, "fail"),
        (40, 70, 28, "fail"),
        (40, 80, 17, "fail"),
        (40, 80, 44, "fail"),
    ],
)
def test_a_hand_opening_along_the_grain(
    height: float, straight: float, bar: float, verdict: str
) -> None:
    board = outline(SLAB, [slot(height, straight, 0, -100 + bar + height / 2)])
    assert set(verdicts(one(board, "handle", "opening"))) == {verdict}


@pytest.mark.parametrize(("bar", "verdict"), [(34, "pass"), (28, "fail")])
def test_a_level_bar_is_across_where_the_grain_is_upright(bar: float, verdict: str) -> None:
    """20 to 35 mm along the grain, 30 to 40 across: it is the grain that says which."""
    board = outline(SLAB, [slot(40, 80, 0, -100 + bar + 20)])
    found = CHECKS["handle"](Subject(board, Limits(), handle="opening", grain=math.pi / 2))
    assert found[0].verdict == verdict
    level = "fail" if verdict == "pass" else "pass"  # along the grain 34 is too stout, 28 is not
    assert one(board, "handle", "opening")[0].verdict == level


@pytest.mark.parametrize(("bar", "verdict"), [(34, "pass"), (24, "fail")])
def test_a_bar_across_the_grain_is_stouter(bar: float, verdict: str) -> None:
    upright = transformed(outline(slot(40, 80)), math.pi / 2, 1.0, (210 - bar - 20, 0)).edge
    board = outline(SLAB, [upright])
    assert set(verdicts(one(board, "handle", "opening"))) == {verdict}


def test_two_openings_are_two() -> None:
    board = outline(SLAB, [slot(40, 80, 0, -52)])
    found = one(board, "handle", "two-openings")
    assert "fail" in verdicts(found)
    assert any("1 openings where 2 are wanted" in f.message for f in found)


@pytest.mark.parametrize(("rim", "verdict"), [(20, "pass"), (15, "fail"), (30, "fail")])
def test_a_thumb_hole(rim: float, verdict: str) -> None:
    board = outline(SLAB, [circle((0, 100 - rim - 16), 16.0)])
    assert verdicts(one(board, "handle", "thumb-hole")) == [verdict]


@pytest.mark.parametrize(("rim", "verdict"), [(14, "pass"), (11, "fail"), (60, "pass")])
def test_a_cord_hole(rim: float, verdict: str) -> None:
    board = outline(SLAB, [circle((0, 100 - rim - 5), 5.0)])
    assert verdicts(one(board, "handle", "cord-hole")) == [verdict]


@pytest.mark.parametrize(
    ("across", "rim", "verdict"),
    [
        (62.0, 25.0, "pass"),
        (59.5, 25.0, "fail"),
        (68.5, 25.0, "fail"),
        (62.0, 21.5, "fail"),
        (62.0, 30.5, "fail"),
    ],
)
def test_a_ring(across: float, rim: float, verdict: str) -> None:
    board = outline(SLAB, [circle((0, 100 - rim - across / 2), across / 2)])
    assert verdicts(one(board, "handle", "ring")) == [verdict]


def test_the_rim_of_a_large_hole_may_be_wider_before_the_hole_floats() -> None:
    """Of a disc: a hole of 62 mm with 27 mm of wood round it stands in its end, one of 20 floats."""

    def off(across: float, rim: float) -> float:
        disc = circle((0, 0), across / 2 + rim)
        board = outline(disc, [circle((0, 0), across / 2)])
        return looks(Subject(board, Limits())).hole_off

    assert off(62.0, 27.0) == pytest.approx(0.0, abs=0.1)
    assert off(20.0, 27.0) == pytest.approx(3.0, abs=0.1)
    assert off(62.0, 30.9) == pytest.approx(3.0, abs=0.1)


def test_no_handle_wants_a_round_over_to_lift_by() -> None:
    assert verdicts(one(OVAL, "handle", "none", round_over=6.0)) == ["pass"]
    assert verdicts(one(OVAL, "handle", "none", round_over=3.0)) == ["warn"]


def test_without_a_recipe_the_handle_is_inferred() -> None:
    assert one(paddle(34, 120), "handle")[0].verdict == "pass"
    assert one(outline(SLAB, [slot(40, 80, 0, -52)]), "handle")[0].verdict == "pass"
    found = one(OVAL, "handle")
    assert verdicts(found) == ["skip"]
    assert found[0].message == "no handle found"


def test_the_object_holds_no_nan_and_no_infinity() -> None:
    for board in (OVAL, paddle(34, 120), filleted_corner(3.0)):
        s = Subject(board, Limits(max_mass=1.0, length=500.0, width=300.0))
        found = report(s)
        text = json.dumps(describe("x", s, found), allow_nan=False)
        back = json.loads(text)
        assert back["passes"] == passes(found)
        assert back["schema"] == 1
    assert describe("x", Subject(OVAL, Limits()), [])["largest_cutter_mm"] is None
    assert describe("x", Subject(OVAL, Limits()), [])["outline"]["least_inside_radius_mm"] is None


def test_an_outline_that_crosses_itself_is_refused() -> None:
    with pytest.raises(OutlineError):
        outline(spline(np.array([(0, 0), (200, 200), (200, 0), (0, 200), (-50, 100)], float)))


def test_a_hanging_hole_beside_a_hand_opening_is_not_held_to_a_hands_size() -> None:
    box = polygon([(0, 0), (420, 0), (420, 240), (0, 240)])
    holes = [slot(40.0, 80.0, 210.0, 208.0), circle((400, 40), 5.0)]
    found = one(outline(box, holes), "handle")
    assert all("10 mm long" not in f.message for f in found)


def test_sharp_tells_the_places_of_corners() -> None:
    box = polygon([(0, 0), (420, 0), (420, 240), (0, 240)])
    (found,) = one(outline(box), "sharp")
    assert set(found.where) == {(0.0, 0.0), (420.0, 0.0), (420.0, 240.0), (0.0, 240.0)}
    assert "4 outward corners with no radius" in found.message

"""Round-over: the flat for the second bearing, the bearing's reach, narrow wood and openings."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapes_of_known_size import filleted_corner, notched, slot

from shapes.checks import round_over
from shapes.checks.finding import FAIL, PASS, SKIP, WARN
from shapes.checks.subject import Limits, Subject
from shapes.geometry.curve import circle, polygon
from shapes.geometry.outline import outline

BOX = [(-100.0, -70.0), (100.0, -70.0), (100.0, 70.0), (-100.0, 70.0)]
LIMITS = Limits(thickness=20.0, round_over=6.0, guide_bearing=12.7)


def verdicts(s: Subject) -> list[str]:
    return [f.verdict for f in round_over.check(s)]


@pytest.mark.parametrize(
    ("thickness", "verdict"),
    [(20.0, PASS), (17.0, PASS), (16.9, WARN), (15.0, WARN), (14.9, FAIL), (12.0, FAIL)],
)
def test_the_flat_is_the_thickness_less_both_radii(thickness: float, verdict: str) -> None:
    """12 mm of two 6 mm round-overs: 5 mm wanted, never under 3 (common practice)."""
    s = Subject(outline(polygon(BOX)), replace(LIMITS, thickness=thickness))
    (found,) = round_over.check(s)
    assert found.verdict == verdict
    assert found.measured == pytest.approx(thickness - 12)
    if verdict == FAIL:
        said = float(found.message.split("works everywhere is ")[1].split(" mm")[0])
        assert (thickness - 3) / 2 - 0.1 < said <= (thickness - 3) / 2, "never more than is true"


@pytest.mark.parametrize(("radius", "verdict"), [(7.0, PASS), (6.4, PASS), (5.0, FAIL)])
def test_the_bearing_follows_hollows_no_tighter_than_itself(radius: float, verdict: str) -> None:
    found = round_over.check(Subject(filleted_corner(radius), LIMITS))
    assert found[0].verdict == verdict
    if verdict == FAIL:
        assert len(found[0].where) == 1
        assert found[0].measured == pytest.approx(2 * radius + 0.241, abs=0.03)


def test_holes_too_small_for_the_bearing_are_countersunk() -> None:
    s = Subject(outline(polygon(BOX), [circle((0, 0), 7.0)]), LIMITS)
    assert verdicts(s) == [PASS, SKIP]
    assert "countersink" in round_over.check(s)[1].message
    assert verdicts(Subject(outline(polygon(BOX), [circle((0, 0), 14.0)]), LIMITS)) == [PASS]


def test_openings_narrower_than_the_bits_body_warn() -> None:
    s = Subject(outline(polygon(BOX), [slot(20.0, 80.0)]), LIMITS)
    assert verdicts(s) == [WARN]
    assert "grabs" in round_over.check(s)[0].message
    assert verdicts(Subject(outline(polygon(BOX), [slot(25.0, 80.0)]), LIMITS)) == [PASS]


def test_inlets_narrower_than_the_bits_body_warn() -> None:
    found = [
        f for f in round_over.check(Subject(notched(18.0, 90.0), LIMITS)) if "grabs" in f.message
    ]
    assert [f.verdict for f in found] == [WARN]
    for just in (12.7, 12.701, 12.75):  # an inlet that the bearing just enters is one that grabs
        verdict = [f.message for f in round_over.check(Subject(notched(just, 90.0), LIMITS))]
        assert any(
            "grabs" in m or "guide bearing does" in m or "guide bearing stays" in m for m in verdict
        ), just
    wide = round_over.check(Subject(notched(26.0, 90.0), LIMITS))
    assert all("grabs" not in f.message for f in wide)


def test_round_overs_that_meet_in_a_ridge_warn() -> None:
    s = Subject(
        outline(polygon(BOX), [slot(40.0, 80.0, 0.0, 40.0)]), replace(LIMITS, thickness=22.0)
    )
    found = [f for f in round_over.check(s) if "ridge" in f.message]
    assert found[0].measured == pytest.approx(10.0, abs=0.1)
    assert "take 4.5 mm or less" in found[0].message


def test_no_round_over_no_question() -> None:
    assert verdicts(Subject(outline(polygon(BOX)), replace(LIMITS, round_over=0.0))) == [SKIP]

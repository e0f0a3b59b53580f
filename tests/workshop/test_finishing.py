"""The finishing plan: areas against closed forms, quantities, order, a maker's own steps, dates."""

from __future__ import annotations

import math
from datetime import date

import pytest

from shapes.collection.board import DrawnBoard, full_report
from shapes.collection.brief import Brief
from shapes.errors import InputError
from shapes.geometry.curve import circle, polygon
from shapes.geometry.outline import Outline, outline
from shapes.timber.surface import Areas, oil_ml
from shapes.workshop.finishing import cured_on, plan, standard_steps, steps_from

ALL = ("tabs", "round-over", "skimmed", "engraving", "print")


def areas(shape: Outline, **settings: float) -> Areas:
    return full_report(DrawnBoard(Brief(**settings), shape, "one")).areas()  # type: ignore[arg-type]


def test_areas_of_a_disc_by_pappus() -> None:
    """Two faces of R - r; a rim of t - 2r; two quarter rounds: area of the torus part by Pappus."""
    big, r, t = 100.0, 6.0, 20.0
    made = areas(outline(circle((0, 0), big)), thickness=t, round_over=r)
    centroid = r * (1 - 2 / math.pi)  # of a quarter circle's line, from the side
    rim = 2 * (math.pi / 2 * r) * math.tau * (big - centroid)
    assert made.faces == pytest.approx(2e-6 * math.pi * (big - r) ** 2, rel=1e-3)
    assert made.square_edge == pytest.approx(1e-6 * math.tau * big * t, rel=1e-6)
    assert made.edge == pytest.approx(1e-6 * math.tau * big * (t - 2 * r), rel=1e-3)
    assert made.round_over == pytest.approx(1e-6 * rim, rel=1e-3)
    assert made.end_grain == pytest.approx((made.edge + made.round_over) / 2, rel=0.01)


def test_end_grain_of_a_rectangle_is_its_ends() -> None:
    box = outline(polygon([(-150, -60), (150, -60), (150, 60), (-150, 60)]))
    made = areas(box, round_over=0.0)
    assert made.end_grain == pytest.approx(1e-6 * 2 * 120 * 20, rel=5e-3)
    assert made.total == pytest.approx(1e-6 * (2 * 300 * 120 + 2 * 420 * 20), rel=1e-6)


def test_end_grain_takes_more_oil() -> None:
    """2 to 3 times, from memory; 2.5 here."""
    plain, thirsty = Areas(0.1, 0.02, 0.01, 0.0), Areas(0.1, 0.02, 0.01, 0.01)
    assert oil_ml(plain, 40, 30) == pytest.approx((5.2, 3.9))
    assert oil_ml(thirsty, 40, 30)[0] - 5.2 == pytest.approx(1.5 * 0.01 * 40)


def lines(holds: tuple[str, ...]) -> list[str]:
    made = plan(
        standard_steps(),
        Areas(0.1, 0.02, 0.01, 0.01),
        holds,
        round_over=6,
        hours_between=12,
        cure_days=21,
    )
    return [s.text for s in made]


def test_the_order_of_the_bench() -> None:
    """Tabs, edge, round-over; sanding; engraving; oil; print last, after an adhesion test."""
    words = [
        "tabs",
        "Sand the edge 120",
        "Round over",
        "faces 80",
        "120, then 180",
        "Damp",
        "Sand 240",
        "Engrave the bare",
        "light 240",
        "scrap first",
        "First coat",
        "Second coat",
        "cure fully",
    ]
    made = lines(ALL)
    places = [next(i for i, text in enumerate(made) if word in text) for word in words]
    assert places == sorted(places)
    assert len(made) == len(words)


def test_steps_that_do_not_apply_are_left_out() -> None:
    assert not any("Engrave" in t or "scrap" in t or "faces 80" in t for t in lines(("tabs",)))


def test_every_step_has_its_source() -> None:
    assert all(step.source for step in standard_steps())


def test_waiting_comes_from_the_tin() -> None:
    made = plan(
        standard_steps(), Areas(0.1, 0, 0, 0), (), round_over=0, hours_between=4, cure_days=5
    )
    waits = {s.text.split(":")[0]: s.wait_hours for s in made}
    assert next(v for k, v in waits.items() if "First coat" in k) == 4
    assert max(waits.values()) == 5 * 24


def test_the_date_of_cure_is_rounded_up() -> None:
    assert cured_on(date(2026, 2, 20), 20.5) == date(2026, 3, 13)
    assert cured_on(date(2026, 2, 20), 21) == date(2026, 3, 13)


def test_a_makers_own_steps() -> None:
    made = steps_from([{"do": "Wax it", "minutes": 3, "coat": 1}], "mine")
    assert made[0].source == "the maker's own"
    assert (
        plan(made, Areas(1, 0, 0, 0), (), round_over=6, hours_between=1, cure_days=1)[0].minutes
        == 3
    )


def test_wrong_steps_are_told_all_at_once() -> None:
    with pytest.raises(InputError) as caught:
        steps_from(
            [
                {"do": ""},
                {"do": "x", "minuts": 3},
                {"do": "x", "grit": 9},
                {"do": "x", "hours": "long", "when": "never"},
            ],
            "mine",
        )
    text = str(caught.value).splitlines()
    assert text == [
        "mine 1: do: '' is empty; 1 to 500 characters",
        "mine 2: minuts: is no setting here; did you mean 'minutes'?",
        "mine 3: grit: 9 is out of range; allowed 40 to 600; grit of the paper",
        (
            "mine 4: when: 'never' is not known; tabs, skin, round-over, skimmed, engraving, print;"
            " did you mean 'round-over'?"
        ),
        "mine 4: hours: must be a number, not 'long'; allowed 0 to 240 h; hours to wait",
    ]

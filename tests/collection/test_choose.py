"""What is chosen of a pool: shares, distances, and looks only after them."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

from shapes.collection.board import Report
from shapes.collection.brief import Brief, read_brief
from shapes.collection.choose import BEST, LEAST_SEVERAL, MORE, choose
from shapes.collection.generate import Collection, DrawnAgain, generate
from shapes.collection.pool import AtRandom, Candidate, Pool, board_of, draw_pool, nothing_like
from shapes.collection.shares import LIVELY, kind
from shapes.geometry.overlap import Likeness, asymmetry, difference, differences, exact_difference

PRESETS = Path(__file__).parents[2] / "presets"
SEED = 1


def preset(name: str) -> AtRandom:
    return AtRandom(read_brief(PRESETS / f"{name}.toml"))


@pytest.fixture(scope="module")
def source() -> AtRandom:
    return preset("cheese-board")


@pytest.fixture(scope="module")
def pool(source: AtRandom) -> Pool:
    return draw_pool(source, SEED, 240, jobs=2)


@pytest.fixture(scope="module")
def sheet(source: AtRandom) -> Collection:
    return generate(source, SEED, 12, jobs=2)


def test_a_table_of_differences_holds_each_pairs_own(pool: Pool) -> None:
    likes = [nothing_like(c) for c in pool.candidates[:19]]  # blocks of eight, and three more
    table = differences(likes)
    for i, one in enumerate(likes):
        row = difference(one, likes)
        row[i] = 0.0
        assert table[i] == pytest.approx(row, abs=1e-6)


def test_a_sheet_of_several_forms_lies_apart_and_is_lively(sheet: Collection) -> None:
    """By GEOS, not by the quick measure that chose."""
    likes = [r.subject.likeness for r in sheet.reports]
    assert min(exact_difference(a, b) for a, b in combinations(likes, 2)) >= LEAST_SEVERAL
    assert float(np.median([asymmetry(one) for one in likes])) >= 0.10


@pytest.mark.parametrize(("name", "seed"), [("hanging-boards", 5), ("cheese-board", 3)])
def test_more_than_half_are_lively_by_the_full_measure(name: str, seed: int) -> None:
    """By the quick one alone these two sheets have five and six that are."""
    made = generate(preset(name), seed, 12, jobs=2)
    assert sum(asymmetry(r.subject.likeness) >= LIVELY for r in made.reports) > 6


def test_shares_hold_where_there_is_enough(sheet: Collection) -> None:
    forms = Counter(r.board.form for r in sheet.reports)
    assert max(forms.values()) <= 3  # eight forms: an even two at most and one more
    assert set(forms) == set(sheet.brief.forms)
    # Satchels alone come with an opening: of the others ten at most are held by the thumb.
    assert 2 <= Counter(kind(r.board.handle) for r in sheet.reports)["opening"] <= 3


class Asked:
    """Notes whose reports are asked for."""

    def __init__(self, source: AtRandom, failing: int = 0) -> None:
        """Have the first ``failing`` fail."""
        self.again = DrawnAgain(source, SEED)
        self.asked: list[Candidate] = []
        self.failing = failing

    def __call__(self, candidate: Candidate, /) -> Report | None:
        """Note it, and return its report."""
        self.asked.append(candidate)
        return self.again(candidate) if len(self.asked) > self.failing else None

    def likeness(self, candidate: Candidate, /) -> Likeness:
        """Return what it is compared by."""
        return self.again.likeness(candidate)


def test_the_median_of_what_is_chosen_looks_no_worse_than_the_pool(
    source: AtRandom, pool: Pool, sheet: Collection
) -> None:
    points = {}
    for c in pool.candidates:
        genes = board_of(source, SEED, c.index, c.attempt).genes
        points[genes] = c.points
    chosen = [points[b.genes] for b in sheet.boards]
    assert np.median(chosen) <= np.median(list(points.values()))


def test_of_one_board_the_best_looking_is_taken(source: AtRandom, pool: Pool) -> None:
    accept = Asked(source)
    (only,) = choose(pool.candidates, 1, [], accept)
    best = min(pool.candidates, key=lambda c: c.points)
    assert only.board.form == best.form
    assert accept.asked == [best]


def test_what_fails_its_report_is_left_out_and_another_taken(source: AtRandom, pool: Pool) -> None:
    accept = Asked(source, failing=3)
    made = choose(pool.candidates, 6, [], accept)
    assert len(made) == 6
    assert len({c.index for c in accept.asked}) == len(accept.asked) >= 9  # none is asked again
    failed = {board_of(source, SEED, c.index, c.attempt).genes for c in accept.asked[:3]}
    assert not failed & {r.board.genes for r in made}  # type: ignore[union-attr]


def test_what_lies_too_near_is_left_out_before_its_report_is_made(source: AtRandom) -> None:
    """A report is ten times the work of a likeness: boards of one form took a minute."""
    one = AtRandom(replace(source.brief, forms=("willow",)))
    accept = Asked(one)
    pool = draw_pool(one, SEED, 120, jobs=2)
    assert len(choose(pool.candidates, 12, [], accept)) == 12
    assert len(accept.asked) <= 24


def test_boards_that_are_finished_otherwise_than_drawn_are_measured_as_finished(
    source: AtRandom, pool: Pool
) -> None:
    """For a piece a board is made larger once it is chosen; here each is drawn quite otherwise."""
    willows = AtRandom(replace(source.brief, forms=("willow",)))
    some = draw_pool(willows, SEED, 60, jobs=2).candidates
    others = [DrawnAgain(source, SEED).likeness(c) for c in pool.candidates]

    class Finished(Asked):
        """Draws otherwise than it finishes."""

        def likeness(self, candidate: Candidate, /) -> Likeness:
            """Return what another board is compared by."""
            return others[some.index(candidate)]

    def least(accept: Asked) -> float:
        likes = [r.subject.likeness for r in choose(some, 6, [], accept)]
        assert len(likes) == 6
        return min(exact_difference(a, b) for a, b in combinations(likes, 2))

    assert least(Finished(willows)) >= 0.95 * least(Asked(willows))


def test_new_boards_keep_away_from_those_that_stay(source: AtRandom, pool: Pool) -> None:
    accept = Asked(source)
    stays = choose(pool.candidates, 4, [], accept)
    new = choose(pool.candidates, 4, stays, accept)
    near = [exact_difference(a.subject.likeness, b.subject.likeness) for a in stays for b in new]
    assert min(near) >= 0.08
    assert max(Counter(r.board.form for r in [*stays, *new]).values()) <= math.ceil(8 / 8) + 1


def test_what_stays_may_be_all_of_one_form(source: AtRandom, pool: Pool) -> None:
    accept = Asked(source)
    willows = [c for c in pool.candidates if c.form == "willow"][:6]
    stays = [r for c in willows if (r := accept(c)) is not None]
    new = choose(pool.candidates, 3, stays, accept)
    assert len(new) == 3
    assert "willow" not in {r.board.form for r in new}


def test_more_than_stand_is_never_given_and_none_twice(source: AtRandom, pool: Pool) -> None:
    few = pool.candidates[:5]
    found = choose(few, 9, [], Asked(source))
    assert len(found) <= 5
    assert len({id(r.board) for r in found}) == len(found)
    assert choose([], 3, [], Asked(source)) == []
    assert BEST < MORE < 1


def test_one_form_of_near_copies_still_gives_its_dozen() -> None:
    """Level trays of one brief differ by 0.01 to 0.1: however near, twelve are found."""
    brief = replace(preset("two-handed-tray").brief, forms=("tray",))
    made = generate(AtRandom(brief), 176, 12, jobs=2)
    assert len(made.reports) == 12


def test_a_brief_without_forms_reaches_what_is_aimed_at() -> None:
    made = generate(AtRandom(Brief()), 5, 12, jobs=2)
    assert made.least_difference >= 0.97 * LEAST_SEVERAL

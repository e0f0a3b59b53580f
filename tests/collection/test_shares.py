"""How many boards of a kind a collection may have: counted by taking them one after the other."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from shapes.collection.brief import read_brief
from shapes.collection.pool import AtRandom, Candidate, draw_pool
from shapes.collection.shares import Shares, kind

PRESETS = Path(__file__).parents[2] / "presets"


@pytest.fixture(scope="module")
def candidates() -> list[Candidate]:
    """Eight forms; satchels alone come with an opening, and with nothing else."""
    source = AtRandom(read_brief(PRESETS / "cheese-board.toml"))
    return draw_pool(source, 1, 240, jobs=2).candidates


def taken(candidates: list[Candidate], of: Callable[[Candidate], bool]) -> int:
    """Take as many as are allowed of those named, of twelve in all."""
    shares, count = Shares.of(candidates, 12, []), 0
    lively = ~shares.dull
    while True:
        may = shares.allow() & lively & [of(c) for c in candidates]
        if not may.any():
            return count
        i = int(np.flatnonzero(may)[0])
        shares.take(i)
        lively[i] = False
        count += 1


@pytest.mark.parametrize("form", ["willow", "mussel", "scoop"])
def test_one_form_has_an_even_share_and_one_more(candidates: list[Candidate], form: str) -> None:
    assert taken(candidates, lambda c: c.form == form) == 3  # twelve of eight forms: two, and one


def test_one_kind_of_handle_leaves_the_others_their_even_share(candidates: list[Candidate]) -> None:
    """Seven forms come with a hole for the thumb alone: two of twelve are left to satchels."""
    assert taken(candidates, lambda c: kind(c.handle) == "thumb-hole") == 10


def test_what_is_given_back_may_be_taken_again(candidates: list[Candidate]) -> None:
    shares = Shares.of(candidates, 12, [])
    willows = [i for i, c in enumerate(candidates) if c.form == "willow"][:3]
    for i in willows:
        shares.take(i)
    assert not shares.allow()[willows].any()
    shares.take(willows[0], -1)
    assert shares.allow()[willows].all()

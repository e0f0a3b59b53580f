"""Rounds upon rounds.

By what was said, between two, near one, and of the piece that they were drawn for.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from shapes.errors import InputError
from shapes.folders.bench import Bench
from shapes.library.presets import read_brief
from shapes.page import begin, liking, wall
from shapes.page.opened import Opened


@pytest.fixture
def opened(collection_folder: Path, tmp_path: Path) -> Opened:
    shutil.copytree(collection_folder, tmp_path / "boards")
    return Opened(tmp_path)


def test_more_is_drawn_for_the_piece_as_the_first_was(tmp_path: Path) -> None:
    opened = Opened(tmp_path)
    brief = {**read_brief("hanging-boards").as_table(), "count": 2}
    made = begin.generate(
        opened,
        {"brief": brief, "name": "From the end", "piece": "walnut-end", "sized": True, "seed": 5},
    )
    assert made == {"folder": "From-the-end"}
    bench = Bench(tmp_path / "From-the-end")
    keys = bench.every_key()
    assert [bench.board(k).brief.species for k in keys] == ["black walnut"] * 2
    wall.say(opened, {"folder": "From-the-end", "key": keys[0], "say": "keep"})
    wall.say(opened, {"folder": "From-the-end", "key": keys[1], "say": "aside"})
    wall.more(opened, {"folder": "From-the-end", "seed": 6})
    assert all(bench.board(k).at is not None for k in bench.every_key())
    with pytest.raises(InputError, match="already"):
        begin.generate(opened, {"brief": brief, "name": "From the end"})


def test_between_two_of_one_form_lies_between_them(opened: Opened) -> None:
    bench = Bench(opened.root / "boards")
    boards = {k: bench.board(k) for k in bench.every_key()}
    pairs = [(a, b) for a in boards for b in boards if a < b and boards[a].form == boards[b].form]
    one, other = max(
        pairs,
        key=lambda p: abs(
            boards[p[0]].sketch.edge[:, 0].max() - boards[p[1]].sketch.edge[:, 0].max()
        ),
    )
    made = wall.between(opened, {"folder": "boards", "keys": [one, other], "count": 3, "seed": 4})
    new = [bench.board(k) for k in dict(bench.rounds())[made["round"]]]
    assert {b.form for b in new} == {boards[one].form}
    ends = sorted(boards[k].genes.row.box[0] for k in (one, other))  # type: ignore[union-attr]
    assert all(ends[0] - 1 <= b.genes.row.box[0] <= ends[1] + 1 for b in new if b.genes)
    for keys in ([one], [one, one], "both", [one, "nowhere"]):
        with pytest.raises(InputError):
            wall.between(opened, {"folder": "boards", "keys": keys})


def test_a_damaged_or_odd_taste_hinders_nothing_else(opened: Opened) -> None:
    bench = Bench(opened.root / "boards")
    wall.say(opened, {"folder": "boards", "key": bench.every_key()[0], "say": "keep"})
    taste = liking.taste(opened, {"folder": "boards"})["taste"]
    for name, value in (
        ("weight", 1e19),
        ("spread", 1e-300),
        ("middle", float("inf")),
        ("doubt", 0),
    ):
        spoilt = {
            **taste,
            "measures": {m: {**row, name: value} for m, row in taste["measures"].items()},
        }
        with pytest.raises(InputError, match="taste"):
            liking.forget(opened, {"folder": "boards", "taste": spoilt})
    liking.forget(opened, {"folder": "boards", "taste": taste})
    (bench.place / "taste.json").write_text("{", encoding="utf-8")
    told = wall.wall(opened, {"folder": "boards"})
    assert len(told["rounds"][0]["boards"]) == 12
    assert "damaged" in told["taste"]
    assert liking.forget(opened, {"folder": "boards"})["taste"]["brought"] is False

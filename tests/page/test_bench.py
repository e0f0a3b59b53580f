"""A bench holds what a maker says and shapes: whole, side by side, and nothing of it is lost."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from shapes.cli.app import run
from shapes.collection.board import Board
from shapes.collection.draw import draw
from shapes.errors import InputError
from shapes.files.recipe import read_recipe, write_recipe
from shapes.folders.bench import Bench, ChangedError
from shapes.folders.choice import ASIDE, KEEP
from shapes.library.drawing import vary
from shapes.page import laying, shaping


@pytest.fixture
def bench(collection_folder: Path, tmp_path: Path) -> Bench:
    shutil.copytree(collection_folder, tmp_path / "boards")
    return Bench(tmp_path / "boards")


def test_opinions_are_kept_beside_one_another(bench: Bench) -> None:
    one, other, third = bench.every_key()[:3]
    bench.say(one, KEEP)
    bench.say(other, ASIDE)
    assert bench.choice().orders == (
        (one, 1),
    )  # one of what is kept is made, unless it is said otherwise
    Bench(bench.folder).say(third, KEEP)
    bench.order(third, 7)
    bench.say(one, "")
    assert Bench(bench.folder).choice().opinions == {other: ASIDE, third: KEEP}
    assert Bench(bench.folder).choice().orders == (
        (third, 7),
    )  # what was kept and taken back is not made


SAYS = """
import sys
import time
from pathlib import Path
from shapes.folders.bench import Bench
bench = Bench(Path(sys.argv[1]))
read = Bench.choice
def slowly(self):
    made = read(self)
    time.sleep(0.03)  # time enough for the other to write meanwhile, were it let
    return made
Bench.choice = slowly
for key in sys.argv[2:]:
    bench.say(key, "keep")
"""


def test_two_processes_at_once_lose_no_word(bench: Bench) -> None:
    keys = bench.every_key()
    runs = [
        subprocess.Popen([sys.executable, "-c", SAYS, str(bench.folder), *keys[i::2]])
        for i in (0, 1)
    ]
    assert [run.wait() for run in runs] == [0, 0]
    assert bench.choice().opinions == dict.fromkeys(keys, KEEP)


def test_a_damaged_choice_is_refused_and_stays(bench: Bench) -> None:
    bench.say(bench.every_key()[0], KEEP)
    path = bench.place / "choice.json"
    path.write_text("{", encoding="utf-8")
    with pytest.raises(InputError, match="damaged"):
        bench.say(bench.every_key()[1], KEEP)
    assert path.read_text(encoding="utf-8") == "{"


@pytest.mark.parametrize("key", ["..", "../boards", "/etc", "nowhere", "", "a\x00b", "bench/../x"])
def test_keys_that_are_none_lead_nowhere(bench: Bench, key: str) -> None:
    with pytest.raises(InputError, match="not in this folder"):
        bench.path(key)


def test_a_link_that_leads_out_is_not_followed(bench: Bench, tmp_path: Path) -> None:
    key = bench.every_key()[0]
    shutil.move(bench.folder / key, tmp_path / "elsewhere")
    (bench.folder / key).symlink_to(tmp_path / "elsewhere")
    with pytest.raises(InputError, match="leads out"):
        bench.path(key)


def test_drafts_are_undone_redone_and_fork(bench: Bench) -> None:
    key = bench.every_key()[0]
    draft = bench.begin(key)
    assert bench.begin(key).id == draft.id  # untouched, so it is the same
    one = bench.step(
        draft.id, 0, "one", shaping.touch(draft.board, {"set": {"thickness": 21}}).board
    )
    two = bench.step(draft.id, 1, "two", shaping.touch(one.board, {"set": {"thickness": 23}}).board)
    assert (two.id, two.at, two.board.brief.thickness) == (draft.id, 2, 23)
    assert bench.stand(draft.id, 1).board.brief.thickness == 21
    assert bench.stand(draft.id, 2).board.brief.thickness == 23
    # Somebody who still sees step 1 goes on in a draft of their own; this one stays.
    other = bench.step(
        draft.id, 1, "other", shaping.touch(one.board, {"set": {"thickness": 25}}).board
    )
    assert other.id != draft.id
    assert other.board.brief.thickness == 25
    assert Bench(bench.folder).draft(draft.id).board.brief.thickness == 23
    assert set(bench.drafts()) == {draft.id, other.id}
    assert bench.begin(key).id not in (draft.id, other.id)
    bench.stand(draft.id, 0)
    again = bench.step(
        draft.id, 0, "anew", shaping.touch(draft.board, {"set": {"thickness": 20.5}}).board
    )
    assert [what for _, what in again.steps] == ["as it was", "anew"]
    with pytest.raises(ChangedError):
        bench.step(draft.id, 9, "late", again.board)


def test_a_kept_draft_is_a_board_like_any_other(bench: Bench, tmp_path: Path) -> None:
    key = bench.every_key()[1]
    draft = bench.begin(key)
    part = shaping.drawn(draft.board, shaping.reported(draft.board))["parts"][0]
    to = [part["at"][0] + 3 * part["out"][0], part["at"][1] + 3 * part["out"][1]]
    touched = shaping.touch(draft.board, {"pull": {"from": part["at"], "to": to}})
    bench.step(draft.id, 0, touched.what, touched.board)
    kept, report = bench.keep_draft(draft.id)
    again, _ = bench.keep_draft(draft.id)
    assert kept != again
    board = bench.board(kept)
    assert board.name != read_recipe(bench.folder / key / "board.toml").name
    path = bench.path(kept)
    assert {p.name for p in path.iterdir()} == {
        "board.toml",
        "figures.json",
        "cut.dxf",
        "cut.svg",
        "setting-out.dxf",
    }
    assert (path / "board.toml").read_bytes() == write_recipe(board)
    # Its recipe draws it again, to the last digit; closing its row once more moves it as little as
    # any board.
    assert board.genes is not None
    assert (draw(board.genes).edge == board.sketch.edge).all()
    (same,) = vary(board, 1, 0).boards
    assert same.sketch.edge == pytest.approx(board.sketch.edge, abs=1e-3)
    # It is made in the place of the board that it was, and kept; asked twice, both are.
    assert bench.choice().opinions == {kept: KEEP, again: KEEP}
    assert report.subject.mass == pytest.approx(
        json.loads((path / "figures.json").read_text())["mass_kg"], rel=1e-5
    )
    assert bench.rounds()[-1] == ("bench/shaped", sorted([kept, again]))


def test_rounds_stand_beside_the_first(bench: Bench) -> None:
    board = bench.board(bench.every_key()[0])
    assert isinstance(board, Board)
    name = bench.add_round(vary(board, 2, 0.3, fewer=True))
    other = bench.add_round(vary(board, 2, 0.3, seed=2, fewer=True))
    assert [n for n, _ in bench.rounds()] == ["", name, other]
    every = bench.every_key()
    names = [bench.board(k).name for k in every]
    assert len(set(names)) == len(names)


def test_a_shaped_board_is_made_in_the_place_of_its_own(bench: Bench) -> None:
    key = bench.every_key()[0]
    bench.say(key, KEEP)
    bench.order(key, 3)
    draft = bench.begin(key)
    bench.step(draft.id, 0, "thicker", shaping.touch(draft.board, {"set": {"thickness": 22}}).board)
    kept, _ = bench.keep_draft(draft.id)
    assert dict(bench.choice().orders) == {kept: 3}


def test_a_damaged_draft_hinders_no_other(bench: Bench) -> None:
    one, other = bench.every_key()[:2]
    draft = bench.begin(one)
    (draft.place / "draft.json").write_text("{", encoding="utf-8")
    with pytest.raises(InputError, match="no board under shaping"):
        bench.draft(draft.id)
    assert bench.begin(other).board.name == bench.board(other).name
    assert bench.begin(one).id != draft.id


def test_a_step_costs_no_more_for_all_that_came_before(bench: Bench) -> None:
    draft = bench.begin(bench.every_key()[0])
    board = draft.board
    for k in range(40):
        draft = bench.step(draft.id, k, f"step {k}", board)
    sizes = {p.stat().st_size for p in draft.place.glob("[0-9]*.json")}
    assert len(list(draft.place.glob("[0-9]*.json"))) == 41
    assert max(sizes) < 20_000
    assert (draft.place / "draft.json").stat().st_size < 2_000
    assert bench.stand(draft.id, 0).board.name == board.name


@pytest.mark.parametrize("what", ["bench", "bench/drafts", "bench/shaped"])
def test_links_that_lead_out_are_not_written_through(
    bench: Bench, tmp_path: Path, what: str
) -> None:
    (tmp_path / "outside").mkdir()
    (bench.folder / "bench").mkdir(exist_ok=True) if what != "bench" else None
    (bench.folder / what).symlink_to(tmp_path / "outside")
    with pytest.raises(InputError, match="leads out"):
        bench.say(bench.every_key()[0], KEEP)
    with pytest.raises(InputError, match="leads out"):
        bench.begin(bench.every_key()[0])
    if what == "bench":
        with pytest.raises(InputError, match="leads out"):
            laying.write_laid(bench, "walnut-end", [])
    assert list((tmp_path / "outside").iterdir()) == []


def test_another_page_hears_of_every_step_and_of_what_lies_on_a_piece(bench: Bench) -> None:
    stamps = [bench.stamp()]
    assert bench.stamp() == stamps[0]
    draft = bench.begin(bench.every_key()[0])
    stamps.append(bench.stamp())
    bench.step(draft.id, 0, "thicker", shaping.touch(draft.board, {"set": {"thickness": 22}}).board)
    stamps.append(bench.stamp())
    bench.stand(draft.id, 0)
    stamps.append(bench.stamp())
    laying.write_laid(bench, "walnut-end", [])
    stamps.append(bench.stamp())
    assert len(set(stamps)) == len(stamps)


def test_a_collection_that_was_worked_on_is_not_replaced(
    bench: Bench, capsys: pytest.CaptureFixture[str]
) -> None:
    bench.say(bench.every_key()[0], KEEP)
    assert run(["generate", "--preset", "cheese-board", "--out", str(bench.folder), "--force"]) == 2
    assert "chosen and shaped on the page" in capsys.readouterr().err
    assert bench.choice().opinions

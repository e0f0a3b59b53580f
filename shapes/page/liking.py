"""The taste: learned from what was said, told in words, kept as a file."""

from __future__ import annotations

from typing import Any

import numpy as np

from shapes.collection.board import Board
from shapes.collection.taste import MEASURES, Taste, learned, measured, taste_from
from shapes.errors import InputError, Problem
from shapes.files.safe import write_checked
from shapes.folders.bench import Bench
from shapes.folders.choice import ASIDE, KEEP, Choice
from shapes.folders.collection import BENCH, to_json
from shapes.page.opened import Opened
from shapes.page.values import Body
from shapes.text_files import read_json

TASTE = "taste.json"


def taste(o: Opened, asked: Body) -> Body:
    """Return the taste as the file it may be kept as."""
    bench = o.bench(asked)
    taste = learned_of(o, bench, bench.choice())
    return {"taste": None if taste is None else taste.as_json()}


def strike(o: Opened, asked: Body) -> Body:
    """Strike a belief out, or let it count again."""
    word = str(asked.get("measure"))
    if word not in MEASURES:
        raise InputError(Problem("measure", f"'{word[:40]}' is none", ", ".join(MEASURES)))
    bench = o.bench(asked)
    choice = bench.strike(word, out=bool(asked.get("out", True)))
    return {"taste": taste_told(o, bench, choice)}


def forget(o: Opened, asked: Body) -> Body:
    """Take a taste from a file to begin with, or delete the one that was taken."""
    bench = o.bench(asked)
    if asked.get("taste") is None:
        (bench.place / TASTE).unlink(missing_ok=True)
    else:
        try:
            taste = taste_from(asked["taste"])
        except ValueError as error:
            raise InputError(Problem("taste", str(error))) from None
        write_checked(bench.made(TASTE), to_json(taste.as_json()))
    return {"taste": taste_told(o, bench, bench.choice())}


def learned_of(o: Opened, bench: Bench, choice: Choice) -> Taste | None:
    """Learn what was liked; None where nothing was said."""
    before = None
    if (bench.place / TASTE).is_file():
        try:
            before = taste_from(read_json(bench.place / TASTE))
        except (OSError, ValueError):
            raise InputError(
                Problem(str(bench.place / TASTE), "is damaged", "", "delete it")
            ) from None
    if not choice.opinions and before is None:
        return None
    said: dict[str, list[Any]] = {KEEP: [], ASIDE: [], "": []}
    for name, keys in bench.rounds():
        heard = any(k in choice.opinions for k in keys) and name != f"{BENCH}/shaped"
        for key in keys:
            say = choice.opinions.get(key, "")
            board = o.boards.report(bench, key).board
            if (say or heard) and isinstance(board, Board) and board.genes is not None:
                said[say].append(board.genes)
    none = np.empty((0, len(MEASURES)))
    rows = [measured(said[w]) if said[w] else none for w in (KEEP, ASIDE, "")]
    return learned(*rows, struck=choice.struck, before=before)


def taste_told(o: Opened, bench: Bench, choice: Choice) -> Body:
    """Return the taste in words; one that is damaged hinders nothing else."""
    try:
        taste = learned_of(o, bench, choice)
    except InputError as error:
        return {"beliefs": [], "struck": [], "brought": True, "damaged": str(error)}
    beliefs = [] if taste is None else taste.beliefs()
    return {
        "beliefs": [{"measure": m, "says": says} for m, says, _ in beliefs],
        "struck": [
            {"measure": m, "says": " or ".join(MEASURES[m])} for m in choice.struck if m in MEASURES
        ],
        "brought": (bench.place / TASTE).is_file(),
    }

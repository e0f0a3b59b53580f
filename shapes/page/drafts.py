"""Boards under shaping: begun, touched step by step, undone, kept."""

from __future__ import annotations

from dataclasses import replace

from shapes.collection.board import Board, Report
from shapes.errors import InputError, Problem
from shapes.folders.draft import Draft
from shapes.page import shaping
from shapes.page.opened import Opened
from shapes.page.values import Body, a_board, whole

AROUND = 8  # steps before and after the present one that are named


def begin(o: Opened, asked: Body) -> Body:
    """Begin to shape a board."""
    bench = o.bench(asked)
    key = str(asked.get("key"))
    board = a_board(o.boards.report(bench, key))
    if board.genes is None:
        raise InputError(
            Problem(f"board '{board.name}'", "has no row of stretches to take hold of")
        )
    return _draft_told(bench.begin(key, board))


def drafts(o: Opened, asked: Body) -> Body:
    """Return the boards under shaping."""
    return {"drafts": o.bench(asked).drafts()}


def draft(o: Opened, asked: Body) -> Body:
    """Return a board under shaping as it stands."""
    return _draft_told(o.bench(asked).draft(str(asked.get("draft"))))


def tried(o: Opened, asked: Body) -> Body:
    """Do a touch to a draft without writing it: what the finger sees."""
    board = standing(o, asked).board
    made = shaping.touch(board, asked.get("touch"))
    return {
        "shift": made.shift,
        "share": made.share,
        "board": shaping.drawn(made.board, shaping.reported(made.board)),
    }


def touch(o: Opened, asked: Body) -> Body:
    """Do a touch to a draft, and write it."""
    bench = o.bench(asked)
    was = standing(o, asked)
    made = shaping.touch(was.board, asked.get("touch"))
    report = shaping.reported(made.board)
    draft = bench.step(was.id, was.at, made.what, made.board)
    return {**_told(draft, made.board, report), "shift": made.shift, "forked": draft.id != was.id}


def stand(o: Opened, asked: Body) -> Body:
    """Undo or redo to a step."""
    at = whole(asked.get("at"), 0, 10**6, "at")
    return _draft_told(o.bench(asked).stand(str(asked.get("draft")), at))


def keep(o: Opened, asked: Body) -> Body:
    """Write a draft's board as a board like any other, kept."""
    bench = o.bench(asked)
    key, _ = bench.keep_draft(str(asked.get("draft")))
    return {"key": key}


def standing(o: Opened, asked: Body) -> Draft:
    """Return a draft at the step that the page saw."""
    draft = o.bench(asked).draft(str(asked.get("draft")))
    return replace(draft, at=whole(asked.get("at"), 0, len(draft.steps) - 1, "at"))


def _draft_told(draft: Draft) -> Body:
    board = draft.board
    return _told(draft, board, shaping.reported(board))


def _told(draft: Draft, board: Board, report: Report) -> Body:
    said = [what for _, what in draft.steps]
    return {
        "draft": draft.id,
        "at": draft.at,
        "steps": len(said),
        "said": said[max(0, draft.at - AROUND) : draft.at + AROUND + 1],
        "board": shaping.drawn(board, report),
    }

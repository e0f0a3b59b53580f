"""What the page sends, as values: each within its range, or one line on what is wrong."""

from __future__ import annotations

import math
from typing import Any

from shapes.collection.board import Board, Report
from shapes.errors import InputError, Problem, in_range
from shapes.text import plain
from shapes.text_files import leaves

Body = dict[str, Any]
SEED = 2**31
LARGEST_NUMBER = 1e15  # of any number


def clean(value: Any) -> None:
    """Raise InputError for text that is none and numbers that are none, wherever they stand."""
    for one in leaves(value):
        if isinstance(one, str) and ("\0" in one or any("\ud800" <= c <= "\udfff" for c in one)):
            raise InputError(Problem("page", "sent characters that are none"))
        if isinstance(one, int | float) and not abs(one) < LARGEST_NUMBER:
            raise InputError(
                Problem("page", "sent a number that is none", f"up to {LARGEST_NUMBER:g}")
            )


def words(value: Any, most: int, where: str, otherwise: str = "") -> str:
    """Return text of one line, or what stands in its place where there is none.

    Raises InputError.
    """
    text = str(value or "").strip() or otherwise
    try:
        return plain(text[:most], most) if text else ""
    except ValueError as error:
        raise InputError(Problem(where, str(error), "", "write it in plain letters")) from None


def a_board(report: Report) -> Board:
    """Return a board that may be shaped. Raises InputError for a drawing."""
    board = report.board
    if not isinstance(board, Board):
        raise InputError(Problem("board", "is a drawing, which this page does not change"))
    return board


def number(value: Any, low: float, high: float, where: str) -> float:
    """Return a number within its range. Raises InputError."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise InputError(Problem(where, "is no number", f"allowed {low:g} to {high:g}"))
    in_range(value, low, high, where)
    return float(value)


def whole(value: Any, low: int, high: int, where: str) -> int:
    """Return a whole number within its range. Raises InputError."""
    found = number(value, low, high, where)
    if found != int(found):
        raise InputError(Problem(where, "is no whole number", f"allowed {low} to {high}"))
    return int(found)


def as_number(text: str) -> float:
    """Return the number that a text says; none at all where it says none."""
    try:
        return float(text)
    except ValueError:
        return math.nan


def count_of(asked: Body) -> int:
    """Return how many boards are asked for."""
    return whole(asked.get("count", 6), 1, 24, "count")


def seed_of(asked: Body) -> int:
    """Return the seed that is asked for, or one of chance: the same press gives other boards."""
    import secrets

    return whole(asked["seed"], 0, SEED, "seed") if "seed" in asked else secrets.randbelow(SEED)

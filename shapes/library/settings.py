"""Boards under other settings than their own."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from shapes.collection.board import Board, DrawnBoard
from shapes.collection.brief import Brief, brief_from
from shapes.errors import OPTION


def with_settings(brief: Brief, settings: dict[str, Any]) -> Brief:
    """Return a brief with some settings in place of its own; those that are None stay.

    Settings have the names and units of a brief's file. Raises InputError with every problem.
    """
    given = {name: value for name, value in settings.items() if value is not None}
    if not given:
        return brief
    # The board is drawn: which forms and handles were to be drawn beside it asks nothing of it now.
    brief = replace(brief, forms=(), handles=())
    return brief_from({**brief.as_table(), **given}, OPTION)


def sound(brief: Brief) -> Brief:
    """Return a brief that was put together in a script.

    Raises InputError with all that is wrong in it.
    """
    brief_from(brief.as_table(), "brief")
    return brief


def held_board(
    board: Board | DrawnBoard, brief: Brief, grips: tuple[tuple[float, float, float], ...] = ()
) -> Board | DrawnBoard:
    """Put a board under a brief, and a recipe's hand where it is asked for: (x, y, radians)."""
    if grips and isinstance(board, Board):
        return replace(board, brief=brief, sketch=replace(board.sketch, grip=grips))
    return replace(board, brief=brief)

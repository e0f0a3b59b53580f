"""A brief on an off-cut: species, moisture, thickness and density come from the piece itself."""

from __future__ import annotations

import math
from dataclasses import replace

from shapes.collection.board import Board, DrawnBoard, Report, full_report
from shapes.collection.brief import Brief, brief_from
from shapes.errors import InputError, Problem
from shapes.handles import HANDLES
from shapes.placing.left import grainwise
from shapes.placing.place import Placement
from shapes.timber.off_cut import OffCut

# What is drawn for a piece where no brief says otherwise: what lies on any wood and was wanted.
FORMS_OF_PIECE = ("ladle", "scoop", "mussel", "willow")
FORMS_ALONG = ("scoop", "mussel", "turned")  # the same where a natural edge is to be kept
USUAL_SIZE = (600.0, 330.0)  # mm: boards of a piece for which no size is stated; our choice


def brief_on(piece: OffCut, brief: Brief, *, sized: bool = True) -> Brief:
    """Return a brief for boards of this piece; with ``sized`` off, as large as it allows.

    Raises InputError where the piece is thinner than the boards, or a setting no longer suits.
    """
    thickness = brief.thickness if piece.wanted is None else piece.wanted
    if thickness > piece.thickness:
        raise InputError(
            Problem(
                f"off-cut '{piece.name}'",
                f"is {piece.thickness:g} mm thick, the boards are to be {thickness:g} mm",
                f"allowed up to {piece.thickness:g} mm",
                "take thicker timber, or state a lesser thickness",
            )
        )
    table = {
        **brief.as_table(),
        "species": piece.species,
        "moisture": piece.moisture,
        "thickness": thickness,
        "for_food": brief.for_food and piece.fit_for_food,
    }
    table.pop("weighed", None)
    table.pop("price_per_m3", None)  # that of another timber
    if piece.mass is not None:
        side = math.sqrt(piece.outline.area)  # a square of the same area
        sides = {"length": side, "width": side, "thickness": piece.thickness}
        table["weighed"] = {"mass": piece.mass, **sides}
    if piece.rings is not None:
        table["rings"] = piece.rings
    if piece.price is not None:
        table["price_per_m3"] = piece.price.of(piece.volume) / (piece.volume * 1e-9)
    if not sized:
        x0, y0, x1, y1 = grainwise(piece.outline, piece.grain).bounds
        rim = 2 * (brief.cutter + piece.margin)
        table["length"] = min(max(x1 - x0 - rim, 120.0), USUAL_SIZE[0])
        table["width"] = min(max(y1 - y0 - rim, 80.0), USUAL_SIZE[1])
        table["title"] = f"boards from {piece.name}"
        table.setdefault("forms", list(FORMS_ALONG if piece.keep else FORMS_OF_PIECE))
    made = brief_from(table, f"off-cut '{piece.name}'")
    if sized or made.handles:
        return made
    of_tips = [h for h, about in HANDLES.items() if about.wants == "tip"]
    return replace(made, handles=tuple(h for h in of_tips if not made.unfit(h)))


def on_piece(board: Board | DrawnBoard, piece: OffCut) -> Board | DrawnBoard:
    """Return a board as it would be of this piece."""
    return replace(board, brief=brief_on(piece, board.brief))


def report_on(placement: Placement, piece: OffCut) -> Report:
    """Run every check on a board as it lies, the grain running as it does in the piece."""
    grain = math.remainder(piece.grain - placement.pose.angle, math.pi)
    board = placement.board
    if isinstance(board, DrawnBoard):
        return full_report(replace(board, grain=grain))
    return full_report(board, grain=grain)

"""A placement read back: every piece with its boards as they lie.

A placement is whole in itself: the piece as it was measured stands in it, so that whatever is planned
from it later is planned for that piece.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from shapes.collection.account import account
from shapes.collection.fitted import report_on
from shapes.collection.lay_out import Covered
from shapes.collection.place import Clearance, Placement
from shapes.collection.shape import shape_of
from shapes.errors import InputError, OutlineError
from shapes.files.recipe import read_recipe
from shapes.folders.piece import drawn_from, piece_from
from shapes.folders.placement import Blank, no_placement, read_listing
from shapes.geometry.pose import Pose
from shapes.text import plain
from shapes.timber.off_cut import Rules
from shapes.units import SHOWN


def read_placed(folder: Path) -> list[Blank]:
    """Read a placement back: every piece with its boards as they lie, checked anew. Raises InputError."""
    made = read_listing(folder)
    try:
        return [_blank(one, folder) for one in made["off_cuts"]]
    except (ValueError, KeyError, TypeError, AttributeError, IndexError, OutlineError) as error:  # fmt: skip
        if isinstance(error, InputError):
            raise
        raise no_placement(folder) from None


def left_over(folder: Path) -> list[str]:
    """Return the names of the boards that a placement found no room for. Raises InputError."""
    left = read_listing(folder).get("left_over", [])
    if not isinstance(left, list) or not all(isinstance(name, str) for name in left):
        raise no_placement(folder)
    return left


def _blank(made: dict[str, Any], folder: Path) -> Blank:
    piece = piece_from(made["piece"])
    datum = (float(made["datum_mm"][0]), float(made["datum_mm"][1]))
    rules = Rules(piece, float(made["cutter_mm"]))
    placed = []
    for one in made["boards"]:
        number = int(one["number"])
        own = folder / made["folder"] / f"board-{number}.toml"
        board = read_recipe(own) if one["drawn"] is None else drawn_from(one["drawn"])
        pose = Pose(one["x_mm"] + datum[0], one["y_mm"] + datum[1], math.radians(one["turned_deg"]))
        kept = tuple(
            Clearance(plain(c["name"]), float(c["there_mm"]), float(c["asked_mm"]))
            for c in one["clearances"]
        )
        outline, _ = shape_of(board).lying(pose)
        placement = Placement(board, float(one["scale"]), pose, outline, kept)
        placed.append((number, placement, report_on(placement, piece)))
    done = tuple(placed)
    if made.get("unit", "mm") not in (None, *SHOWN):
        raise ValueError("shown in no unit")
    return Blank(
        Covered(rules, done, account(rules, done)), datum, made["folder"], made.get("unit")
    )

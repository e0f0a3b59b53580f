"""A placement read back: every piece with its boards as they lie.

A placement is whole in itself: the piece as it was measured stands in it, so that whatever is
planned from it later is planned for that piece.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from shapes.errors import InputError, OutlineError
from shapes.files.recipe import read_recipe
from shapes.folders.piece import drawn_from, piece_from
from shapes.folders.placement import Blank, no_placement, read_listing
from shapes.geometry.pose import Pose
from shapes.placing.account import DAMP, account
from shapes.placing.bed import Clearance
from shapes.placing.fitted import report_on
from shapes.placing.lay_out import Covered
from shapes.placing.place import Placement
from shapes.placing.shape import shape_of
from shapes.text import TEXT, plain
from shapes.timber.off_cut import Rules
from shapes.timber.thickness import Saw
from shapes.units import SHOWN_DECIMALS


def read_placed(
    folder: Path, saw: Saw | None = None, moisture: tuple[float | None, float] = (None, DAMP)
) -> tuple[list[Blank], list[str]]:
    """Read a placement back.

    Every piece with its boards as they lie, checked anew, and the names of what is left.

    ``saw`` and ``moisture`` are those of the accounts, which are drawn up anew. Raises InputError.
    """
    made = read_listing(folder)
    try:
        left = [plain(name, TEXT) for name in made["left_over"]]
        return [_blank(one, folder, saw, moisture) for one in made["off_cuts"]], left
    except (ValueError, KeyError, TypeError, AttributeError, IndexError, OutlineError) as error:
        if isinstance(error, InputError):
            raise
        raise no_placement(folder) from None


def _blank(
    made: dict[str, Any], folder: Path, saw: Saw | None, moisture: tuple[float | None, float]
) -> Blank:
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
    if made.get("unit", "mm") not in (None, *SHOWN_DECIMALS):
        raise ValueError("shown in no unit")
    return Blank(
        Covered(rules, done, account(rules, done, saw=saw, moisture=moisture)),
        datum,
        made["folder"],
        made.get("unit"),
    )

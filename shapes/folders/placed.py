"""A placement read back: every piece with its boards as they lie.

A placement is whole in itself: the piece as it was measured stands in it, so that whatever is
planned from it later is planned for that piece.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from shapes.collection.brief import DIAMETERS
from shapes.errors import InputError, OutlineError, Problem
from shapes.files.recipe import read_recipe
from shapes.folders.piece import drawn_from, piece_from
from shapes.folders.placement import Blank, no_placement, read_listing
from shapes.geometry.pose import Pose
from shapes.placing.account import DAMP, account
from shapes.placing.bed import Bed
from shapes.placing.fitted import report_on
from shapes.placing.lay_out import Covered
from shapes.placing.place import Placement
from shapes.placing.place_many import Measured, measured
from shapes.placing.shape import shape_of
from shapes.text import TEXT, plain
from shapes.timber.off_cut import OffCut, Rules
from shapes.timber.thickness import Saw
from shapes.units import SHOWN_DECIMALS, at_least


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


ROUNDED = 0.02  # mm by which a place that was written may be off: its digits


def _lawful(folder: Path, piece: OffCut, numbers: Sequence[int], found: Sequence[Measured]) -> None:
    """Raise InputError with every board that may not lie where it is said to."""
    problems = []
    for number, one in zip(numbers, found, strict=True):
        tight = one.clearances[0] if one.clearances else None
        what = ""
        if one.inside:
            what = f"lies over {one.inside[0]}"
        elif tight and tight.asked - tight.there > ROUNDED:
            short = at_least(tight.asked - tight.there)
            what = f"is short by {short} mm of clearance to {tight.name}"
        if what:
            allowed = f"{tight.asked:g} mm" if tight and tight.asked and not one.inside else ""
            problems.append(
                Problem(
                    f"{folder}: board {number} on {piece.name}",
                    what,
                    allowed,
                    "lay it anew: shapes place, or by hand on the page",
                )
            )
    if problems:
        raise InputError(*problems)


def _blank(
    made: dict[str, Any], folder: Path, saw: Saw | None, moisture: tuple[float | None, float]
) -> Blank:
    piece = piece_from(made["piece"])
    datum = (float(made["datum_mm"][0]), float(made["datum_mm"][1]))
    cutter = float(made["cutter_mm"])
    if not DIAMETERS[0] <= cutter <= DIAMETERS[1]:
        raise no_placement(folder)
    rules = Rules(piece, cutter)
    boards, poses, scales, numbers = [], [], [], []
    for one in made["boards"]:
        number = int(one["number"])
        own = folder / made["folder"] / f"board-{number}.toml"
        board = read_recipe(own) if one["drawn"] is None else drawn_from(one["drawn"])
        pose = Pose(one["x_mm"] + datum[0], one["y_mm"] + datum[1], math.radians(one["turned_deg"]))
        boards.append(board)
        poses.append(pose)
        scales.append(float(one["scale"]))
        numbers.append(number)
    # What is written of clearances is for people: where it was changed by hand, boards may lie
    # elsewhere than it says.
    found = measured(Bed(rules), [shape_of(b) for b in boards], poses)
    _lawful(folder, piece, numbers, found)
    placed = []
    for number, board, scale, pose, one in zip(numbers, boards, scales, poses, found, strict=True):
        placement = Placement(board, scale, pose, one.outline, one.clearances)
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

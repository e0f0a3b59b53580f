"""A board under shaping in a folder of its own.

A file for every step, never written again, and ``draft.json``: which of them count, where one
stands.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from shapes.collection.board import Board
from shapes.errors import InputError, Problem
from shapes.files.recipe import board_from, recipe_table
from shapes.files.safe import write_checked
from shapes.text_files import read_json

DRAFT = "draft.json"
Steps = tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class Draft:
    """A board under shaping.

    What it began as, its steps as (number of the file, what was done), where one stands.
    """

    id: str
    begun: str  # key of the board it began as
    steps: Steps
    at: int
    place: Path

    @property
    def board(self) -> Board:
        """The board as it stands. Raises InputError where its file is damaged."""
        return self.board_at(self.at)

    def board_at(self, at: int) -> Board:
        """Return the board as it stood at a step. Raises InputError."""
        path = self.place / f"{self.steps[at][0]}.json"
        try:
            recipe = read_json(path)
        except (OSError, ValueError):
            raise InputError(
                Problem(str(path), "is damaged", "", "stand at another step")
            ) from None
        return board_from(dict(recipe), f"draft {self.id}")

    @staticmethod
    def read(place: Path) -> Draft:
        """Read the draft of a folder. Raises InputError."""
        try:
            made = read_json(place / DRAFT)
            steps = tuple((int(n), str(what)) for n, what in made["steps"])
            draft = Draft(place.name, str(made["begun"]), steps, int(made["at"]), place)
            if not 0 <= draft.at < len(steps):
                raise ValueError
        except (OSError, ValueError, KeyError, TypeError):
            raise InputError(
                Problem(
                    f"draft '{place.name}'",
                    "is no board under shaping",
                    "",
                    "begin anew from a board",
                )
            ) from None
        return draft

    def write(self) -> None:
        """Write which of its steps count, and where one stands."""
        about = {"schema": 1, "begun": self.begun, "at": self.at, "steps": self.steps}
        write_checked(self.place / DRAFT, (json.dumps(about) + "\n").encode())


def add_step(place: Path, begun: str, steps: Steps, what: str, board: Board) -> Draft:
    """Write a board as the step that follows ``steps``, in a folder that is made where need be."""
    place.mkdir(parents=True, exist_ok=True)
    taken = [int(p.stem) for p in place.glob("*.json") if p.stem.isdigit()]
    number = max(taken, default=-1) + 1
    write_checked(
        place / f"{number}.json",
        (json.dumps(recipe_table(board), allow_nan=False) + "\n").encode(),
    )
    made = Draft(place.name, begun, (*steps, (number, what)), len(steps), place)
    made.write()
    return made

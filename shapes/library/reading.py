"""Boards from whatever a command is given: recipes, folders of them, and drawings."""

from __future__ import annotations

import math
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shapes.collection.board import Board, Drawn, Report
    from shapes.collection.brief import Brief
    from shapes.errors import Problem
    from shapes.folders.placement import Blank
    from shapes.geometry.outline import Outline

DRAWINGS = (".dxf", ".svg")


@dataclass(frozen=True, slots=True)
class Asked:
    """How drawings are to be read and what the maker says of the boards in them."""

    unit: str | None = None
    layers: tuple[str, ...] = ()
    gap: float = 0.1
    grips: tuple[tuple[float, float, float], ...] = ()
    grain_deg: float = 0.0
    looks: bool = False
    centred: bool = False  # bring each board's box to (0, 0), grain along x, as our files have it


@dataclass(slots=True)
class Found:
    """Boards with the file each came from, notes to be said, and what could not be read.

    ``lies`` holds, by index, the boards that lie on a piece.
    """

    boards: list[Board | Drawn] = field(default_factory=list)
    files: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    lies: dict[int, Laid] = field(default_factory=dict)

    def grain(self, i: int) -> float:
        """Angle of the grain of a board as it lies on its piece, radians; 0 of one that lies on none."""
        return self.lies[i].report.subject.grain if i in self.lies else 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """A board of a placement: the piece that it lies on, its number there, and its report as it lies."""

    blank: Blank
    number: int
    report: Report


def find(
    paths: Sequence[Path], asked: Asked, brief: Brief | None = None, *, drawings: bool = True
) -> Found:
    """Read every board; what cannot be read is kept as problems beside what can."""
    from shapes.errors import InputError
    from shapes.files.recipe import read_recipe

    found = Found()
    for path in paths:
        try:
            if drawings and (placed := _placement_of(path)):
                _laid(path, placed, found)
                continue
            for file in files_of(path):
                try:
                    if drawings and file.suffix.lower() in DRAWINGS:
                        _drawing(file, asked, brief, found)
                    else:
                        _must_be_recipe(file, drawings=drawings)
                        found.boards.append(read_recipe(file))
                        found.files.append(str(file))
                except InputError as error:
                    found.problems += error.problems
        except InputError as error:
            found.problems += error.problems
    return found


def _placement_of(path: Path) -> Path | None:
    """The placement that a path is, or is a piece or a board of; None of anything else."""
    here = path.absolute()
    for folder in (here, *here.parents[:2]):
        if (folder / "placement.json").is_file() and (folder != here.parent or here.is_dir()):
            return folder
    return None


def _laid(path: Path, placement: Path, found: Found) -> None:
    """Read the boards of a placement, of one of its pieces, or one of them, as they lie."""
    from shapes.collection.board import Drawn
    from shapes.errors import InputError, Problem
    from shapes.folders.placed import read_placed

    seen = 0
    for blank in read_placed(placement)[0]:
        folder = placement / blank.folder
        for number, placed, report in blank.placed:
            file = folder / f"board-{number}.toml"
            if path.absolute() in (placement, folder, file):
                seen += 1
                found.lies[len(found.boards)] = Laid(blank, number, report)
                drawn = isinstance(report.board, Drawn)  # its grain is that of the piece as it lies
                found.boards.append(report.board if drawn else placed.board)
                found.files.append(str(file) if path.is_absolute() else os.path.relpath(file))
    if not seen:
        raise InputError(
            Problem(
                str(path),
                "is no board of the placement",
                "",
                f"name {placement.name}, a piece's folder in it, or a board-N.toml",
            )
        )


def files_of(path: Path) -> list[Path]:
    """Files a path stands for: itself; a board's or a collection's recipes; a folder's drawings."""
    from shapes.errors import InputError, Problem

    if not path.is_dir():
        return [path]
    inside = path / "board.toml"
    if inside.exists():
        return [inside]
    placed = (path / "placement.json").is_file()
    recipes = sorted(path.glob("*/board-*.toml" if placed else "*/board.toml"))
    if recipes:
        return recipes
    drawings = sorted(p for p in path.iterdir() if p.suffix.lower() in DRAWINGS and p.is_file())
    if not drawings:
        raise InputError(
            Problem(
                str(path),
                "holds no boards",
                "",
                "name a board.toml, a .dxf or a .svg, or a folder of them",
            )
        )
    return drawings


def _must_be_recipe(file: Path, *, drawings: bool) -> None:
    from shapes.errors import InputError, Problem

    if not file.exists():
        raise InputError(
            Problem(str(file), "there is no such file or folder", "", "check the name")
        )
    if file.suffix.lower() != ".toml":
        can = (
            "a board.toml, a .dxf, a .svg, or a folder of them"
            if drawings
            else "a board.toml or its folder"
        )
        raise InputError(
            Problem(
                str(file),
                "is no board recipe" + (" and no drawing" if drawings else ""),
                "",
                f"name {can}",
            )
        )


def _drawing(file: Path, asked: Asked, brief: Brief | None, found: Found) -> None:
    from shapes.collection.board import Drawn
    from shapes.collection.brief import Brief
    from shapes.errors import OutlineError, Problem
    from shapes.files.drawing import read_drawing
    from shapes.geometry.crossings import crossing
    from shapes.geometry.loops import Loops
    from shapes.geometry.outline import outline
    from shapes.settings import stem

    called = stem(file)
    drawing = read_drawing(file, asked.unit, asked.layers, asked.gap)
    found.notes += [f"{file}: {text}" for text in drawing.notes]
    many = len(drawing.boards) > 1
    if many and (at := crossing([Loops(b.edge) for b in drawing.boards])):
        found.problems.append(
            Problem(
                str(file),
                f"two outlines cross at ({at[0]:.2f}, {at[1]:.2f}) mm",
                "",
                "shapes repair joins them",
            )
        )
        return
    for i, loops in enumerate(drawing.boards, start=1):
        where = f"{file}: board {i}" if many else str(file)
        try:
            made = outline(loops.edge, loops.openings)
        except OutlineError as error:
            found.problems.append(
                Problem(
                    where, str(error), "", "shapes repair mends it, or mend it where it was drawn"
                )
            )
            continue
        grips, grain = asked.grips, math.radians(asked.grain_deg)
        if asked.centred:
            made, grips, grain = _centred(made, grips, grain)
        name = f"{called} {i}" if many else called
        found.boards.append(
            Drawn(
                brief or Brief(),
                made,
                name,
                grips,
                grain,
                sized=brief is not None,
                looks=asked.looks,
            )
        )
        found.files.append(str(file))


def _centred(
    made: Outline, grips: tuple[tuple[float, float, float], ...], grain: float
) -> tuple[Outline, tuple[tuple[float, float, float], ...], float]:
    """Turn the grain along x and bring the middle of the box to (0, 0)."""
    from shapes.geometry.outline import bounds, transformed

    turned = transformed(made, -grain) if grain else made
    x0, y0, x1, y1 = bounds(turned)
    shift = (-(x0 + x1) / 2, -(y0 + y1) / 2)
    c, s = math.cos(-grain), math.sin(-grain)
    moved = tuple(
        (c * x - s * y + shift[0], s * x + c * y + shift[1], a - grain) for x, y, a in grips
    )
    return transformed(turned, shift=shift), moved, 0.0


_TAKEN = {
    "thickness": "thickness {thickness:g} mm",
    "species": "{species}",
    "cutter": "cutter {cutter:g} mm",
    "round_over": "round-over {round_over:g} mm",
    "guide_bearing": "guide bearing {guide_bearing:g} mm",
}


def say_taken(given: Iterable[str], names: Sequence[str] = tuple(_TAKEN)) -> None:
    """Say which settings a drawing, having none of its own, was given."""
    from shapes.cli.common import note
    from shapes.collection.brief import Brief

    left = [_TAKEN[n].format(**Brief().as_table()) for n in names if n not in given]
    if left:
        note(f"not stated, so taken for drawings: {', '.join(left)}")


def say(found: Found) -> None:
    """Say notes on standard error, then raise what could not be read."""
    from shapes.cli.common import note
    from shapes.errors import InputError

    for text in found.notes:
        note(text)
    if found.problems:
        raise InputError(*found.problems)


def read_all(paths: Sequence[Path], asked: Asked, brief: Brief | None = None) -> Found:
    """Read every board, or raise every problem at once."""
    found = find(paths, asked, brief)
    if brief is not None:
        held_to(found, brief)
    say(found)
    return found


def held_to(found: Found, brief: Brief) -> None:
    """Hold recipes to a brief that is not their own, as drawings are; boards on a piece keep the piece's."""
    from shapes.collection.board import Board
    from shapes.errors import Problem

    for i, board in enumerate(found.boards):
        if i in found.lies:
            found.problems.append(
                Problem(
                    "--brief",
                    f"{board.name} lies on {found.lies[i].blank.piece.name} and is made as that allows",
                    "",
                    "leave it out, or place the boards again",
                )
            )
        elif isinstance(board, Board):
            found.boards[i] = replace(board, brief=replace(brief, forms=(), handles=()))


def read_boards(paths: Sequence[Path]) -> list[Board]:
    """Read board recipes; a folder stands for its board.toml or for those of a collection."""
    from shapes.collection.board import Board

    found = find(paths, Asked(), drawings=False)
    say(found)
    return [b for b in found.boards if isinstance(b, Board)]


def a_grip(text: str) -> tuple[float, float, float]:
    """Read ``X,Y`` or ``X,Y,DEG``. Raises InputError."""
    from shapes.errors import InputError, Problem
    from shapes.settings import numbers_in

    try:
        parts = numbers_in(text, 2, 3)
    except ValueError:
        raise InputError(
            Problem("--grip", f"'{text}' is no point", "", "write X,Y in mm, or X,Y,DEG")
        ) from None
    return parts[0], parts[1], math.radians(parts[2]) if len(parts) == 3 else 0.0


def asked_from(
    unit: str | None,
    layer: Sequence[str] | None,
    gap: str | None,
    grips: Sequence[str] = (),
    grain: float = 0.0,
    *,
    looks: bool = False,
    centred: bool = False,
) -> Asked:
    """Read the options that say how drawings are read. Raises InputError."""
    from shapes.cli.common import in_range
    from shapes.errors import InputError, Problem, did_you_mean
    from shapes.files.drawing import GAP, UNITS
    from shapes.units import length

    if unit is not None and unit not in UNITS:
        hint = did_you_mean(unit, UNITS, "known: " + ", ".join(UNITS))
        raise InputError(Problem("--unit", f"'{unit}' is no unit known here", "", hint))
    try:
        wide = GAP if gap is None else length(gap)
    except ValueError as error:
        raise InputError(Problem("--gap", str(error), "allowed 0 to 5 mm")) from None
    in_range(wide, 0, 5, "--gap")
    in_range(grain, -180, 180, "--grain")
    layers = tuple(name.strip() for text in layer or () for name in text.split(",") if name.strip())
    return Asked(unit, layers, wide, tuple(a_grip(g) for g in grips), grain, looks, centred)

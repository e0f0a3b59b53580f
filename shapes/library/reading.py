"""Boards from whatever they are named by: recipes, folders of them, placements, and drawings."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, overload

from shapes.collection.board import Board, DrawnBoard, Report
from shapes.collection.brief import Brief
from shapes.errors import InputError, OutlineError, Problem
from shapes.files.drawing import GAP
from shapes.files.drawing import read_drawing as read_loops
from shapes.files.recipe import read_recipe
from shapes.geometry.outline import Outline, bounds, outline, transformed
from shapes.library.presets import silent
from shapes.mending.crossings import crossing
from shapes.mending.loops import Loops
from shapes.settings import stem

if TYPE_CHECKING:
    from shapes.folders.placement import Blank

DRAWINGS = (".dxf", ".svg")
Grip = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Reading:
    """How drawings are to be read, and what the maker says of the boards in them.

    ``grips`` are (x, y, radians), ``grain`` radians from the x axis.
    """

    unit: str | None = None
    layers: tuple[str, ...] = ()
    gap: float = GAP  # mm
    grips: tuple[Grip, ...] = ()
    grain: float = 0.0
    looks: bool = False
    centred: bool = False  # bring each board's box to (0, 0), grain along x, as our files have it


@dataclass(slots=True)
class Found(Sequence[Board | DrawnBoard]):
    """Boards with the file each came from, notes to be said, and what could not be read.

    ``lies`` holds, by index, the boards that lie on a piece.
    """

    boards: list[Board | DrawnBoard] = field(default_factory=list)
    files: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    lies: dict[int, OnPiece] = field(default_factory=dict)

    @overload
    def __getitem__(self, i: int) -> Board | DrawnBoard: ...
    @overload
    def __getitem__(self, i: slice) -> list[Board | DrawnBoard]: ...
    def __getitem__(self, i: int | slice) -> Board | DrawnBoard | list[Board | DrawnBoard]:
        """Return a board by its place, or some of them."""
        return self.boards[i]

    def __len__(self) -> int:
        """Return how many boards there are."""
        return len(self.boards)

    def grain(self, i: int) -> float:
        """Angle of the grain of a board as it lies on its piece, radians.

        0 of one that lies on none.
        """
        return self.lies[i].report.subject.grain if i in self.lies else 0.0


@dataclass(frozen=True, slots=True, eq=False)
class OnPiece:
    """A board of a placement.

    The piece that it lies on, its number there, and its report as it lies.
    """

    blank: Blank
    number: int
    report: Report


def find(
    paths: Sequence[Path], reading: Reading, brief: Brief | None = None, *, drawings: bool = True
) -> Found:
    """Read every board; what cannot be read is kept as problems beside what can."""
    found = Found()
    for path in paths:
        try:
            if drawings and (placed := _placement_of(path)):
                _laid(path, placed, found)
                continue
            for file in files_of(path):
                try:
                    if drawings and file.suffix.lower() in DRAWINGS:
                        _drawing(file, reading, brief, found)
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
    # Here, since placing stands on more of scipy, which boards alone have no need to wait for.
    from shapes.folders.placed import read_placed

    seen = 0
    for blank in read_placed(placement)[0]:
        folder = placement / blank.folder
        for number, placed, report in blank.placed:
            file = folder / f"board-{number}.toml"
            if path.absolute() in (placement, folder, file):
                seen += 1
                found.lies[len(found.boards)] = OnPiece(blank, number, report)
                # The grain of a drawing is that of the piece as it lies.
                drawn = isinstance(report.board, DrawnBoard)
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


def _drawing(file: Path, reading: Reading, brief: Brief | None, found: Found) -> None:
    called = stem(file)
    drawing = read_loops(file, reading.unit, reading.layers, reading.gap)
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
        grips, grain = reading.grips, reading.grain
        if reading.centred:
            made, grips, grain = _centred(made, grips, grain)
        name = f"{called} {i}" if many else called
        found.boards.append(
            DrawnBoard(
                brief or Brief(),
                made,
                name,
                grips,
                grain,
                sized=brief is not None,
                looks=reading.looks,
            )
        )
        found.files.append(str(file))


def _centred(
    made: Outline, grips: tuple[Grip, ...], grain: float
) -> tuple[Outline, tuple[Grip, ...], float]:
    """Turn the grain along x and bring the middle of the box to (0, 0)."""
    turned = transformed(made, -grain) if grain else made
    x0, y0, x1, y1 = bounds(turned)
    shift = (-(x0 + x1) / 2, -(y0 + y1) / 2)
    c, s = math.cos(-grain), math.sin(-grain)
    moved = tuple(
        (c * x - s * y + shift[0], s * x + c * y + shift[1], a - grain) for x, y, a in grips
    )
    return transformed(turned, shift=shift), moved, 0.0


def held_to(found: Found, brief: Brief) -> None:
    """Hold recipes to a brief that is not their own, as drawings are.

    Boards on a piece keep the piece's.
    """
    for i, board in enumerate(found.boards):
        if i in found.lies:
            found.problems.append(
                Problem(
                    "--brief",
                    f"{board.name} lies on {found.lies[i].blank.piece.name} and is made as that"
                    " allows",
                    "",
                    "leave it out, or place the boards again",
                )
            )
        elif isinstance(board, Board):
            found.boards[i] = replace(board, brief=replace(brief, forms=(), handles=()))


def read_all(paths: Sequence[Path], reading: Reading, brief: Brief | None = None) -> Found:
    """Read every board, held to ``brief`` where one is given.

    Problems are kept as ``find`` keeps them.
    """
    found = find(paths, reading, brief)
    if brief is not None:
        held_to(found, brief)
    return found


def read_boards(
    *paths: str | Path,
    brief: Brief | None = None,
    unit: str | None = None,
    layers: Sequence[str] = (),
    gap: float = GAP,
    grain: float = 0.0,
    grips: Sequence[Grip] = (),
    note: Callable[[str], None] = silent,
) -> Found:
    """Read boards: recipes, folders of them, collections, placements, and .dxf or .svg drawings.

    ``brief`` holds them to another brief than their own. Of drawings: ``unit`` (mm, cm, in, px)
    where a file does not say, ``layers`` to take (all), ``gap`` (mm) up to which ends are joined,
    ``grain`` (degrees from the x axis), ``grips`` where hands take hold (x, y in mm, degrees). A
    drawing is turned with its grain along x and the middle of its box brought to (0, 0), as our own
    boards lie. ``note`` hears what was left out of a drawing.

    Returns the boards, in order, as a sequence that also knows their files and, of boards of a
    placement, where they lie. Raises InputError with every problem at once.

    >>> boards = read_boards("boards")  # doctest: +SKIP
    """
    turned = tuple((x, y, math.radians(a)) for x, y, a in grips)
    reading = Reading(unit, tuple(layers), gap, turned, math.radians(grain), centred=True)
    found = read_all([Path(p) for p in paths], reading, brief)
    for text in found.notes:
        note(text)
    if found.problems:
        raise InputError(*found.problems)
    return found


def read_drawing(
    path: str | Path,
    *,
    brief: Brief | None = None,
    unit: str | None = None,
    layers: Sequence[str] = (),
    gap: float = GAP,
    grain: float = 0.0,
    grips: Sequence[Grip] = (),
    note: Callable[[str], None] = silent,
) -> list[DrawnBoard]:
    """Read the boards of one .dxf or .svg drawing, as ``read_boards`` does.

    Raises InputError: no such file, no drawing, nothing closed in it, no unit.
    """
    if Path(path).suffix.lower() not in DRAWINGS:
        raise InputError(Problem(str(path), "is no drawing", "", "name a .dxf or a .svg"))
    found = read_boards(
        path, brief=brief, unit=unit, layers=layers, gap=gap, grain=grain, grips=grips, note=note
    )
    return [b for b in found if isinstance(b, DrawnBoard)]

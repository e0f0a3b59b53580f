"""board.toml: the recipe of one board, enough to draw it again, and the outline itself.

``stretches`` is the row that the edge was drawn from: turn in degrees, radius or length in mm;
whoever changes a number there gets the board with that change by ``shapes vary BOARD --how-far 0
--count 1``. ``outline.edge`` and the ``control`` of an opening are the control points, in mm, of a
closed uniform cubic B-spline; ``round`` is (x, y, radius). Any later version can read and export
these, whatever became of the form.
"""

from __future__ import annotations

import hashlib
import json
import math
from dataclasses import MISSING, dataclass, fields
from pathlib import Path
from typing import Any, ClassVar

import numpy as np
import tomli_w

from shapes import __version__
from shapes.collection.board import Board, DrawnBoard
from shapes.collection.brief import brief_from
from shapes.collection.draw import BEND, MOVED_ALONG, Genes, outline_of, suits
from shapes.errors import InputError, Problem
from shapes.forms import FORMS
from shapes.geometry.curve import Array
from shapes.geometry.outline import bounds
from shapes.geometry.row import Row, Stretch
from shapes.handles import HANDLES
from shapes.handles.hand import Round, Sketch
from shapes.parameters import Range
from shapes.settings import (
    Many,
    Number,
    Numbers,
    Table,
    Tables,
    Text,
    Word,
    YesNo,
    a_table,
    at,
    declared,
    read,
    setting,
)
from shapes.text import shown
from shapes.text_files import read_toml

SCHEMA = 1
LARGEST_SIDE = 2000.0  # mm: more than any brief may ask for
MOST_STRETCHES = 60
MOST_POINTS = 5000  # control points of a curve; an edge has some 60


def outline_table(sketch: Sketch) -> dict[str, Any]:
    """Return the outline as plain numbers."""
    openings = [
        {"round": [o.x, o.y, o.radius]} if isinstance(o, Round) else {"control": o.tolist()}
        for o in sketch.openings
    ]
    return {
        "edge": sketch.edge.tolist(),
        "openings": openings,
        "grips": [list(g) for g in sketch.grip],
    }


def digest(board: Board | DrawnBoard) -> str:
    """Six hex digits of the recipe's hash: form, handle and outline, whatever its name."""
    if isinstance(board, DrawnBoard):
        shape: Any = [c.segments.round(6).tolist() for c in board.outline.curves]
    else:
        shape = outline_table(board.sketch)
    text = json.dumps([board.form, board.handle, board.brief.thickness, shape])
    return hashlib.sha256(text.encode()).hexdigest()[:6]


def write_recipe(board: Board) -> bytes:
    """Return the text of board.toml."""
    return tomli_w.dumps(recipe_table(board)).encode()


def recipe_table(board: Board) -> dict[str, Any]:
    """Return what stands in board.toml as plain values, from
    which ``board_from`` makes the board again.
    """
    return {
        "schema": SCHEMA,
        "version": __version__,
        "name": board.name,
        "form": board.form,
        "handle": board.handle,
        **(_genes_table(board.genes) if board.genes else {}),
        **({"lies_at": list(board.at)} if board.at else {}),
        "brief": board.brief.as_table(),
        "outline": outline_table(board.sketch),
    }


def _genes_table(genes: Genes) -> dict[str, Any]:
    row = genes.row
    about: dict[str, Any] = {
        "length": row.box[0],
        "width": row.box[1],
        "heading": round(math.degrees(row.heading), 4),
        "ease": row.ease,
        "swings": row.swings,
        "moved": genes.moved,
        "mirrored": {"up_to_down": genes.flip[0], "end_to_end": genes.flip[1]},
    }
    if row.height is not None:
        i, j, above = row.height
        names = [s.name for s in row.stretches]
        about["height"] = {"of": names[i], "over": names[j] if j >= 0 else "", "by": above}
    hand = {**dict(genes.hand), **({"beside": list(genes.beside)} if genes.beside else {})}
    return {"row": about, "stretches": [_stretch_table(s) for s in row.stretches], "hand": hand}


def _stretch_table(s: Stretch) -> dict[str, Any]:
    size = (
        {"radius": round(s.length / abs(s.turn), 3)}
        if abs(s.turn) > BEND
        else {"length": round(s.length, 3)}
    )
    return {"name": s.name, "turn": round(math.degrees(s.turn), 4), **size, "give": s.give}


_DEGREES = Range(-360, 360, "an angle", "degrees")
_BOX = Range(20, LARGEST_SIDE, "a side of the board's box", "mm")
_AT = Number(Range(-1e5, 1e5, "a coordinate", "mm"))
_XY = Numbers(Number(Range(-LARGEST_SIDE, LARGEST_SIDE, "a coordinate", "mm")), 2, "a point [x, y]")
_EDGE = Many(_XY, 3, MOST_POINTS, "points [x, y] round an outline")


@dataclass(frozen=True, slots=True)
class _Mirrored:
    up_to_down: bool = declared(MISSING, YesNo(), "mirrored over its length")
    end_to_end: bool = declared(MISSING, YesNo(), "mirrored over its width")


@dataclass(frozen=True, slots=True)
class _Height:
    of: str = declared(MISSING, Text(), "stretch whose end it is")
    over: str = declared(MISSING, Text(least=0), "stretch that it is over")
    by: float = setting(
        MISSING, -LARGEST_SIDE, LARGEST_SIDE, "how far it is over it", "mm", "number"
    )


@dataclass(frozen=True, slots=True)
class RowTable:
    """The row as a whole, as it is written."""

    length: float = declared(MISSING, Number(_BOX), "length of the board's box")
    width: float = declared(MISSING, Number(_BOX), "width of the board's box")
    heading: float = declared(MISSING, Number(_DEGREES, "number"), "direction it starts in")
    ease: float = setting(MISSING, 1, 200, "length over which a turn begins and ends", "mm")
    swings: float = setting(MISSING, 0, 2, "how far straight sides may swing", "", "number")
    moved: float = setting(MISSING, 0, 100, "how far it was moved to close", "", "number")
    mirrored: _Mirrored = declared(MISSING, Table(_Mirrored), "how it is mirrored")
    height: _Height | None = declared(None, Table(_Height), "a height that is held")


@dataclass(frozen=True, slots=True)
class StretchTable:
    """One stretch, as it is written: a turn and its radius, or a length."""

    name: str = declared(MISSING, Text(), "its name")
    turn: float = declared(MISSING, Number(_DEGREES, "number"), "how far the edge turns in it")
    give: float = setting(MISSING, 0, 10, "how readily its length gives way", "", "number")
    radius: float | None = setting(None, 0.5, 1e5, "radius of the turn", "mm")
    length: float | None = setting(None, 0.5, 1e4, "length of what turns little", "mm")


@dataclass(frozen=True, slots=True)
class _Opening:
    round: tuple[float, ...] | None = declared(
        None,
        Numbers(Number(Range(-LARGEST_SIDE, LARGEST_SIDE, "", "mm")), 3, "[x, y, radius]"),
        "a round one",
    )
    control: tuple[Any, ...] | None = declared(None, _EDGE, "control points of any other")


@dataclass(frozen=True, slots=True)
class _Outline:
    edge: tuple[Any, ...] = declared(MISSING, _EDGE, "control points of the edge")
    openings: tuple[_Opening, ...] = declared(MISSING, Tables(_Opening, 0, 50), "its openings")
    grips: tuple[Any, ...] = declared(
        MISSING,
        Many(Numbers(_AT, 3, "a grip [x, y, angle]"), 0, 10, "grips [x, y, angle]"),
        "where hands hold it",
    )


@dataclass(frozen=True, slots=True)
class Recipe:
    """A board as it is written; what earlier versions wrote beside it is passed over."""

    OPEN: ClassVar[bool] = True

    form: str = declared(MISSING, Text(), "its form")
    handle: str = declared(MISSING, Word(tuple(HANDLES), "is no handle known here"), "its handle")
    outline: _Outline = declared(MISSING, Table(_Outline), "the outline itself")
    brief: dict[str, Any] = declared(MISSING, a_table, "the brief it was drawn for")
    name: str = declared("", Text(least=0), "its name")
    row: RowTable | None = declared(None, Table(RowTable), "the row it was drawn from")
    stretches: tuple[StretchTable, ...] = declared(
        (), Tables(StretchTable, 3, MOST_STRETCHES), "its stretches"
    )
    hand: dict[str, Any] | None = declared(None, a_table, "sizes of its handle")
    lies_at: tuple[float, ...] | None = declared(
        None, Numbers(_AT, 3, "[x, y, angle]"), "where it lies on its piece"
    )


def read_recipe(path: Path) -> Board:
    """Read a board from its recipe. Raises InputError with every problem found."""
    return board_from(read_toml(path), str(path))


def board_from(table: dict[str, Any], where: str = "recipe") -> Board:
    """Make a board of what stands in a recipe. Raises InputError with every problem found."""
    if table.get("schema") != SCHEMA:
        raise InputError(
            Problem(
                f"{where}: schema",
                f"{shown(table.get('schema'))} is not {SCHEMA}",
                "",
                "this is no board recipe of this version; name a board.toml",
            )
        )
    made = read(Recipe, table, where)
    brief = brief_from(_still_drawn(made.brief), f"{where}: brief")
    pose = None if made.lies_at is None else (made.lies_at[0], made.lies_at[1], made.lies_at[2])
    try:
        genes = _genes(made, pose, where)
        sketch = _sketch(made.outline)
        x0, y0, x1, y1 = bounds(outline_of(sketch))
        if max(x1 - x0, y1 - y0) > LARGEST_SIDE:
            raise ValueError(f"its outline is larger than {LARGEST_SIDE:g} mm")
    except InputError:
        raise
    except ValueError as error:
        raise InputError(
            Problem(
                where,
                f"the recipe is damaged: {error}",
                "",
                "take a fresh copy of the board's folder",
            )
        ) from None
    return Board(brief, sketch, made.form, made.handle, genes, made.name, pose)


def _still_drawn(brief: dict[str, Any]) -> dict[str, Any]:
    """Leave out which forms and handles were allowed where some of them are not drawn any more.

    A board is what its outline is; what else was allowed when it was chosen limits nobody.
    """
    forms, handles = brief.get("forms", list(FORMS)), brief.get("handles", list(HANDLES))
    for names in (forms, handles):
        if not isinstance(names, list) or not all(isinstance(n, str) for n in names):
            return brief
    known = {*forms} <= {*FORMS} and {*handles} <= {*HANDLES}
    if known and any(suits(h, f) for f in forms for h in handles):
        return brief
    return {n: v for n, v in brief.items() if n not in ("forms", "handles")}


def _genes(made: Recipe, pose: tuple[float, float, float] | None, where: str) -> Genes | None:
    """Make the row of a board; None where its form is not drawn any more. Raises ValueError."""
    if made.form not in FORMS or not made.stretches:
        return None
    about = made.row
    if about is None or made.hand is None:
        raise ValueError("stretches go with row and hand")
    stretches = tuple(_stretch(s) for s in made.stretches)
    names = [s.name for s in stretches]
    if len(set(names)) < len(names):
        raise ValueError("each of its stretches wants a name of its own")
    total = math.degrees(sum(s.turn for s in stretches))
    if abs(total - 360) > 0.01:
        raise ValueError(f"the turns of its stretches are {total:.2f} degrees in all, not 360")
    height = None
    if about.height is not None:
        h = about.height
        if h.of not in names or (h.over and h.over not in names):
            raise ValueError("height names no stretch of the row")
        height = (names.index(h.of), names.index(h.over) if h.over else -1, h.by)
    row = Row(
        stretches,
        (about.length, about.width),
        math.radians(about.heading),
        about.ease,
        height,
        about.swings,
    )
    beside, sizes = _hand(made.hand, made.handle, f"{where}: hand")
    flip = (about.mirrored.up_to_down, about.mirrored.end_to_end)
    return Genes(made.form, made.handle, row, sizes, beside, flip, about.moved, pose)


def _hand(
    hand: dict[str, Any], handle: str, where: str
) -> tuple[tuple[str, ...], tuple[tuple[str, float], ...]]:
    """Return the stretches beside a hand, and its sizes. Raises ValueError."""
    sizes = {n: v for n, v in hand.items() if n != "beside"}
    wanted = {f.name for f in fields(HANDLES[handle].kind)}
    if set(sizes) - set(MOVED_ALONG) != wanted:
        raise ValueError(f"hand wants exactly: {', '.join(sorted(wanted)) or 'nothing'}")
    size = Number(Range(0, LARGEST_SIDE, "a size of the hand", "mm"))
    along = Number(Range(-LARGEST_SIDE, LARGEST_SIDE, "a way along the edge", "mm"))
    beside = Many(Text(), 1, MOST_STRETCHES, "names of stretches")
    return (
        at(f"{where}: beside", beside, hand["beside"]) if "beside" in hand else (),
        tuple(
            (n, at(f"{where}: {n}", along if n in MOVED_ALONG else size, v))
            for n, v in sizes.items()
        ),
    )


def _stretch(s: StretchTable) -> Stretch:
    turn = math.radians(s.turn)
    if (s.radius is None) == (s.length is None):
        raise ValueError(f"stretch {s.name} wants a radius or a length")
    length = abs(turn) * s.radius if s.radius is not None else float(s.length or 0.0)
    if length <= 0:
        raise ValueError("a stretch with a radius wants a turn")
    return Stretch(turn, length, s.give, s.name)


def _sketch(table: _Outline) -> Sketch:
    openings: list[Array | Round] = []
    for o in table.openings:
        if (o.round is None) == (o.control is None):
            raise ValueError("an opening is round, or has control points")
        if o.round is not None and o.round[2] <= 0:
            raise ValueError("a round opening wants a radius above 0")
        openings.append(Round(*o.round) if o.round is not None else np.array(o.control))
    grips = tuple((x, y, a) for x, y, a in table.grips)
    return Sketch(np.array(table.edge), tuple(openings), grips)

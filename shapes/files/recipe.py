"""board.toml: the recipe of one board, enough to draw it again, and the outline itself.

``stretches`` is the row that the edge was drawn from: turn in degrees, radius or length in mm; whoever
changes a number there gets the board with that change by ``shapes vary BOARD --how-far 0 --count 1``. ``outline.edge`` and
the ``control`` of an opening are the control points, in mm, of a closed uniform cubic B-spline; ``round``
is (x, y, radius). Any later version can read and export these, whatever became of the form.
"""

from __future__ import annotations

import hashlib
import json
import math
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np
import tomli_w

from shapes import __version__
from shapes.collection.board import Board, Drawn
from shapes.collection.brief import brief_from
from shapes.collection.draw import BEND, Genes, outline_of, suits
from shapes.errors import InputError, Problem
from shapes.forms import FORMS
from shapes.geometry.curve import Array
from shapes.geometry.outline import bounds
from shapes.geometry.row import Row, Stretch
from shapes.handles import HANDLES
from shapes.handles.hand import Round, Sketch
from shapes.settings import read_toml

SCHEMA = 1
LARGEST = 2000.0  # mm: more than any brief may ask for


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


def digest(board: Board | Drawn) -> str:
    """Six hex digits of the recipe's hash: form, handle and outline, whatever its name."""
    if isinstance(board, Drawn):
        shape: Any = [c.segments.round(6).tolist() for c in board.outline.curves]
    else:
        shape = outline_table(board.sketch)
    text = json.dumps([board.form, board.handle, board.brief.thickness, shape])
    return hashlib.sha256(text.encode()).hexdigest()[:6]


def write_recipe(board: Board) -> bytes:
    """Return the text of board.toml."""
    table = {
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
    return tomli_w.dumps(table).encode()


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


def read_recipe(path: Path) -> Board:
    """Read a board from its recipe. Raises InputError with every problem found."""
    table = read_toml(path)
    where = str(path)
    if table.get("schema") != SCHEMA:
        raise InputError(
            Problem(
                f"{where}: schema",
                f"{table.get('schema')!r} is not {SCHEMA}",
                "",
                "this is no board recipe of this version; name a board.toml",
            )
        )
    brief = brief_from(_still_drawn(_part(table, "brief", where)), f"{where}: brief")
    try:
        form, handle = str(table["form"]), table["handle"]
        if handle not in HANDLES:
            raise ValueError(f"unknown handle {handle!r}")
        at = _pose(table["lies_at"]) if "lies_at" in table else None
        genes = _genes(table, form, handle, at) if "stretches" in table else None
        sketch = _sketch(table["outline"])
        x0, y0, x1, y1 = bounds(outline_of(sketch))
        if max(x1 - x0, y1 - y0) > LARGEST:
            raise ValueError(f"its outline is larger than {LARGEST:g} mm")
    except (KeyError, TypeError, ValueError, IndexError) as error:
        raise InputError(
            Problem(
                where,
                f"the recipe is damaged: {error}",
                "",
                "take a fresh copy of the board's folder",
            )
        ) from None
    name = table.get("name", "")
    if not isinstance(name, str):
        raise InputError(Problem(f"{where}: name", f"{name!r} is no text", "", 'write it as "..."'))
    return Board(brief, sketch, form, handle, genes, name, at)


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


def _part(table: dict[str, Any], name: str, where: str) -> dict[str, Any]:
    part = table.get(name)
    if not isinstance(part, dict):
        raise InputError(Problem(f"{where}: {name}", "is missing", "", "take a fresh copy"))
    return part


def _genes(
    table: dict[str, Any], form: str, handle: str, at: tuple[float, float, float] | None
) -> Genes | None:
    """Read the row of a board; None where its form is not drawn any more."""
    if form not in FORMS:
        return None
    about, hand = table["row"], dict(table["hand"])
    stretches = tuple(_stretch(s) for s in table["stretches"])
    names = [s.name for s in stretches]
    if not 3 <= len(stretches) <= MOST_STRETCHES or len(set(names)) < len(names):
        raise ValueError(f"stretches want 3 to {MOST_STRETCHES} rows, each of its own name")
    total = math.degrees(sum(s.turn for s in stretches))
    if abs(total - 360) > 0.01:
        raise ValueError(f"the turns of its stretches are {total:.2f} degrees in all, not 360")
    length, width = _within(about["length"], 20, LARGEST), _within(about["width"], 20, LARGEST)
    height = None
    if "height" in about:
        h = about["height"]
        height = (
            names.index(h["of"]),
            names.index(h["over"]) if h["over"] else -1,
            _within(h["by"], -LARGEST, LARGEST),
        )
    row = Row(
        stretches,
        (length, width),
        math.radians(_within(about["heading"], -360, 360)),
        _within(about["ease"], 1, 200),
        height,
        _within(about["swings"], 0, 2),
    )
    beside = tuple(str(n) for n in hand.pop("beside", []))
    sizes = tuple((str(n), _within(v, 0, LARGEST)) for n, v in hand.items())
    wanted = {f.name for f in fields(HANDLES[handle].kind)}
    if {n for n, _ in sizes} != wanted:
        raise ValueError(f"hand wants exactly: {', '.join(sorted(wanted)) or 'nothing'}")
    turned = about["mirrored"]
    flip = (bool(turned["up_to_down"]), bool(turned["end_to_end"]))
    return Genes(form, handle, row, sizes, beside, flip, _within(about["moved"], 0, 100), at)


MOST_STRETCHES = 60


def _stretch(table: dict[str, Any]) -> Stretch:
    turn = math.radians(_within(table["turn"], -360, 360))
    if "radius" in table:
        length = abs(turn) * _within(table["radius"], 0.5, 1e5)
    else:
        length = _within(table["length"], 0.5, 1e4)
    if length <= 0:
        raise ValueError("a stretch with a radius wants a turn")
    return Stretch(turn, length, _within(table["give"], 0, 10), str(table["name"]))


def _within(value: Any, low: float, high: float) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"{value!r} is no number")
    if not low <= value <= high:
        raise ValueError(f"{value:g} is out of range, {low:g} to {high:g}")
    return float(value)


def _pose(value: Any) -> tuple[float, float, float]:
    x, y, angle = (_within(v, -1e5, 1e5) for v in value)
    return x, y, angle


def _sketch(table: dict[str, Any]) -> Sketch:
    openings: list[Array | Round] = []
    for o in table["openings"]:
        openings.append(
            Round(*(float(v) for v in o["round"])) if "round" in o else _points(o["control"])
        )
    grips = tuple((float(x), float(y), float(a)) for x, y, a in table["grips"])
    return Sketch(_points(table["edge"]), tuple(openings), grips)


def _points(rows: Any) -> Array:
    try:
        p = np.asarray(rows, dtype=float)
    except ValueError:
        raise ValueError("a point of the outline is not two numbers") from None
    if p.ndim != 2 or p.shape[1] != 2 or len(p) < 3 or not np.isfinite(p).all():
        raise ValueError("an outline wants three points of two numbers or more")
    return p

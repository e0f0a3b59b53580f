"""board.toml: the recipe of one board, enough to draw it again, and the outline itself.

``outline.edge`` and the ``control`` of an opening are the control points, in mm, of a closed
uniform cubic B-spline; ``round`` is (x, y, radius). Any later version can read and export these.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np
import tomli_w

from shapes import __version__
from shapes.collection.board import Board, Drawn
from shapes.collection.brief import brief_from
from shapes.collection.draw import NOISE, Band, Genes, outline_of
from shapes.errors import InputError, Problem
from shapes.forms import FORMS
from shapes.geometry.curve import Array
from shapes.geometry.outline import bounds
from shapes.handles import HANDLES
from shapes.handles.hand import Round, Sketch
from shapes.parameters import from_shares, ranges
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
    genes = board.genes
    values = from_shares(FORMS[genes.form].kind, dict(genes.form_shares))
    table = {
        "schema": SCHEMA,
        "version": __version__,
        "name": board.name,
        "form": genes.form,
        "handle": genes.handle,
        "parameters": {n: round(getattr(values, n), 4) for n in ranges(type(values))},
        "brief": board.brief.as_table(),
        "outline": outline_table(board.sketch),
        "genes": {
            "form_shares": dict(genes.form_shares),
            "handle_shares": dict(genes.handle_shares),
            "noise": list(genes.noise),
            "flip": list(genes.flip),
            "fill": genes.fill,
            **({"band": _band_table(genes.band)} if genes.band else {}),
        },
    }
    return tomli_w.dumps(table).encode()


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
    brief = brief_from(_part(table, "brief", where), f"{where}: brief")
    try:
        genes = _genes(table)
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
    return Board(brief, genes, sketch, name)


def _part(table: dict[str, Any], name: str, where: str) -> dict[str, Any]:
    part = table.get(name)
    if not isinstance(part, dict):
        raise InputError(Problem(f"{where}: {name}", "is missing", "", "take a fresh copy"))
    return part


def _genes(table: dict[str, Any]) -> Genes:
    form, handle, g = table["form"], table["handle"], table["genes"]
    if form not in FORMS:
        raise ValueError(f"nobody here knows the form {form!r}")
    if handle not in HANDLES:
        raise ValueError(f"nobody here knows the handle {handle!r}")
    noise = tuple(float(v) for v in g["noise"])
    if len(noise) != NOISE or not np.isfinite(noise).all():
        raise ValueError(f"genes.noise wants {NOISE} numbers")
    shares = [*g["form_shares"].values(), *g["handle_shares"].values()]
    if not all(0 <= float(v) <= 1 for v in shares) or not 0.5 <= float(g["fill"]) <= 1:
        raise ValueError("genes: shares go from 0 to 1, fill from 0.5 to 1")
    return Genes(
        form,
        handle,
        tuple((str(n), float(v)) for n, v in g["form_shares"].items()),
        tuple((str(n), float(v)) for n, v in g["handle_shares"].items()),
        noise,
        (bool(g["flip"][0]), bool(g["flip"][1])),
        float(g["fill"]),
        _band(g["band"]) if "band" in g else None,
    )


def _band_table(band: Band) -> dict[str, Any]:
    return {name: value for name, value in asdict(band).items() if value is not None}


def _band(table: dict[str, Any]) -> Band:
    low, high = (tuple(float(v) for v in table[n]) for n in ("low", "high"))
    length = float(table["length"])
    if len(low) != len(high) or len(low) < 2 or not 0 < length <= LARGEST:
        raise ValueError("genes.band wants a length and as many low as high")
    if not all(0 < b - a <= LARGEST for a, b in zip(low, high, strict=True)):
        raise ValueError("genes.band: high lies above low everywhere")
    full = float(table.get("full", 0.0))
    if not 0 <= full <= 3:
        raise ValueError("genes.band: full goes from 0 to 3")
    at = table.get("at")
    if at is None:
        return Band(length, low, high, full)
    x, y, angle = (float(v) for v in at)
    return Band(length, low, high, full, (x, y, angle))


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

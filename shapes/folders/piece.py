"""A piece of timber and somebody's own drawing as plain values, for placement.json, and back."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import numpy as np
import shapely

from shapes.collection.board import Board, DrawnBoard
from shapes.collection.brief import brief_from
from shapes.errors import InputError
from shapes.geometry.curve import Curve
from shapes.geometry.outline import outline
from shapes.settings import Reads, Text, UnreadableError, Word, WordList, YesNo
from shapes.timber.off_cut import KINDS, ORIGINS, PARTS, Defect, Fixing, OffCut, Price, Sawn
from shapes.timber.species import known_species

_PLAIN = (
    "name",
    "thickness",
    "species",
    "wanted",
    "moisture",
    "mass",
    "grain",
    "origin",
    "margin",
    "rings",
    "keep",
    "source",
)


_SAID: dict[str, Reads] = {
    "name": Text(),
    "species": known_species,
    "origin": Word(ORIGINS, "is unknown here"),
    "kind": Word(tuple(KINDS), "is no defect known here"),
    "parts": WordList(("waste", *PARTS)),
    "sized": YesNo(),
    "looks": YesNo(),
}


def _said(name: str, value: Any) -> Any:
    """Return a word as settings read it. Raises ValueError where it is none."""
    try:
        return _SAID[name](value)
    except (UnreadableError, InputError, ExceptionGroup):
        raise ValueError(f"{name} is none of ours") from None


def piece_json(piece: OffCut) -> dict[str, Any]:
    """Return a piece as plain values, in the coordinates it was measured in.

    The grain in radians.
    """
    return {
        **{name: getattr(piece, name) for name in _PLAIN},
        "outline": _points(piece.outline),
        "natural": (
            None
            if piece.natural is None
            else [_points(p) for p in shapely.get_parts(piece.natural)]
        ),
        "defects": [
            {
                "name": d.name,
                "kind": d.kind,
                "shape": _points(d.shape),
                "clearance": d.clearance,
                "may_lie_in": list(d.may_lie_in),
            }
            for d in piece.defects
        ],
        "fixings": [
            {"name": f.name, "at": list(f.at), "diameter": f.diameter, "proud": f.proud}
            for f in piece.fixings
        ],
        "price": None if piece.price is None else [piece.price.amount, piece.price.per],
        "mark": None if piece.mark is None else list(piece.mark),
        "corner": list(piece.corner),
        "sawn": None if piece.sawn is None else asdict(piece.sawn),
    }


def _points(shape: shapely.Geometry) -> list[list[float]]:
    return [[float(x), float(y)] for x, y in shapely.get_coordinates(shape)]


_SPANS = {
    "thickness": (1.0, 500.0),
    "moisture": (0.0, 100.0),
    "grain": (-7.0, 7.0),
    "margin": (0.0, 100.0),
}


def _region(points: Any) -> shapely.Polygon:
    """Return what points go round. Raises ValueError where they cross or enclose nothing."""
    made = shapely.Polygon(points)
    if not made.is_valid or made.area <= 0:
        raise ValueError("encloses nothing, or crosses itself")
    return made


def piece_from(made: dict[str, Any]) -> OffCut:
    """Return the piece of plain values.

    Raises KeyError, TypeError or ValueError where they are none.
    """
    natural = made["natural"]
    for name in ("name", "species", "origin"):
        _said(name, made[name])
    for defect in made["defects"]:
        _said("name", defect["name"])
        _said("kind", defect["kind"])
        _said("parts", defect["may_lie_in"] or ["waste"])
    for name, (low, high) in _SPANS.items():
        if not low <= float(made[name]) <= high:
            raise ValueError(f"{name} is none of a piece")
    return OffCut(
        **{name: made[name] for name in _PLAIN},
        outline=_region(made["outline"]),
        natural=(
            None if natural is None else shapely.union_all([shapely.LineString(p) for p in natural])
        ),
        defects=tuple(
            Defect(
                d["name"], d["kind"], _region(d["shape"]), d["clearance"], tuple(d["may_lie_in"])
            )
            for d in made["defects"]
        ),
        fixings=tuple(
            Fixing(f["name"], (f["at"][0], f["at"][1]), f["diameter"], f["proud"])
            for f in made["fixings"]
        ),
        price=None if made["price"] is None else Price(*made["price"]),
        mark=None if made["mark"] is None else (made["mark"][0], made["mark"][1]),
        corner=(made["corner"][0], made["corner"][1]),
        sawn=None if made["sawn"] is None else Sawn(**made["sawn"]),
    )


def drawn_json(board: Board | DrawnBoard) -> dict[str, Any] | None:
    """Return somebody's own drawing as plain values; None of a board that has a recipe."""
    if isinstance(board, Board):
        return None
    return {
        "brief": board.brief.as_table(),
        "curves": [c.segments.tolist() for c in board.outline.curves],
        "name": board.name,
        "grips": [list(g) for g in board.grips],
        "sized": board.sized,
        "looks": board.looks,
    }


def drawn_from(made: dict[str, Any]) -> DrawnBoard:
    """Return the drawing of plain values. Raises as piece_from does, or InputError."""
    edge, *holes = (Curve(np.array(c, dtype=float)) for c in made["curves"])
    for name in ("sized", "looks"):
        _said(name, made[name])
    grips = tuple((float(x), float(y), float(a)) for x, y, a in made["grips"])
    return DrawnBoard(
        brief_from(made["brief"]),
        outline(edge, holes),
        _said("name", made["name"]),
        grips,
        sized=made["sized"],
        looks=made["looks"],
    )

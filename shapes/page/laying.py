"""Boards on a piece, by hand: drawn, dragged, settled."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from shapes.errors import InputError, Problem
from shapes.files.safe import write_checked
from shapes.folders.bench import Bench
from shapes.folders.collection import to_json
from shapes.geometry.pose import Pose
from shapes.library.laying import place
from shapes.page.opened import Opened
from shapes.page.values import Body, a_board, number, whole
from shapes.placing.by_hand import Lying, Table
from shapes.text_files import read_json
from shapes.timber.off_cut import OffCut

LAID = "laid.json"
MOST_LAID = 20  # boards on one piece
TIGHTEST = 3  # clearances that are told of each board


def piece(o: Opened, asked: Body) -> Body:
    """Return a piece as it is drawn, and what lies on it."""
    bench = o.bench(asked)
    found = laid(bench)
    name = str(asked.get("piece") or found.get("piece") or "")
    if not asked.get("piece") and name not in o.pieces():
        name = ""  # the piece that boards lay on is gone
    if not name:
        return {"piece": None, "pieces": o.pieces()}
    own = found if found.get("piece") == name else {}
    return {
        "piece": drawn_piece(name, o.piece(name)),
        "pieces": o.pieces(),
        **_lying(o, bench, name, own.get("boards", [])),
    }


def lay(o: Opened, asked: Body) -> Body:
    """Lay boards on a piece as ``place`` does; what finds no room is told."""
    bench, name = o.bench(asked), str(asked.get("piece"))
    piece = o.piece(name)
    given = asked.get("keys")
    keys = [str(k) for k in given][:MOST_LAID] if isinstance(given, list) else []
    boards = [replace(a_board(o.boards.report(bench, k)), name=k) for k in keys]
    found = place(boards, [piece], patience=20.0, seed=1)
    rows = [laid_json(p.board.name, p.pose) for c in found.covered for _, p, _ in c.placed]
    write_laid(bench, name, rows)
    left = [
        found.why(i).replace(keys[i], o.boards.report(bench, keys[i]).board.name)
        for i in dict.fromkeys(found.left)
    ]
    return {**_lying(o, bench, name, rows), "left": [t for t in left if t]}


def measure(o: Opened, asked: Body) -> Body:
    """Say what boards keep clear of as they lie under a hand."""
    return _lying(o, o.bench(asked), str(asked.get("piece")), asked.get("boards"))


def settle(o: Opened, asked: Body) -> Body:
    """Move one board to the nearest lawful place."""
    bench, name = o.bench(asked), str(asked.get("piece"))
    keys, poses = poses_of(asked.get("boards"))
    i = whole(asked.get("which"), 0, len(keys) - 1, "which")
    pose = table_of(o, bench, name, keys).settled(poses, i)
    if pose is None:
        raise InputError(
            Problem(
                "piece",
                "there is no room for this board beside the others",
                "",
                "take one off, or a smaller board",
            )
        )
    poses[i] = pose
    rows = [laid_json(k, p) for k, p in zip(keys, poses, strict=True)]
    write_laid(bench, name, rows)
    return _lying(o, bench, name, rows)


def lie(o: Opened, asked: Body) -> Body:
    """Write how boards lie, once a hand lets go."""
    bench, name = o.bench(asked), str(asked.get("piece"))
    keys, poses = poses_of(asked.get("boards"))
    rows = [laid_json(k, p) for k, p in zip(keys, poses, strict=True)]
    told_ = _lying(o, bench, name, rows)
    write_laid(bench, name, rows)
    return told_


def table_of(o: Opened, bench: Bench, name: str, keys: list[str]) -> Table:
    """Return a piece with boards to be laid on it. Raises InputError."""
    boards = [a_board(o.boards.report(bench, k)) for k in keys]
    return Table(o.piece(name), boards)


def _lying(o: Opened, bench: Bench, name: str, rows: Any) -> Body:
    keys, poses = poses_of(rows)
    table = table_of(o, bench, name, keys)
    return {"boards": lying_json(table, keys, poses), "other": other_wood(o, bench, table, keys)}


def laid(bench: Bench) -> Body:
    """Read how boards lie: the piece's name, and each board with its pose.

    Nothing where none was laid.
    """
    try:
        made = read_json(bench.place / LAID)
        known = set(bench.every_key())
        rows = [r for r in made["boards"] if r["key"] in known]
        return {"piece": str(made["piece"]), "boards": rows}
    except (OSError, ValueError, KeyError, TypeError):
        return {}


def write_laid(bench: Bench, piece: str, rows: list[Body]) -> None:
    """Write how boards lie."""
    write_checked(bench.made(LAID), to_json({"schema": 1, "piece": piece, "boards": rows}))


def laid_json(key: str, pose: Pose) -> Body:
    """Return a board's pose as plain values: mm and degrees."""
    return {
        "key": key,
        "x": round(pose.x, 4),
        "y": round(pose.y, 4),
        "turned": round(math.degrees(math.remainder(pose.angle, math.tau)), 4),
    }


def poses_of(rows: Any) -> tuple[list[str], list[Pose]]:
    """Read boards with their poses. Raises InputError."""
    if (
        not isinstance(rows, list)
        or len(rows) > MOST_LAID
        or not all(isinstance(r, dict) for r in rows)
    ):
        raise InputError(Problem("boards", "are no list of boards", f"{MOST_LAID} at most"))
    poses = [
        Pose(
            number(r.get("x"), -1e4, 1e4, "x"),
            number(r.get("y"), -1e4, 1e4, "y"),
            math.radians(number(r.get("turned"), -720, 720, "turned")),
        )
        for r in rows
    ]
    return [str(r.get("key")) for r in rows], poses


def other_wood(o: Opened, bench: Bench, table: Table, keys: list[str]) -> list[str]:
    """Say which boards become others on this piece: of its timber, as thick as it gives."""
    said = []
    for key, board in zip(keys, table.boards, strict=True):
        own, now = o.boards.report(bench, key).board, board.brief
        was = own.brief
        if (was.species, was.thickness) != (now.species, now.thickness):
            said.append(
                f"{own.name} was drawn of {was.species}, {was.thickness:g} mm thick; from this"
                f" piece it is of {now.species}, {now.thickness:g} mm thick"
            )
    return said


def lying_json(table: Table, keys: list[str], poses: list[Pose]) -> list[Body]:
    """Return boards as they lie, with what they keep clear of, tightest first."""
    return [
        {**laid_json(key, pose), **_clear(one)}
        for key, pose, one in zip(keys, poses, table.lying(poses), strict=True)
    ]


def _clear(one: Lying) -> Body:
    worst: dict[str, Body] = {}
    for c in one.placement.clearances:  # tightest first: of one thing the worst is told
        worst.setdefault(
            c.name, {"name": c.name, "there": round(c.there, 2), "asked": round(c.asked, 2)}
        )
    return {
        "holds": one.holds,
        "inside": one.inside,
        "off_grain": round(one.off_grain, 1),
        "clear": list(worst.values())[:TIGHTEST],
    }


def drawn_piece(name: str, piece: OffCut) -> Body:
    """Return a piece as the page draws it: rings in mm, y up."""
    return {
        "file": name,
        "name": piece.name,
        "species": piece.species,
        "thickness": piece.thickness,
        "grain": math.degrees(piece.grain),
        "box": list(piece.outline.bounds),
        "rings": [_ring(r) for r in (piece.outline.exterior, *piece.outline.interiors)],
        "natural": (
            []
            if piece.natural is None
            else [_ring(g) for g in getattr(piece.natural, "geoms", [piece.natural])]
        ),
        "defects": [{"kind": d.kind, "ring": _ring(d.shape.exterior)} for d in piece.defects],
        "fixings": [
            {"at": list(f.at), "diameter": f.diameter, "proud": f.proud} for f in piece.fixings
        ],
    }


def _ring(line: Any) -> list[list[float]]:
    return [[round(x, 2), round(y, 2)] for x, y, *_ in line.coords]

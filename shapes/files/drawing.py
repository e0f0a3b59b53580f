"""Reading a drawing, DXF or SVG, into the boards it holds; nothing is guessed silently."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from shapes.errors import InputError, OutlineError, Problem
from shapes.files.drawn import (
    CORNER,
    LARGEST_BOARD,
    LARGEST_FILE,
    MOST_BOARDS,
    MOST_CORNERS,
    MOST_OPENINGS,
    RawDrawing,
)
from shapes.files.read_dxf import read_dxf
from shapes.files.read_svg import read_svg
from shapes.files.svg_view import PX
from shapes.geometry.measures import kinks
from shapes.mending.loops import Joined, Loops, join, nest
from shapes.mending.loops import Piece as _Piece

READERS: dict[str, Callable[[Path, tuple[str, ...]], RawDrawing]] = {
    ".dxf": read_dxf,
    ".svg": read_svg,
}
UNITS = {"mm": 1.0, "cm": 10.0, "in": 25.4, "px": PX}  # mm; CSS: 96 px an inch
GAP = 0.1  # mm: ends nearer than this are taken for one; our choice


@dataclass(frozen=True, slots=True)
class Drawing:
    """The boards of one drawing, in mm, y up, and what was mended or left out."""

    boards: tuple[Loops, ...]
    notes: tuple[str, ...]


def read_drawing(
    path: Path, unit: str | None = None, layers: tuple[str, ...] = (), gap: float = GAP
) -> Drawing:
    """Read a drawing. ``unit`` says what a unit of it measures, over what the file itself says.

    Raises InputError: no such file, not a drawing, too large, no unit, nothing closed in it.
    """
    where = str(path)
    reader = READERS.get(path.suffix.lower())
    if reader is None:
        raise InputError(Problem(where, "is no drawing", "", "name a .dxf, a .svg or a board.toml"))
    if not path.is_file():
        raise InputError(Problem(where, "there is no such file"))
    size = path.stat().st_size
    if size == 0:
        raise InputError(Problem(where, "is empty"))
    if size > LARGEST_FILE:
        raise InputError(
            Problem(
                where,
                f"is {size / 1e6:.0f} MB",
                f"at most {LARGEST_FILE / 1e6:.0f} MB",
                "save the board alone",
            )
        )
    drawn = reader(path, layers)
    scale = UNITS[unit] if unit else drawn.unit
    if scale is None:
        raise InputError(
            Problem(
                where,
                "does not say what unit it is drawn in",
                "",
                "say --unit mm, cm, in or px (96 to the inch)",
            )
        )
    if not drawn.pieces:
        left = "; ".join(drawn.notes) or "it holds nothing"
        raise InputError(
            Problem(where, f"holds no line to cut ({left})", "", "turn text into outlines first")
        )
    try:
        joined = join((_scaled(p, scale) for p in drawn.pieces), gap)
    except OutlineError as error:
        raise InputError(Problem(where, f"cannot be used: {error}")) from None
    if len(joined.loops) > MOST_BOARDS + MOST_OPENINGS:
        raise InputError(
            Problem(
                where,
                f"holds {len(joined.loops)} loops",
                f"at most {MOST_BOARDS} boards and {MOST_OPENINGS} openings are read",
                "save the board alone",
            )
        )
    boards, empty = nest(joined.loops)
    if not boards:
        raise InputError(Problem(where, _no_loop(joined), "", _remedy(joined)))
    if problems := list(_beyond(boards, where)):
        raise InputError(*problems)
    notes = [*drawn.notes, *_notes(joined, gap)]
    if empty:
        notes.append(f"ignored: {len(empty)} loops that enclose nothing")
    return Drawing(tuple(boards), tuple(notes))


def _beyond(boards: Sequence[Loops], where: str) -> Iterator[Problem]:
    """What a drawing holds more of than is looked at: told before the work."""
    loops = [c for b in boards for c in (b.edge, *b.openings)]
    corners = sum(int((np.abs(kinks(c)) > CORNER).sum()) for c in loops)
    openings = len(loops) - len(boards)
    for count, most, what, remedy in (
        (len(boards), MOST_BOARDS, "boards", "save fewer in one file"),
        (openings, MOST_OPENINGS, "openings", "is it a pattern? keep it apart from the board"),
        (
            corners,
            MOST_CORNERS,
            "corners",
            "is it a trace of pixels or with noise? smooth it first",
        ),
    ):
        if count > most:
            yield Problem(where, f"holds {count} {what}", f"at most {most} are read", remedy)
    largest = max(float(np.ptp(c.segments.reshape(-1, 2), axis=0).max()) for c in loops)
    if largest > LARGEST_BOARD:
        yield Problem(
            where,
            f"is {largest / 1000:.1f} m long",
            f"at most {LARGEST_BOARD / 1000:g} m",
            "is its unit the right one? say --unit",
        )


def _scaled(piece: _Piece, scale: float) -> _Piece:
    return replace(piece, segments=piece.segments * scale)


def _nearest(joined: Joined) -> tuple[tuple[float, float], float]:
    return min(joined.open_ends, key=lambda e: e[1])


def _no_loop(joined: Joined) -> str:
    if not joined.open_ends:
        return "encloses nothing"
    (x, y), gap = _nearest(joined)
    return f"holds no closed loop: a line ends at ({x:.2f}, {y:.2f}) mm, {gap:.3g} mm from the next"


def _remedy(joined: Joined) -> str:
    if not joined.open_ends:
        return "draw the edge as one closed line"
    return f"join it in the drawing, or say --gap {_nearest(joined)[1] * 1.2:.2g}"


def _notes(joined: Joined, gap: float) -> list[str]:
    notes = []
    if joined.gaps:
        notes.append(
            f"closed {len(joined.gaps)} gaps, the widest {max(joined.gaps):.3g} mm (--gap {gap:g})"
        )
    if joined.doubles:
        notes.append(f"ignored: {joined.doubles} lines drawn twice")
    if joined.empty:
        notes.append(f"ignored: {joined.empty} lines of no length")
    if joined.open_ends:
        (x, y), off = _nearest(joined)
        notes.append(
            f"ignored: {len(joined.open_ends)} open lines, one ends at ({x:.2f}, {y:.2f}) mm,"
            f" {off:.3g} mm from the next"
        )
    return notes

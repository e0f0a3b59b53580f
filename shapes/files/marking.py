"""Marks on boards: text or artwork as a maker asks for it, placed on a face and judged."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import shapely

from shapes.collection.board import Report
from shapes.errors import InputError, Problem
from shapes.files.drawing import read_drawing
from shapes.files.font import DEFAULT, open_font
from shapes.geometry.curve import Curve
from shapes.workshop.face import APART, areas, face_of
from shapes.workshop.job import Placed
from shapes.workshop.lettering import (
    LEGIBLE,
    along_edge,
    drawn,
    fineness,
    lettered,
    set_lines,
    size_of,
)

BITMAPS = (".png", ".jpg", ".jpeg", ".gif", ".bmp", ".tif", ".tiff", ".webp", ".heic")
SLIM = 30.0  # an area is no slimmer than this; what is slimmer lies in it with room to spare
CAPITAL = 6.0  # mm, of text along an edge; our choice


@dataclass(frozen=True, slots=True)
class Marking:
    """One mark as the options ask for it: text or artwork, its face, its angle."""

    use: str
    text: str | None = None
    artwork: Path | None = None
    face: str = "underside"
    font: str = DEFAULT
    height: float | None = None
    along: float | None = None
    angle: float | None = 0.0
    margin: float | None = None
    unit: str | None = None

    @property
    def wanted(self) -> bool:
        """Whether anything is asked for."""
        return self.text is not None or self.artwork is not None


def artwork_curves(path: Path, unit: str | None) -> tuple[list[Curve], tuple[str, ...]]:
    """Read the closed curves of a drawing, and notes on what was left out. Raises InputError.

    Its unit does not matter: it is scaled to its area.
    """
    if path.suffix.lower() in BITMAPS:
        raise InputError(Problem(str(path), "is a bitmap", "", "trace it to outlines and save an .svg or a .dxf"))  # fmt: skip
    drawing = read_drawing(path, unit or "mm")
    notes = tuple(f"{path}: {text}" for text in drawing.notes)
    return [c for b in drawing.boards for c in (b.edge, *b.openings)], notes


def mark(report: Report, asked: Marking, where: str, taken: Placed | None = None) -> Placed:
    """Place a mark on a board, clear of one that is there already. Raises InputError."""
    face = face_of(report, asked.face, asked.use, asked.margin, where)
    if taken and taken.face.name == face.name:
        there = shapely.buffer(taken.area.polygon, APART)
        face = replace(face, free=shapely.difference(face.free, there))
    if asked.text is not None:
        text = asked.text.replace("{name}", report.board.name or report.board.form)
        font = open_font(asked.font)
        if asked.along is not None:
            if "\n" in text or "\\n" in text:
                raise InputError(Problem("--text", "runs along the edge in one line", "", "leave the line break out"))  # fmt: skip
            return Placed(
                face, along_edge(font, text, face, asked.along, asked.height or CAPITAL, where)
            )
        curves = set_lines(font, text)
        # What is too small is told in letters, so no area is too slim here.
        area = areas(face, [_ratio(curves)], asked.angle, where, 0.0)[0]
        made = lettered(font, curves, area, text.replace("\\n", " ").replace("\n", " "), asked.height, where)  # fmt: skip
        return Placed(face, made)
    assert asked.artwork is not None
    curves, notes = artwork_curves(asked.artwork, asked.unit)
    area = areas(face, [_ratio(curves)], asked.angle, where)[0]
    return Placed(face, replace(drawn(curves, area, asked.artwork.stem), notes=notes))


def _ratio(curves: list[Curve]) -> float:
    long, wide = size_of(curves)
    return float(min(max(long / wide, 1 / SLIM), SLIM))


def judged(placed: Placed, spot: float, where: str) -> list[str]:
    """Lines on what was left out of a mark, and what of it is too small or too fine."""
    found = list(placed.mark.notes)
    capital = placed.mark.capital
    if capital is not None and capital < LEGIBLE:
        found.append(f"{where}: capitals are {capital:.1f} mm high; under {LEGIBLE:g} mm they are hard to read")  # fmt: skip
    fine = fineness(placed.mark, spot)
    for value, what in ((fine.stroke, "strokes"), (fine.gap, "gaps")):
        if value is not None:
            size = f"down to {value:.2f} mm" if value >= 0.02 else "that run to a point"
            found.append(f"{where}: {what} {size}, finer than the spot of {spot:g} mm")
    return found

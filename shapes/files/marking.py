"""Marks on boards: text or artwork as a maker asks for it, placed on a face and judged."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shapely

from shapes.collection.board import Report
from shapes.errors import InputError, Problem
from shapes.files.drawing import read_drawing
from shapes.files.font import DEFAULT, open_font
from shapes.geometry.curve import Curve, flatten
from shapes.geometry.rectangle import Rectangle
from shapes.units import at_most
from shapes.workshop.face import BETWEEN_AREAS, NARROWEST_AREA, Face, areas, face_of
from shapes.workshop.job import Placed
from shapes.workshop.lettering import (
    LEGIBLE,
    Typeface,
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
    width: float | None = None  # mm along its lines; as large as fits where none is said
    at: tuple[float, float] | None = None  # its middle, mm from the board's middle as the face lies
    names: tuple[str, ...] = ()  # one mark each, {name} in the text standing for it

    @property
    def wanted(self) -> bool:
        """Whether anything is asked for."""
        return self.text is not None or self.artwork is not None


def artwork_curves(path: Path, unit: str | None) -> tuple[list[Curve], tuple[str, ...]]:
    """Read the closed curves of a drawing, and notes on what was left out. Raises InputError.

    Its unit does not matter: it is scaled to its area.
    """
    if path.suffix.lower() in BITMAPS:
        raise InputError(
            Problem(str(path), "is a bitmap", "", "trace it to outlines and save an .svg or a .dxf")
        )
    drawing = read_drawing(path, unit or "mm")
    notes = tuple(f"{path}: {text}" for text in drawing.notes)
    return [c for b in drawing.boards for c in (b.edge, *b.openings)], notes


def mark(report: Report, asked: Marking, where: str, taken: Placed | None = None) -> Placed:
    """Place a mark on a board, clear of one that is there already. Raises InputError."""
    face = face_of(report, asked.face, asked.use, asked.margin, where)
    if taken and taken.face.name == face.name:
        there = shapely.buffer(taken.area.polygon, BETWEEN_AREAS)
        face = replace(face, free=shapely.difference(face.free, there))
    if asked.text is not None:
        name = report.board.name or report.board.form
        text = asked.text if asked.names else asked.text.replace("{name}", name)
        font = open_font(asked.font)
        if asked.along is not None:
            if "\n" in text or "\\n" in text:
                raise InputError(
                    Problem(
                        "--text", "runs along the edge in one line", "", "leave the line break out"
                    )
                )
            return Placed(
                face, along_edge(font, text, face, asked.along, asked.height or CAPITAL, where)
            )
        return _lettered(face, asked, text, font, where)
    assert asked.artwork is not None
    curves, notes = artwork_curves(asked.artwork, asked.unit)
    area = _area(face, _ratio(curves), asked, where, NARROWEST_AREA)
    return Placed(face, replace(drawn(curves, area, asked.artwork.stem), notes=notes))


def _lettered(face: Face, asked: Marking, text: str, font: Typeface, where: str) -> Placed:
    """Set text, a logo above it where artwork is asked for
    too, or one text for each name in one area.
    """
    notes: tuple[str, ...] = ()
    texts = [asked.text.replace("{name}", n) for n in asked.names] if asked.text else []
    sets = [set_lines(font, t) for t in texts or [text]]
    if asked.artwork is not None:
        art, notes = artwork_curves(asked.artwork, asked.unit)
        sets = [_above(art, s, font.capital) for s in sets]
    # What is too small is told in letters, so no area is too slim here.
    area = _area(face, max(map(_ratio, sets)), asked, where, 0.0)
    height = asked.height
    if len(sets) > 1 and height is None:  # all names in letters of one size
        height = (
            min(min(area.length / a, area.width / b) for a, b in map(size_of, sets)) * font.capital
        )
    made = [
        replace(
            lettered(font, s, area, t.replace("\\n", " ").replace("\n", " "), height, where),
            notes=notes,
        )
        for s, t in zip(sets, texts or [text], strict=True)
    ]
    return Placed(face, made[0], tuple(zip(asked.names, made, strict=True)) if texts else ())


LOGO, GAP = 2.2, 0.6  # capitals high; ems between a logo and the text under it; our choice


def _above(art: list[Curve], text: list[Curve], capital: float) -> list[Curve]:
    """Set artwork above text, in ems, no wider than half as wide again.

    The middle of both at (0, 0).
    """
    long, high = size_of(art)
    wide, low = size_of(text)
    scale = min(LOGO * capital / high, max(1.5 * wide, LOGO * capital) / long)
    box = np.concatenate([flatten(c, 0.001) for c in art])
    middle = (box.min(axis=0) + box.max(axis=0)) / 2
    up = low / 2 + GAP + scale * high / 2
    lifted = [Curve((c.segments - middle) * scale + np.array([0.0, up])) for c in art]
    shift = np.array([0.0, (GAP + scale * high) / 2])
    return [Curve(c.segments - shift) for c in (*lifted, *text)]


def _area(face: Face, ratio: float, asked: Marking, where: str, least: float) -> Rectangle:
    """Return the area of a mark.

    As large as fits, or of the width and at the place that are asked.
    """
    if asked.at is None:
        most = areas(face, [ratio], asked.angle, where, least)[0]
    else:
        most = _largest_at(face, ratio, asked.at, asked.angle or 0.0, where)
    if asked.width is None:
        return most
    if asked.width > most.length * (1 + 1e-9):
        raise InputError(
            Problem(
                where,
                f"a mark {asked.width:g} mm wide does not fit on the {face.name}",
                f"up to {at_most(most.length)} mm",
                "a smaller --mark-width, or another --mark-at or face",
            )
        )
    return replace(most, length=asked.width, width=asked.width / ratio)


def _largest_at(
    face: Face, ratio: float, at: tuple[float, float], angle: float, where: str
) -> Rectangle:
    """Return the largest area round a place. Raises InputError where none lies there."""
    low, high = 0.0, 2000.0
    for _ in range(40):
        middle = (low + high) / 2
        area = Rectangle(*at, angle, middle, middle / ratio)
        low, high = (middle, high) if shapely.covers(face.free, area.polygon) else (low, middle)
    if min(low, low / ratio) < NARROWEST_AREA:
        raise InputError(
            Problem(
                where,
                f"({at[0]:g}, {at[1]:g}) lies too near an edge, an opening or the handle of the"
                f" {face.name}",
                "",
                "give another --mark-at, from the board's middle as that face lies",
            )
        )
    return Rectangle(*at, angle, low, low / ratio)


def _ratio(curves: list[Curve]) -> float:
    long, wide = size_of(curves)
    return float(min(max(long / wide, 1 / SLIM), SLIM))


def judged(placed: Placed, spot: float, where: str) -> list[str]:
    """Lines on what was left out of a mark, and what of it is too small or too fine."""
    found = list(placed.mark.notes)
    capital = placed.mark.capital
    if capital is not None and capital < LEGIBLE:
        found.append(
            f"{where}: capitals are {capital:.1f} mm high; under {LEGIBLE:g} mm they are hard to"
            " read"
        )
    fine = fineness(placed.mark, spot)
    for value, what in ((fine.stroke, "strokes"), (fine.gap, "gaps")):
        if value is not None:
            size = f"down to {value:.2f} mm" if value >= 0.02 else "that run to a point"
            found.append(f"{where}: {what} {size}, finer than the spot of {spot:g} mm")
    return found

"""Fonts: TTF and OTF, shaped by HarfBuzz; those that packages ship are known by name."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from importlib.metadata import entry_points
from pathlib import Path
from typing import Any

import numpy as np

from shapes.errors import InputError, Problem, did_you_mean
from shapes.geometry.curve import Curve
from shapes.workshop.lettering import Letter

DEFAULT = "Caladea"
LARGEST_FONT = 40e6  # bytes


@dataclass(frozen=True, slots=True, eq=False)
class Font:
    """A font that is open; lengths in ems."""

    name: str
    capital: float
    face: Any = field(repr=False)
    shaper: Any = field(repr=False)

    def run(self, text: str) -> list[Letter]:
        """Letters of a line, kerned. Raises InputError for letters the font lacks."""
        import uharfbuzz as hb

        buffer = hb.Buffer()
        buffer.add_str(text)
        buffer.guess_segment_properties()
        hb.shape(self.shaper, buffer)
        em = self.face.upem
        missing = dict.fromkeys(text[i.cluster] for i in buffer.glyph_infos if i.codepoint == 0)
        if missing:
            listed = ", ".join(f"'{c}'" for c in missing)
            raise InputError(
                Problem(
                    "--text",
                    f"the font {self.name} has no {listed}",
                    "",
                    "use another --font or other letters",
                )
            )
        made, x, y = [], 0.0, 0.0
        for info, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
            at = (x + place.x_offset) / em, (y + place.y_offset) / em
            made.append(Letter(self.loops(info.codepoint), at, place.x_advance / em))
            x, y = x + place.x_advance, y + place.y_advance
        return made

    def loops(self, glyph: int) -> tuple[Curve, ...]:
        """Closed curves of a glyph, in ems, as the font has them."""
        pen = _Pen()
        self.shaper.draw_glyph(glyph, _functions(), pen)
        return tuple(Curve(np.array(s) / self.face.upem) for s in pen.closed())


class _Pen:
    """Collects cubics; straight and quadratic pieces are raised to cubics exactly."""

    def __init__(self) -> None:
        self.contours: list[list[list[tuple[float, float]]]] = []
        self.at = (0.0, 0.0)

    def move(self, x: float, y: float) -> None:
        self.contours.append([])
        self.at = (x, y)

    def cubic(self, a: float, b: float, c: float, d: float, x: float, y: float) -> None:
        self.contours[-1].append([self.at, (a, b), (c, d), (x, y)])
        self.at = (x, y)

    def quadratic(self, a: float, b: float, x: float, y: float) -> None:
        p, q = self.at
        self.cubic(
            p + 2 * (a - p) / 3, q + 2 * (b - q) / 3, x + 2 * (a - x) / 3, y + 2 * (b - y) / 3, x, y
        )

    def line(self, x: float, y: float) -> None:
        p, q = self.at
        if (x, y) != self.at:
            self.cubic(
                p + (x - p) / 3, q + (y - q) / 3, p + 2 * (x - p) / 3, q + 2 * (y - q) / 3, x, y
            )

    def closed(self) -> list[list[list[tuple[float, float]]]]:
        """Contours that enclose something, closed by a line where they are not."""
        found = []
        for contour in self.contours:
            if contour and contour[0][0] != contour[-1][3]:
                self.contours.append([])
                self.at = contour[-1][3]
                self.line(*contour[0][0])
                contour = contour + self.contours.pop()
            if len(contour) > 1:
                found.append(contour)
        return found


@cache
def _functions() -> Any:
    import uharfbuzz as hb

    made = hb.DrawFuncs()
    made.set_move_to_func(lambda x, y, pen: pen.move(x, y))
    made.set_line_to_func(lambda x, y, pen: pen.line(x, y))
    made.set_quadratic_to_func(lambda a, b, x, y, pen: pen.quadratic(a, b, x, y))
    made.set_cubic_to_func(lambda a, b, c, d, x, y, pen: pen.cubic(a, b, c, d, x, y))
    made.set_close_path_func(lambda pen: None)
    return made


@cache
def fonts() -> dict[str, Path]:
    """Fonts that installed packages ship, by name."""
    found: dict[str, Path] = {}
    for entry in entry_points(group="fonts_ttf"):
        found |= {name: Path(path) for name, path in entry.load().items()}
    return dict(sorted(found.items()))


def open_font(name: str) -> Font:
    """Open a font by name, or a TTF or OTF file. Raises InputError where that is none."""
    import uharfbuzz as hb

    known = fonts()
    path = known.get(name, Path(name))
    if name not in known:
        if not path.is_file():
            hint = did_you_mean(
                name, known, "known: " + ", ".join(known) + "; or name a .ttf or .otf file"
            )
            raise InputError(Problem("--font", f"there is no font '{name}'", "", hint))
        if path.stat().st_size > LARGEST_FONT:
            raise InputError(Problem("--font", f"{name} is larger than any font", "40 MB"))
    try:
        face = hb.Face(hb.Blob.from_file_path(str(path)))
        whole = bool(face.glyph_count) and "cmap" in face.table_tags
    except Exception:  # whatever the library says of a file that is no font
        whole = False
    if not whole:
        raise InputError(Problem("--font", f"{name} is no font", "", "name a .ttf or .otf file"))
    shaper = hb.Font(face)
    font = Font(path.stem, 0.0, face, shaper)
    capital = _capital(font)
    if capital <= 0:
        raise InputError(
            Problem("--font", f"{name} holds no outlines", "", "a bitmap font cannot be engraved")
        )
    return Font(path.stem, capital, face, shaper)


def _capital(font: Font) -> float:
    """Height of H in ems; of the tallest of some letters where the font has no H."""
    tall = []
    for letter in "HXEaxn0":
        glyph = font.shaper.get_nominal_glyph(ord(letter))
        if glyph:
            points = [c.segments[..., 1].max() for c in font.loops(glyph)]
            if letter == "H" and points:
                return float(max(points))
            tall += points
    return float(max(tall, default=0.0))

"""Outlines that nobody made for a router: letters and icons from packages of the registries.

Glyphs of three open fonts (font-caladea, font-amatic-sc, font-fredoka-one), drawn by fontTools, and
the filled icons of heroicons (MIT licence); each scaled to 150 to 500 mm and read as an SVG file.
"""

from __future__ import annotations

import importlib.resources
import importlib.util
import re
import zipfile
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.ttLib import TTFont

FONTS = {
    "font_caladea": "Caladea-Regular.ttf",
    "font_amatic_sc": "AmaticSC-Regular.ttf",
    "font_fredoka_one": "FredokaOne-Regular.ttf",
}
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789&@?!%$"


def size(i: int) -> float:
    """Longer side of outline i, mm."""
    return 150.0 + (i * 37) % 351


def glyphs() -> Iterator[tuple[str, str]]:
    """Names and SVG documents of letters."""
    i = 0
    for package, file in FONTS.items():
        spec = importlib.util.find_spec(package)
        assert spec is not None
        assert spec.origin is not None
        font = TTFont(Path(spec.origin).parent / "files" / file)
        chosen, cmap = font.getGlyphSet(), font.getBestCmap()
        for letter in LETTERS:
            if ord(letter) not in cmap:
                continue
            glyph = chosen[cmap[ord(letter)]]
            pen, box = SVGPathPen(chosen), BoundsPen(chosen)
            glyph.draw(pen)
            glyph.draw(box)
            x0, y0, x1, y1 = box.bounds
            k = size(i) / max(x1 - x0, y1 - y0)
            w, h = (x1 - x0) * k, (y1 - y0) * k
            yield (
                f"{package} {letter}",
                (
                    f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm"'
                    f' viewBox="{x0} {-y1} {x1 - x0} {y1 - y0}"><path transform="scale(1 -1)"'
                    f' d="{pen.getCommands()}"/></svg>'
                ),
            )
            i += 1


def icons() -> Iterator[tuple[str, str]]:
    """Names and SVG documents of icons."""
    data = importlib.resources.files("heroicons").joinpath("heroicons.zip").read_bytes()
    with zipfile.ZipFile(BytesIO(data)) as archive:
        names = sorted(
            n for n in archive.namelist() if n.startswith("solid/") and n.endswith(".svg")
        )
        for i, name in enumerate(names):
            text = archive.read(name).decode()
            side = size(i)
            text = re.sub(r'\s(width|height)="[^"]*"', "", text)
            yield name, text.replace("<svg ", f'<svg width="{side}mm" height="{side}mm" ', 1)


def documents() -> list[tuple[str, str]]:
    """All of them."""
    return [*glyphs(), *icons()]

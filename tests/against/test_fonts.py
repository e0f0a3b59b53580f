"""Letters against the font library fontTools: its own area pens on its own reading of the files."""

from __future__ import annotations

import pytest
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont

from shapes.files.font import fonts, open_font
from shapes.geometry.measures import section

TEXT = "AgRq8&Sßé%@{"


@pytest.mark.parametrize(
    "name", ["Caladea", "CaladeaBoldItalic", "AmaticSC", "FredokaOne", "Roboto"]
)
def test_areas_boxes_and_advances_of_letters(name: str) -> None:
    theirs = TTFont(fonts()[name])
    em, glyphs, names = theirs["head"].unitsPerEm, theirs.getGlyphSet(), theirs.getBestCmap()
    ours = open_font(name)
    checked = 0
    for character in TEXT:
        if ord(character) not in names:
            continue
        glyph = glyphs[names[ord(character)]]
        area, box = AreaPen(glyphs), BoundsPen(glyphs)
        glyph.draw(area)
        glyph.draw(box)
        letter = ours.run(character)[0]
        signed = section(letter.loops).area
        assert abs(signed) * em**2 == pytest.approx(abs(area.value), rel=1e-9)
        high = max(c.segments[..., 1].max() for c in letter.loops) * em
        assert high >= box.bounds[3] - 1e-6
        assert letter.advance * em == pytest.approx(glyph.width)
        checked += 1
    assert checked >= 8


def test_the_height_of_a_capital() -> None:
    for name in ("Caladea", "Roboto"):
        theirs = TTFont(fonts()[name])
        capital = theirs["OS/2"].sCapHeight / theirs["head"].unitsPerEm
        assert open_font(name).capital == pytest.approx(capital, abs=0.02)

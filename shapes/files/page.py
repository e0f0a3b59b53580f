"""Words and tones of an SVG page that a person looks at."""

from __future__ import annotations

from html import escape

from shapes.files.svg import number

PAPER, INK, SOFT = "#faf7f1", "#3b3129", "#8a7d70"
_FONT = 'font-family="DejaVu Sans, Arial, sans-serif"'


def shade(colour: str, factor: float) -> str:
    """Darken (below 1) or lighten (above 1) a colour."""
    parts = [int(colour[i : i + 2], 16) for i in (1, 3, 5)]
    made = [
        round(min(255, c * factor if factor <= 1 else c + (255 - c) * (factor - 1))) for c in parts
    ]
    return "#" + "".join(f"{c:02x}" for c in made)


def text_at(
    x: float,
    y: float,
    size: float,
    text: str,
    colour: str,
    weight: str = "normal",
    anchor: str = "start",
) -> str:
    """Return a line of text at a place of the page."""
    return (
        f'<text x="{number(x)}" y="{number(y)}" font-size="{size:g}" {_FONT} font-weight="{weight}"'
        f' text-anchor="{anchor}" fill="{colour}">{escape(text)}</text>'
    )

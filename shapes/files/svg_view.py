"""Lengths and viewports of an SVG: units, percentages, viewBox, preserveAspectRatio.

SVG 1.1, chapter 7, and SVG 2; CSS values and units for what a px is.
"""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from shapes.files.svg_numbers import NUMBER, numbers, square
from shapes.files.svg_style import PLACES, UnreadError, name_of, styled
from shapes.geometry.curve import Array
from shapes.text import shown
from shapes.units import MM_PER_INCH

PX = MM_PER_INCH / 96  # mm: 1 px is 1/96 in (CSS values; SVG 1.1 chapter 7)
_UNITS = {
    "": 1.0,
    "px": 1.0,
    "mm": 1 / PX,
    "cm": 10 / PX,
    "in": 96.0,
    "pt": 96 / 72,
    "pc": 16.0,
    "q": 0.25 / PX,
}
_PHYSICAL = {"mm", "cm", "in", "pt", "pc", "q"}
_LENGTH = re.compile(rf"({NUMBER})\s*([a-zA-Z]*|%)")
_SHORT = 100  # characters of a length
_ALIGN = {"min": 0.0, "mid": 0.5, "max": 1.0}
_WANTS = {
    "rect": ("x", "y", "width", "height", "rx", "ry"),
    "circle": ("cx", "cy", "r"),
    "ellipse": ("cx", "cy", "rx", "ry"),
    "line": ("x1", "y1", "x2", "y2"),
    "svg": ("x", "y", "width", "height"),
    "symbol": ("x", "y", "width", "height"),
    "use": ("x", "y", "width", "height"),
}


@dataclass(frozen=True, slots=True)
class View:
    """A viewport: what percentages are of; None where the drawing does not say."""

    width: float | None
    height: float | None

    def share(self, name: str) -> float:
        """Return what a length of such a name is a percentage of, px. Raises UnreadError."""
        if self.width is None or self.height is None:
            raise UnreadError(f"gives {name} in percent of a size that it does not state")
        if name in ("x", "width", "cx", "rx", "x1", "x2"):
            return self.width
        if name in ("y", "height", "cy", "ry", "y1", "y2"):
            return self.height
        return math.hypot(self.width, self.height) / math.sqrt(2)


def unit_of(root: ET.Element) -> float | None:
    """Mm a px where the document states its size in a unit one can measure with, else None."""
    own = styled(root)
    for key in ("width", "height"):
        match = _LENGTH.fullmatch((own.get(key, "") or root.get(key, "")).strip()[:_SHORT])
        if match and match[2].lower() in _PHYSICAL:
            return PX
    return None


def page_of(root: ET.Element, own: Mapping[str, str]) -> tuple[Array, View]:
    """Matrix and viewport of the outermost svg.

    A side that is not stated follows from the viewBox. Raises UnreadError.
    """
    sides: dict[str, float | None] = {}
    for key in ("width", "height"):
        said = (own.get(key, "") or root.get(key, "")).strip()
        sides[key] = (
            None
            if said in ("", "auto") or said.endswith("%")
            else _length(said, key, View(None, None))
        )
        if (sides[key] or 0) < 0:
            raise UnreadError(f"has a negative {key}")
    wide, high = sides["width"], sides["height"]
    frame = view_box(root)
    if frame is None:
        return np.eye(3), View(wide, high)
    if frame[2] == 0 or frame[3] == 0 or wide == 0 or high == 0:
        raise UnreadError("has a page of no size")
    if wide is None:
        wide = frame[2] if high is None else high * frame[2] / frame[3]
    if high is None:
        high = wide * frame[3] / frame[2]
    return square(fitted(root, frame, wide, high)), View(frame[2], frame[3])


def view_box(node: ET.Element) -> tuple[float, float, float, float] | None:
    """Return an element's viewBox (x, y, width, height); None where it has none.

    Raises UnreadError.
    """
    text = node.get("viewBox", "").strip()
    if not text:
        return None
    four = numbers(text, "viewBox")
    if len(four) != 4 or four[2] < 0 or four[3] < 0:
        raise UnreadError(f"has a viewBox of {shown(text)}: four numbers, the last two not below 0")
    return four[0], four[1], four[2], four[3]


def fitted(
    node: ET.Element, frame: tuple[float, float, float, float], wide: float, high: float
) -> Array:
    """Matrix of a viewBox in its viewport, by preserveAspectRatio (SVG 1.1, 7.8).

    Raises UnreadError.
    """
    x, y, w, h = frame
    words = node.get("preserveAspectRatio", "").replace("defer", " ").split() or ["xMidYMid"]
    sx, sy = wide / w, high / h
    if words[0] == "none":
        return np.array([[sx, 0.0, -x * sx], [0.0, sy, -y * sy]])
    match = re.fullmatch(r"x(Min|Mid|Max)Y(Min|Mid|Max)", words[0])
    if not match or words[1:] not in ([], ["meet"], ["slice"]):
        raise UnreadError(f"has a preserveAspectRatio of {shown(' '.join(words))}")
    s = max(sx, sy) if words[1:] == ["slice"] else min(sx, sy)
    ax, ay = (_ALIGN[g.lower()] for g in match.groups())
    return np.array(
        [[s, 0.0, -x * s + ax * (wide - w * s)], [0.0, s, -y * s + ay * (high - h * s)]]
    )


def lengths_of(node: ET.Element, own: Mapping[str, str], view: View) -> dict[str, float]:
    """Lengths of an element in px, those that are said; a style's before an attribute's.

    Raises UnreadError.
    """
    name = name_of(node)
    made = {}
    for key in _WANTS.get(name, ()):
        said = (own.get(key, "") if key in PLACES else "") or node.get(key, "")
        if said.strip() in ("", "auto"):
            continue
        made[key] = _length(said, key, view)
        if made[key] < 0 and key in ("width", "height", "r", "rx", "ry"):
            raise UnreadError(f"has a <{name}> with a negative {key}")
    return made


def _length(text: str, key: str, view: View) -> float:
    match = _LENGTH.fullmatch(text.strip()[: _SHORT + 1])
    if not match or len(text.strip()) > _SHORT:
        raise UnreadError(f"has a {key} that is no length: {shown(text)}")
    value, unit = float(match[1]), match[2].lower()
    if not math.isfinite(value):
        raise UnreadError(f"has a {key} without end")
    if unit == "%":
        return value / 100 * view.share(key)
    if unit not in _UNITS:
        raise UnreadError(f"has a {key} in {shown(match[2])}: write it in mm, cm, in, pt, pc or px")
    return value * _UNITS[unit]

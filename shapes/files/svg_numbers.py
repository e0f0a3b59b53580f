"""Numbers and transforms as an SVG writes them (SVG 1.1, 7.6 and 4.2)."""

from __future__ import annotations

import math
import re
from typing import NoReturn

import numpy as np

from shapes.files.drawn import MOST_POINTS, TooMuchError
from shapes.files.svg_style import UnreadError
from shapes.geometry.curve import Array
from shapes.text import shown

NUMBER = r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?"
LONGEST, _TRANSFORM = (
    40 * MOST_POINTS,
    10_000,
)  # characters of a list of numbers, and of a transform
_ARGUMENTS = {
    "matrix": (6,),
    "translate": (1, 2),
    "scale": (1, 2),
    "rotate": (1, 3),
    "skewX": (1,),
    "skewY": (1,),
}


def numbers(text: str, what: str) -> list[float]:
    """Return the numbers of a list. Raises UnreadError, or TooMuchError where it is too long."""
    if len(text) > LONGEST:
        raise TooMuchError(len(text), f"characters of {what}", LONGEST)
    if re.sub(NUMBER, " ", text).replace(",", " ").strip():
        raise UnreadError(f"has {what} that are no numbers: {shown(text)}")
    return [float(n) for n in re.findall(NUMBER, text)]


def transform(text: str) -> Array:
    """Matrix (2, 3) of a transform attribute. Raises UnreadError for what is none."""
    if len(text) > _TRANSFORM:
        raise TooMuchError(len(text), "characters of a transform", _TRANSFORM)
    made, end = np.eye(3), 0
    text = text.strip()
    for match in re.finditer(r"(\w+)\s*\(([^()]*)\)[\s,]*", text):
        v = numbers(match[2], "arguments of a transform")
        if match.start() != end or len(v) not in _ARGUMENTS.get(match[1], ()):
            _no_transform(text)
        made, end = made @ square(_step(match[1], v)), match.end()
    if end != len(text) or not np.isfinite(made).all():
        _no_transform(text)
    return np.asarray(made[:2])


def _no_transform(text: str) -> NoReturn:
    raise UnreadError(f"has a transform that is none: {shown(text)}")


def _step(what: str, v: list[float]) -> Array:
    if what == "matrix":
        return np.array([[v[0], v[2], v[4]], [v[1], v[3], v[5]]])
    if what == "translate":
        return moved(v[0], v[1] if len(v) > 1 else 0.0)
    if what == "scale":
        return np.array([[v[0], 0.0, 0.0], [0.0, v[-1], 0.0]])
    a = math.radians(v[0])
    if what == "rotate":
        c, s = math.cos(a), math.sin(a)
        x, y = v[1:] or (0.0, 0.0)
        return np.array([[c, -s, x - c * x + s * y], [s, c, y - s * x - c * y]])
    t = math.tan(a)
    return (
        np.array([[1.0, t, 0.0], [0.0, 1.0, 0.0]])
        if what == "skewX"
        else np.array([[1.0, 0.0, 0.0], [t, 1.0, 0.0]])
    )


def moved(x: float, y: float) -> Array:
    """Matrix (2, 3) of a shift."""
    return np.array([[1.0, 0.0, x], [0.0, 1.0, y]])


def square(matrix: Array) -> Array:
    """Return a matrix (2, 3) as (3, 3), to be multiplied."""
    return np.vstack([matrix, [0.0, 0.0, 1.0]])

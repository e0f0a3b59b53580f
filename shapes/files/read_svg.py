"""Reading SVG into pieces of cubics.

Defusedxml and tinycss2 read, svgelements takes path data apart.

What no router can cut (text, images), what a style hides, and what lies on other layers is left out
and counted. Entities are never expanded and nothing outside the file is ever fetched.
"""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from shapes.errors import InputError, Problem, is_our_fault
from shapes.files.drawn import RawDrawing, TooMuchError
from shapes.files.read_dxf import chosen
from shapes.files.svg_numbers import LONGEST
from shapes.files.svg_style import UnreadError, cascade, name_of
from shapes.files.svg_tree import (
    SvgShape,
    counted,
    laid_out,
    names_of,
    points_of,
)
from shapes.files.svg_view import unit_of
from shapes.geometry.curve import Array
from shapes.mending.loops import Piece
from shapes.mending.pieces import arc_pieces, lines
from shapes.text import shown


def _parsed(path: Path) -> ET.Element:
    """Return the root of an SVG. Raises InputError where the file is none."""
    from defusedxml import ElementTree
    from defusedxml.common import DefusedXmlException

    try:
        data = path.read_bytes()
        if data.count(b"<") > _TAGS:
            raise InputError(
                Problem(
                    str(path),
                    f"holds {data.count(b'<')} tags",
                    f"at most {_TAGS}",
                    "save the board alone",
                )
            )
        root: ET.Element = ElementTree.fromstring(data, forbid_external=True)
    except InputError:
        raise
    except DefusedXmlException:
        raise InputError(
            Problem(
                str(path), "defines entities, which are never expanded", "", "save it as plain SVG"
            )
        ) from None
    except OSError as error:
        raise InputError(Problem(str(path), f"cannot be read: {error}")) from None
    except Exception as error:
        raise InputError(
            Problem(
                str(path),
                f"is no SVG that can be read{_why(error)}",
                "",
                "save it again as plain SVG",
            )
        ) from None
    if name_of(root) != "svg":
        raise InputError(
            Problem(
                str(path),
                f"is XML, but no SVG: its root is <{shown(root.tag.rpartition('}')[2])[1:-1]}>",
                "",
                "save it as SVG",
            )
        )
    return root


def read_svg(path: Path, layers: tuple[str, ...]) -> RawDrawing:
    """Read a file. Raises InputError with one line where nothing can be read."""
    root = _parsed(path)
    try:
        return _read(root, path, layers)
    except TooMuchError as error:
        raise InputError(
            Problem(str(path), str(error), "", "simplify it, or save the board alone")
        ) from None
    except UnreadError as error:
        raise InputError(
            Problem(str(path), str(error), "", "write it in plain SVG, in mm")
        ) from None
    except InputError:
        raise
    except Exception as error:
        if is_our_fault(error):
            raise
        raise InputError(
            Problem(str(path), f"is damaged{_why(error)}", "", "save it again")
        ) from None


def _why(error: Exception) -> str:
    """What the parser says of a file, where that is a sentence and not a slip of its own."""
    text = " ".join(str(error).split()) if isinstance(error, ET.ParseError) else ""
    return f": {text[:90]}" if text else ""


def _read(root: ET.Element, path: Path, layers: tuple[str, ...]) -> RawDrawing:
    ignored: Counter[str] = Counter()
    counted(root)
    cascade(root, ignored)
    drawn = RawDrawing(unit_of(root))
    there = [n for node in root.iter() if name_of(node) in ("g", "svg") for n in names_of(node)]
    wanted = chosen(layers, sorted(set(there)), path)
    if wanted is None:
        names = {n.lower() for n in there}
        if "edge" in names and "blank" in names | {"datum"}:
            wanted = {"edge", "opening"}
            drawn.notes.append("only layers edge and opening are taken")
    long = 0
    for shape in laid_out(root, ignored, wanted):
        long += len(shape.node.get("d", "")) + len(shape.node.get("points", ""))
        if long > LONGEST:
            raise TooMuchError(long, "characters of path data, copies counted,", LONGEST)
        _take(shape, drawn)
    drawn.notes += [f"ignored: {number} {name}" for name, number in sorted(ignored.items())]
    return drawn


_FLIP = np.array([1.0, -1.0])


def _take(shape: SvgShape, drawn: RawDrawing) -> None:
    """Add the subpaths of one shape; y is flipped, so that it runs up."""
    for segments, closed in _runs(shape):
        on_page = segments @ shape.matrix[:2, :2].T + shape.matrix[:2, 2]
        drawn.add(Piece(on_page * _FLIP, closed))


def _runs(shape: SvgShape) -> list[tuple[Array, bool]]:
    """Runs of cubics of a shape in its own coordinates, and whether each is closed."""
    name, at = name_of(shape.node), shape.lengths
    x, y = at.get("x", 0.0), at.get("y", 0.0)
    middle = np.array([at.get("cx", 0.0), at.get("cy", 0.0)])
    if name == "path":
        return _path(shape.node.get("d", ""), closed=shape.filled)
    if name == "rect":
        return _rectangle(x, y, at)
    if name in ("circle", "ellipse"):
        rx = at.get("r", at.get("rx", at.get("ry", 0.0)))
        ry = at.get("r", at.get("ry", rx))
        if rx <= 0 or ry <= 0:
            return []
        return [(arc_pieces(middle, np.array([rx, 0.0]), np.array([0.0, ry]), 0.0, math.tau), True)]
    if name == "line":
        ends = np.array(
            [(at.get("x1", 0.0), at.get("y1", 0.0)), (at.get("x2", 0.0), at.get("y2", 0.0))]
        )
        return [(lines(ends), False)]
    points = points_of(shape.node)
    return [(lines(points), shape.filled or name == "polygon")] if len(points) > 1 else []


def _rectangle(x: float, y: float, at: Mapping[str, float]) -> list[tuple[Array, bool]]:
    """Return a rectangle.

    A radius that is not said is the other one, neither over half a side (SVG 1.1, 9.2).
    """
    w, h = at.get("width", 0.0), at.get("height", 0.0)
    if w <= 0 or h <= 0:
        return []
    rx = min(at.get("rx", at.get("ry", 0.0)), w / 2)
    ry = min(at.get("ry", at.get("rx", 0.0)), h / 2)
    if rx <= 0 or ry <= 0:
        return [(lines(np.array([(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)])), True)]
    parts: list[Array] = []
    u, v = np.array([rx, 0.0]), np.array([0.0, ry])
    corners = (
        (x + w - rx, y + ry),
        (x + w - rx, y + h - ry),
        (x + rx, y + h - ry),
        (x + rx, y + ry),
    )
    for i, corner in enumerate(corners):
        arc = arc_pieces(np.array(corner), u, v, (i - 1) * math.pi / 2, i * math.pi / 2)
        if parts and np.abs(parts[-1][-1, 3] - arc[0, 0]).max() > 0:
            parts.append(lines(np.stack([parts[-1][-1, 3], arc[0, 0]])))
        parts.append(arc)
    return [(np.concatenate(parts), True)]


_TAGS = 200_000  # of a file: with all that they hold they take some 100 MB
_PATH = re.compile(r"[\sMmZzLlHhVvCcSsQqTtAa0-9eE+\-.,]*")


def _path(data: str, *, closed: bool) -> list[tuple[Array, bool]]:
    """Runs of path data; ``closed``: filled, and so closed by the standard."""
    import svgelements as svg

    text = data.strip()
    if not text or text == "none":
        return []
    if not _PATH.fullmatch(text) or text[0] not in "Mm":
        raise UnreadError(f"has path data that is none: {shown(text)}")
    runs: list[tuple[Array, bool]] = []
    run: list[Array] = []

    def flush(by_itself: bool) -> None:
        if run:
            runs.append((np.concatenate(run), by_itself))
            run.clear()

    try:
        made = svg.Path(text)
    except (ValueError, IndexError, TypeError, AttributeError):
        raise UnreadError(f"has path data that ends too soon: {shown(text[-60:])}") from None
    for seg in made:
        if isinstance(seg, svg.Move):
            flush(closed)
        elif isinstance(seg, svg.Close):
            flush(True)
        elif isinstance(seg, svg.Line):
            run.append(lines(_points(seg.start, seg.end)))
        elif isinstance(seg, svg.QuadraticBezier):
            a, q, b = _points(seg.start, seg.control, seg.end)
            run.append(np.stack([a, a + 2 * (q - a) / 3, b + 2 * (q - b) / 3, b])[None])
        elif isinstance(seg, svg.CubicBezier):
            run.append(_points(seg.start, seg.control1, seg.control2, seg.end)[None])
        elif isinstance(seg, svg.Arc):
            arc = _arc(seg)
            if arc is not None:
                run.append(arc)
    flush(closed)
    return runs


def _points(*given: Any) -> Array:
    return np.array([(p.x, p.y) for p in given], dtype=float)


def _arc(seg: Any) -> Array | None:
    """Cubics of an elliptic arc; an arc with no radius is a line, one of no sweep is nothing."""
    c, u, v, a, b = _points(seg.center, seg.prx, seg.pry, seg.start, seg.end)
    u, v = u - c, v - c
    if not abs(u[0] * v[1] - u[1] * v[0]) > 1e-12:
        return lines(np.stack([a, b]))
    if seg.sweep == 0:
        return None
    # Parameter of the start in the frame of the half axes.
    det = u[0] * v[1] - u[1] * v[0]
    d = a - c
    t = math.atan2((u[0] * d[1] - u[1] * d[0]) / det, (d[0] * v[1] - d[1] * v[0]) / det)
    # The sweep is signed in the drawing's turning sense, which may be against that of the axes.
    sweep = float(seg.sweep) * (1.0 if det > 0 else -1.0)
    made = arc_pieces(c, u, v, t, t + sweep)
    made[0, 0], made[-1, 3] = a, b
    return made

"""Reading SVG into pieces of cubics: defusedxml and tinycss2 read, svgelements does the geometry.

Before the geometry is asked for, the tree is pruned: what no router can cut (text, images), what a
style hides, and what lies on other layers is left out and counted. Entities are never expanded and
nothing outside the file is ever fetched.
"""

from __future__ import annotations

import io
import math
import re
import xml.etree.ElementTree as ET
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np

from shapes.errors import InputError, Problem
from shapes.files.drawn import MOST_POINTS, Drawn, TooMuchError
from shapes.files.read_dxf import chosen
from shapes.geometry.curve import Array
from shapes.geometry.loops import Piece
from shapes.geometry.pieces import arc_pieces, lines

_PX = 25.4 / 96  # mm: 1 px is 1/96 in (CSS values; SVG 1.1 chapter 7)
_PHYSICAL = ("mm", "cm", "in", "pt", "pc", "q")
_SVG = "{http://www.w3.org/2000/svg}"
_LINK = ("href", "{http://www.w3.org/1999/xlink}href")
_SHAPES = {"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"}
_HOLDERS = {"svg", "g", "a", "switch", "symbol", "defs", "use"}
_DEEP = 60  # elements within elements
_NODES = 100_000


def read_svg(path: Path, layers: tuple[str, ...]) -> Drawn:
    """Read a file. Raises InputError with one line where nothing can be read."""
    from defusedxml import ElementTree
    from defusedxml.common import DefusedXmlException

    try:
        root = ElementTree.fromstring(path.read_bytes(), forbid_external=True)
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
                f"is no SVG that can be read: {_short(error)}",
                "",
                "save it again as plain SVG",
            )
        ) from None
    if _name(root) != "svg":
        raise InputError(
            Problem(
                str(path), f"is XML, but no SVG: its root is <{_name(root)}>", "", "save it as SVG"
            )
        )
    try:
        return _read(root, path, layers)
    except TooMuchError as error:
        raise InputError(
            Problem(str(path), str(error), "", "simplify it, or save the board alone")
        ) from None
    except InputError:
        raise
    except Exception as error:
        raise InputError(
            Problem(str(path), f"is damaged: {_short(error)}", "", "save it again")
        ) from None


def _short(error: Exception) -> str:
    text = " ".join(str(error).split()) or type(error).__name__
    return text if len(text) < 90 else text[:87] + "..."


def _name(node: ET.Element) -> str:
    return str(node.tag).rpartition("}")[2] if isinstance(node.tag, str) else ""


def _read(root: ET.Element, path: Path, layers: tuple[str, ...]) -> Drawn:
    import svgelements

    drawn = Drawn(_unit(root))
    ignored: Counter[str] = Counter()
    if not re.match(r"^\s*[\d.]", root.get("width", "")):
        root.attrib.pop("width", None)
    _style(root)
    wanted = chosen(layers, sorted(set(_layer_names(root))), path)
    if wanted is None:
        names = {n.lower() for n in _layer_names(root)}
        if "edge" in names and "blank" in names | {"datum"}:
            wanted = {"edge", "opening"}
            drawn.notes.append("only layers edge and opening are taken")
    if wanted is not None:
        root = _only(root, wanted)
    _expand(root, path, ignored)
    _prune(root, {}, ignored, 0)
    for node in root.iter():
        _in_px(node)
        for key in ("width", "height"):
            if _name(node) == "svg" and node.get(key, "").strip().endswith("%"):
                del node.attrib[key]
    data = ET.tostring(root)
    tree: Any = svgelements.SVG.parse(io.BytesIO(data), reify=True, ppi=96.0)
    # Places are told in the document's own coordinates: undo the shift of its viewBox.
    corner = svgelements.Matrix(tree.viewbox_transform).point_in_matrix_space((0, 0))
    origin = np.array([corner.x, corner.y])
    for shape in tree.elements():
        if isinstance(shape, svgelements.Shape):
            _take(abs(svgelements.Path(shape)), shape.fill, drawn, origin)
    drawn.notes += [f"ignored: {number} {name}" for name, number in sorted(ignored.items())]
    return drawn


def _unit(root: ET.Element) -> float | None:
    """Mm a px where the document states its size in a unit one can measure with, else None."""
    for key in ("width", "height"):
        text = root.get(key, "").strip().lower()
        if text.endswith(_PHYSICAL) and re.match(r"^[\d.]", text):
            return _PX
    return None


_LENGTHS = ("x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "rx", "ry", "width", "height")
_IN_PX = {"mm": 1 / _PX, "cm": 10 / _PX, "in": 96.0, "pt": 96 / 72, "pc": 16.0, "q": 0.25 / _PX}


def _in_px(node: ET.Element) -> None:
    """Write lengths with a physical unit as px, to the last digit."""
    for name in _LENGTHS:
        text = node.get(name, "").strip().lower()
        match = re.fullmatch(r"([-+]?[\d.]+(?:e[-+]?\d+)?)\s*(mm|cm|in|pt|pc|q)", text)
        if match:
            try:
                node.set(name, repr(float(match[1]) * _IN_PX[match[2]]))
            except ValueError:
                continue


def _style(root: ET.Element) -> None:
    """Write what style sheets say to the elements' own style, weakest first."""
    import cssselect2
    import tinycss2

    sheets = [node for node in root.iter() if _name(node) == "style" and node.text]
    if not sheets:
        return
    matcher = cssselect2.Matcher()
    for sheet in sheets:
        for rule in tinycss2.parse_stylesheet(sheet.text, skip_comments=True, skip_whitespace=True):
            if rule.type != "qualified-rule":
                continue
            try:
                selectors = cssselect2.compile_selector_list(rule.prelude)
            except cssselect2.SelectorError:
                continue
            text = tinycss2.serialize(rule.content)
            for selector in selectors:
                matcher.add_selector(selector, text)
    for wrapped in cssselect2.ElementWrapper.from_xml_root(root).iter_subtree():
        found = sorted(matcher.match(wrapped), key=lambda m: (m[0], m[1]))
        if found:
            node = wrapped.etree_element
            node.set("style", ";".join([*(m[3] for m in found), node.get("style", "")]))


def _layer_names(root: ET.Element) -> list[str]:
    return [n for node in root.iter() if _name(node) in ("g", "svg") for n in _names(node)]


def _names(node: ET.Element) -> list[str]:
    """What a group is called: its id, or a label in whatever namespace."""
    return [v for k, v in node.attrib.items() if v and k.rpartition("}")[2] in ("id", "label")]


def _only(root: ET.Element, wanted: set[str]) -> ET.Element:
    """Keep groups of these names, with what is round them; definitions stay."""

    def keep(node: ET.Element) -> bool:
        if _name(node) == "defs" or any(n.lower() in wanted for n in _names(node)):
            return True
        for child in list(node):
            if not keep(child):
                node.remove(child)
        return len(node) > 0

    keep(root)
    return root


def _expand(root: ET.Element, path: Path, ignored: Counter[str]) -> None:
    """Refuse uses that hold themselves or multiply without end; drop those that point outside."""
    named = {node.get("id"): node for node in root.iter() if node.get("id")}
    size: dict[int, int] = {}
    open_: set[int] = set()

    def count(node: ET.Element, depth: int) -> int:
        key = id(node)
        if key in size:
            return size[key]
        if key in open_ or depth > 4 * _DEEP:
            raise InputError(
                Problem(
                    str(path),
                    "a <use> holds itself or lies too deep",
                    "",
                    "put the shape itself there",
                )
            )
        open_.add(key)
        total = 1
        for child in list(node):
            total += count(child, depth + 1)
        if _name(node) == "use":
            link = next((node.get(k, "") for k in _LINK if node.get(k)), "")
            target = named.get(link[1:]) if link.startswith("#") else None
            if target is None:
                ignored["<use> of what is not in the file"] += 1
                for k in _LINK:
                    node.attrib.pop(k, None)
            else:
                total += count(target, depth + 1)
        if total > _NODES:
            raise TooMuchError(MOST_POINTS + 1)
        open_.discard(key)
        size[key] = total
        return total

    count(root, 0)


def _declared(node: ET.Element) -> dict[str, str]:
    """Presentation attributes, and the style's over them."""
    found = {
        k: node.get(k, "")
        for k in ("display", "visibility", "fill", "stroke", "opacity")
        if node.get(k)
    }
    for part in node.get("style", "").split(";"):
        key, _, value = part.partition(":")
        if key.strip() in ("display", "visibility", "fill", "stroke", "opacity"):
            found[key.strip()] = value.replace("!important", "").strip()
    return found


def _prune(node: ET.Element, given: dict[str, str], ignored: Counter[str], depth: int) -> None:
    """Take out what is hidden or is no outline, and count it."""
    if depth > _DEEP:
        raise TooMuchError(MOST_POINTS + 1)
    for child in list(node):
        name = _name(child)
        if name not in _SHAPES | _HOLDERS:
            if name in ("text", "image", "foreignObject"):
                ignored[f"<{name}>"] += 1
            node.remove(child)
            continue
        own = _declared(child)
        style = {**given, **own}
        hidden = own.get("display") == "none" or _zero(own.get("opacity", "1"))
        if name in _SHAPES:
            hidden = hidden or style.get("visibility") in ("hidden", "collapse")
            no_ink = style.get("fill") in ("none", "transparent") and style.get(
                "stroke", "none"
            ) in (
                "none",
                "transparent",
            )
            hidden = hidden or no_ink
        if hidden:
            ignored["hidden"] += 1
            node.remove(child)
            continue
        inherited = {k: v for k, v in style.items() if k not in ("display", "opacity")}
        _prune(child, inherited, ignored, depth + 1)


def _zero(text: str) -> bool:
    try:
        return float(text.rstrip("% ")) <= 0
    except ValueError:
        return False


def _take(path: Any, fill: Any, drawn: Drawn, origin: Array) -> None:
    """Add the subpaths of one shape; y is flipped, so that it runs up."""
    import svgelements as svg

    filled = fill is None or fill.value is not None
    run: list[Array] = []

    def flush(closed: bool) -> None:
        if run:
            drawn.add(Piece((np.concatenate(run) - origin) * np.array([1.0, -1.0]), closed))
            run.clear()

    for seg in path:
        if isinstance(seg, svg.Move):
            flush(filled)
        elif isinstance(seg, svg.Close):
            if run:
                flush(True)
        elif isinstance(seg, svg.Line):
            run.append(lines(_points(seg.start, seg.end)))
        elif isinstance(seg, svg.QuadraticBezier):
            a, q, b = _points(seg.start, seg.control, seg.end)
            run.append(np.stack([a, a + 2 * (q - a) / 3, b + 2 * (q - b) / 3, b])[None])
        elif isinstance(seg, svg.CubicBezier):
            run.append(_points(seg.start, seg.control1, seg.control2, seg.end)[None])
        elif isinstance(seg, svg.Arc):
            made = _arc(seg)
            if made is not None:
                run.append(made)
    flush(filled)


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

"""An SVG's tree laid out: every visible shape with the matrix that takes it to the page, in px.

What the standard says of symbol, use, switch and transforms (SVG 1.1 and 2) is done here, of
viewports and lengths in ``svg_view``, of the cascade in ``svg_style``; what is not read is refused
by its name, never guessed.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections import Counter
from collections.abc import Iterator, Mapping, Set
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from shapes.files.drawn import MOST_POINTS, TooMuchError
from shapes.files.svg_numbers import moved, numbers, square, transform
from shapes.files.svg_style import (
    INK,
    MOVES,
    REFUSED,
    UnreadError,
    name_of,
    nothing,
    styled,
)
from shapes.files.svg_view import View, fitted, lengths_of, page_of, view_box
from shapes.geometry.curve import Array

SHAPES = {"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"}
_SEEN = SHAPES | {"g", "a", "svg", "use", "switch"}
_TOLD = {"text": "<text>", "image": "<image>", "foreignObject": "<foreignObject>"}
_LINK = ("href", "{http://www.w3.org/1999/xlink}href")
_DEEP = 60  # elements within elements


@dataclass(frozen=True, slots=True, eq=False)
class SvgShape:
    """A shape: its element, the lengths of its attributes in
    px, its matrix (2, 3), whether it is filled.
    """

    node: ET.Element
    lengths: Mapping[str, float]
    matrix: Array
    filled: bool


def names_of(node: ET.Element) -> list[str]:
    """Return what an element is called: its id, or a label in whatever namespace."""
    return [v for k, v in node.attrib.items() if v and k.rpartition("}")[2] in ("id", "label")]


def laid_out(
    root: ET.Element, ignored: Counter[str], wanted: Set[str] | None = None
) -> Iterator[SvgShape]:
    """Give every shape that is seen; count in ``ignored`` what is left out.

    ``counted`` comes first.

    ``wanted``: only what is, or lies in, an element of such an id or label, in lower case. Places
    are told from the document's own (0, 0), wherever its page has that. Raises UnreadError.
    """
    own = styled(root)
    matrix, view = page_of(root, own)
    matrix[:2, 2] = 0.0
    walk = _Walk(_named(root), ignored, wanted)
    if root.get("transform", "").strip() or any(own.get(w, "none") != "none" for w in MOVES):
        raise UnreadError("has a transform of its outermost <svg>: put what it holds into a <g>")
    if _hidden(own):
        ignored["hidden"] += 1
        return
    all_of_it = wanted is None or any(n.lower() in wanted for n in names_of(root))
    yield from walk.inside(root, matrix, view, _passed(own), 0, taken=all_of_it)


def _named(root: ET.Element) -> dict[str, ET.Element]:
    named: dict[str, ET.Element] = {}
    for node in root.iter():
        if isinstance(node.tag, str) and node.get("id"):
            named.setdefault(node.get("id", ""), node)
    return named


def _passed(
    own: Mapping[str, str], given: Mapping[str, str] = MappingProxyType({})
) -> dict[str, str]:
    """What an element passes on to those in it: what it was given, and its own words over that."""
    said = {k: v for k, v in own.items() if k in INK and v != "inherit"}
    return {k: v for k, v in {**given, **said}.items() if k not in ("display", "opacity")}


def _hidden(own: Mapping[str, str]) -> bool:
    """Whether nothing of an element is seen, whatever lies in it."""
    return own.get("display") == "none" or nothing(own.get("opacity", "1"))


def counted(root: ET.Element) -> None:
    """Count elements with all their copies. Raises where copies hold themselves or are too many."""
    named = _named(root)
    size: dict[int, int] = {}
    open_: set[int] = set()

    def count(node: ET.Element, depth: int) -> int:
        key = id(node)
        if key in size:
            return size[key]
        if key in open_ or depth > 4 * _DEEP:
            raise UnreadError(
                "has a <use> that holds itself or lies too deep: put the shape itself there"
            )
        open_.add(key)
        total = 1 + sum(count(child, depth + 1) for child in node)
        target = _target(node, named) if name_of(node) == "use" else None
        if target is not None:
            total += count(target, depth + 1)
        open_.discard(key)
        size[key] = total
        return total

    total = count(root, 0)
    if total > MOST_POINTS:
        raise TooMuchError(total)


_BARE = ("none", "transparent")


def _for_us(node: ET.Element) -> bool:
    """Whether an element asks for no extension, and is for
    readers of English or for all (SVG 1.1, 5.8).
    """
    said = node.get("systemLanguage", "en")
    return not node.get("requiredExtensions") and any(
        w.strip().lower().split("-")[0] == "en" for w in said.split(",")
    )


def _target(node: ET.Element, named: Mapping[str, ET.Element]) -> ET.Element | None:
    link = next((node.get(k, "") for k in _LINK if node.get(k)), "").strip()
    return named.get(link[1:]) if link.startswith("#") else None


class _Walk:
    """Goes through the tree; holds what all of it shares."""

    def __init__(
        self, named: Mapping[str, ET.Element], ignored: Counter[str], wanted: Set[str] | None
    ) -> None:
        self.named, self.ignored, self.wanted = named, ignored, wanted

    def inside(
        self,
        node: ET.Element,
        matrix: Array,
        view: View,
        given: Mapping[str, str],
        depth: int,
        *,
        taken: bool,
    ) -> Iterator[SvgShape]:
        """Give the shapes in an element that is seen, whose
        own matrix and viewport are reckoned in.
        """
        if depth > _DEEP:
            raise UnreadError(f"lies over {_DEEP} elements deep")
        children = list(node)
        if name_of(node) == "switch":
            fit = [c for c in children if name_of(c) in _SEEN | {"text"} and _for_us(c)]
            children = fit[:1]
        for child in children:
            yield from self.one(child, matrix, view, given, depth, taken=taken)

    def one(
        self,
        node: ET.Element,
        matrix: Array,
        view: View,
        given: Mapping[str, str],
        depth: int,
        *,
        taken: bool,
    ) -> Iterator[SvgShape]:
        """Give the shapes of one element."""
        name = name_of(node)
        taken = taken or any(n.lower() in (self.wanted or ()) for n in names_of(node))
        if name in _TOLD and taken:
            self.ignored[_TOLD[name]] += 1
        if name not in _SEEN or (not taken and name in SHAPES | {"use"}):
            return
        if not _for_us(node):
            self.ignored["for other readers or languages"] += 1
            return
        own = styled(node)
        if _hidden(own):
            self.ignored["hidden"] += 1
            return
        for what in REFUSED:
            if own.get(what, "none") != "none":
                self._refuse_or_tell(name, what)
        style = _passed(own, given)
        matrix = matrix @ square(transform(node.get("transform", "")))
        if name in SHAPES:
            filled = style.get("fill") not in _BARE and not nothing(style.get("fill-opacity", "1"))
            stroked = style.get("stroke", "none") not in _BARE and not any(
                nothing(style.get(k, "1")) for k in ("stroke-opacity", "stroke-width")
            )
            if style.get("visibility") in ("hidden", "collapse") or not (filled or stroked):
                self.ignored["hidden"] += 1
                return
            yield SvgShape(node, lengths_of(node, own, view), matrix, filled)
        elif name == "svg":
            yield from self._framed(node, own, matrix, view, style, depth, {}, taken=taken)
        elif name == "use":
            yield from self._used(node, own, matrix, view, style, depth)
        else:
            yield from self.inside(node, matrix, view, style, depth + 1, taken=taken)

    def _refuse_or_tell(self, name: str, what: str) -> None:
        """A clip or mask hides a part and no outline is lost.

        What moves or bends a shape is refused.
        """
        if what not in ("clip-path", "mask"):
            raise UnreadError(f"sets {what} of a <{name}> by a style: write it as an attribute")
        self.ignored[f"{what}s: what they cover is taken whole"] += 1

    def _used(
        self,
        node: ET.Element,
        own: Mapping[str, str],
        matrix: Array,
        view: View,
        given: Mapping[str, str],
        depth: int,
    ) -> Iterator[SvgShape]:
        target = _target(node, self.named)
        if target is None:
            self.ignored["<use> of what is not in the file"] += 1
            return
        at = lengths_of(node, own, view)
        matrix = matrix @ square(moved(at.get("x", 0.0), at.get("y", 0.0)))
        name = name_of(target)
        if name in ("symbol", "svg"):
            style = styled(target)
            if _hidden(style):
                self.ignored["hidden"] += 1
                return
            if name == "symbol" and any(
                target.get(k, "0").strip() not in ("", "0") for k in ("refX", "refY")
            ):
                raise UnreadError("has a <symbol> with refX or refY: move what it holds instead")
            matrix = matrix @ square(transform(target.get("transform", "")))
            yield from self._framed(
                target, style, matrix, view, _passed(style, given), depth + 1, at, taken=True
            )
        else:
            yield from self.one(target, matrix, view, given, depth + 1, taken=True)

    def _framed(
        self,
        node: ET.Element,
        own: Mapping[str, str],
        matrix: Array,
        view: View,
        given: Mapping[str, str],
        depth: int,
        size: Mapping[str, float],
        *,
        taken: bool,
    ) -> Iterator[SvgShape]:
        """Give the shapes of an element that makes a viewport.

        ``size`` is what a <use> says over it.
        """
        at = lengths_of(node, own, view)
        box = {k: size.get(k, at.get(k)) for k in ("width", "height")}
        wide = view.width if box["width"] is None else box["width"]
        high = view.height if box["height"] is None else box["height"]
        matrix = matrix @ square(moved(at.get("x", 0.0), at.get("y", 0.0)))
        frame = view_box(node)
        if frame is None:
            yield from self.inside(node, matrix, View(wide, high), given, depth + 1, taken=taken)
            return
        if wide is None or high is None:
            raise UnreadError(f"has a <{name_of(node)}> with a viewBox in a page without a size")
        if wide == 0 or high == 0 or frame[2] == 0 or frame[3] == 0:
            self.ignored["hidden"] += 1
            return
        matrix = matrix @ square(fitted(node, frame, wide, high))
        inner = View(frame[2], frame[3])
        yield from self.inside(node, matrix, inner, given, depth + 1, taken=taken)


def points_of(node: ET.Element) -> Array:
    """Points of a polyline or polygon, (n, 2); an odd number at the end counts for nothing."""
    found = numbers(node.get("points", ""), "points")
    return np.array(found[: len(found) // 2 * 2], dtype=float).reshape(-1, 2)

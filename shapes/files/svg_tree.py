"""An SVG's tree laid out: every visible shape with the matrix that takes it to the page, in px.

What the standard says of viewports, viewBox, preserveAspectRatio, symbol, use, switch, lengths,
transforms and the cascade (SVG 1.1 and 2; CSS values and units) is done here; what is not read is
refused by its name, never guessed.
"""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from collections import Counter
from collections.abc import Iterator, Mapping, Set
from dataclasses import dataclass
from typing import NoReturn

import numpy as np

from shapes.files.drawn import MOST_POINTS, TooMuchError
from shapes.geometry.curve import Array
from shapes.text import shown

PX = 25.4 / 96  # mm: 1 px is 1/96 in (CSS values; SVG 1.1 chapter 7)
SHAPES = {"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"}
_GROUPS = {"g", "a"}
_UNSEEN = {"defs", "symbol", "clipPath", "mask", "pattern", "marker", "linearGradient", "radialGradient", "filter", "style", "title", "desc", "metadata", "script"}  # fmt: skip
_TOLD = {"text": "<text>", "image": "<image>", "foreignObject": "<foreignObject>"}
_LINK = ("href", "{http://www.w3.org/1999/xlink}href")
_DEEP = 60  # elements within elements
_UNITS = {"": 1.0, "px": 1.0, "mm": 1 / PX, "cm": 10 / PX, "in": 96.0, "pt": 96 / 72, "pc": 16.0, "q": 0.25 / PX}  # fmt: skip
PHYSICAL = {"mm", "cm", "in", "pt", "pc", "q"}
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*([a-zA-Z]*|%)\s*")
_INK = ("display", "visibility", "fill", "stroke", "opacity")
_PLACES = ("x", "y", "cx", "cy", "r", "rx", "ry", "width", "height")  # a style may set these too
_REFUSED = ("d", "transform", "transform-origin", "translate", "rotate", "scale", "clip-path", "mask", "zoom", "offset-path")  # fmt: skip
_ALIGN = {"min": 0.0, "mid": 0.5, "max": 1.0}


class UnreadError(ValueError):
    """What an SVG asks for and is not read; the text says what it is."""


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """A shape: its element, the lengths of its attributes in px, its matrix (2, 3), whether it is filled."""

    node: ET.Element
    lengths: Mapping[str, float]
    matrix: Array
    filled: bool


@dataclass(frozen=True, slots=True)
class _View:
    """A viewport: what percentages are of; None where the drawing does not say."""

    width: float | None
    height: float | None

    def share(self, name: str) -> float:
        if self.width is None or self.height is None:
            raise UnreadError(f"gives {name} in percent of a size that it does not state")
        if name in ("x", "width", "cx", "rx", "x1", "x2"):
            return self.width
        if name in ("y", "height", "cy", "ry", "y1", "y2"):
            return self.height
        return math.hypot(self.width, self.height) / math.sqrt(2)


def name_of(node: ET.Element) -> str:
    """Name of an element without its namespace; empty for a comment."""
    return str(node.tag).rpartition("}")[2] if isinstance(node.tag, str) else ""


def names_of(node: ET.Element) -> list[str]:
    """Return what an element is called: its id, or a label in whatever namespace."""
    return [v for k, v in node.attrib.items() if v and k.rpartition("}")[2] in ("id", "label")]


def laid_out(
    root: ET.Element, ignored: Counter[str], wanted: Set[str] | None = None
) -> Iterator[Laid]:
    """Give every shape that is seen; count in ``ignored`` what is left out.

    ``wanted``: only what is, or lies in, an element of such an id or label, in lower case.

    Raises UnreadError, and TooMuchError before anything is laid out where uses multiply without end.
    """
    named: dict[str, ET.Element] = {}
    for node in root.iter():
        if isinstance(node.tag, str) and node.get("id"):
            named.setdefault(node.get("id", ""), node)
    _count(root, named)
    matrix, view = _page(root)
    walk = _Walk(named, ignored, wanted)
    yield from walk.inside(root, matrix, view, {}, 0, taken=wanted is None)


def unit_of(root: ET.Element) -> float | None:
    """Mm a px where the document states its size in a unit one can measure with, else None."""
    for key in ("width", "height"):
        match = _LENGTH.fullmatch(_styled(root).get(key, "") or root.get(key, ""))
        if match and match[2].lower() in PHYSICAL:
            return PX
    return None


def _count(root: ET.Element, named: Mapping[str, ET.Element]) -> int:
    """Count elements with all their copies. Raises where copies hold themselves or are too many."""
    size: dict[int, int] = {}
    open_: set[int] = set()

    def count(node: ET.Element, depth: int) -> int:
        key = id(node)
        if key in size:
            return size[key]
        if key in open_ or depth > 4 * _DEEP:
            raise UnreadError("has a <use> that holds itself or lies too deep: put the shape itself there")  # fmt: skip
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
    return total


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
        self, node: ET.Element, matrix: Array, view: _View, given: Mapping[str, str], depth: int, *, taken: bool
    ) -> Iterator[Laid]:  # fmt: skip
        """Give the shapes in an element that is seen, whose own matrix and viewport are reckoned in."""
        if depth > _DEEP:
            raise UnreadError(f"lies over {_DEEP} elements deep")
        children = list(node)
        if name_of(node) == "switch":
            fit = [c for c in children if name_of(c) in SHAPES | _GROUPS | {"svg", "use", "text", "switch"} and not c.get("requiredExtensions") and not c.get("systemLanguage")]  # fmt: skip
            children = fit[:1]
        for child in children:
            yield from self.one(child, matrix, view, given, depth, taken=taken)

    def one(
        self, node: ET.Element, matrix: Array, view: _View, given: Mapping[str, str], depth: int, *, taken: bool
    ) -> Iterator[Laid]:  # fmt: skip
        """Give the shapes of one element."""
        name = name_of(node)
        taken = taken or any(n.lower() in (self.wanted or ()) for n in names_of(node))
        if name in _TOLD and taken:
            self.ignored[_TOLD[name]] += 1
        if name not in SHAPES | _GROUPS | {"svg", "use", "switch"} or (not taken and name in SHAPES | {"use"}):  # fmt: skip
            return
        own = _styled(node)
        style = {**given, **{k: v for k, v in own.items() if k in _INK and v != "inherit"}}
        if own.get("display") == "none" or _nothing(own.get("opacity", "1")):
            self.ignored["hidden"] += 1
            return
        for what in _REFUSED:
            if own.get(what, "none") != "none" and (what != "clip-path" or own[what] != "auto"):
                self._refuse_or_tell(name, what)
        passed = {k: v for k, v in style.items() if k not in ("display", "opacity")}
        matrix = matrix @ _square(transform(node.get("transform", "")))
        if name in SHAPES:
            bare = all(style.get(k, u) in ("none", "transparent") for k, u in (("fill", "black"), ("stroke", "none")))  # fmt: skip
            if style.get("visibility") in ("hidden", "collapse") or bare:
                self.ignored["hidden"] += 1
                return
            filled = style.get("fill") not in ("none", "transparent")
            yield Laid(node, _lengths(node, own, view), matrix, filled)
        elif name == "svg":
            yield from self._framed(node, own, matrix, view, passed, depth, {}, taken=taken)
        elif name == "use":
            yield from self._used(node, own, matrix, view, passed, depth)
        else:
            yield from self.inside(node, matrix, view, passed, depth + 1, taken=taken)

    def _refuse_or_tell(self, name: str, what: str) -> None:
        """A clip or mask hides a part and no outline is lost; what moves or bends a shape is refused."""
        if what not in ("clip-path", "mask"):
            raise UnreadError(f"sets {what} of a <{name}> by a style: write it as an attribute")
        self.ignored[f"{what}s: what they cover is taken whole"] += 1

    def _used(
        self, node: ET.Element, own: Mapping[str, str], matrix: Array, view: _View, given: Mapping[str, str], depth: int
    ) -> Iterator[Laid]:  # fmt: skip
        target = _target(node, self.named)
        if target is None:
            self.ignored["<use> of what is not in the file"] += 1
            return
        at = _lengths(node, own, view)
        matrix = matrix @ _square(_moved(at.get("x", 0.0), at.get("y", 0.0)))
        if name_of(target) == "symbol":
            style = _styled(target)
            if style.get("display") == "none":
                self.ignored["hidden"] += 1
                return
            matrix = matrix @ _square(transform(target.get("transform", "")))
            inherited = {**given, **{k: v for k, v in style.items() if k in _INK and v != "inherit"}}  # fmt: skip
            yield from self._framed(
                target, style, matrix, view, inherited, depth + 1, at, taken=True
            )
        elif name_of(target) == "svg":
            style = _styled(target)
            yield from self._framed(target, style, matrix, view, given, depth + 1, at, taken=True)
        else:
            yield from self.one(target, matrix, view, given, depth + 1, taken=True)

    def _framed(
        self, node: ET.Element, own: Mapping[str, str], matrix: Array, view: _View, given: Mapping[str, str], depth: int, size: Mapping[str, float], *, taken: bool
    ) -> Iterator[Laid]:  # fmt: skip
        """Give the shapes of an element that makes a viewport; ``size`` is what a <use> says over it."""
        at = _lengths(node, own, view)
        box = {k: size.get(k, at.get(k)) for k in ("width", "height")}
        wide = view.width if box["width"] is None else box["width"]
        high = view.height if box["height"] is None else box["height"]
        matrix = matrix @ _square(_moved(at.get("x", 0.0), at.get("y", 0.0)))
        frame = _view_box(node)
        if frame is None:
            yield from self.inside(node, matrix, _View(wide, high), given, depth + 1, taken=taken)
            return
        if wide is None or high is None:
            raise UnreadError(f"has a <{name_of(node)}> with a viewBox in a page without a size")
        if wide == 0 or high == 0 or frame[2] == 0 or frame[3] == 0:
            self.ignored["hidden"] += 1
            return
        matrix = matrix @ _square(_fitted(node, frame, wide, high))
        inner = _View(frame[2], frame[3])
        yield from self.inside(node, matrix, inner, given, depth + 1, taken=taken)


def _page(root: ET.Element) -> tuple[Array, _View]:
    """Matrix and viewport of the outermost svg: a side that is not stated follows from the viewBox."""
    own = _styled(root)
    sides: dict[str, float | None] = {}
    for key in ("width", "height"):
        said = (own.get(key, "") or root.get(key, "")).strip()
        sides[key] = None if said in ("", "auto") or said.endswith("%") else _length(said, key, _View(None, None))  # fmt: skip
        if (sides[key] or 0) < 0:
            raise UnreadError(f"has a negative {key}")
    wide, high = sides["width"], sides["height"]
    frame = _view_box(root)
    if frame is None:
        return np.eye(3), _View(wide, high)
    if frame[2] == 0 or frame[3] == 0 or wide == 0 or high == 0:
        raise UnreadError("has a page of no size")
    if wide is None:
        wide = frame[2] if high is None else high * frame[2] / frame[3]
    if high is None:
        high = wide * frame[3] / frame[2]
    return _square(_fitted(root, frame, wide, high)), _View(frame[2], frame[3])


def page_origin(root: ET.Element) -> Array:
    """Return where the document's own (0, 0) lies on its page, px."""
    return np.asarray(_page(root)[0][:2, 2])


def _view_box(node: ET.Element) -> tuple[float, float, float, float] | None:
    text = node.get("viewBox", "").strip()
    if not text:
        return None
    numbers = _numbers(text, "viewBox")
    if len(numbers) != 4 or numbers[2] < 0 or numbers[3] < 0:
        raise UnreadError(f"has a viewBox of {shown(text)}: four numbers, the last two above 0")
    return numbers[0], numbers[1], numbers[2], numbers[3]


def _fitted(node: ET.Element, frame: tuple[float, float, float, float], wide: float, high: float) -> Array:  # fmt: skip
    """Matrix of a viewBox in its viewport, by preserveAspectRatio (SVG 1.1, 7.8)."""
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


def _numbers(text: str, what: str) -> list[float]:
    if len(text) > 40 * MOST_POINTS:
        raise TooMuchError(len(text), f"characters of {what}", 40 * MOST_POINTS)
    if re.sub(_NUMBER, " ", text).replace(",", " ").strip():
        raise UnreadError(f"has {what} that are no numbers: {shown(text)}")
    return [float(n) for n in re.findall(_NUMBER, text)]


def points_of(node: ET.Element) -> Array:
    """Points of a polyline or polygon, (n, 2); an odd number at the end counts for nothing."""
    found = _numbers(node.get("points", ""), "points")
    return np.array(found[: len(found) // 2 * 2], dtype=float).reshape(-1, 2)


_WANTS = {
    "rect": ("x", "y", "width", "height", "rx", "ry"), "circle": ("cx", "cy", "r"), "ellipse": ("cx", "cy", "rx", "ry"),
    "line": ("x1", "y1", "x2", "y2"), "svg": ("x", "y", "width", "height"), "symbol": ("x", "y", "width", "height"), "use": ("x", "y", "width", "height"),
}  # fmt: skip


def _lengths(node: ET.Element, own: Mapping[str, str], view: _View) -> dict[str, float]:
    """Lengths of an element in px, those that are said; a style's before an attribute's."""
    name = name_of(node)
    made = {}
    for key in _WANTS.get(name, ()):
        said = (own.get(key, "") if key in _PLACES else "") or node.get(key, "")
        if said.strip() in ("", "auto"):
            continue
        made[key] = _length(said, key, view)
        if made[key] < 0 and key in ("width", "height", "r", "rx", "ry"):
            raise UnreadError(f"has a <{name}> with a negative {key}")
    return made


def _length(text: str, key: str, view: _View) -> float:
    match = _LENGTH.fullmatch(text)
    if not match:
        raise UnreadError(f"has a {key} that is no length: {shown(text)}")
    value, unit = float(match[1]), match[2].lower()
    if not math.isfinite(value):
        raise UnreadError(f"has a {key} without end")
    if unit == "%":
        return value / 100 * view.share(key)
    if unit not in _UNITS:
        raise UnreadError(f"has a {key} in {shown(match[2])}: write it in mm, cm, in, pt, pc or px")
    return value * _UNITS[unit]


_ARGUMENTS = {"matrix": (6,), "translate": (1, 2), "scale": (1, 2), "rotate": (1, 3), "skewX": (1,), "skewY": (1,)}  # fmt: skip


def transform(text: str) -> Array:
    """Matrix (2, 3) of a transform attribute. Raises UnreadError for what is none."""
    made = np.eye(3)
    rest = text
    for match in re.finditer(r"\s*(\w+)\s*\(([^()]*)\)\s*,?", text):
        rest = rest.replace(match[0], "", 1)
        v = _numbers(match[2], "arguments of a transform")
        if len(v) not in _ARGUMENTS.get(match[1], ()):
            _no_transform(text)
        made = made @ _square(_step(match[1], v))
    if rest.strip() or not np.isfinite(made).all():
        _no_transform(text)
    return np.asarray(made[:2])


def _no_transform(text: str) -> NoReturn:
    raise UnreadError(f"has a transform that is none: {shown(text)}")


def _step(what: str, v: list[float]) -> Array:
    if what == "matrix":
        return np.array([[v[0], v[2], v[4]], [v[1], v[3], v[5]]])
    if what == "translate":
        return _moved(v[0], v[1] if len(v) > 1 else 0.0)
    if what == "scale":
        return np.array([[v[0], 0.0, 0.0], [0.0, v[-1], 0.0]])
    a = math.radians(v[0])
    if what == "rotate":
        c, s = math.cos(a), math.sin(a)
        x, y = v[1:] or (0.0, 0.0)
        return np.array([[c, -s, x - c * x + s * y], [s, c, y - s * x - c * y]])
    t = math.tan(a)
    return np.array([[1.0, t, 0.0], [0.0, 1.0, 0.0]]) if what == "skewX" else np.array([[1.0, 0.0, 0.0], [t, 1.0, 0.0]])  # fmt: skip


def _moved(x: float, y: float) -> Array:
    return np.array([[1.0, 0.0, x], [0.0, 1.0, y]])


def _square(matrix: Array) -> Array:
    return np.vstack([matrix, [0.0, 0.0, 1.0]])


def _nothing(text: str) -> bool:
    try:
        return float(text.rstrip("% ")) <= 0
    except ValueError:
        return False


_STYLED = (*_INK, *_PLACES, *_REFUSED)


def _styled(node: ET.Element) -> dict[str, str]:
    """What an element says of itself: attributes of ink, and the style's words over them."""
    import tinycss2

    found = {k: v for k in (*_INK, "clip-path", "mask") if (v := node.get(k, "").strip())}
    text = node.get("style", "")
    if not text.strip():
        return found
    said: dict[str, tuple[bool, str]] = {}
    for one in tinycss2.parse_blocks_contents(text, skip_comments=True, skip_whitespace=True):
        if one.type != "declaration" or one.lower_name not in _STYLED:
            continue
        if one.important or not said.get(one.lower_name, (False, ""))[0]:
            said[one.lower_name] = one.important, tinycss2.serialize(one.value).strip()
    return {**found, **{k: v for k, (_, v) in said.items()}}


def cascade(root: ET.Element, ignored: Counter[str]) -> None:
    """Write what style sheets say before the elements' own style, weakest first."""
    import cssselect2
    import tinycss2

    sheets = [node for node in root.iter() if name_of(node) == "style" and node.text]
    if not sheets:
        return
    matcher = cssselect2.Matcher()
    for sheet in sheets:
        for rule in tinycss2.parse_stylesheet(sheet.text, skip_comments=True, skip_whitespace=True):
            if rule.type == "at-rule" and rule.lower_at_keyword not in ("charset", "font-face", "namespace"):  # fmt: skip
                ignored[f"@{rule.lower_at_keyword} in a style"] += 1
            if rule.type != "qualified-rule":
                continue
            try:
                selectors = cssselect2.compile_selector_list(rule.prelude)
            except cssselect2.SelectorError:
                ignored["selectors of a style"] += 1
                continue
            text = tinycss2.serialize(rule.content)
            for selector in selectors:
                matcher.add_selector(selector, text)
    for wrapped in cssselect2.ElementWrapper.from_xml_root(root).iter_subtree():
        found = sorted(matcher.match(wrapped), key=lambda m: (m[0], m[1]))
        if found:
            node = wrapped.etree_element
            node.set("style", ";".join([*(m[3] for m in found), node.get("style", "")]))

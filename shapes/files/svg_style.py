"""What an SVG's styles say of its elements.

The cascade of sheets, attributes and own styles (CSS 2.1, 6.4).
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections import Counter

from shapes.files.drawn import TooMuchError

INK = (
    "display",
    "visibility",
    "fill",
    "stroke",
    "opacity",
    "fill-opacity",
    "stroke-opacity",
    "stroke-width",
)
PLACES = ("x", "y", "cx", "cy", "r", "rx", "ry", "width", "height")  # a style may set these too
MOVES = ("transform", "transform-origin", "translate", "rotate", "scale", "zoom", "offset-path")
REFUSED = ("d", *MOVES, "clip-path", "mask")
_SVG = "{http://www.w3.org/2000/svg}"
_LONGEST = (
    4_000_000  # characters of all styles of a drawing, those of sheets counted where they apply
)
_SHEETS = 300_000  # characters of its sheets
_MATCHES = 2_000_000  # selectors times elements


class UnreadError(ValueError):
    """What an SVG asks for and is not read; the text says what it is."""


def name_of(node: ET.Element) -> str:
    """Name of an element of SVG, or of one of no namespace.

    Empty for a comment and for any other.
    """
    if not isinstance(node.tag, str):
        return ""
    return node.tag.removeprefix(_SVG) if node.tag[:1] != "{" or node.tag.startswith(_SVG) else ""


def nothing(text: str) -> bool:
    """Whether an opacity or a width is none: 0 or less."""
    try:
        return float(text.rstrip("% ")) <= 0
    except ValueError:
        return False


_WORDS = (*INK, *PLACES, *REFUSED)


def styled(node: ET.Element) -> dict[str, str]:
    """What an element says of itself: attributes of ink, and the style's words over them."""
    import tinycss2

    found = {
        k: v.lower() if k in INK else v
        for k in (*INK, "clip-path", "mask")
        if (v := node.get(k, "").strip())
    }
    text = node.get("style", "")
    if not text.strip():
        return found
    said: dict[str, tuple[bool, str]] = {}
    for one in tinycss2.parse_blocks_contents(text, skip_comments=True, skip_whitespace=True):
        if one.type != "declaration" or one.lower_name not in _WORDS:
            continue
        if one.important or not said.get(one.lower_name, (False, ""))[0]:
            words = tinycss2.serialize(one.value).strip()
            said[one.lower_name] = one.important, words.lower() if one.lower_name in INK else words
    return {**found, **{k: v for k, (_, v) in said.items()}}


def cascade(root: ET.Element, ignored: Counter[str]) -> None:
    """Write what style sheets say before the elements' own style, weakest first."""
    import cssselect2
    import tinycss2

    nodes = [node for node in root.iter() if isinstance(node.tag, str)]
    sheets = [node for node in nodes if name_of(node) == "style" and node.text and _applies(node)]
    long = sum(len(node.text or "") for node in sheets)
    if long > _SHEETS:
        raise TooMuchError(long, "characters of style sheets", _SHEETS)
    _measured(nodes)
    if not sheets:
        return
    count = 0
    matcher = cssselect2.Matcher()
    for sheet in sheets:
        for rule in tinycss2.parse_stylesheet(sheet.text, skip_comments=True, skip_whitespace=True):
            if rule.type == "at-rule" and rule.lower_at_keyword not in (
                "charset",
                "font-face",
                "namespace",
            ):
                ignored[f"@{rule.lower_at_keyword} in a style"] += 1
            if rule.type != "qualified-rule":
                continue
            try:
                selectors = cssselect2.compile_selector_list(rule.prelude)
            except cssselect2.SelectorError:
                ignored["selectors of a style"] += 1
                continue
            text = tinycss2.serialize(rule.content)
            count += len(selectors)
            if count * len(nodes) > _MATCHES:
                raise TooMuchError(
                    count * len(nodes), "rules of a style for its elements", _MATCHES
                )
            for selector in selectors:
                matcher.add_selector(selector, text)
    for wrapped in cssselect2.ElementWrapper.from_xml_root(root).iter_subtree():
        found = sorted(matcher.match(wrapped), key=lambda m: (m[0], m[1]))
        if found:
            node = wrapped.etree_element
            node.set("style", ";".join([*(m[3] for m in found), node.get("style", "")]))
    _measured(nodes)


def _measured(nodes: list[ET.Element]) -> None:
    """Raise TooMuchError where the elements' styles are too long in all."""
    long = sum(len(node.get("style", "")) for node in nodes)
    if long > _LONGEST:
        raise TooMuchError(long, "characters of styles", _LONGEST)


def _applies(sheet: ET.Element) -> bool:
    """Whether a sheet is CSS and for the screen."""
    kind, media = sheet.get("type", "").strip().lower(), sheet.get("media", "").strip().lower()
    return kind in ("", "text/css") and media in ("", "all", "screen")

"""SVG 1:1 in millimetres: the chain as C commands, one group per layer.

width and height in mm and a viewBox of the same numbers make one user unit 1 mm (W3C SVG 1.1,
ch. 7). y runs down in SVG: this writer is the only place that flips it.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable, Sequence

import numpy as np

from shapes.geometry.curve import Array, Curve
from shapes.geometry.outline import Outline, bounds

WHITE_MARGIN = 5.0  # mm of white round the board
DIGITS, PAGE_DIGITS = 9, 6  # of a millimetre: areas come back to 1e-9
HAIR = 0.1  # mm, width of the drawn line


def path_data(curve: Curve, digits: int = 3) -> str:
    """Return the path of a curve, y flipped."""
    p = curve.segments * np.array([1.0, -1.0])
    start = _pair(p[0, 0], digits)
    rest = " ".join("C" + " ".join(_pair(q, digits) for q in seg[1:]) for seg in p)
    return f"M{start} {rest} Z"


def _pair(p: Array, digits: int) -> str:
    return f"{number(p[0], digits)},{number(p[1], digits)}"


def number(value: float, digits: int = 3) -> str:
    """Shortest text of a rounded number; no -0."""
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def cut_svg(
    boards: Outline | Sequence[Outline],
    shift: tuple[float, float] = (0.0, 0.0),
    colours: dict[str, str] | None = None,
) -> str:
    """Return the cut file: only what the router cuts; the user origin is the datum."""
    each = [boards] if isinstance(boards, Outline) else list(boards)
    boxes = np.array([bounds(b) for b in each])
    (x0, y0), (x1, y1) = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    x0, x1, y0, y1 = x0 + shift[0], x1 + shift[0], y0 + shift[1], y1 + shift[1]
    w, h = x1 - x0 + 2 * WHITE_MARGIN, y1 - y0 + 2 * WHITE_MARGIN
    tones = colours or {}
    edges, holes = [b.edge for b in each], [c for b in each for c in b.openings]
    groups = [
        (name, [Curve(c.segments + np.array(shift)) for c in curves])
        for name, curves in (("edge", edges), ("opening", holes))
    ]
    body = "".join(
        f'<g id="{name}" fill="none" stroke="{tones.get(name.upper(), "#000000")}"'
        f' stroke-width="{HAIR}">'
        + "".join(f'<path d="{path_data(c, DIGITS)}"/>' for c in curves)
        + "</g>\n"
        for name, curves in groups
        if curves
    )
    view = " ".join(number(v, PAGE_DIGITS) for v in (x0 - WHITE_MARGIN, -y1 - WHITE_MARGIN, w, h))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(w, PAGE_DIGITS)}mm"'
        f' height="{number(h, PAGE_DIGITS)}mm" viewBox="{view}">\n{body}</svg>\n'
    )


def read_cut_svg(data: bytes) -> list[Curve]:
    """Read our own cut file back: the edge, then the openings."""
    root = ET.fromstring(data)
    found = []
    for path in root.iter("{http://www.w3.org/2000/svg}path"):
        values = np.array(re.findall(r"-?\d+(?:\.\d+)?", path.get("d", "")), dtype=float)
        p = values.reshape(-1, 2) * np.array([1.0, -1.0])
        rest = p[1:].reshape(-1, 3, 2)
        starts = np.concatenate([p[:1], rest[:-1, 2]])[:, None]
        found.append(Curve(np.concatenate([starts, rest], axis=1)))
    return found


def check_svg(
    boards: Outline | Sequence[Outline], shift: tuple[float, float]
) -> Callable[[bytes], None]:
    """Return a check that a written file holds the boards to 1e-5 mm."""
    each = [boards] if isinstance(boards, Outline) else list(boards)
    loops = [b.edge for b in each] + [c for b in each for c in b.openings]

    def check(data: bytes) -> None:
        back = read_cut_svg(data)
        for curve, wanted in zip(back, loops, strict=True):
            off = np.abs(curve.segments - wanted.segments - np.array(shift)).max()
            if off > 1e-5:
                raise OSError(f"the file read back differs by {off:.2g} mm")

    return check

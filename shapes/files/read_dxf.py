"""Reading DXF (R12 to 2018, text and binary) into pieces of cubics; ezdxf does the parsing.

Lines and cubic splines are taken over exactly; circular and elliptic arcs in cubics of at most
22.5 degrees, true to 6.6e-8 of their radius; rational splines and other degrees to 1e-4 mm.
"""

from __future__ import annotations

import logging
import math
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np

from shapes.errors import InputError, Problem, is_our_fault
from shapes.files.drawn import MOST_POINTS, RawDrawing, TooMuchError
from shapes.geometry.curve import Array
from shapes.mending.loops import Piece
from shapes.mending.pieces import arc_pieces, bulged, lines, spline_pieces

# $INSUNITS (DXF reference, HEADER section; codes 1 and 4 as in files that state them): mm a unit.
_UNITS = {
    1: 25.4,
    2: 304.8,
    4: 1.0,
    5: 10.0,
    6: 1000.0,
    8: 2.54e-5,
    9: 0.0254,
    13: 0.001,
    14: 100.0,
}
_DEEP = 40  # blocks in blocks
_FLAT = 1e-6  # mm: how far the points of one entity may differ in height


def read_dxf(path: Path, layers: tuple[str, ...]) -> RawDrawing:
    """Read the model space. Raises InputError with one line where nothing can be read."""
    import ezdxf
    from ezdxf import recover

    logging.getLogger("ezdxf").setLevel(logging.CRITICAL)  # what matters is said in our own lines
    try:
        try:
            doc = ezdxf.readfile(path)
        except (ezdxf.DXFError, UnicodeError, OSError):
            doc, _ = recover.readfile(path)
    except Exception as error:  # whatever rubbish makes the parser stumble over
        raise InputError(
            Problem(
                str(path),
                f"is no DXF that can be read{_why(error)}",
                "",
                "save it again as DXF R2000 or later",
            )
        ) from None
    try:
        return _read(doc, path, layers)
    except _DamagedError as error:
        raise InputError(
            Problem(str(path), str(error), "", "draw it again, or leave it out")
        ) from None
    except TooMuchError as error:
        raise InputError(
            Problem(str(path), str(error), "", "simplify it, or save the board alone")
        ) from None
    except InputError:
        raise
    except Exception as error:  # a parser that is lenient at first may stumble later
        if is_our_fault(error):
            raise
        raise InputError(
            Problem(str(path), _damage(error), "", "save it again as DXF R2000 or later")
        ) from None


def _read(doc: Any, path: Path, layers: tuple[str, ...]) -> RawDrawing:
    _no_bombs(doc, path)
    drawn = RawDrawing(_UNITS.get(int(doc.header.get("$INSUNITS", 0) or 0)))
    hidden = {layer.dxf.name.lower() for layer in doc.layers if layer.is_off() or layer.is_frozen()}
    there = sorted({_layer(e) for e in doc.modelspace()})
    wanted = chosen(layers, there, path)
    if wanted is None and "EDGE" in there and len(there) > 1:
        wanted = {"edge", "opening"}
        others = [name for name in there if name.lower() not in wanted]
        if others:
            drawn.notes.append(f"only layers EDGE and OPENING are taken, not {', '.join(others)}")
    ignored: Counter[str] = Counter()
    for e in _entities(doc, ignored):
        layer = _layer(e).lower()
        if wanted is not None and layer not in wanted:
            continue
        if wanted is None and layer in hidden:
            ignored["on hidden layers"] += 1
            continue
        if not e.dxf.get("invisible", 0):
            _take(e, drawn, ignored)
    drawn.notes += [f"ignored: {number} {name}" for name, number in sorted(ignored.items())]
    return drawn


def _layer(e: Any) -> str:
    return str(e.dxf.get("layer", "0")) if e.dxf.is_supported("layer") else "0"


def chosen(layers: tuple[str, ...], there: list[str], path: Path) -> set[str] | None:
    """Layers asked for, in lower case. Raises InputError for one that is not there."""
    if not layers:
        return None
    known = {name.lower() for name in there}
    missing = [name for name in layers if name.lower() not in known]
    if missing:
        have = "there are: " + ", ".join(there[:20]) if there else "it has none"
        raise InputError(
            *(Problem(f"{path}: --layer", f"there is no layer '{m}'", "", have) for m in missing)
        )
    return {name.lower() for name in layers}


def _why(error: Exception) -> str:
    """What the parser says of a file, where that is a sentence and not a slip of its own."""
    from ezdxf import DXFError

    text = " ".join(str(error).split()) if isinstance(error, DXFError) else ""
    return f": {text[:90]}" if text else ""


def _damage(error: Exception) -> str:
    return (
        f"is damaged{_why(error)}"
        if _why(error)
        else "is damaged: what it refers to is missing, or no number"
    )


class _DamagedError(Exception):
    """An entity that cannot be read; the text says which."""


def _no_bombs(doc: Any, path: Path) -> None:
    """Refuse blocks that hold themselves, by whatever way round, or multiply without end."""
    held = {
        block.name.lower(): [
            (str(e.dxf.get("name", "")).lower(), max(int(e.mcount), 1))
            for e in block.query("INSERT")
        ]
        for block in doc.blocks
    }
    own = {block.name.lower(): len(block) for block in doc.blocks}
    total: dict[str, int] = {}
    open_: set[str] = set()

    def count(name: str, depth: int) -> int:
        if name in total or name not in held:
            return total.get(name, 0)
        if name in open_ or depth > _DEEP:
            raise InputError(
                Problem(
                    str(path),
                    f"block '{name}' holds itself or lies too deep",
                    "",
                    "explode it where it was drawn",
                )
            )
        open_.add(name)
        whole = own[name] + sum(times * count(inside, depth + 1) for inside, times in held[name])
        open_.discard(name)
        total[name] = min(whole, 10**12)
        return total[name]

    for name in held:
        if count(name, 0) > MOST_POINTS and "model_space" in name:
            raise TooMuchError(MOST_POINTS + 1)


def _entities(doc: Any, ignored: Counter[str]) -> Iterator[Any]:
    """Entities of the model space, blocks taken apart."""
    from ezdxf.disassemble import recursive_decompose

    # What text, dimensions and hatches are taken apart into is for the eye, not for the router.
    plain = []
    for e in doc.modelspace():
        if e.dxftype() in _TAKE or e.dxftype() == "INSERT":
            plain.append(e)
        else:
            ignored[e.dxftype()] += 1
    for count, e in enumerate(recursive_decompose(plain), start=1):
        if count > MOST_POINTS:
            raise TooMuchError(count)
        yield e


def _take(e: Any, drawn: RawDrawing, ignored: Counter[str]) -> None:
    make = _TAKE.get(e.dxftype())
    if make is None:
        ignored[e.dxftype()] += 1
        return
    try:
        made = make(e)
    except (ArithmeticError, ValueError, LookupError, TypeError, AttributeError):
        raise _DamagedError(
            f"{e.dxftype()} with the handle {e.dxf.get('handle', '?')} is damaged: a figure of it"
            " is missing, or no number"
        ) from None
    if made is None:
        ignored[f"{e.dxftype()} out of the plane or without points"] += 1
        return
    segments, closed = made
    drawn.add(Piece(segments, closed))


Made = tuple[Array, bool] | None


def _plane(points: Any) -> Array | None:
    """Points (n, 3) as (n, 2) where they lie at one height."""
    p = np.array([(v[0], v[1], v[2]) for v in points], dtype=float).reshape(-1, 3)
    if not len(p) or not np.isfinite(p).all() or np.ptp(p[:, 2]) > _FLAT:
        return None
    return p[:, :2]


def _line(e: Any) -> Made:
    p = _plane([e.dxf.start, e.dxf.end])
    return None if p is None else (lines(p), False)


def _to_world(e: Any, segments: Array, height: float) -> Array | None:
    """Take segments from an entity's own plane to the drawing's."""
    if abs(e.dxf.extrusion.z - 1) < 1e-12:
        return segments
    flat = [(x, y, height) for x, y in segments.reshape(-1, 2)]
    p = _plane(e.ocs().points_to_wcs(flat))
    return None if p is None else p.reshape(-1, 4, 2)


def _round(e: Any, start: float, stop: float, closed: bool) -> Made:
    r, c = float(e.dxf.radius), e.dxf.center
    if not r > 0:
        return None
    u = np.array([r, 0.0]), np.array([0.0, r])
    made = _to_world(e, arc_pieces(np.array([c.x, c.y]), *u, start, stop), c.z)
    return None if made is None else (made, closed)


def _arc(e: Any) -> Made:
    a = math.radians(e.dxf.start_angle)
    sweep = math.radians((e.dxf.end_angle - e.dxf.start_angle) % 360.0) or 2 * math.pi
    return _round(e, a, a + sweep, False)


def _circle(e: Any) -> Made:
    return _round(e, 0.0, 2 * math.pi, True)


def _ellipse(e: Any) -> Made:
    c, major, minor = e.dxf.center, e.dxf.major_axis, e.minor_axis
    if (
        max(abs(major.z), abs(minor.z)) > _FLAT
        or not major.magnitude > 0
        or not minor.magnitude > 0
    ):
        return None
    start = float(e.dxf.start_param)
    sweep = (float(e.dxf.end_param) - start) % (2 * math.pi) or 2 * math.pi
    full = abs(sweep - 2 * math.pi) < 1e-9
    middle, u, v = (np.array([w.x, w.y]) for w in (c, major, minor))
    return arc_pieces(middle, u, v, start, start + sweep), full


def _lwpolyline(e: Any) -> Made:
    rows = np.array(e.get_points("xyb"), dtype=float).reshape(-1, 3)
    return _poly(e, rows, bool(e.closed), float(e.dxf.get("elevation", 0.0)))


def _poly(e: Any, rows: Array, closed: bool, height: float) -> Made:
    if len(rows) < 2:
        return None
    made = _to_world(e, bulged(rows[:, :2], rows[:, 2], closed), height)
    return None if made is None else (made, closed)


def _polyline(e: Any) -> Made:
    if e.is_2d_polyline:
        # Frame points of a fitted line are not on it.
        on = [v for v in e.vertices if not v.dxf.flags & 16]
        rows = np.array([(v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0)) for v in on])
        height = float(on[0].dxf.location.z) if on else 0.0
        return _poly(e, rows.reshape(-1, 3), bool(e.is_closed), height)
    if not e.is_3d_polyline:
        return None
    p = _plane([v.dxf.location for v in e.vertices if not v.dxf.flags & 16])
    if p is None or len(p) < 2:
        return None
    closed = bool(e.is_closed)
    return lines(np.concatenate([p, p[:1]]) if closed else p), closed


def _spline(e: Any) -> Made:
    tool = e.construction_tool()
    p = _plane(tool.control_points)
    if p is None:
        return None
    knots, degree = np.array(tool.knots(), dtype=float), int(tool.degree)
    weights = np.array(tool.weights(), dtype=float) if tool.is_rational else None
    made = spline_pieces(p, knots, degree, weights)
    return None if made is None else (made, bool(e.closed) and not _same_ends(made))


def _same_ends(segments: Array) -> bool:
    return bool(np.abs(segments[0, 0] - segments[-1, 3]).max() < 1e-6)


_TAKE: dict[str, Callable[[Any], Made]] = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _circle,
    "ELLIPSE": _ellipse,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _polyline,
    "SPLINE": _spline,
}

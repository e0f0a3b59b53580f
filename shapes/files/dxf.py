"""DXF R2000, millimetres: one closed polyline of arcs, or one closed spline, per loop.

Layers are named for the wood: EDGE and OPENING in a machine's file; BLANK, DATUM and GRAIN besides
in the setting-out file, which is for the eye.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from shapes.geometry.arcs import arc_points, arcs
from shapes.geometry.curve import Array, Curve, flatten
from shapes.geometry.outline import Outline, shoelace
from shapes.tolerances import TOLERANCES

STRAIGHT_BULGE = 1e-9  # a bulge below this is a straight line: a metre of it rises half a nanometre
Arcs = list[tuple[Array, Array]]
Line = tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Reference:
    """What a setting-out file holds for the eye, in the file's own coordinates, mm.

    The blank's outline; an arrow along the grain from its start to its head; rings of defects;
    fixings as (x, y, radius). The datum is (0, 0).
    """

    blank: Sequence[tuple[float, float]]
    grain: Line
    defects: Sequence[Sequence[tuple[float, float]]] = ()
    fixings: Sequence[tuple[float, float, float]] = ()
    data: Sequence[tuple[float, float]] = ()  # further datum points: those of areas

    @property
    def layers(self) -> list[str]:
        """Layers it needs."""
        more = (["DEFECT"] if self.defects else []) + (["FIXING"] if self.fixings else [])
        return ["BLANK", "DATUM", "GRAIN", *more]


def box_reference(blank: tuple[float, float], shift: tuple[float, float]) -> Reference:
    """Reference of a rectangular blank (length, width) round ``shift``, grain along x."""
    half, wide = blank[0] / 2, blank[1] / 2
    x, y = shift
    corners = [(x + a * half, y + b * wide) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    low, reach = y - wide + 6, min(half, 60.0)  # an arrow inside the blank's lower edge
    return Reference(corners, ((x - reach, low), (x + reach, low)))


def loops_of(boards: Outline | Sequence[Outline]) -> list[tuple[str, Curve]]:
    """Layer and curve of every loop of one board or several: the edges, then the openings."""
    each = [boards] if isinstance(boards, Outline) else boards
    edges = [("EDGE", b.edge) for b in each]
    return edges + [("OPENING", c) for b in each for c in b.openings]


def straight(ring: Array) -> tuple[Array, Array]:
    """Vertices and bulges of a ring (n, 2) of straight lines."""
    return ring, np.zeros(len(ring))


def arcs_of(boards: Outline | Sequence[Outline]) -> Arcs:
    """Vertices and bulges of every edge, then of every opening."""
    return [arcs(c) for _, c in loops_of(boards)]


def cut_dxf(
    boards: Outline | Sequence[Outline],
    chains: Arcs | None,
    shift: tuple[float, float] = (0.0, 0.0),
    reference: Reference | None = None,
    colours: dict[str, str] | None = None,
) -> bytes:
    """Return a DXF of what the router cuts; with ``reference`` a setting-out file.

    ``chains`` are the arcs of arcs_of; None writes splines, which hold the curve exactly.
    """
    return loops_dxf(loops_of(boards), chains, shift, reference, colours)


def loops_dxf(
    loops: Sequence[tuple[str, Curve]],
    chains: Arcs | None,
    shift: tuple[float, float] = (0.0, 0.0),
    reference: Reference | None = None,
    colours: dict[str, str] | None = None,
) -> bytes:
    """Return a DXF of loops, each on its layer, moved by ``shift``; otherwise as cut_dxf."""
    import ezdxf

    ezdxf.options.write_fixed_meta_data_for_testing = True  # same bytes each time
    doc = ezdxf.new("R2004" if colours else "R2000", units=4)  # true colours came with R2004
    doc.header["$MEASUREMENT"] = 1
    space = doc.modelspace()
    layers = list(dict.fromkeys(layer for layer, _ in loops))
    layers += reference.layers if reference else []
    for name in layers:
        layer = doc.layers.add(name)
        if colours and name in colours:
            layer.rgb = _rgb(colours[name])
    for i, (layer_name, curve) in enumerate(loops):
        attribs = {"layer": layer_name}
        if chains is None:
            _add_spline(space, curve, shift, attribs)
        else:
            points, bulges = chains[i]
            p = np.round(points + np.array(shift), 6)
            flat = np.where(np.abs(bulges) < STRAIGHT_BULGE, 0.0, bulges)
            rows = np.column_stack([p, flat])
            space.add_lwpolyline(rows.tolist(), format="xyb", close=True, dxfattribs=attribs)
    if reference:
        _add_reference(space, reference)
    # The library enters classes in the order of a set: sorted, a file has the same bytes in any
    # process.
    doc.classes.add_required_classes(doc.dxfversion)
    doc.classes.classes = dict(sorted(doc.classes.classes.items()))
    text = io.StringIO()
    doc.write(text)
    return text.getvalue().encode("cp1252")


def _rgb(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def _add_spline(
    space: Any, curve: Curve, shift: tuple[float, float], attribs: dict[str, str]
) -> None:
    """Add a clamped cubic with triple knots: the Bezier chain itself, closed."""
    m = len(curve)
    control = np.concatenate([curve.segments[:, :3].reshape(-1, 2), curve.segments[:1, 0]])
    knots = np.repeat(np.arange(m + 1), 3).tolist()
    spline = space.add_spline(dxfattribs=attribs)
    spline.dxf.degree = 3
    spline.control_points = [(float(x), float(y), 0.0) for x, y in control + np.array(shift)]
    spline.knots = [float(k) for k in [knots[0], *knots, knots[-1]]]
    spline.closed = True


def _add_reference(space: Any, reference: Reference) -> None:
    def line(layer: str, a: tuple[float, float], b: tuple[float, float]) -> None:
        space.add_line(a, b, dxfattribs={"layer": layer})

    space.add_lwpolyline(list(reference.blank), close=True, dxfattribs={"layer": "BLANK"})
    for x, y in ((0.0, 0.0), *reference.data):
        line("DATUM", (x - 10.0, y), (x + 10.0, y))
        line("DATUM", (x, y - 10.0), (x, y + 10.0))
    start, head = reference.grain
    line("GRAIN", start, head)
    back = np.array(start) - head
    back = back / np.hypot(*back) * 8.0
    for side in (0.375, -0.375):
        barb = head + back + side * np.array([-back[1], back[0]])
        line("GRAIN", head, (float(barb[0]), float(barb[1])))
    for ring in reference.defects:
        space.add_lwpolyline(list(ring), close=True, dxfattribs={"layer": "DEFECT"})
    for x, y, radius in reference.fixings:
        space.add_circle((x, y), radius, dxfattribs={"layer": "FIXING"})


def check_dxf(
    boards: Outline | Sequence[Outline], shift: tuple[float, float]
) -> Callable[[bytes], None]:
    """Return a check that a written file, read again, holds the boards within the tolerance."""
    return check_loops(loops_of(boards), shift)


def check_loops(
    named: Sequence[tuple[str, Curve]], shift: tuple[float, float]
) -> Callable[[bytes], None]:
    """Return a check that a written file, read again, holds loops, layer by layer."""
    layers = tuple(dict.fromkeys(layer for layer, _ in named))
    wanted = [c for name in layers for layer, c in named if layer == name]

    def check(data: bytes) -> None:
        loops = read_loops(data, layers)
        if len(loops) != len(wanted):
            raise OSError(f"read back {len(loops)} loops, not {len(wanted)}")
        for loop, curve in zip(loops, wanted, strict=True):
            want = flatten(curve, _CHORD_ERROR) + np.array(shift)
            if not (_along(loop, want) and _along(want, loop)):
                raise OSError(f"the file read back lies over {TOLERANCES.arcs:g} mm from the board")
            if shoelace(loop) * shoelace(want) < 0:
                raise OSError("the file read back runs the other way")

    return check


_CHORD_ERROR = 0.001  # mm, chord error of the polygons compared


def _along(points: Array, ring: Array) -> bool:
    """Whether every point lies within the tolerance of a polygon's line."""
    line = shapely.linearrings(ring)
    shapely.prepare(line)
    return bool(
        shapely.dwithin(line, shapely.points(points), TOLERANCES.arcs + 2 * _CHORD_ERROR).all()
    )


def read_loops(data: bytes, layers: Sequence[str] = ("EDGE", "OPENING")) -> list[Array]:
    """Polygons of the closed loops in our own DXF, layer by layer."""
    import ezdxf

    doc = ezdxf.read(io.StringIO(data.decode("cp1252")))
    errors = doc.audit().errors
    if errors:
        raise OSError(f"the file read back is faulty: {errors[0].message}")
    found = []
    for layer in layers:
        for e in doc.modelspace().query(f'*[layer=="{layer}"]'):
            if e.dxftype() == "LWPOLYLINE":
                rows = np.array(e.get_points("xyb"))  # type: ignore[attr-defined]
                found.append(arc_points(rows[:, :2], rows[:, 2], _CHORD_ERROR))
            else:
                found.append(flatten(_of_spline(e), _CHORD_ERROR))
    return found


def _of_spline(spline: Any) -> Curve:
    """The chain that _add_spline wrote: a clamped cubic with triple knots."""
    control = np.array([tuple(p)[:2] for p in spline.control_points])
    knots = np.array(spline.knots)
    count = (len(control) - 1) // 3
    wanted = np.repeat(np.arange(count + 1), 3)
    if spline.dxf.degree != 3 or not np.array_equal(knots[1:-1], wanted):
        raise OSError("a spline read back is no chain of cubics")
    start = 3 * np.arange(count)
    return Curve(control[start[:, None] + np.arange(4)])

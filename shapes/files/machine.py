"""One file a machine, one datum each.

Engraving, print as white, colour and clear, frames, cutter path.

A file holds only what its machine runs; what is for the eye goes into a setting-out file beside it.
The datum of engraving and print is the middle of their area, (0, 0); of a frame it is the board's.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from shapes.files.dxf import (
    Reference,
    arcs_of,
    box_reference,
    check_dxf,
    check_loops,
    cut_dxf,
    loops_dxf,
    loops_of,
    straight,
)
from shapes.files.paper import filled_pdf
from shapes.files.safe import plain_name
from shapes.files.svg import check_svg, cut_svg, number, path_data
from shapes.geometry.curve import Array, Curve, flatten, pair, polygon, turn
from shapes.geometry.raster import rings_of
from shapes.tolerances import TOLERANCES
from shapes.workshop.after import page_of
from shapes.workshop.face import Face
from shapes.workshop.job import Job, Placed
from shapes.workshop.paths import CHORD_ERROR as PATH
from shapes.workshop.paths import centre_path, finishing_path, swept_errors
from shapes.workshop.plan import LEFT
from shapes.workshop.set_up import SetUp
from shapes.workshop.stock import SCREW, Stock

CHOKE, SPREAD = 0.15, 0.3  # mm: white keeps inside the colour, clear runs over it; our choice
THIN = 0.004  # mm that the offsets of a print may be thinned by: far below a drop of ink
Check = Callable[[bytes], None] | None


@dataclass(frozen=True, slots=True)
class Planned:
    """A file to be written: its name, its bytes, and the check of what was written."""

    name: str
    data: bytes
    check: Check = None


def cut_files(made: SetUp, colours: dict[str, str], *, path: bool) -> list[Planned]:
    """Cut files and the setting-out file of one stock; the cutter's path on request.

    The setting-out file holds wood, datum, grain, tabs, screws and, of a piece, its defects.
    """
    outlines = [j.outline for j in made.jobs]
    chains = arcs_of(outlines)
    origin = (0.0, 0.0)
    files = [
        Planned(
            "cut.dxf", cut_dxf(outlines, chains, origin, None, colours), check_dxf(outlines, origin)
        ),
        Planned(
            "cut.svg", cut_svg(outlines, origin, colours).encode(), check_svg(outlines, origin)
        ),
    ]
    tabs = [t.plan(j.plan.cutter.true) for j in made.jobs for t in j.tabs]
    loops = loops_of(outlines)
    loops += [("TAB", polygon(r)) for r in tabs]
    every = [*chains, *(straight(r) for r in tabs)]
    setting = loops_dxf(loops, every, origin, reference_of(made.stock, made.held.screws), colours)
    files.append(Planned("setting-out.dxf", setting, check_loops(loops, origin)))
    if path:
        files.append(_path_file(made, colours))
    return files


def reference_of(stock: Stock, screws: Sequence[tuple[float, float]] = ()) -> Reference:
    """What a setting-out file shows of a stock, from its datum."""
    heads = [(x, y, SCREW / 2) for x, y in screws]
    if stock.piece is None:
        return replace(box_reference(stock.size[:2], (0.0, 0.0)), fixings=heads)
    # The arrow lies on the piece where there is most room for it.
    room = shapely.maximum_inscribed_circle(stock.outline, tolerance=1.0)
    middle, edge = shapely.get_coordinates(room)
    reach = min(60.0, 0.8 * float(np.hypot(*(edge - middle))))
    way = np.array([math.cos(stock.grain), math.sin(stock.grain)]) * reach
    return Reference(
        _ring(stock.outline.exterior),
        (pair(middle - way), pair(middle + way)),
        [_ring(stock.moved(d.shape).exterior) for d in stock.piece.defects],
        [*((x, y, f.diameter / 2) for f, (x, y) in stock.fixings), *heads],
    )


def _ring(shape: shapely.Geometry) -> list[tuple[float, float]]:
    return [(round(x, 6), round(y, 6)) for x, y in shapely.get_coordinates(shape)[:-1]]


def _path_file(made: SetUp, colours: dict[str, str]) -> Planned:
    """The path of the cutter's centre, swept before it is written: a reference for checking by."""
    rough, fine = [], []
    for job in made.jobs:
        outline, radius = job.outline, job.plan.cutter.true / 2
        own = [_thinned(r) for r in finishing_path(outline, radius)]
        wrong, left = swept_errors(outline, own, radius)
        if max(wrong, left) > TOLERANCES.uncut:
            raise OSError(
                f"the cutter's path cuts {wrong:.3f} mm into the board and leaves {left:.3f} mm"
            )
        fine += own
        rough += [
            _thinned(r)
            for i, c in enumerate(outline.curves)
            for r in centre_path(flatten(c, PATH), radius + LEFT, edge=i == 0)
        ]
    rings = [("PATH-ROUGH", r) for r in rough] + [("PATH-FINISH", r) for r in fine]
    loops = [(layer, polygon(r)) for layer, r in rings]
    data = loops_dxf(loops, [straight(r) for _, r in rings], (0.0, 0.0), None, colours)
    return Planned("cutter-path.dxf", data, check_loops(loops, (0.0, 0.0)))


def _thinned(ring: Array) -> Array:
    thin = shapely.simplify(shapely.Polygon(ring).exterior, PATH)
    return np.asarray(shapely.get_coordinates(thin)[:-1])


def frame_file(job: Job, face: Face, colours: dict[str, str]) -> Planned:
    """The locating frame of a face: the sheet's edge and its pocket."""
    made = job.frame(face)
    chains = [straight(c.segments[:, 0]) for c in made.curves]
    name = f"frame{face.suffix}.dxf"
    data = cut_dxf(made, chains, (0.0, 0.0), None, colours)
    return Planned(name, data, check_dxf(made, (0.0, 0.0)))


def engrave_files(placed: Placed, colours: dict[str, str]) -> list[Planned]:
    """DXF (splines: the curves of the font or the artwork
    themselves) and SVG of what the laser burns.

    Where each board has a name of its own, two files for each.
    """
    made = []
    for k, (name, one) in enumerate(placed.each, start=1):
        end = f"-{k:02d}-{plain_name(name) or 'name'}"
        made += [
            replace(f, name=f.name.replace(".", end + ".", 1))
            for f in engrave_files(replace(placed, mark=one, each=()), colours)
        ]
    if made:
        return made
    curves = [_moved(c, placed) for c in placed.mark.curves]
    loops = [("ENGRAVE", c) for c in curves]
    end = placed.face.suffix
    dxf = loops_dxf(loops, None, (0.0, 0.0), None, colours)
    svg = _page(
        placed, " ".join(path_data(c, 6) for c in curves), colours.get("ENGRAVE", "#000000")
    )
    return [
        Planned(f"engrave{end}.dxf", dxf, check_loops(loops, (0.0, 0.0))),
        Planned(f"engrave{end}.svg", svg.encode(), _check_page(curves)),
    ]


def print_files(placed: Placed, ink: str) -> list[Planned]:
    """White, colour and clear as SVG and PDF on one datum, pages of one size."""
    end = placed.face.suffix
    curves = [_moved(c, placed) for c in placed.mark.curves]
    filled = shapely.transform(placed.mark.filled, lambda p: p - np.array(placed.datum))
    made = []
    for name, by, colour in (
        ("white", -CHOKE, "#000000"),
        ("colour", 0.0, ink),
        ("clear", SPREAD, "#000000"),
    ):
        shapes: list[Curve] | list[Array] = curves
        if by:
            shapes = rings_of(shapely.simplify(shapely.buffer(filled, by, quad_segs=8), THIN))
        data = " ".join(path_data(c, 6) if isinstance(c, Curve) else _ring_data(c) for c in shapes)
        svg = _page(placed, data, colour)
        check = None if by else _check_page(curves)
        made.append(Planned(f"print-{name}{end}.svg", svg.encode(), check))
        made.append(
            Planned(f"print-{name}{end}.pdf", filled_pdf(shapes, page_of(placed), name, colour))
        )
    return made


def _ring_data(ring: Array) -> str:
    return "M" + " ".join(f"{number(x, 4)},{number(-y, 4)}" for x, y in ring) + " Z"


def _moved(curve: Curve, placed: Placed) -> Curve:
    return Curve(curve.segments - np.array(placed.datum))


def _page(placed: Placed, data: str, colour: str) -> str:
    """One filled path on a page 1:1 whose middle is the datum."""
    w, h = page_of(placed)
    view = " ".join(number(v, 6) for v in (-w / 2, -h / 2, w, h))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(w, 6)}mm"'
        f' height="{number(h, 6)}mm" viewBox="{view}"><path d="{data}" fill="{colour}"'
        ' fill-rule="evenodd"/></svg>\n'
    )


def _check_page(curves: list[Curve]) -> Callable[[bytes], None]:
    """Return a check that a page holds curves to 1e-5 mm."""
    wanted = np.concatenate(
        [np.concatenate([c.segments[:1, 0], c.segments[:, 1:].reshape(-1, 2)]) for c in curves]
    )

    def check(data: bytes) -> None:
        path = re.search(r' d="([^"]*)"', data.decode())
        found = np.array(re.findall(r"-?\d+(?:\.\d+)?", path[1] if path else ""), dtype=float)
        p = found.reshape(-1, 2) * (1.0, -1.0)
        if p.shape != wanted.shape or np.abs(p - wanted).max() > 1e-5:
            raise OSError("the page read back differs from the mark")

    return check


def face_file(job: Job, placed: Sequence[Placed]) -> Planned:
    """The board as it lies with that face up and the areas on it, for the eye.

    Datum as the frame's.
    """
    face, colours = placed[0].face, job.shop.layer_colours
    outline = face.outline
    loops = loops_of(outline)
    chains = arcs_of(outline)
    for one in placed:
        loops.append(("AREA", polygon(one.area.corners)))
        chains.append(straight(one.area.corners))
    x0, y0, x1, y1 = outline.wood.bounds
    blank = box_reference((x1 - x0, y1 - y0), ((x0 + x1) / 2, (y0 + y1) / 2))
    if job.stock.piece is None:
        blank = box_reference(job.stock.size[:2], (0.0, 0.0))
    way = -job.report.subject.grain if face.under else job.report.subject.grain
    line = np.array(blank.grain)
    middle = line.mean(axis=0)
    a, b = turn(line - middle, way) + middle
    reference = replace(blank, grain=(pair(a), pair(b)), data=[p.datum for p in placed])
    data = loops_dxf(loops, chains, (0.0, 0.0), reference, colours)
    name = f"setting-out{face.suffix or '-EATING-FACE'}.dxf"
    return Planned(name, data, check_loops(loops, (0.0, 0.0)))

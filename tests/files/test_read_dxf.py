"""Reading DXF: every entity, made by ezdxf, against its own flattening and closed forms."""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
import shapely
from ezdxf.math import Vec3

from shapes.errors import InputError
from shapes.files.drawing import Drawing, read_drawing
from shapes.geometry.curve import flatten
from shapes.geometry.measures import area, length

Draw = Callable[[Any], None]


def drawing(
    folder: Path, draw: Draw, version: str = "R2010", units: int = 4, **how: Any
) -> Drawing:
    doc = ezdxf.new(version, units=units)
    draw(doc.modelspace())
    path = folder / "drawn.dxf"
    doc.saveas(path)
    return read_drawing(path, **how)


def only_area(found: Drawing) -> float:
    (board,) = found.boards
    return area([board.edge])


def test_a_loop_of_loose_lines_and_arcs(tmp_path: Path) -> None:
    def stadium(m: Any) -> None:
        m.add_line((0, 0), (100, 0))
        m.add_line((0, 40), (100, 40))
        m.add_arc((100, 20), 20, -90, 90)
        m.add_arc((0, 20), 20, 90, 270)

    for version in ("R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"):
        found = drawing(tmp_path, stadium, version, unit="mm")
        assert abs(only_area(found)) == pytest.approx(4000 + math.pi * 400, rel=1e-7)
        assert found.notes == ()


def test_binary_dxf(tmp_path: Path) -> None:
    doc = ezdxf.new("R2000", units=1)
    doc.modelspace().add_circle((3, 4), 2)
    out = io.BytesIO()
    doc.write(out, fmt="bin")
    (tmp_path / "b.dxf").write_bytes(out.getvalue())
    (board,) = read_drawing(tmp_path / "b.dxf").boards
    assert length(board.edge) == pytest.approx(4 * math.pi * 25.4, rel=1e-6)


def test_arcs_keep_to_their_circle(tmp_path: Path) -> None:
    found = drawing(tmp_path, lambda m: m.add_circle((30, -20), 200))
    p = flatten(found.boards[0].edge, 1e-3)
    assert np.abs(np.hypot(p[:, 0] - 30, p[:, 1] + 20) - 200).max() < 1e-3 + 1e-4


def test_ellipse_against_its_area(tmp_path: Path) -> None:
    found = drawing(tmp_path, lambda m: m.add_ellipse((5, 6), (80, 30), 0.35))
    a = math.hypot(80, 30)
    assert only_area(found) == pytest.approx(math.pi * a * a * 0.35, rel=1e-7)


@pytest.mark.parametrize("closed", [True, False])
def test_polylines_with_bulges(tmp_path: Path, closed: bool) -> None:
    """A square 60 mm wide with one side bulged to a half circle, outwards and inwards."""
    for bulge, sign in ((1.0, 1.0), (-1.0, -1.0)):
        rows = [(0, 0, 0.0), (60, 0, bulge), (60, 60, 0.0), (0, 60, 0.0)]
        if not closed:
            rows.append((0, 0, 0.0))

        def lw(m: Any, rows: Any = rows) -> None:
            m.add_lwpolyline(rows, format="xyb", close=closed)

        def old(m: Any, rows: Any = rows) -> None:
            m.add_polyline2d(rows, format="xyb", close=closed)

        for make in (lw, old):
            want = 3600 + sign * math.pi * 900 / 2
            assert only_area(drawing(tmp_path, make)) == pytest.approx(want, rel=1e-7)


def reference(entity: Any) -> shapely.LineString:
    return shapely.LineString([(v.x, v.y) for v in entity.flattening(1e-4)])


@pytest.mark.parametrize("degree", [2, 3, 4, 5])
@pytest.mark.parametrize("rational", [False, True])
def test_splines_of_every_degree(tmp_path: Path, degree: int, rational: bool) -> None:
    points = [(0, 0), (60, 90), (150, 110), (210, 20), (160, -70), (40, -80), (0, 0)]
    weights = [1, 2.5, 0.7, 1.4, 3.0, 0.6, 1]
    kept: list[Any] = []

    def draw(m: Any) -> None:
        if rational:
            kept.append(m.add_rational_spline(points, weights, degree=degree))
        else:
            kept.append(m.add_open_spline(points, degree=degree))

    found = drawing(tmp_path, draw)
    p = flatten(found.boards[0].edge, 1e-4)
    line = reference(kept[0])
    assert shapely.distance(line, shapely.points(p)).max() < 4e-4  # theirs 1e-4, ours 1e-4 twice
    ring = shapely.LinearRing(p)
    assert shapely.distance(ring, shapely.points(np.asarray(line.coords))).max() < 4e-4


def test_a_cubic_spline_comes_over_exactly(tmp_path: Path) -> None:
    """Clamped and with knots unevenly spread: points of the curve by de Boor, of ezdxf."""
    kept: list[Any] = []

    def draw(m: Any) -> None:
        spline = m.add_spline(degree=3)
        spline.control_points = [
            (0, 0),
            (30, 80),
            (120, 90),
            (160, 10),
            (80, -60),
            (10, -30),
            (0, 0),
        ]
        spline.knots = [0, 0, 0, 0, 1, 1.7, 4, 5, 5, 5, 5]
        kept.append(spline)

    found = drawing(tmp_path, draw)
    tool = kept[0].construction_tool()
    edge = found.boards[0].edge
    ends = np.array([0, 1, 1.7, 4])
    for i, t in enumerate(ends):
        want: Vec3 = tool.point(t)
        assert np.abs(edge.segments[i, 0] - (want.x, want.y)).max() < 1e-12
    assert len(edge) == 4


def test_fit_points_alone(tmp_path: Path) -> None:
    found = drawing(
        tmp_path, lambda m: m.add_spline([(0, 0), (90, 40), (150, -20), (60, -60), (0, 0)])
    )
    assert abs(only_area(found)) > 5000


def test_blocks_nested_scaled_and_mirrored(tmp_path: Path) -> None:
    doc = ezdxf.new("R2010", units=5)
    inner = doc.blocks.new("INNER")
    inner.add_circle((1, 0), 1)
    outer = doc.blocks.new("OUTER")
    outer.add_blockref("INNER", (0, 0), dxfattribs={"xscale": 2, "yscale": 5, "rotation": 30})
    doc.modelspace().add_blockref("OUTER", (7, 7), dxfattribs={"xscale": -1, "yscale": 1})
    doc.saveas(tmp_path / "blocks.dxf")
    (board,) = read_drawing(tmp_path / "blocks.dxf").boards
    assert abs(area([board.edge])) == pytest.approx(math.pi * 10 * 100, rel=1e-6)
    middle = (7 - 2 * math.cos(math.radians(30))) * 10  # mirrored to the left of its insertion
    assert board.edge.segments[:, 0, 0].mean() == pytest.approx(middle, abs=0.1)


def test_extrusion_downwards_mirrors(tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        m.add_circle((30, 5), 10, dxfattribs={"extrusion": (0, 0, -1)})

    edge = drawing(tmp_path, draw).boards[0].edge
    assert edge.segments[..., 0].mean() == pytest.approx(-30, abs=0.5)


def test_boards_with_openings_sorted_by_nesting(tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        m.add_circle((0, 0), 100)
        m.add_circle((0, 0), 60)
        m.add_circle((0, 0), 30)  # an island in the opening: a board of its own
        m.add_circle((300, 0), 50)
        m.add_circle((300, 10), 8)
        m.add_circle((300, -20), 5)

    found = drawing(tmp_path, draw)
    assert [len(b.openings) for b in found.boards] == [1, 2, 0]


@pytest.mark.parametrize(
    ("code", "mm"), [(1, 25.4), (2, 304.8), (4, 1.0), (5, 10.0), (6, 1000.0), (14, 100.0)]
)
def test_units_of_the_header(tmp_path: Path, code: int, mm: float) -> None:
    found = drawing(tmp_path, lambda m: m.add_circle((0, 0), 2), units=code)
    assert only_area(found) == pytest.approx(math.pi * 4 * mm * mm, rel=1e-6)


def test_no_unit_is_asked_for_and_never_guessed(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="say --unit mm, cm, in or px"):
        drawing(tmp_path, lambda m: m.add_circle((0, 0), 3), units=0)
    found = drawing(tmp_path, lambda m: m.add_circle((0, 0), 3), units=0, unit="in")
    assert only_area(found) == pytest.approx(math.pi * 9 * 25.4**2, rel=1e-6)


def test_what_is_no_edge_is_listed(tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        m.add_lwpolyline([(0, 0), (90, 0), (90, 70), (0, 70)], close=True)
        m.add_lwpolyline([(90, 0), (90, 70), (0, 70), (0, 0)], close=True)  # drawn twice
        m.add_text("a name")
        m.add_line((10, 10), (20, 20))
        m.add_line((5, 5), (5, 5))
        m.add_3dface([(0, 0, 0), (1, 0, 0), (1, 1, 1)])
        m.add_line((0, 0, 0), (0, 0, 9))
        m.doc.layers.add("NOTES").off()
        m.add_circle((40, 40), 9, dxfattribs={"layer": "NOTES"})

    found = drawing(tmp_path, draw)
    notes = " | ".join(found.notes)
    assert len(found.boards) == 1
    assert found.boards[0].openings == ()
    for word in (
        "1 TEXT",
        "1 3DFACE",
        "hidden layers",
        "drawn twice",
        "no length",
        "open line",
        "out of the plane",
    ):
        assert word in notes


def test_layers_are_chosen(tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        m.add_circle((0, 0), 50, dxfattribs={"layer": "BODY"})
        m.add_circle((0, 0), 90, dxfattribs={"layer": "PAPER"})

    assert only_area(drawing(tmp_path, draw, layers=("body",))) == pytest.approx(
        math.pi * 2500, rel=1e-6
    )
    with pytest.raises(InputError, match="there are: BODY, PAPER"):
        drawing(tmp_path, draw, layers=("wood",))


@pytest.mark.parametrize("gap", [0.005, 0.08, 0.5])
def test_gaps(tmp_path: Path, gap: float) -> None:
    def draw(m: Any) -> None:
        m.add_lwpolyline([(0, 0), (90, 0), (90, 70), (0, 70), (0, gap)])

    if gap > 0.1:
        with pytest.raises(InputError, match=r"0.5 mm from the next.*--gap 0.6"):
            drawing(tmp_path, draw)
        found = drawing(tmp_path, draw, gap=0.6)
    else:
        found = drawing(tmp_path, draw)
    assert (gap > 0.01) == any("closed 1 gaps" in note for note in found.notes)
    assert only_area(found) == pytest.approx(6300, abs=90 * gap)

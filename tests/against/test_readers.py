"""Our files read by others: GDAL (pyogrio) for DXF, svgelements for SVG."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pyogrio
import pytest
import shapely
from svgelements import SVG
from svgelements import Path as SvgPath

from shapes.collection.board import full_report
from shapes.files.recipe import read_recipe
from shapes.folders.chosen import write_files
from shapes.geometry.curve import flatten


def loops_by_gdal(path: Path) -> list[np.ndarray]:
    _, _, geometry, values = pyogrio.raw.read(path, columns=["Layer"])
    found = {"EDGE": [], "OPENING": []}  # type: dict[str, list[np.ndarray]]
    for shape, layer in zip(shapely.from_wkb(geometry), values[0], strict=True):
        found[layer].append(np.asarray(shapely.get_coordinates(shape)))
    return found["EDGE"] + found["OPENING"]


@pytest.mark.parametrize("arcs", [True, False])
def test_gdal_reads_every_loop_closed_and_in_place(
    collection_folder: Path, tmp_path: Path, arcs: bool
) -> None:
    for recipe in sorted(collection_folder.glob("*/board.toml")):
        report = full_report(read_recipe(recipe))
        cut = write_files([report], tmp_path, ["dxf"], arcs=arcs, force=True)[0]
        loops = loops_by_gdal(cut)
        assert len(loops) == len(report.outline.curves)
        for loop, curve in zip(loops, report.outline.curves, strict=True):
            assert np.hypot(*(loop[0] - loop[-1])) < 1e-3
            ring = shapely.LinearRing(flatten(curve, 1e-3))
            # GDAL cuts arcs every 4 degrees and splines coarsely: its vertices lie on the line.
            assert shapely.distance(ring, shapely.points(loop)).max() < (0.012 if arcs else 0.05)


def test_another_parser_reads_the_svg_at_its_size(collection_folder: Path) -> None:
    """Svgelements turns mm into px at 96 a inch (CSS), so lengths come back times 96 / 25.4."""
    px = 96 / 25.4
    for recipe in sorted(collection_folder.glob("*/board.toml")):
        report = full_report(read_recipe(recipe))
        document = SVG.parse(str(recipe.parent / "cut.svg"))
        paths = [e for e in document.elements() if isinstance(e, SvgPath)]
        assert len(paths) == len(report.outline.curves)
        x0, y0, x1, y1 = paths[0].bbox()
        assert (x1 - x0) / px == pytest.approx(report.subject.box[0], abs=1e-3)
        assert (y1 - y0) / px == pytest.approx(report.subject.box[1], abs=1e-3)
        assert all(abs(p.point(0) - p.point(1)) < 1e-6 for p in paths)

"""DXF files as GDAL's own reader sees them: another program than the one that wrote them."""

from __future__ import annotations

from pathlib import Path

import pyogrio
import shapely


def by_gdal(path: Path) -> dict[str, list[shapely.Geometry]]:
    """Shapes by layer.

    GDAL draws arcs as chords, here of a degree: 0.01 mm off at 300 mm radius.
    """
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "1"})
    _, _, geometry, values = pyogrio.raw.read(path, columns=["Layer"])
    found: dict[str, list[shapely.Geometry]] = {}
    for shape, layer in zip(shapely.from_wkb(geometry), values[0], strict=True):
        found.setdefault(layer, []).append(shape)
    return found

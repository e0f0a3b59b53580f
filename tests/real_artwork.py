"""A piece of artwork as one might buy it: ornate, in inches, tight corners, joints left open."""

from __future__ import annotations

from pathlib import Path

import ezdxf


def artwork(path: Path, unit: int = 1) -> None:
    """Scallops that meet in cusps, a heart, shoulders with corners, a speck, loose ends, a label."""
    doc = ezdxf.new("R2000", units=unit)
    m = doc.modelspace()
    m.add_line((0.0, 1.2), (0.0, -1.2))
    for k in range(5):
        m.add_arc((2 * k + 1, 3.0), 1.0, 0, 180)
        m.add_arc((2 * k + 1, -3.0), 1.0, 180, 360)
    m.add_line((0, 3.0), (0, 1.2))
    m.add_line((0, -1.2), (0, -3.0))
    m.add_line((10, 3.0), (10, 1.0))
    m.add_line((10.0005, 1.0), (10.6, 0.65))  # a joint that misses by half a thousandth
    m.add_line((10.6, 0.65), (14.6, 0.62))
    m.add_arc((14.6, 0.0), 0.62, -90, 90)
    m.add_line((14.6, -0.62), (10.6, -0.65))
    m.add_line((10.6, -0.65), (10, -1.0))
    m.add_line((10, -1.0), (10, -2.998))  # and one by two
    m.add_circle((14.55, 0), 0.2)
    m.add_circle((5, 0), 0.05)
    heart = [(2, 1.2, 0), (3, 1.6, -0.5), (4, 1.2, -0.5), (3, 0.2, 0)]
    m.add_lwpolyline(heart, format="xyb", close=True)
    m.add_text("SUNDAY BOARD", dxfattribs={"height": 0.4}).set_placement((4, -1))
    m.add_line((1, -2), (2, -2))
    doc.saveas(path)

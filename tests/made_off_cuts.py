"""Invented off-cuts for tests: irregular pieces with defects, fixings and natural edges."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import shapely

from shapes.timber.off_cut import KINDS, Defect, Fixing, OffCut


def off_cut(seed: int) -> OffCut:
    """A piece of 400 to 900 mm by 180 to 380 mm, 5 to 9 corners, up to three defects."""
    rng = np.random.default_rng([seed, 77])
    length, width = rng.uniform(400, 900), rng.uniform(180, 380)
    count = int(rng.integers(5, 10))
    angle = np.sort((np.arange(count) + rng.uniform(0.15, 0.85, count)) / count * 2 * np.pi)
    spread = rng.uniform(0.82, 1.0, count)
    box = np.maximum(np.abs(np.cos(angle)), np.abs(np.sin(angle)))
    ring = np.stack([np.cos(angle) * length, np.sin(angle) * width], axis=1) / 2
    ring = ring * (spread / box)[:, None]
    outline = shapely.orient_polygons(shapely.Polygon(ring))
    coords = shapely.get_coordinates(outline.exterior)
    natural = None
    if rng.random() < 0.3:
        side = int(rng.integers(count))
        natural = shapely.LineString(coords[side : side + 2])
    defects = []
    for i in range(int(rng.integers(0, 4))):
        kind = list(KINDS)[int(rng.integers(len(KINDS)))]
        x, y = rng.uniform(-0.4, 0.4) * length, rng.uniform(-0.4, 0.4) * width
        if rng.random() < 0.5:
            shape = shapely.Point(x, y).buffer(rng.uniform(3, 18))
        else:
            way = rng.uniform(0, math.pi)
            half = rng.uniform(10, 40) * np.array([math.cos(way), math.sin(way)])
            line = shapely.LineString(np.array([[x, y], [x, y]]) + np.outer([-1, 1], half))
            shape = line.buffer(rng.uniform(1, 6), cap_style="flat")
        defects.append(
            Defect(f"{kind} {i}", kind, shape, KINDS[kind].clearance, KINDS[kind].may_lie_in)
        )
    fixings = []
    for i in range(int(rng.integers(0, 3))):
        x, y = rng.uniform(-0.45, 0.45) * length, rng.uniform(-0.45, 0.45) * width
        fixings.append(Fixing(f"screw {i}", (float(x), float(y)), 8.0, bool(rng.random() < 0.3)))
    return OffCut(
        f"piece {seed}",
        outline,
        float(rng.uniform(24, 45)),
        "black cherry",
        grain=float(rng.uniform(-0.3, 0.3)),
        natural=natural,
        defects=tuple(defects),
        fixings=tuple(fixings),
    )


def rough(seed: int) -> OffCut:
    """A piece as ``off_cut`` makes them.

    Some with a waving natural edge, a hole through it, or both.
    """
    piece = off_cut(seed)
    rng = np.random.default_rng([seed, 78])
    outline, natural = piece.outline, piece.natural
    if natural is not None:
        coords = shapely.get_coordinates(outline.exterior)[:-1]
        a, b = shapely.get_coordinates(natural)
        i = int(np.flatnonzero((coords == a).all(axis=1))[0])
        u = np.linspace(0, 1, 40)[1:-1]
        out = np.array([b[1] - a[1], a[0] - b[0]]) / math.dist(a, b)
        waves = sum(rng.uniform(1, 6) * np.sin(np.pi * k * u) for k in (2, 3, 5))
        wavy = a + np.outer(u, b - a) + np.outer(waves, out)
        grown = shapely.Polygon(np.concatenate([coords[: i + 1], wavy, coords[i + 1 :]]))
        if grown.is_valid:
            outline, natural = grown, shapely.LineString([a, *wavy, b])
    if rng.random() < 0.35:
        x0, y0, x1, y1 = outline.bounds
        hole = shapely.Point(rng.uniform(x0, x1), rng.uniform(y0, y1)).buffer(rng.uniform(10, 35))
        if outline.buffer(-8).contains(hole):
            outline = shapely.orient_polygons(shapely.Polygon(outline.exterior, [hole.exterior]))
    return replace(piece, outline=outline, natural=natural)


def timber(length: float, width: float, **more: object) -> OffCut:
    """A sound box of timber."""
    settings: dict[str, object] = {"margin": 5.0, **more}
    box = shapely.box(0, 0, length, width)
    return OffCut("p", box, 30.0, "black walnut", **settings)  # type: ignore[arg-type]

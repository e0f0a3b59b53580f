"""Offsets by Clipper2 (pyclipr), which works on integers: its scale is set to 1e-6 mm."""

from __future__ import annotations

import numpy as np
import pyclipr

CHORD = 0.001  # mm
SCALE = 1e6


def offset(paths: list[np.ndarray], by: float) -> list[np.ndarray]:
    """Polygons moved out by ``by`` mm with round corners, arcs within CHORD."""
    tool = pyclipr.ClipperOffset()
    tool.scaleFactor = int(SCALE)
    tool.arcTolerance = CHORD * SCALE
    tool.addPaths(paths, pyclipr.JoinType.Round, pyclipr.EndType.Polygon)
    return [np.asarray(p)[:, :2] for p in tool.execute(by)]


def closed_by(paths: list[np.ndarray], radius: float) -> list[np.ndarray]:
    """Polygons closed by a disc: out by its radius and in again."""
    return offset(offset(paths, radius), -radius)


def overlap(a: list[np.ndarray], b: list[np.ndarray]) -> float:
    """Area that two sets of polygons share, mm2."""
    return _area(_clip(a, b, pyclipr.Intersection))


def beyond(a: list[np.ndarray], b: list[np.ndarray]) -> float:
    """Area of ``a`` that lies outside of ``b``, mm2."""
    return _area(_clip(a, b, pyclipr.Difference))


def _clip(a: list[np.ndarray], b: list[np.ndarray], what: object) -> list[np.ndarray]:
    if not a or not b:
        return a if what == pyclipr.Difference else []
    tool = pyclipr.Clipper()
    tool.scaleFactor = int(SCALE)
    tool.addPaths(a, pyclipr.Subject)
    tool.addPaths(b, pyclipr.Clip)
    return [np.asarray(p)[:, :2] for p in tool.execute(what, pyclipr.FillRule.NonZero)]


def _area(paths: list[np.ndarray]) -> float:
    total = 0.0
    for p in paths:
        x, y = p[:, 0], p[:, 1]
        total += float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2
    return abs(total)

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

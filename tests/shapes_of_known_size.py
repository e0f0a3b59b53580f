"""Curves and boards whose measures are known, for many tests."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from shapes.geometry import curve as curves
from shapes.geometry.curve import Array, Curve
from shapes.geometry.outline import Outline, outline

Plane = Callable[[Array], Array]


def hermite(place: Plane, slope: Plane, pieces: int) -> Curve:
    """Chain of cubics with the points and tangents of a periodic curve of period 2 pi."""
    t = np.linspace(0, 2 * np.pi, pieces + 1)
    p, v = place(t), slope(t) * (2 * np.pi / pieces) / 3
    p[-1], v[-1] = p[0], v[0]
    return Curve(np.stack([p[:-1], p[:-1] + v[:-1], p[1:] - v[1:], p[1:]], axis=1))


def ellipse(a: float, b: float, pieces: int = 400) -> Curve:
    """Ellipse with half axes a and b."""
    return hermite(
        lambda t: np.stack([a * np.cos(t), b * np.sin(t)], axis=1),
        lambda t: np.stack([-a * np.sin(t), b * np.cos(t)], axis=1),
        pieces,
    )


def polar(
    radius: Callable[[Array], Array], slope: Callable[[Array], Array], pieces: int = 600
) -> Curve:
    """Curve r(t) with slope dr/dt."""

    def place(t: Array) -> Array:
        return np.asarray(radius(t)[:, None] * np.stack([np.cos(t), np.sin(t)], axis=1))

    def tangent(t: Array) -> Array:
        along = np.stack([np.cos(t), np.sin(t)], axis=1)
        round_ = np.stack([-np.sin(t), np.cos(t)], axis=1)
        return np.asarray(slope(t)[:, None] * along + radius(t)[:, None] * round_)

    return hermite(place, tangent, pieces)


def through(points: Array) -> Array:
    """Control points (n, 2) of the periodic cubic B-spline that passes through ``points``."""
    p = np.asarray(points, dtype=float)
    gain = (4 + 2 * np.cos(2 * np.pi * np.arange(len(p) // 2 + 1) / len(p))) / 6
    return np.asarray(np.fft.irfft(np.fft.rfft(p, axis=0) / gain[:, None], len(p), axis=0))


class Pen:
    """Draws chains of lines and circular arcs."""

    def __init__(self, x: float, y: float) -> None:
        """Start at a point."""
        self.start = np.array([x, y], dtype=float)
        self.at = self.start
        self.segments: list[Array] = []

    def line(self, x: float, y: float) -> Pen:
        """Draw a line."""
        p, q = self.at, np.array([x, y], dtype=float)
        self.segments.append(np.array([p, p + (q - p) / 3, p + 2 * (q - p) / 3, q]))
        self.at = q
        return self

    def arc(self, cx: float, cy: float, turn_deg: float) -> Pen:
        """Draw an arc about a centre, anticlockwise for a positive turn."""
        c = np.array([cx, cy], dtype=float)
        n = max(1, math.ceil(abs(turn_deg) / 15 - 1e-9))
        step = math.radians(turn_deg) / n
        k = 4 / 3 * math.tan(step / 4)
        for _ in range(n):
            r = self.at - c
            q = curves.turn(r, step)
            tangent, arrival = np.array([-r[1], r[0]]), np.array([-q[1], q[0]])
            self.segments.append(
                np.array([self.at, self.at + k * tangent, c + q - k * arrival, c + q])
            )
            self.at = c + q
        return self

    def close(self) -> Curve:
        """Close the chain."""
        if np.hypot(*(self.at - self.start)) > 1e-9:
            self.line(float(self.start[0]), float(self.start[1]))
        self.segments[-1][3] = self.start
        return Curve(np.array(self.segments))


def filleted_corner(radius: float) -> Outline:
    """L-shaped board with one right-angled inside corner
    of ``radius`` and outside corners of 10.
    """
    r = radius
    pen = Pen(-90, -100).line(90, -100).arc(90, -90, 90).line(100, -10).arc(90, -10, 90).line(r, 0)
    pen.arc(r, r, -90).line(0, 90).arc(-10, 90, 90).line(-90, 100).arc(-90, 90, 90).line(-100, -90)
    return outline(pen.arc(-90, -90, 90).close())


def slot(width: float, length: float, cx: float = 0.0, cy: float = 0.0) -> Curve:
    """Opening with straight sides and round ends."""
    r, h = width / 2, length / 2
    pen = Pen(cx - h, cy - r).line(cx + h, cy - r).arc(cx + h, cy, 180).line(cx - h, cy + r)
    return pen.arc(cx - h, cy, 180).close()


def notched(width: float, depth: float) -> Outline:
    """Square board with an inlet of parallel sides and a round end, its mouth eased widely."""
    r, m = width / 2, 40.0
    pen = Pen(-150, -150).line(150, -150).line(150, 150).line(r + m, 150).arc(r + m, 150 - m, 90)
    pen.line(r, 150 - depth + r).arc(0, 150 - depth + r, -180).line(-r, 150 - m)
    return outline(pen.arc(-r - m, 150 - m, 90).line(-150, 150).close())


def keyhole(neck: float, bulb: float) -> Outline:
    """Board with an inlet ``neck`` wide that leads to a round chamber of radius ``bulb``."""
    r, m, cy = neck / 2, 40.0, 20.0
    reach = math.sqrt(bulb * bulb - r * r)
    turn = 360 - 2 * math.degrees(math.atan2(r, reach))
    pen = Pen(-150, -150).line(150, -150).line(150, 150).line(r + m, 150).arc(r + m, 150 - m, 90)
    pen.line(r, cy + reach).arc(0, cy, -turn).line(-r, 150 - m)
    return outline(pen.arc(-r - m, 150 - m, 90).line(-150, 150).close())

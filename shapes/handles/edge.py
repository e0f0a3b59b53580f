"""Stretches of a body's edge where a handle could be: even samples with normals and turning."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from shapes.geometry.curve import Array, Ints, flatten, spline

STEP = 6.0  # mm between samples, about


@dataclass(frozen=True, slots=True, eq=False)
class Edge:
    """Samples of an edge at even steps of length, anticlockwise."""

    points: Array  # (n, 2)
    inward: Array  # (n, 2) unit normals into the wood
    turn: Array  # (n,) radians turned from one sample to the next, + where it bulges
    step: float  # mm

    def window(self, middle: int, length: float) -> Ints:
        """Indices of the samples within half of ``length`` of the sample ``middle``."""
        half = int(length / 2 / self.step)
        return np.arange(middle - half, middle + half + 1) % len(self.points)


def edge_of(control: Array) -> Edge:
    """Sample the spline of some control points."""
    ring = flatten(spline(control), 0.02)
    closed = np.concatenate([ring, ring[:1]])
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    count = max(int(run[-1] / STEP), 24)
    at = np.arange(count) * run[-1] / count
    p = np.stack([np.interp(at, run, closed[:, k]) for k in (0, 1)], axis=1)
    chord = np.roll(p, -1, axis=0) - np.roll(p, 1, axis=0)
    size = np.hypot(chord[:, 0], chord[:, 1])
    inward = np.stack([-chord[:, 1], chord[:, 0]], axis=1) / size[:, None]
    heading = np.arctan2(chord[:, 1], chord[:, 0])
    turn = (np.roll(heading, -1) - np.roll(heading, 1)) / 2
    turn = np.mod(turn + np.pi / 2, np.pi) - np.pi / 2
    return Edge(p, inward, turn, float(run[-1] / count))


def calm_places(edge: Edge, length: float, toward: Array, spread: float) -> Ints:
    """Middles of stretches of ``length`` mm whose outward normal is near ``toward``, calmest first.

    Near means a cosine of at least ``spread``; a hollow stretch counts as three times as bent.
    """
    half = max(int(length / 2 / edge.step), 1)
    bent = np.abs(edge.turn) + 3 * np.clip(-edge.turn, 0, None)
    run = np.concatenate([[0.0], np.cumsum(np.concatenate([bent[-half:], bent, bent[:half]]))])
    total = run[2 * half + 1 :] - run[: -2 * half - 1]
    facing = -(edge.inward[:, 0] * toward[0] + edge.inward[:, 1] * toward[1])
    allowed = np.flatnonzero(facing >= spread)
    if not len(allowed):
        return np.array([facing.argmax()])
    return np.asarray(allowed[np.argsort(total[allowed], kind="stable")])


def eased(control: Array, joints: list[int]) -> Array:
    """Ease control points beside a joint towards their neighbours, so that no nub is left."""
    n = len(control)
    k = np.array(joints) % n
    for _ in range(2):
        middle = (control[(k - 1) % n] + control[(k + 1) % n]) / 2
        control = control.copy()
        control[k] = 0.55 * control[k] + 0.45 * middle
    return control

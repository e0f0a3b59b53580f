"""Every tolerance of the package, each with its unit and reason, in one frozen value."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tolerances:
    """Tolerances in mm unless the name says otherwise."""

    flatten: float = 0.01  # chord to curve: a tenth of what sanding takes off
    arcs: float = 0.01  # arcs to curve, both ways: below what a router repeats
    closed: float = 1e-6  # ends nearer than this are one point: the grid of written coordinates
    uncut: float = 0.05  # wood left by a cutter that sanding takes off unseen (design section 5)
    overlap: float = 0.003  # shares of an area (no unit): overlap of two boards
    cutter_limit: float = 60.0  # largest diameter asked for; beyond it nothing limits


TOLERANCES = Tolerances()

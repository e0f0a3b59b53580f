"""Does the grain run along the neck and every other part narrower than 60 mm?

Bars beside openings are judged with the handle: across the grain they are to be stouter.
"""

from __future__ import annotations

import math

from shapes.checks.finding import FAIL, PASS, WARN, Finding
from shapes.checks.subject import Subject
from shapes.reach.width import runs

LOOSEN = "allow other forms or more width"
WARNS = "grain a little across the handle"

NARROW = 60.0  # mm: a part narrower than this breaks along short grain; our choice
GOOD, BAD = 15.0, 30.0  # degrees; our choice
PART = 20.0  # mm: shorter runs are the round of an end, not a part


def check(s: Subject) -> list[Finding]:
    """Compare the run of each part narrower than 60 mm with the grain."""
    parts = [r for r in runs(s.discs, 0.0, NARROW, "edge", 150.0) if r.length >= PART]
    if not parts:
        return [
            Finding(
                "grain",
                PASS,
                None,
                GOOD,
                "degrees",
                (),
                "no neck or horn is narrower than 60 mm (bars beside openings: see handle)",
            )
        ]
    worst = max(parts, key=lambda r: _off(r.angle, s.grain))
    off = math.degrees(_off(worst.angle, s.grain))
    if off <= GOOD:
        text = f"narrow parts run within {off:.0f} degrees of the grain"
        return [Finding("grain", PASS, off, GOOD, "degrees", (worst.middle,), text)]
    verdict, limit = (WARN, GOOD) if off <= BAD else (FAIL, BAD)
    text = (
        f"a part {worst.least:.0f} mm wide runs {off:.0f} degrees off the grain: short grain"
        " breaks; turn the board on the blank or widen it"
    )
    return [Finding("grain", verdict, off, limit, "degrees", (worst.middle,), text)]


def _off(angle: float, grain: float) -> float:
    """Angle between two undirected lines, 0 to 90 degrees, in radians."""
    return abs(math.remainder(angle - grain, math.pi))

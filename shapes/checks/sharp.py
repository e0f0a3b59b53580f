"""Is any outward corner too sharp to hold, to wipe or to round over?"""

from __future__ import annotations

import numpy as np

from shapes.checks.finding import FAIL, PASS, Finding
from shapes.checks.subject import Subject
from shapes.geometry.curve import evaluate
from shapes.geometry.measures import KINK, kinks
from shapes.units import at_most

LOOSEN = "take a smaller round_over or a larger board"
WARNS = "a sharp corner"

LEAST_RADIUS = 8.0  # mm; our choice
OVER_ROUND = 2.0  # mm more than the round-over, so that the bit's path does not run to a point


def check(s: Subject) -> list[Finding]:
    """Compare the least outside radius of the edge with 8 mm and the round-over."""
    limit = max(LEAST_RADIUS, s.limits.round_over + OVER_ROUND)
    radius = s.edge_radii[1]
    if radius >= limit:
        return [
            Finding("sharp", PASS, radius, limit, "mm", (), f"least outside radius {radius:.0f} mm")
        ]
    at, k = s.extremes
    tight = at[k > 1 / limit] if len(k) else np.empty(0)
    corners = np.flatnonzero(kinks(s.outline.edge) > KINK).astype(float)
    places = evaluate(s.outline.edge, np.concatenate([corners, tight]))[0]
    where = tuple((float(x), float(y)) for x, y in places)
    what = (
        f"a corner of {at_most(radius)} mm radius"
        if radius > 0.05
        else "an outward corner with no radius"
    )
    if len(corners) > 1:
        what = f"{len(corners)} outward corners with no radius"
    text = f"{what}; ease to {limit:g} mm or take a smaller round-over"
    return [Finding("sharp", FAIL, radius, limit, "mm", where, text)]

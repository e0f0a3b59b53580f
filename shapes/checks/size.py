"""Does the board fit the stated length and width, turned at most 10 degrees from the grain?"""

from __future__ import annotations

import math

import numpy as np

from shapes.checks.finding import FAIL, PASS, SKIP, Finding
from shapes.checks.subject import Subject
from shapes.geometry.curve import turn
from shapes.geometry.outline import bounds
from shapes.units import at_least

LOOSEN = "allow more length or width"
WARNS = "near the limit of its size"

MOST_LEAN = math.radians(10.0)
_STEPS = 41


def check(s: Subject) -> list[Finding]:
    """Compare the box with the stated size, as it lies and turned a little."""
    want = s.limits.length, s.limits.width
    if want[0] is None or want[1] is None:
        return [Finding("size", SKIP, s.box[0], None, "mm", (), "no length and width were stated")]
    text = f"{s.box[0]:.0f} x {s.box[1]:.0f} mm, allowed {want[0]:.0f} x {want[1]:.0f} mm"
    over = max(s.box[0] - want[0], s.box[1] - want[1])
    if over <= 1e-6:
        return [Finding("size", PASS, s.box[0], want[0], "mm", (), text)]
    ring = np.asarray(s.outline.wood.exterior.coords)
    for angle in np.linspace(-MOST_LEAN, MOST_LEAN, _STEPS):
        box = np.ptp(turn(ring, float(angle)), axis=0)
        if box[0] <= want[0] and box[1] <= want[1]:
            text += f": fits if turned by {math.degrees(angle):.1f} degrees"
            return [Finding("size", PASS, float(box[0]), want[0], "mm", (), text)]
    x0, y0, x1, y1 = bounds(s.outline)
    long = s.box[0] - want[0] >= s.box[1] - want[1]
    axis = 0 if long else 1
    text += (
        f": too {'long' if long else 'wide'} by {at_least(over)} mm; make it smaller or allow more"
    )
    return [Finding("size", FAIL, s.box[axis], want[axis], "mm", ((x0, y0), (x1, y1)), text)]

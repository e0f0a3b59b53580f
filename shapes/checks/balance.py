"""How does the board lie in the hand, and how does it hang?"""

from __future__ import annotations

import math

import numpy as np

from shapes.checks.finding import PASS, SKIP, WARN, Finding
from shapes.checks.held import held
from shapes.checks.subject import Subject, is_round
from shapes.geometry.curve import bounds, pair
from shapes.timber.strength import GRAVITY

LOOSEN = "allow shorter or lighter boards"
WARNS = "tiring in one hand when laden"

HEAVY = 4.0  # N m at the wrist with 1 kg on the board; our choice
_ON_IT = 1.0  # kg
_HANGING = 25.0  # mm across: a larger hole is for fingers


def check(s: Subject) -> list[Finding]:
    """Give the moment at the hand, where the board balances, and how far off plumb it hangs."""
    return _in_hand(s) + _hung(s)


def _in_hand(s: Subject) -> list[Finding]:
    where = held(s)
    centre = s.section.centroid
    at = f"it balances at ({centre[0]:.0f}, {centre[1]:.0f})"
    if not where.grips:
        return [Finding("balance", SKIP, None, None, "N m", (centre,), f"{where.said}; {at}")]
    if len(where.grips) > 1:
        (ax, ay, _), (bx, by, _) = where.grips[:2]
        span = np.array([bx - ax, by - ay])
        share = float((np.array(centre) - (ax, ay)) @ span / max(float(span @ span), 1e-9))
        worse = max(share, 1 - share)
        text = f"held in both hands, one of them bears {worse * 100:.0f} % of it; {at}"
        return [Finding("balance", PASS, worse, None, "", (centre,), text)]
    x, y, _ = where.grips[0]
    away = math.hypot(centre[0] - x, centre[1] - y) / 1000
    empty, laden = s.mass * GRAVITY * away, (s.mass + _ON_IT) * GRAVITY * away
    text = (
        f"it balances {away * 1000:.0f} mm from the hand and pulls at the wrist with {empty:.1f} N"
        f" m, {laden:.1f} N m with {_ON_IT:g} kg on it"
    )
    if laden > HEAVY:
        text += f"; over {HEAVY:g} N m is tiring: a shorter or lighter board, or a second hand"
    verdict = WARN if laden > HEAVY else PASS
    return [Finding("balance", verdict, laden, HEAVY, "N m", (centre,), text)]


def _hung(s: Subject) -> list[Finding]:
    """Angle between the board's length and the plumb line through its hole."""
    found = []
    for curve in s.outline.openings:
        x0, y0, x1, y1 = bounds(curve)
        if not is_round(curve) or x1 - x0 > _HANGING:
            continue
        hole = (x0 + x1) / 2, (y0 + y1) / 2
        down = np.array(s.section.centroid) - hole
        axis = held(s).grips[0][2] if held(s).grips else s.grain
        # Measured to the nearer of the board's length and its width: it may hang either way.
        off = abs(math.remainder(math.atan2(down[1], down[0]) - axis, math.pi / 2))
        text = f"hung from its hole it hangs {math.degrees(off):.0f} degrees off level"
        found.append(
            Finding(
                "balance", PASS, math.degrees(off), None, "degrees", (pair(np.array(hole)),), text
            )
        )
    return found

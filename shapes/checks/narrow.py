"""Is any part of the wood too narrow to last?"""

from __future__ import annotations

from shapes.checks.finding import FAIL, PASS, Finding
from shapes.checks.subject import Subject
from shapes.units import at_most

LOOSEN = "make the board larger"
WARNS = "thin wood"

LEAST_WIDTH = 8.0  # mm; our choice


def check(s: Subject) -> list[Finding]:
    """Compare the narrowest place with 8 mm."""
    n = s.narrowest
    if n.width >= LEAST_WIDTH:
        return [
            Finding(
                "narrow",
                PASS,
                n.width,
                LEAST_WIDTH,
                "mm",
                (n.place,),
                f"narrowest place {n.width:.0f} mm",
            )
        ]
    text = f"only {at_most(n.width)} mm of wood here; widen it to {LEAST_WIDTH:g} mm or more"
    return [Finding("narrow", FAIL, n.width, LEAST_WIDTH, "mm", (n.place,), text)]

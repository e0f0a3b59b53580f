"""Is the board alive, or the mirror image of itself?"""

from __future__ import annotations

from shapes.checks.finding import FAIL, PASS, SKIP, WARN, Finding
from shapes.checks.subject import Subject
from shapes.geometry.overlap import asymmetry, quick_asymmetry

LOOSEN = "set asymmetry = false or allow livelier forms"
WARNS = "hardly asymmetric"

LEAST_ASYMMETRY = 0.05  # share of the area; our choice
_SURE = 0.015  # by which the quick measure errs, about


def lively(s: Subject) -> bool:
    """Whether a board is unlike its mirror image.

    For screening, measured exactly only near the limit.
    """
    if not s.limits.asymmetry:
        return True
    quick = quick_asymmetry(s.likeness)
    if abs(quick - LEAST_ASYMMETRY) < _SURE:
        return asymmetry(s.likeness) >= LEAST_ASYMMETRY
    return quick >= LEAST_ASYMMETRY


def check(s: Subject) -> list[Finding]:
    """Compare the board with its mirror image over every axis."""
    if not s.limits.asymmetry:
        own = asymmetry(s.likeness) if s.limits.generated else None
        return [Finding("asymmetry", SKIP, own, None, "", (), "asymmetry was not asked for")]
    value = asymmetry(s.likeness)
    if value >= LEAST_ASYMMETRY:
        text = f"{value * 100:.0f} % of it is unlike its mirror image"
        return [Finding("asymmetry", PASS, value, LEAST_ASYMMETRY, "", (), text)]
    verdict = FAIL if s.limits.generated else WARN
    text = f"nearly its own mirror image ({value * 100:.1f} % unlike); let one side differ"
    return [Finding("asymmetry", verdict, value, LEAST_ASYMMETRY, "", (), text)]

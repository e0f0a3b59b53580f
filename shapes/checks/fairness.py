"""Is the line fair: no lumps, no nervous bends, no dents that look like slips?"""

from __future__ import annotations

from shapes.checks.finding import FAIL, PASS, SKIP, WARN, Finding
from shapes.checks.subject import Subject, log

SHAPING = ("neck", "neck-hole", "hollow", "two-hollows")  # handles that shape the edge
SPREAD = 0.30  # decades of variation above what is usual; see DEVELOPERS.md
DENT, MEANT = 2.0, 12.0  # mm: hollows between these depths look like slips; our choice
SWEEP = 20.0  # a hollow this many times longer than deep reads as a straight side, not as a slip


def check(s: Subject) -> list[Finding]:
    """Judge variation and the count of curvature extremes against the form's own range."""
    if not (s.limits.generated or s.limits.looks):
        return [Finding("fairness", SKIP, None, None, "", (), "the line is your own")]
    _, whole, variation = s.fairness
    if variation is None or whole is None:
        return [Finding("fairness", SKIP, None, None, "", (), "the edge has corners")]
    bad = FAIL if s.limits.generated else WARN
    slips = [h for h in s.hollows if DENT < h.depth < MEANT and h.length < SWEEP * h.depth]
    if slips:
        depth, at = slips[0].depth, slips[0].place
        text = (
            f"a hollow only {depth:.1f} mm deep looks like a slip; fill it or make it {MEANT:g} mm"
        )
        return [Finding("fairness", bad, depth, MEANT, "mm", (at,), text)]
    count = len(s.extremes[0])
    if s.usual is None:
        return [Finding("fairness", SKIP, log(variation), None, "", (), "no form to compare with")]
    over = max(log(variation) - s.usual.log_variation, log(whole) - s.usual.log_whole)
    if (s.handle or "") in SHAPING:
        # What the hand needs stays its size on a larger board, and weighs with the length cubed.
        over -= 3 * log(max(s.perimeter / s.usual.perimeter, 1.0))
    if over > SPREAD or count > s.usual.extremes:
        text = "the line bends more unevenly than its form usually does; ease it"
        if count > s.usual.extremes:
            text = f"the line is lumpy: its bend turns {count} times, usual are up to {s.usual.extremes}"
        return [
            Finding("fairness", bad, log(variation), s.usual.log_variation + SPREAD, "", (), text)
        ]
    return [
        Finding(
            "fairness", PASS, log(variation), s.usual.log_variation + SPREAD, "", (), "a fair line"
        )
    ]

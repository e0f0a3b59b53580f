"""Is the line fair: no lumps, no hollow that nobody meant, none so shallow that it looks worn?"""

from __future__ import annotations

import math

from shapes.checks.finding import FAIL, PASS, SKIP, WARN, Finding
from shapes.checks.looks import STRAY, line
from shapes.checks.subject import Subject
from shapes.handles.hand import HOLLOW_MOST

LOOSEN = "allow other forms or handles, or draw a larger pool"
WARNS = "an uneven line"

DENT = 1.5  # mm: shallower hollows do not show; our choice
MEANT = 0.02  # of the board's length: shallower hollows read as wear; our choice by eye
STRAIGHT_RATIO = (
    60.0  # a hollow this many times longer than deep reads as a straight side; our choice
)


def check(s: Subject) -> list[Finding]:
    """Judge hollows and the number of bends by one scale for all boards."""
    if not (s.limits.generated or s.limits.looks):
        return [Finding("fairness", SKIP, None, None, "", (), "the line is your own")]
    if s.kinked:
        return [Finding("fairness", SKIP, None, None, "", (), "the edge has corners")]
    bad = FAIL if s.limits.generated else WARN
    seen = line(s)
    if seen.stray > STRAY and s.row:
        where = tuple((x, y) for _, x, y in s.turning.hollows[-1:])
        text = (
            f"{math.degrees(seen.stray):.0f} degrees of hollow that no stretch states; draw it"
            " again"
        )
        return [
            Finding(
                "fairness",
                bad,
                math.degrees(seen.stray),
                math.degrees(STRAY),
                "degrees",
                where,
                text,
            )
        ]
    if seen.lumps:
        most = seen.curvature_maxima - seen.lumps
        text = f"the line is lumpy: it has {seen.curvature_maxima} bends, meant are up to {most}"
        return [Finding("fairness", bad, seen.curvature_maxima, most, "", (), text)]
    natural = s.row is not None and s.row.natural
    # A natural edge is the lower side of its board, and its hollows are the wood's own.
    own = [h for h in s.hollows if not (natural and h.place[1] < s.section.centroid[1])]
    slips = [
        h for h in own if DENT < h.depth < MEANT * s.box[0] and h.length < STRAIGHT_RATIO * h.depth
    ]
    if slips and not s.necked:
        least = MEANT * s.box[0]
        text = (
            f"a hollow only {slips[0].depth:.1f} mm deep reads as wear; fill it or make it"
            f" {least:.0f} mm"
        )
        return [Finding("fairness", bad, slips[0].depth, least, "mm", (slips[0].place,), text)]
    deep = [h for h in own if h.depth > HOLLOW_MOST * s.box[1]]
    if s.limits.generated and deep and not s.necked:
        most_deep = HOLLOW_MOST * s.box[1]
        text = (
            f"a hollow {deep[0].depth:.0f} mm deep takes a bite out of the board; at most"
            f" {most_deep:.0f} mm"
        )
        return [Finding("fairness", WARN, deep[0].depth, most_deep, "mm", (deep[0].place,), text)]
    hollow, total = math.degrees(seen.concave_turning), math.degrees(seen.total_turning)
    text = (
        f"a fair line: it turns {total:.0f} degrees in all, {hollow:.0f} of them in hollows, in"
        f" {seen.curvature_maxima} bends"
    )
    return [Finding("fairness", PASS, hollow, None, "degrees", (), text)]

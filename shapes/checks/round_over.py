"""Can both faces' edges be rounded over, the guide bearing rolling all the way?"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from shapes.checks.finding import FAIL, PASS, SKIP, WARN, Finding
from shapes.checks.subject import Subject, is_round
from shapes.geometry.curve import bounds, pair
from shapes.geometry.outline import Outline
from shapes.reach.reach import INLET
from shapes.timber.solid import BY_HAND, COUNTERSINK, box_of, rounds
from shapes.tolerances import TOLERANCES
from shapes.units import at_least, at_most

LOOSEN = "take a smaller round_over, a smaller guide bearing or thicker timber"
WARNS = "the round-over wants care"

LEAST_FLAT, GOOD_FLAT = 3.0, 5.0  # mm the second bearing runs on; common practice


def check(s: Subject) -> list[Finding]:
    """Look at the flat left for the second bearing, the bearing's reach, and narrow openings."""
    r, bearing, t = s.limits.round_over, s.limits.guide_bearing, s.limits.thickness
    if r <= 0:
        return [Finding("round-over", SKIP, 0.0, None, "mm", (), "no round-over was asked for")]
    found = _flat(t, r) + _bearing(s, bearing) + _meeting(s, r) + _openings(s, r, bearing)
    bad = [f for f in found if f.verdict in (FAIL, WARN)]
    eased = [f for f in found if f.verdict == SKIP]
    if bad:
        most = max((t - LEAST_FLAT) / 2, 0.0)
        if any(f.verdict == FAIL for f in bad) and most >= 1.0 and not _bearing(s, bearing):
            text = f"{bad[0].message}; the largest that works everywhere is {at_most(most)} mm"
            bad[0] = replace(bad[0], message=text)
        return bad + eased
    flat = t - 2 * r
    text = (
        f"{r:g} mm on both faces leaves {flat:.1f} mm of edge for the bearing; up to"
        f" {at_most(_largest(s))} mm would work"
    )
    return [Finding("round-over", PASS, flat, GOOD_FLAT, "mm", (), text), *eased]


def _largest(s: Subject) -> float:
    """Largest round-over, mm, that works everywhere: by the flat, and by the narrowest wood."""
    least = (s.limits.thickness - LEAST_FLAT) / 2
    if s.narrowest.width < 2 * least + _RIDGE:
        least = min(least, (_between_rounded(s)[0] - _RIDGE) / 2)
    return max(least, 0.0)


def _rounded(s: Subject) -> Subject:
    """The board with those of its openings alone that the bit gets into."""
    bearing = s.limits.guide_bearing
    large = tuple(c for c in s.outline.openings if rounds(c, bearing))
    if len(large) == len(s.outline.openings):
        return s
    return Subject(Outline(s.outline.edge, large), s.limits)


def _between_rounded(s: Subject) -> tuple[float, tuple[float, float]]:
    """Least width of the wood between edges that the bit rounds over, and where: from samples."""
    small = [
        i
        for i, c in enumerate(s.outline.openings, start=1)
        if not rounds(c, s.limits.guide_bearing)
    ]
    if not small:
        return s.narrowest.width, s.narrowest.place
    d = s.discs
    apart = (d.cosine <= _FACING) & ~np.isin(d.loop, small) & ~np.isin(d.loop[d.inner_at], small)
    if not apart.any():
        return math.inf, s.narrowest.place
    k = int(np.where(apart, d.inner, np.inf).argmin())
    return 2 * float(d.inner[k]), pair(d.p[k] + d.inner[k] * d.n[k])


_FACING = math.cos(math.radians(150.0))
_RIDGE = 1.0  # mm of face to be left between two round-overs; our choice


def _meeting(s: Subject, r: float) -> list[Finding]:
    """Round-overs from both sides of a narrow part meet in a ridge."""
    if s.narrowest.width >= 2 * r + _RIDGE:
        return []
    width, place = _between_rounded(s)
    if width >= 2 * r + _RIDGE:
        return []
    text = (
        f"round-overs of {r:g} mm meet in a ridge where the wood is only {at_most(width)} mm wide:"
        f" take {at_most(max((width - _RIDGE) / 2, 0))} mm or less, or widen it"
    )
    return [Finding("round-over", WARN, width, 2 * r + _RIDGE, "mm", (place,), text)]


def _flat(thickness: float, r: float) -> list[Finding]:
    flat = thickness - 2 * r
    if flat >= GOOD_FLAT:
        return []
    verdict, limit = (WARN, GOOD_FLAT) if flat >= LEAST_FLAT else (FAIL, LEAST_FLAT)
    text = (
        f"two round-overs of {r:g} mm leave {at_most(max(flat, 0.0))} mm of edge for the second"
        f" bearing; {limit:g} mm wanted: take {at_most(max((thickness - GOOD_FLAT) / 2, 0))} mm or"
        " less"
    )
    return [Finding("round-over", verdict, flat, limit, "mm", (), text)]


def _bearing(s: Subject, bearing: float) -> list[Finding]:
    """The bearing rolls on the edge as a cutter of its size would cut it."""
    largest = s.largest_cutter
    if largest is None or largest >= bearing:
        return []
    small = {i for i, c in enumerate(s.outline.openings, start=1) if not rounds(c, bearing)}
    left = [u for u in s.uncut(bearing) if u.loop not in small and u.depth > TOLERANCES.uncut]
    if not left:
        return []
    if small:
        largest = _rounded(s).largest_cutter or bearing
    deep = left[0].depth
    lost = (
        f"stays {deep:.2f} mm off the edge" if np.isfinite(deep) else "does not get into an opening"
    )
    places = "" if len(left) == 1 else f", at {len(left)} places"
    smaller = (
        f", or take a bearing of {at_most(largest)} mm or smaller" if largest >= _BEARING else ""
    )
    text = (
        f"the {bearing:g} mm guide bearing {lost}{places}: hollows under {bearing / 2:.2f} mm"
        f" radius come out uneven; ease them (shapes repair does){smaller}"
    )
    where = tuple(u.place for u in left)
    return [Finding("round-over", FAIL, largest, bearing, "mm", where, text)]


_BEARING = 4.0  # mm: smaller bearings are hardly made; common practice


def _inlets(s: Subject, body: float) -> list[Finding]:
    """Inlets and finger hollows that the bearing enters, but narrower than the bit's body."""
    edge = s.discs.loop == 0
    if s.limits.generated or 2 * float(s.discs.outer[edge].min()) >= body:
        return []  # the boards we draw have no inlets
    narrow = [u for u in s.uncut(body) if u.loop == 0 and u.kind == INLET]
    bearing, largest = s.limits.guide_bearing, s.largest_cutter
    enters = largest is None or largest >= bearing  # what it just gets into it is not shut out of
    shut = set() if enters else {u.place for u in s.uncut(bearing)}
    where = tuple(u.place for u in narrow if u.place not in shut)
    if not where:
        return []
    text = f"an inlet of the edge is narrower than the bit's body ({at_least(body)} mm): {_GRABS}"
    return [Finding("round-over", WARN, None, body, "mm", where, text)]


_GRABS = "the bit cuts on both sides at once and grabs; take shallow passes, or ease it by hand"


def _openings(s: Subject, r: float, bearing: float) -> list[Finding]:
    """Openings too small for the bearing are countersunk; narrow ones make the bit grab."""
    found = _inlets(s, bearing + 2 * r)
    for i, c in enumerate(s.outline.openings, start=1):
        x0, y0, x1, y1 = bounds(c)
        middle = pair(np.array([(x0 + x1) / 2, (y0 + y1) / 2]))
        if not rounds(c, bearing):
            what = "a hole" if is_round(c) else "an opening"
            wide, _ = box_of(c)
            small, limit = (
                f"a {bearing:g} mm bearing and {COUNTERSINK:g} mm to spare",
                bearing + COUNTERSINK,
            )
            if wide >= limit:
                small, limit = "the bit's body to clear itself", BY_HAND
            text = (
                f"{what} {at_most(wide)} mm across is too small for {small}: ease it with a"
                " countersink"
            )
            found.append(
                Finding(
                    "round-over",
                    SKIP,
                    wide,
                    limit,
                    "mm",
                    (middle,),
                    text,
                )
            )
            continue
        own = s.discs.loop == i
        wide = 2 * float(s.discs.outer[own].max())
        body = bearing + 2 * r
        if wide < body:
            text = (
                f"an opening {at_most(wide)} mm wide is narrower than the bit's body"
                f" ({at_least(body)} mm): {_GRABS}"
            )
            found.append(Finding("round-over", WARN, wide, body, "mm", (middle,), text))
    return found

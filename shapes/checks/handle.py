"""Does the hand find what it needs: a grip, an opening, a hollow or a hole of the right size?"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import shapely

from shapes.checks.finding import FAIL, PASS, SKIP, WARN, Finding
from shapes.checks.subject import Hollow, Subject
from shapes.geometry.curve import Array, Curve, flatten
from shapes.handles import HANDLES, Handle
from shapes.handles.hand import (
    BAR_ACROSS,
    BAR_ALONG,
    BAR_RUN,
    GRIP,
    GRIP_LIGHT,
    HOLLOW_DEPTH,
    HOLLOW_LENGTH,
    HOLLOW_LIP,
    HOLLOW_MOST,
    LIGHT,
    NECK_WIDTH,
    NECK_WIDTH_THIN,
    OPENING_DISC,
    OPENING_LENGTH,
    PICK_UP,
    THIN,
)
from shapes.reach.width import runs
from shapes.units import at_most

LOOSEN = "allow other handles, more room, or leave neck_width out"
WARNS = "not easy to take hold of"

ABOUT = 5.0  # mm by which a neck may differ from a stated width; our choice
_ROUND = 0.02  # mm: measured sizes may miss stated ones by this


def check(s: Subject) -> list[Finding]:
    """Check the handle by its kind; without a recipe the kind is inferred from the outline."""
    kind = s.handle if s.handle is not None else infer(s)
    if kind is None:
        return [Finding("handle", SKIP, None, None, "mm", (), "no handle found")]
    found = _check_of(HANDLES[kind])(s)
    worst = [f for f in found if f.verdict == FAIL] or [f for f in found if f.verdict == WARN]
    return worst or found[:1]


def infer(s: Subject) -> str | None:
    """Name the kind of handle an outline seems to have, or None."""
    if any(_for_hand(s, loop) for loop in range(1, len(s.outline.openings) + 1)):
        return "opening"
    if any(r.length >= GRIP_LIGHT for r in runs(s.discs, *NECK_WIDTH)):
        return "neck"
    return None


def _for_hand(s: Subject, loop: int) -> bool:
    """Whether an opening that nobody named takes a hand: a 25 mm disc fits and it is 90 mm long."""
    disc = 2 * float(np.max(s.discs.outer[s.discs.loop == loop]))
    return disc >= 25.0 and _box(flatten(s.outline.openings[loop - 1]))[0] >= 90.0


def _neck(s: Subject) -> list[Finding]:
    low = NECK_WIDTH_THIN if s.limits.thickness < THIN else NECK_WIDTH[0]
    high = NECK_WIDTH[1]
    if (stated := s.limits.neck_width) is not None:
        low, high = max(low, stated - ABOUT), min(high, stated + ABOUT)
    grips = runs(s.discs, low, high)
    run = grips[0].length if grips else 0.0
    wanted = GRIP_LIGHT if run < GRIP and _light(s) else GRIP
    where = (grips[0].middle,) if grips else ()
    if run >= wanted:
        text = (
            f"the hand finds {run:.0f} mm of neck, {grips[0].least:.0f} to {grips[0].most:.0f} mm"
            " wide"
        )
        return [Finding("handle", PASS, run, wanted, "mm", where, text)]
    text = (
        f"only {at_most(run, 0)} mm of neck is {low:g} to {high:g} mm wide; a hand wants"
        f" {wanted:g} mm"
    )
    return [Finding("handle", FAIL, run, wanted, "mm", where, text)]


def _light(s: Subject) -> bool:
    return s.square_edged < LIGHT or s.mass < LIGHT


def _openings(count: int) -> Callable[[Subject], list[Finding]]:
    def both(s: Subject) -> list[Finding]:
        found = []
        if len(s.outline.openings) < count:
            text = f"{len(s.outline.openings)} openings where {count} are wanted"
            found.append(Finding("handle", FAIL, len(s.outline.openings), count, "", (), text))
        for loop in range(1, len(s.outline.openings) + 1):
            if s.handle is None and not _for_hand(s, loop):
                continue  # a hole to hang it by, or whatever it is for
            found += _one_opening(s, loop)
        return found

    return both


def _one_opening(s: Subject, loop: int) -> list[Finding]:
    ring = flatten(s.outline.openings[loop - 1])
    long, angle = _box(ring)
    middle = ring.mean(axis=0)
    where = ((float(middle[0]), float(middle[1])),)
    disc = 2 * float(np.max(s.discs.outer[s.discs.loop == loop]))
    along = abs(np.remainder(angle - s.grain + np.pi / 2, np.pi) - np.pi / 2) <= np.pi / 4
    low, high = BAR_ALONG if along else BAR_ACROSS
    found = []
    if long < OPENING_LENGTH:
        text = f"the opening is {at_most(long, 0)} mm long; a hand wants {OPENING_LENGTH:g} mm"
        found.append(Finding("handle", FAIL, long, OPENING_LENGTH, "mm", where, text))
    if disc < OPENING_DISC - _ROUND:
        text = f"the opening is {at_most(disc, 0)} mm high; fingers want {OPENING_DISC:g} mm"
        found.append(Finding("handle", FAIL, disc, OPENING_DISC, "mm", where, text))
    bars = [r for r in runs(s.discs, low, high, "bar") if _near(r.middle, ring)]
    run = bars[0].length if bars else 0.0
    if run < BAR_RUN:
        way = "along" if along else "across"
        text = (
            f"only {at_most(run, 0)} mm of the bar is {low:g} to {high:g} mm wide, as a bar {way}"
            f" the grain should be; a hand wants {BAR_RUN:g} mm"
        )
        found.append(Finding("handle", FAIL, run, BAR_RUN, "mm", where, text))
    if found:
        return found
    text = (
        f"opening {long:.0f} mm long, {disc:.0f} mm high, bar {bars[0].least:.0f} to"
        f" {bars[0].most:.0f} mm"
    )
    return [Finding("handle", PASS, run, BAR_RUN, "mm", where, text)]


def _hollows(count: int) -> Callable[[Subject], list[Finding]]:
    def both(s: Subject) -> list[Finding]:
        least, most = HOLLOW_DEPTH * s.box[0], HOLLOW_MOST * s.box[1]
        fit = [h for h in s.hollows if least <= h.depth <= most and h.length >= HOLLOW_LENGTH]
        where = tuple(h.place for h in fit)
        found = []
        if len(fit) < count:
            best = s.hollows[0] if s.hollows else Hollow(0.0, 0.0, (0.0, 0.0))
            text = (
                f"the hollow is {best.length:.0f} mm long and {best.depth:.0f} deep; fingers want"
                f" {HOLLOW_LENGTH:g} mm or more, {least:.0f} to {most:.0f} deep"
            )
            return [Finding("handle", FAIL, best.depth, least, "mm", (best.place,), text)]
        lip = s.edge_radii[1]
        if lip < HOLLOW_LIP:
            text = f"an end of the hollow has {lip:.0f} mm radius; the hand wants {HOLLOW_LIP:g} mm"
            found.append(Finding("handle", FAIL, lip, HOLLOW_LIP, "mm", where, text))
        found += _pick_up(s, "the hollow")
        text = f"finger hollow {fit[0].length:.0f} mm long and {fit[0].depth:.0f} mm deep"
        found.insert(0, Finding("handle", PASS, fit[0].depth, least, "mm", where, text))
        return found

    return both


def _pick_up(s: Subject, what: str) -> list[Finding]:
    r = s.limits.round_over
    if r >= PICK_UP:
        return []
    text = (
        f"fingers want a round-over of {PICK_UP:g} mm under {what}, not {r:g}; or plane a bevel 10"
        " x 6 mm there"
    )
    return [Finding("handle", WARN, r, PICK_UP, "mm", (), text)]


def _rims(s: Subject, handle: Handle) -> list[Finding]:
    """Compare a round hole, and the wood round it, with what its handle wants."""
    assert handle.rims is not None
    across, rim = handle.rims
    if not s.outline.openings:
        return [Finding("handle", FAIL, 0.0, 1.0, "", (), "the hole is missing")]
    d = s.discs
    own = d.loop == 1
    wide = 2 * float(d.outer[own].min())
    middle = d.p[own].mean(axis=0)
    where = ((float(middle[0]), float(middle[1])),)
    wood = float(shapely.distance(s.outline.wood.exterior, s.outline.wood.interiors[0]))
    found = []
    if not across[0] - _ROUND <= wide <= across[1] + _ROUND:
        text = f"the hole is {wide:.1f} mm across; it wants {across[0]:g} to {across[1]:g} mm"
        found.append(Finding("handle", FAIL, wide, across[0], "mm", where, text))
    if not rim[0] - _ROUND <= wood <= rim[1] + _ROUND:
        most = "or more" if math.isinf(rim[1]) else f"to {rim[1]:g} mm"
        least = f"{rim[0]:g} mm" if math.isinf(rim[1]) else f"{rim[0]:g}"
        text = f"the rim round the hole is {wood:.1f} mm; it wants {least} {most}"
        found.append(Finding("handle", FAIL, wood, rim[0], "mm", where, text))
    text = f"hole {wide:.0f} mm across, rim {wood:.0f} mm"
    return found or [Finding("handle", PASS, wood, rim[0], "mm", where, text)]


def _none(s: Subject) -> list[Finding]:
    r = s.limits.round_over
    text = f"no handle; the underside is rounded over {r:g} mm to lift it by"
    return _pick_up(s, "the edge") or [Finding("handle", PASS, r, PICK_UP, "mm", (), text)]


def _box(ring: Array) -> tuple[float, float]:
    """Long side of the least box round a loop, and its angle."""
    box = np.asarray(shapely.minimum_rotated_rectangle(shapely.Polygon(ring)).exterior.coords)
    sides = np.diff(box[:3], axis=0)
    long = sides[np.hypot(sides[:, 0], sides[:, 1]).argmax()]
    return float(np.hypot(long[0], long[1])), float(np.arctan2(long[1], long[0]))


def opening_box(curve: Curve) -> tuple[float, float]:
    """Long side, mm, of the least box round an opening, and its angle, radians."""
    return _box(flatten(curve))


def _near(point: tuple[float, float], ring: Array) -> bool:
    return bool(shapely.distance(shapely.Point(point), shapely.LinearRing(ring)) <= BAR_ACROSS[1])


_Check = Callable[[Subject], list[Finding]]
_BY_PLACE: dict[str, _Check] = {
    "neck": _neck,
    "bar": _openings(1),
    "two ends": _openings(2),
    "hollow": _hollows(1),
    "two hollows": _hollows(2),
    "tip": lambda s: _pick_up(s, "the edge"),
    "edge": _none,
}


def _check_of(handle: Handle) -> _Check:
    """Return what is checked of a handle, by its traits."""
    place = _BY_PLACE[handle.wants]
    if handle.rims is None:
        return place
    if handle.wants == "neck":
        return lambda s: place(s) + _rims(s, handle)
    return lambda s: _rims(s, handle) + place(s)

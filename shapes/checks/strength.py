"""Will the handle hold the laden board?

An estimate on clear straight wood. For a board held level by its handle: the weight of board and
food, times a factor for a jerk, at the centroid; every straight cut that parts the hand from it;
bending about the cut, shear along it, twist of the part, both at once; the bar of a hand opening,
which bends and twists; the strength at the angle of the grain by a Hankinson-type formula,
divided. A hand takes HAND of a neck, a fist the bar of an opening.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely

from shapes.checks.bar import Bar, Worst, bars, hanging, level
from shapes.checks.finding import FAIL, PASS, SKIP, WARN, Finding
from shapes.checks.handle import infer
from shapes.checks.held import Grip, held, on_wood
from shapes.checks.subject import Subject
from shapes.geometry.chords import Chords, Parting, Ring, holds, parting, ring, weakest
from shapes.geometry.curve import Array, cross, dot, flatten, pair
from shapes.handles import is_neck
from shapes.timber.strength import (
    GRAVITY,
    across_grain,
    arm_in_hand,
    eased,
    face_factor,
    section_modulus,
    to_grain,
    twist_stress,
    twisting_strength,
)
from shapes.units import at_least, at_most

LOOSEN = "take thicker or stronger timber, a wider neck, less load, or shorter boards"
WARNS = "little strength to spare"

SHORT_GRAIN = math.radians(
    15.0
)  # off the grain by more than this is short grain; as the grain check
NEAR_DIVISOR = 1.25  # warn within a quarter above the divisor; our choice
NARROW = 60.0  # mm: a wider part is no handle, whatever its grain; as the grain check
HAND = 100.0  # mm of a neck that a hand takes, pressing evenly but for what turns; our choice
# More stress at a neck's root, by width over radius along the grain, and what is left of it across:
# fitted.
ROOT, ROOT_ACROSS = 0.36, 0.44
# A part at an angle to the grain twists as it bends: what pulls lies a little further off the grain
# than the part does, at half way by this: fitted.
COUPLED = math.radians(1.5)
ROOT_TWISTED = 0.5  # share of it that gathers where a part is twisted: fitted
HOLLOW_SPAN = 5.0  # mm between the points of the edge that a hollow is measured by; our choice
AT_HOLE = 1.6  # times the stress beside a small hole in a bent part; our choice
CAUTION = (
    "Strength is an estimate on clear straight wood. A dropped board can still break:"
    " load-test each new handle over something soft."
)


@dataclass(frozen=True, slots=True)
class Case:
    """One hand on the board: where, how it is parted from the load, and what it carries."""

    grip: Grip
    cuts: Parting
    weight: float  # N that act beyond the cut
    at: Array  # where they act, mm
    roots: Array  # how hollow the edge is, as _roots
    alone: bool  # one hand has to keep the board from twisting; two do not
    neck: bool = False  # a hand takes HAND of a neck
    opened: bool = False  # whether the board has a hand opening: its legs are no holed part
    ringed: bool = False  # whether the opening is round: stress gathers beside it


def check(s: Subject) -> list[Finding]:
    """Find the weakest section between each grip and the load and compare it with the divisor."""
    limits = s.limits
    if limits.bending is None:
        return [_skip("no bending strength is known of this wood")]
    where = held(s)
    if not where.grips:
        return [_skip(where.said)]
    line = _line(s)
    outside = [g for g in where.grips if not _gripped(s, line, np.array(g[:2]))]
    if outside:
        x, y, _ = outside[0]
        return [
            _skip(
                f"the grip ({x:g}, {y:g}) lies outside the board or at its very edge: give one"
                " on it"
            )
        ]
    every = bars(s)
    cases = _cases(s, where.grips, line, every)
    found = [w for case in cases if (w := _weakest(s, case, s.grain))]
    found += _on_bars(s, every, cases)
    if not found:
        return [_skip("no part lies between the grip and the load")]
    worst = min(found, key=lambda w: w.factor)
    return [_told(s, worst, where.said)]


UNHELD_RIM = 1.0  # mm: nobody grips nearer to the edge than this; our choice


def _gripped(s: Subject, line: Ring, at: Array) -> bool:
    """Whether a grip lies on the board, not at its very edge."""
    rim = shapely.distance(shapely.LinearRing(s.ring), shapely.Point(at))
    return holds(line, at) and bool(rim >= UNHELD_RIM)


def _line(s: Subject) -> Ring:
    return ring(s.ring, tuple(flatten(c, 0.05) for c in s.outline.openings))


def _count(s: Subject) -> int:
    """Places round the edge to cut from: our own boards have no short waists."""
    if s.limits.generated:
        return _FEW
    return int(np.clip(s.perimeter / _APART, 2 * _FEW, 6 * _FEW))


_FEW, _APART = 48, 8.0  # places; mm


def _skip(text: str) -> Finding:
    return Finding("strength", SKIP, None, None, "", (), text)


def load(s: Subject) -> float:
    """Weight, N, of board and food with its factor for a jerk."""
    return s.limits.jerk * (s.mass + s.limits.load) * GRAVITY


def _cases(s: Subject, grips: tuple[Grip, ...], line: Ring, every: list[Bar]) -> list[Case]:
    centre = np.array(s.section.centroid)
    # The middle of a crescent lies in its hollow: cuts part the hand from the wood nearest to it.
    body = np.array(on_wood(s, (float(centre[0]), float(centre[1]), 0.0))[:2])
    whole = load(s)
    neck, roots = _on_neck(s), _roots(line)
    opened, ringed = bool(every), any(b.rim for b in every)
    cases = []
    for i, grip in enumerate(grips):
        g = np.array(grip[:2])
        cuts = parting(line, g, body, _count(s))
        weight, at, alone = whole, centre, len(grips) == 1
        if not alone:
            # Each bears its share by the law of the lever, and no hand bends its own end.
            other = np.array(grips[1 - i][:2])
            span = g - other
            share = (centre - other) @ span / max(float(span @ span), 1e-9)
            weight, at = whole * float(np.clip(share, 0.0, 1.0)), g
        cases.append(Case(grip, cuts, weight, at, roots, alone, neck and alone, opened, ringed))
    return cases


def _on_neck(s: Subject) -> bool:
    """Whether the hand takes a neck: said, or found where no grip was given."""
    return is_neck(s.handle) or (not s.grips and infer(s) == "neck")


def off_grain(c: Chords, grain: float) -> Array:
    """Angle, radians, between each part and the grain.

    A part may be taken to run square to the cut, along either of its edges or midway between them;
    the way nearest to the grain counts. A slanting cut through straight-grained wood is no short
    grain; a part that does cross the grain crosses it whichever way one looks at it, at the cut
    square to it.
    """
    return np.asarray(to_grain(c.runs, grain).min(axis=-1))


def _factors(s: Subject, case: Case, grain: float, c: Chords) -> tuple[dict[str, Array], Array]:
    """Factors of each cut, bent, sheared, twisted, bent and twisted at once; and the moment."""
    limits = s.limits
    t, r = limits.thickness, limits.round_over
    along = c.b - c.a
    size = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)
    arm = np.abs(cross(along, case.at - c.a)) / size
    if case.neck:
        reach = np.asarray(np.abs(cross(along, case.at - np.array(case.grip[:2]))) / size)
        arm = arm_in_hand(arm, reach, HAND)
    moment = case.weight * arm
    # Small holes gather stress; a cut beyond a hand opening has two legs.
    holed = (c.pieces > 1) & (case.ringed or not case.opened)
    # The part is taken to run the way that is nearest to the grain.
    angles = to_grain(c.runs, grain)
    k = (np.arange(len(angles)), angles.argmin(axis=-1))
    off = angles[k]
    root = 1 + _at_root(case, c) * np.maximum(np.cos(off) ** 5, ROOT_ACROSS)
    stress = (
        moment / section_modulus(c.width, t, r, c.pieces) * np.where(holed, AT_HOLE, 1.0) * root
    )
    pulled = across_grain(off + COUPLED * np.sin(2 * off))
    bends = limits.bending * pulled / np.maximum(stress, 1e-12)  # type: ignore[operator]
    shears = limits.shear_strength * np.maximum(c.width * t, 1e-9) / (1.5 * max(case.weight, 1e-9))
    run = np.stack([np.cos(c.runs), np.sin(c.runs)], axis=-1)
    from_cut = (case.at - (c.a + c.b) / 2)[:, None]
    beside = cross(run, from_cut)
    twist = twist_stress(case.weight * np.abs(beside).min(axis=1), c.width, t)
    twist *= 1 + ROOT_TWISTED * (root - 1)
    holds = twisting_strength(limits.shear_strength, limits.bending, off)  # type: ignore[arg-type]
    # Two legs bend against each other rather than twist.
    calm = ((c.pieces > 1) & case.opened) | (not case.alone)
    # Bent and twisted at once: what pulls is turned toward the grain, or away from it.
    aside = np.sign(beside[k] * dot(run[k], from_cut[:, 0]))
    bears = limits.bending, limits.shear_strength
    slides = aside * twist / eased(off)
    alone, turned = (
        face_factor(stress, slid, grain - c.runs[k], *bears)  # type: ignore[arg-type]
        for slid in (0.0 * slides, slides)
    )
    both = bends * turned / alone
    twists, both = (np.where(calm, np.inf, v) for v in (holds / np.maximum(twist, 1e-12), both))
    return {"bends": bends, "shears": shears, "twists": twists, "both": both}, moment


def _roots(line: Ring) -> Array:
    """1 / r of the hollow of an edge every NEAR / 2 mm: 0 on a straight or full edge.

    r is the radius of the circle through three points of the edge, NEAR mm apart, the closest
    within NEAR.
    """
    ways = np.arange(0, line.travelled[-1], HOLLOW_SPAN / 2)
    p = line.at(ways)[0]
    one, two = p - np.roll(p, 2, axis=0), np.roll(p, -2, axis=0) - p
    sides = np.hypot(*one.T) * np.hypot(*two.T) * np.hypot(*(one + two).T)
    bends = np.maximum(-2 * cross(one, two) / np.maximum(sides, 1e-9), 0.0)
    return np.asarray(np.max([np.roll(bends, k) for k in range(-2, 3)], axis=0))


def _at_root(case: Case, c: Chords) -> Array:
    """More stress, as a share, where a part along the grain leaves a wider one: ROOT w / r.

    r is the radius of the hollow there, 1 / r the mean of both ends of a cut, w no more than
    NARROW.
    """
    at = [case.roots[np.rint(w / (HOLLOW_SPAN / 2)).astype(int) % len(case.roots)] for w in c.ways]
    return np.asarray(ROOT * np.minimum(c.width, NARROW) * (at[0] + at[1]) / 2)


def _weakest(s: Subject, case: Case, grain: float) -> Worst | None:
    def rate(c: Chords) -> Array:
        return np.asarray(np.min([*_factors(s, case, grain, c)[0].values()], axis=0))

    best = weakest(case.cuts, rate)
    if best is None:
        return None
    c, factor = best
    factors, moments = _factors(s, case, grain, c)
    why, moment = min(factors, key=lambda w: float(factors[w][0])), float(moments[0])
    off = float(off_grain(c, grain)[0])
    stress = moment / float(
        section_modulus(c.width, s.limits.thickness, s.limits.round_over, c.pieces)[0]
    )
    ends = pair(c.a[0]), pair(c.b[0])
    return Worst(
        factor, why, float(c.width[0]), off, moment, stress, pair((c.a[0] + c.b[0]) / 2), ends
    )


def _on_bars(s: Subject, every: list[Bar], cases: list[Case]) -> list[Worst]:
    """The bars of hand openings: each fist on its own, and the board hanging from any of them."""
    found = [w for bar in every for w in hanging(s, bar, load(s))]
    for case in cases:
        grip = np.array(case.grip[:2])
        held_by = min(every, key=lambda b: float(np.hypot(*(b.middle - grip))), default=None)
        if held_by is None or np.hypot(*(held_by.middle - grip)) > held_by.length / 2:
            continue
        at = case.at if case.alone else held_by.middle  # two hands balance what turns the board
        found += level(s, held_by, case.weight, at)
    # A board is lifted by a round hole's rim alone; laden, a hand lies under it.
    empty = s.limits.jerk * s.mass * GRAVITY
    centre = np.array(s.section.centroid)
    lifted = [w for bar in every if bar.rim for w in level(s, bar, empty, centre)]
    return found + [replace(w, laden=False) for w in lifted]


def _told(s: Subject, w: Worst, said: str) -> Finding:
    divisor = s.limits.divisor
    angle = math.degrees(w.off)
    part = f"{w.width:.0f} mm of wood"
    grain = f"{angle:.0f} degrees off the grain" if w.off > math.radians(1) else "along the grain"
    if w.why == "splits":
        grain = f"pulled {angle:.0f} degrees off the grain"
    elif w.off > SHORT_GRAIN and w.width < NARROW and w.factor < NEAR_DIVISOR * divisor:
        grain = f"short grain, {grain}"
    how = {
        "bends": f"bends under {w.moment / 1000:.1f} N m at {w.stress:.1f} MPa",
        "bar": (
            f"bends as the bar of the opening, held level in one fist, under {w.moment / 1000:.1f}"
            f" N m at {w.stress:.1f} MPa"
        ),
        "hangs": (
            "bends as the bar of the opening, the board hanging from it, under"
            f" {w.moment / 1000:.1f} N m at {w.stress:.1f} MPa"
        ),
        "legs": (
            "bends beside the opening's ends, its bar held level in one fist, under"
            f" {w.moment / 1000:.1f} N m at {w.stress:.1f} MPa"
        ),
        "splits": (
            "is pulled apart at the opening's ends, the board hanging from its bar, at"
            f" {w.stress:.1f} MPa"
        ),
        "shears": "is sheared",
        "twists": "is twisted",
        "both": f"is bent, under {w.moment / 1000:.1f} N m, and twisted at once",
    }[w.why]
    food = f"{s.limits.load:g} kg of food" if w.laden else "no food, lifted by the rim of its hole,"
    what = (
        f"the weakest section, {part} ({grain}), {how} and bears {at_most(w.factor)} times that"
        f" with {food} and a jerk of {s.limits.jerk:g}"
    )
    where = (w.place, *w.ends)
    tail = f"; {said}" if said else ""
    if w.factor >= divisor:
        verdict = PASS if w.factor >= NEAR_DIVISOR * divisor else WARN
        near = "" if verdict == PASS else f", close to {divisor:g}: {_help(s, w)}"
        return Finding(
            "strength", verdict, w.factor, divisor, "times", where, f"{what}{near}{tail}"
        )
    text = f"{what}, {divisor:g} wanted: {_help(s, w)}{tail}"
    return Finding("strength", FAIL, w.factor, divisor, "times", where, text)


def _help(s: Subject, w: Worst) -> str:
    """Say by how much to widen, thicken or turn."""
    need = NEAR_DIVISOR * s.limits.divisor / w.factor
    wide = {
        "hangs": f"widen it to {at_least(w.width * math.sqrt(need), 0)} mm",
        "legs": (
            "widen the opening's bar, and the wood at its ends, by"
            f" {at_least(w.width * (need - 1), 0)} mm"
        ),
    }
    thick = s.limits.thickness * (need if w.why in ("hangs", "splits") else math.sqrt(need))
    ways = [
        wide.get(w.why, f"widen it to {at_least(w.width * need, 0)} mm"),
        f"thicken the board to {at_least(thick, 0)} mm",
    ]
    turn = _turn(s, w)
    if turn:
        ways.insert(0, f"turn the board by {turn:.0f} degrees on the blank")
    return ", or ".join(ways)


def _turn(s: Subject, w: Worst) -> float | None:
    """Least turn of the grain, degrees, that makes every section strong enough.

    None if none does.
    """
    grips = held(s).grips
    if w.why not in ("bends", "both") or not grips:
        return None
    cases = _cases(s, grips, _line(s), bars(s))
    for step in range(5, 95, 5):
        for sign in (1, -1):
            grain = s.grain + sign * math.radians(step)
            found = [x for case in cases if (x := _weakest(s, case, grain))]
            if found and min(x.factor for x in found) >= NEAR_DIVISOR * s.limits.divisor:
                return float(sign * step)
    return None

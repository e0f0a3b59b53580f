"""Will the handle hold the laden board?

An estimate on clear straight wood. For a board held level by its handle: the weight of board and
food, times a factor for a jerk, at the centroid; every straight cut that parts the hand from it;
bending about the cut, shear along it, twist of the part; the strength at the angle of the grain by
a Hankinson-type formula, divided.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from shapes.checks.finding import FAIL, PASS, SKIP, WARN, Finding
from shapes.checks.handle import opening_box
from shapes.checks.held import Grip, held, on_wood
from shapes.checks.subject import Subject
from shapes.geometry.chords import Chords, Parting, Ring, holds, parting, ring, weakest
from shapes.geometry.curve import Array, cross, flatten, pair
from shapes.timber.strength import (
    GRAVITY,
    across_grain,
    section_modulus,
    to_grain,
    twist_stress,
)
from shapes.units import at_least, at_most

SHORT = math.radians(15.0)  # off the grain by more than this is short grain; as the grain check
CLOSE = 1.25  # warn within a quarter above the divisor; our choice
NARROW = 60.0  # mm: a wider part is no handle, whatever its grain; as the grain check
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
    alone: bool  # one hand has to keep the board from twisting; two do not


@dataclass(frozen=True, slots=True)
class Worst:
    """The weakest section: MPa and N mm; ``factor`` is strength over stress."""

    factor: float
    why: str
    width: float
    off: float  # radians between the part and the grain
    moment: float
    stress: float
    place: tuple[float, float]
    ends: tuple[tuple[float, float], tuple[float, float]]


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
                f"the grip ({x:g}, {y:g}) lies outside the board or at its very edge: give one on it"
            )
        ]
    found = [w for case in _cases(s, where.grips, line) if (w := _weakest(s, case, s.grain))]
    found += _bars(s)
    if not found:
        return [_skip("no part lies between the grip and the load")]
    worst = min(found, key=lambda w: w.factor)
    return [_told(s, worst, where.said)]


RIM = 1.0  # mm: nobody grips nearer to the edge than this; our choice


def _gripped(s: Subject, line: Ring, at: Array) -> bool:
    """Whether a grip lies on the board, not at its very edge."""
    rim = shapely.distance(shapely.LinearRing(s.ring), shapely.Point(at))
    return holds(line, at) and bool(rim >= RIM)


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


def _cases(s: Subject, grips: tuple[Grip, ...], line: Ring) -> list[Case]:
    centre = np.array(s.section.centroid)
    # The middle of a crescent lies in its hollow: cuts part the hand from the wood nearest to it.
    body = np.array(on_wood(s, (float(centre[0]), float(centre[1]), 0.0))[:2])
    whole = load(s)
    cases = []
    for i, grip in enumerate(grips):
        g = np.array(grip[:2])
        cuts = parting(line, g, body, _count(s))
        if len(grips) == 1:
            cases.append(Case(grip, cuts, whole, centre, alone=True))
            continue
        # Two hands: each bears its share by the law of the lever, and no hand bends its own end.
        other = np.array(grips[1 - i][:2])
        span = g - other
        share = float(np.clip((centre - other) @ span / max(float(span @ span), 1e-9), 0.0, 1.0))
        cases.append(Case(grip, cuts, whole * share, g, alone=False))
    return cases


def off_grain(c: Chords, grain: float) -> Array:
    """Angle, radians, between each part and the grain.

    A part may be taken to run square to the cut or along either of its edges; the way nearest to
    the grain counts. A slanting cut through straight-grained wood is no short grain; a part that
    does cross the grain crosses it whichever way one looks at it, at the cut square to it.
    """
    return np.asarray(to_grain(c.runs, grain).min(axis=-1))


def _factors(s: Subject, case: Case, grain: float, c: Chords) -> tuple[Array, Array, Array, Array]:
    """Factors in bending, shear and twist, and the moment, of each cut."""
    limits = s.limits
    t, r = limits.thickness, limits.round_over
    along = c.b - c.a
    size = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)
    arm = np.abs(cross(along, case.at - c.a)) / size
    moment = case.weight * arm
    stress = moment / section_modulus(c.width, t, r, c.pieces)
    strength = limits.bending * across_grain(off_grain(c, grain))  # type: ignore[operator]
    bends = strength / np.maximum(stress, 1e-12)
    if limits.shear is None:
        nothing = np.full(len(bends), np.inf)
        return bends, nothing, nothing, moment
    shears = limits.shear * np.maximum(c.width * t, 1e-9) / (1.5 * max(case.weight, 1e-9))
    run = np.stack([np.cos(c.runs), np.sin(c.runs)], axis=-1)
    aside = np.abs(cross(run, (case.at - (c.a + c.b) / 2)[:, None])).min(axis=1)
    torque = case.weight * aside
    # A cut beyond an opening has two legs, which bend against each other rather than twist.
    twists = limits.shear / np.maximum(twist_stress(torque, c.width, t), 1e-12)
    calm = (c.pieces > 1) | (not case.alone)
    return bends, shears, np.where(calm, np.inf, twists), moment


def _weakest(s: Subject, case: Case, grain: float) -> Worst | None:
    def rate(c: Chords) -> Array:
        bends, shears, twists, _ = _factors(s, case, grain, c)
        return np.minimum(np.minimum(bends, shears), twists)

    best = weakest(case.cuts, rate)
    if best is None:
        return None
    c, factor = best
    bends, shears, _, moment = (float(v[0]) for v in _factors(s, case, grain, c))
    why = "bends" if factor >= bends else "shears" if factor >= shears else "twists"
    off = float(off_grain(c, grain)[0])
    stress = moment / float(
        section_modulus(c.width, s.limits.thickness, s.limits.round_over, c.pieces)[0]
    )
    ends = pair(c.a[0]), pair(c.b[0])
    return Worst(
        factor, why, float(c.width[0]), off, moment, stress, pair((c.a[0] + c.b[0]) / 2), ends
    )


def _bars(s: Subject) -> list[Worst]:
    """The bar of a hand opening, the board hanging from the hand: a beam as long as the opening."""
    found = []
    d, limits = s.discs, s.limits
    for i, curve in enumerate(s.outline.openings, start=1):
        long, _ = opening_box(curve)
        if long < 60.0 or limits.bending is None:
            continue
        bar = (d.loop == i) & (d.loop[d.inner_at] == 0) & (d.cosine < -0.5)
        if not bar.any():
            continue
        k = np.flatnonzero(bar)[d.inner[bar].argmin()]
        wide = 2 * float(d.inner[k])
        n = d.n[k]
        off = float(to_grain(math.atan2(n[0], -n[1]), s.grain))
        moment = load(s) * long / 8  # load spread along the bar, its ends free to turn
        modulus = float(section_modulus(limits.thickness, wide, limits.round_over))
        stress = moment / modulus
        factor = limits.bending * float(across_grain(off)) / stress
        middle = d.p[k] + d.inner[k] * n
        found.append(
            Worst(
                factor,
                "bar",
                wide,
                off,
                moment,
                stress,
                pair(middle),
                (pair(d.p[k]), pair(d.p[d.inner_at[k]])),
            )
        )
    return found


def _told(s: Subject, w: Worst, said: str) -> Finding:
    divisor = s.limits.divisor
    angle = math.degrees(w.off)
    part = f"{w.width:.0f} mm of wood"
    grain = f"{angle:.0f} degrees off the grain" if w.off > math.radians(1) else "along the grain"
    if w.off > SHORT and w.width < NARROW and w.factor < CLOSE * divisor:
        grain = f"short grain, {grain}"
    how = {
        "bends": f"bends under {w.moment / 1000:.1f} N m at {w.stress:.1f} MPa",
        "bar": f"bends as the bar of the opening under {w.moment / 1000:.1f} N m at {w.stress:.1f} MPa",
        "shears": "is sheared",
        "twists": "is twisted",
    }[w.why]
    what = (
        f"the weakest section, {part} ({grain}), {how} and bears {at_most(w.factor)} times that"
        f" with {s.limits.load:g} kg of food and a jerk of {s.limits.jerk:g}"
    )
    where = (w.place, *w.ends)
    tail = f"; {said}" if said else ""
    if w.factor >= divisor:
        verdict = PASS if w.factor >= CLOSE * divisor else WARN
        near = "" if verdict == PASS else f", close to {divisor:g}: {_help(s, w)}"
        return Finding(
            "strength", verdict, w.factor, divisor, "times", where, f"{what}{near}{tail}"
        )
    text = f"{what}, {divisor:g} wanted: {_help(s, w)}{tail}"
    return Finding("strength", FAIL, w.factor, divisor, "times", where, text)


def _help(s: Subject, w: Worst) -> str:
    """Say by how much to widen, thicken or turn."""
    need = CLOSE * s.limits.divisor / w.factor
    ways = [
        f"widen it to {at_least(w.width * need, 0)} mm"
        if w.why != "bar"
        else f"widen it to {at_least(w.width * math.sqrt(need), 0)} mm",
        f"thicken the board to {at_least(s.limits.thickness * (need if w.why == 'bar' else math.sqrt(need)), 0)} mm",
    ]
    turn = _turn(s, w)
    if turn:
        ways.insert(0, f"turn the board by {turn:.0f} degrees on the blank")
    return ", or ".join(ways)


def _turn(s: Subject, w: Worst) -> float | None:
    """Least turn of the grain, degrees, that makes every section strong enough; None if none does."""
    grips = held(s).grips
    if w.why != "bends" or not grips:
        return None
    cases = _cases(s, grips, _line(s))
    for step in range(5, 95, 5):
        for sign in (1, -1):
            grain = s.grain + sign * math.radians(step)
            found = [x for case in cases if (x := _weakest(s, case, grain))]
            if found and min(x.factor for x in found) >= CLOSE * s.limits.divisor:
                return float(sign * step)
    return None

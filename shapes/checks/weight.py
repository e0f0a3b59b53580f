"""Is the board light enough, and how thick could it be?"""

from __future__ import annotations

from shapes.checks.finding import FAIL, PASS, WARN, Finding
from shapes.checks.subject import Subject
from shapes.timber.solid import solid
from shapes.units import at_most

LOOSEN = "allow more weight (max_mass), take thinner or lighter timber, or a smaller board"
WARNS = "heavy"

NEAR_LIMIT = 0.10  # warn within 10 % of the limit: wood varies by as much


def thickness_for(s: Subject, mass: float) -> float | None:
    """Thickness, mm, at which the board weighs ``mass``; None where round-overs alone exceed it."""
    t = s.limits.thickness * mass / s.mass
    for _ in range(20):
        body = solid(
            s.outline, t, s.limits.round_over, s.limits.guide_bearing, s.narrowest.width, s.loops
        )
        off = mass - body.volume * 1e-9 * s.limits.density
        t += off / (s.section.area * 1e-9 * s.limits.density)
        if t <= 0:
            return None
        if abs(off) < 1e-6:
            break
    return t


def check(s: Subject) -> list[Finding]:
    """Compare the mass, with its band, with the limit."""
    mass, band, limit = s.mass, s.limits.band, s.limits.max_mass
    text = f"{mass:.2f} kg ({mass * (1 - band):.2f} to {mass * (1 + band):.2f}: wood varies)"
    if limit is None:
        return [Finding("weight", PASS, mass, None, "kg", (), text)]
    if mass <= limit * (1 - NEAR_LIMIT):
        return [Finding("weight", PASS, mass, limit, "kg", (), f"{text}, limit {limit:g} kg")]
    thick = thickness_for(s, limit if mass > limit else limit * (1 - NEAR_LIMIT))
    advice = f"{at_most(thick)} mm thick would do" if thick else "make it smaller"
    verdict = FAIL if mass > limit else WARN
    near = "over" if mass > limit else "close to"
    return [
        Finding(
            "weight",
            verdict,
            mass,
            limit,
            "kg",
            (),
            f"{text}, {near} the limit of {limit:g} kg: {advice}",
        )
    ]

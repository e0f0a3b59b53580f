"""Can the cutter reach the whole edge, from outside and in the openings?"""

from __future__ import annotations

from shapes.checks.finding import FAIL, PASS, WARN, Finding
from shapes.checks.subject import HOLLOW_ALLOWANCE, Subject
from shapes.reach.reach import CORNER, INLET, Uncut, uncut
from shapes.tolerances import TOLERANCES
from shapes.units import at_least, at_most

LOOSEN = "take a thinner cutter, a smaller guide bearing or a smaller least_inside_radius"
WARNS = "a corner tighter than the cutter"


def reaches(s: Subject) -> bool:
    """Whether the cutter with its margin leaves no more than 0.05 mm anywhere: for screening."""
    wanted = s.limits.cutter * (1 + HOLLOW_ALLOWANCE)
    if 2 * float(s.discs.outer.min()) >= wanted:
        return True
    left = uncut(s.discs, wanted)
    return not left or left[0].depth <= TOLERANCES.uncut


def check(s: Subject) -> list[Finding]:
    """Compare the largest cutter that will do with the cutter in the shop."""
    cutter = s.limits.cutter
    wanted = cutter * (1 + HOLLOW_ALLOWANCE)
    largest = s.largest_cutter
    inside = s.radii[0]
    if largest is None or largest >= wanted:
        text = f"a {cutter:g} mm cutter reaches the whole edge"
        text += f"; {at_most(largest)} mm is the largest that would" if largest else ""
        text += f"; tightest hollow {inside:.1f} mm radius" if inside < 1e3 else ""
        found = [Finding("cutter", PASS, largest, wanted, "mm", (), text)]
    else:
        found = [_fails(s, largest, wanted)]
    least = s.limits.least_inside_radius
    if least is not None and (shaped := s.shaped_radius) < least - 1e-6:
        verdict = FAIL if s.limits.generated else WARN
        text = (
            f"hollow of {at_most(shaped)} mm radius; {at_least(least)} mm or more sands and wipes"
            " clean better"
        )
        found.append(Finding("cutter", verdict, shaped, least, "mm", (), text))
    return found


def _fails(s: Subject, largest: float, wanted: float) -> Finding:
    """Say where the cutter does not get to, and what would."""
    cutter = s.limits.cutter
    left = s.uncut(cutter) or s.uncut(wanted)
    where = tuple(u.place for u in left)
    kinds = ("opening", INLET, CORNER)
    sorted_ = {kind: [u for u in left if _kind(u) == kind] for kind in kinds}
    parts = [_tell(kind, these, s.radii[0]) for kind, these in sorted_.items() if these]
    what = ", ".join(parts) or "leaves nothing, but has less than 5 % to spare"
    remedy = _remedy({_kind(u) for u in left}, largest, wanted)
    text = f"a {cutter:g} mm cutter {what}; {remedy}"
    return Finding("cutter", FAIL, largest, wanted, "mm", where, text)


def _kind(u: Uncut) -> str:
    return u.kind if u.kind in (CORNER, INLET) else "opening"


def _count(these: list[Uncut], one: str, many: str) -> str:
    return one if len(these) == 1 else f"{len(these)} {many}"


def _tell(kind: str, u: list[Uncut], radius: float) -> str:
    deep = max(v.depth for v in u)
    if kind == INLET:
        return (
            f"does not get into {_count(u, 'an inlet', 'inlets')} of the edge ({deep:.1f} mm of"
            " wood left)"
        )
    if kind == CORNER:
        where = _count(u, "a tight inside corner", "tight inside corners")
        least = "with no radius" if radius < 0.05 else f"of {radius:.1f} mm radius"
        least = (
            least
            if len(u) == 1
            else f"({'no' if radius < 0.05 else f'{radius:.1f} mm'} radius at the tightest)"
        )
        return f"leaves {deep:.2f} mm of wood in {where} {least}"
    return f"does not get into {_count(u, 'an opening', 'openings')}"


def _remedy(kinds: set[str], largest: float, wanted: float) -> str:
    smaller = largest / (1 + HOLLOW_ALLOWANCE)
    ways = []
    if CORNER in kinds:
        ways.append(f"ease inside corners to {at_least(wanted / 2)} mm radius")
    if INLET in kinds:
        ways.append(f"widen inlets to {at_least(wanted)} mm or fill them")
    if "opening" in kinds:
        ways.append("bore the opening or leave it out")
    ease = " and ".join(ways) or f"ease hollows under {at_least(wanted / 2)} mm radius"
    use = f"use {at_most(smaller)} mm or smaller, or " if smaller >= _USUAL else ""
    return f"{use}{ease} (shapes repair does)"


_USUAL = 1.0  # mm: thinner cutters do not cut a board's thickness; common practice

"""Can the cutter reach the whole edge, from outside and in the openings?"""

from __future__ import annotations

from shapes.checks.finding import FAIL, PASS, WARN, Finding
from shapes.checks.subject import MARGIN, Subject
from shapes.geometry.reach import largest_cutter, uncut
from shapes.tolerances import TOLERANCES


def reaches(s: Subject) -> bool:
    """Whether the cutter with its margin leaves no more than 0.05 mm anywhere: for screening."""
    wanted = s.limits.cutter * (1 + MARGIN)
    if 2 * float(s.discs.outer.min()) >= wanted:
        return True
    left = uncut(s.discs, wanted)
    return not left or left[0].depth <= TOLERANCES.uncut


def check(s: Subject) -> list[Finding]:
    """Compare the largest cutter that will do with the cutter in the shop."""
    cutter = s.limits.cutter
    wanted = cutter * (1 + MARGIN)
    largest = largest_cutter(s.discs)
    inside = s.radii[0]
    if largest is None or largest >= wanted:
        text = f"a {cutter:g} mm cutter reaches the whole edge"
        text += f"; {largest:.1f} mm is the largest that would" if largest else ""
        text += f"; tightest hollow {inside:.1f} mm radius" if inside < 1e3 else ""
        found = [Finding("cutter", PASS, largest, wanted, "mm", (), text)]
    else:
        left = uncut(s.discs, cutter) or uncut(s.discs, wanted)
        depth = left[0].depth if left else 0.0
        if left and left[0].loop and depth == float("inf"):
            text = f"a {cutter:g} mm cutter does not get into an opening: bore it, or use {largest / (1 + MARGIN):.1f} mm or smaller"
            where = tuple(u.place for u in left)
            return [Finding("cutter", FAIL, largest, wanted, "mm", where, text)]
        stays = (
            "does not get in at all" if depth == float("inf") else f"leaves {depth:.2f} mm of wood"
        )
        text = (
            f"a {cutter:g} mm cutter {stays}; use {largest / (1 + MARGIN):.1f} mm or smaller,"
            f" or ease hollows under {wanted / 2:.1f} mm radius (least here {inside:.1f} mm)"
        )
        where = tuple(u.place for u in left)
        found = [Finding("cutter", FAIL, largest, wanted, "mm", where, text)]
    least = s.limits.least_inside_radius
    if least is not None and (shaped := s.shaped_radius) < least - 1e-6:
        verdict = FAIL if s.limits.generated else WARN
        text = (
            f"hollow of {shaped:.1f} mm radius; {least:.1f} mm or more sands and wipes clean better"
        )
        found.append(Finding("cutter", verdict, shaped, least, "mm", (), text))
    return found

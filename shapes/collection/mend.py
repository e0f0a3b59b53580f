"""Mending somebody's own outline until the checks it fails are passed."""

from __future__ import annotations

from dataclasses import dataclass

from shapes.checks import cutter, round_over
from shapes.checks.subject import HOLLOW_ALLOWANCE, Subject
from shapes.collection.board import DrawnBoard, subject_drawn
from shapes.collection.brief import Brief
from shapes.errors import OutlineError
from shapes.geometry.outline import Outline, outline
from shapes.mending.crossings import CannotRepairError
from shapes.mending.loops import Loops
from shapes.mending.repair import Repaired, RepairLimits, repaired
from shapes.timber.solid import COUNTERSINK

_SLACKS = (1.02, 1.06, 1.15, 1.3)  # of the radii aimed at: each try a little more generous


@dataclass(frozen=True, slots=True)
class RepairRequest:
    """What a repair is asked to make pass: reach of the cutter, always; and more where given."""

    brief: Brief
    round_over: bool = False
    narrow: float = 0.0  # mm


def subject(value: Outline, brief: Brief) -> Subject:
    """Put an outline under check as a drawing's."""
    return subject_drawn(DrawnBoard(brief, value, ""))


def failing(s: Subject, asked: RepairRequest) -> list[str]:
    """Say what of that which is asked an outline fails; one line each."""
    lines = [f.message for f in cutter.check(s) if f.verdict == "fail"]
    if asked.round_over:
        lines += [f.message for f in round_over.check(s) if f.verdict == "fail"]
    if asked.narrow and s.narrowest.width < asked.narrow - 0.01:
        lines.append(f"only {s.narrowest.width:.1f} mm of wood, {asked.narrow:g} mm wanted")
    return lines


def mend(value: Loops, asked: RepairRequest) -> Repaired:
    """Mend an outline so that nothing asked fails. Raises CannotRepairError with the reason."""
    brief = asked.brief
    flat = brief.thickness - 2 * brief.round_over
    if asked.round_over and flat < round_over.LEAST_FLAT:
        raise CannotRepairError(
            f"no outline can have two round-overs of {brief.round_over:g} mm on {brief.thickness:g}"
            f" mm: take {max((brief.thickness - round_over.LEAST_FLAT) / 2, 0):g} mm or less"
        )
    try:
        as_is = outline(value.edge, value.openings)
    except OutlineError:
        as_is = None
    if as_is is not None and not failing(subject(as_is, brief), asked):
        return Repaired(as_is, notes=["nothing to mend"])
    wanted = RepairLimits(
        cutter=brief.cutter * (1 + HOLLOW_ALLOWANCE) / 2,
        bearing=brief.guide_bearing / 2 if asked.round_over else 0.0,
        bearing_room=brief.guide_bearing + COUNTERSINK,
        narrow=asked.narrow,
    )
    why = "it stays as it was"
    for slack in _SLACKS:
        try:
            made = repaired(value, wanted, slack)
        except CannotRepairError as error:
            why = str(error)
            continue
        left = failing(subject(made.outline, brief), asked)
        if not left:
            return made
        why = f"mended, it still fails: {left[0]}"
    raise CannotRepairError(why)


def still_passes(value: Outline, asked: RepairRequest) -> bool:
    """Whether an outline that was read back passes what it was mended for."""
    return not failing(subject(value, asked.brief), asked)

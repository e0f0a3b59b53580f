"""What stands against cutting a board so, and what the maker ought to know besides."""

from __future__ import annotations

from shapes.checks.subject import Subject
from shapes.errors import Problem
from shapes.units import at_least, at_most
from shapes.workshop.feeds import LEAST_CHIP, Feeds
from shapes.workshop.plan import CUTTING_LENGTH_ALLOWANCE, LEFT
from shapes.workshop.shop import Cutter, Machine

HOLD = 5.0  # mm of blank that stay beyond the cutter all round; our choice
DEEP_FROM = 4.0  # cutters deep: from there on the table above it no longer holds; our choice


def problems(
    s: Subject,
    cutter: Cutter,
    machine: Machine,
    blank: tuple[float, float, float],
    t: float,
    where: str,
    *,
    own_blank: bool,
) -> list[Problem]:
    """Return what stands against cutting a board ``t`` mm thick from its blank, mm."""
    wood = "its blank" if own_blank else "the piece it lies on"
    found = _of_the_cutter(s, cutter, t, where) + _of_the_machine(machine, blank, t, where, wood)
    if blank[2] < t:
        found.append(
            Problem(
                where,
                f"{wood} is {blank[2]:g} mm thick and the board {t:g} mm",
                f"allowed up to {blank[2]:g} mm",
            )
        )
    left = min((blank[0] - s.box[0]) / 2, (blank[1] - s.box[1]) / 2)
    room = cutter.true + LEFT + HOLD
    if own_blank and left < room - 1e-6:
        found.append(
            Problem(
                where,
                f"its blank leaves {at_most(left)} mm all round, and a {cutter.true:g} mm cutter"
                " would cut it loose",
                f"at least {at_least(room)} mm",
                "raise the brief's allowance, or take a smaller cutter",
            )
        )
    return found


def _of_the_cutter(s: Subject, cutter: Cutter, t: float, where: str) -> list[Problem]:
    """It is too short, or does not get into a hollow."""
    found = []
    need = t + CUTTING_LENGTH_ALLOWANCE
    if cutter.cutting_length is not None and cutter.cutting_length < need:
        found.append(
            Problem(
                cutter.called,
                f"cuts {cutter.cutting_length:g} mm deep and the board is {t:g} mm thick",
                f"at least {need:g} mm",
                "take a longer cutter or a thinner board",
            )
        )
    largest = s.largest_cutter
    if largest is not None and cutter.true > largest:
        found.append(
            Problem(
                where,
                f"has a hollow that a {cutter.true:g} mm cutter does not reach",
                f"up to {at_most(largest)} mm",
                "take a smaller cutter, or ease the edge with shapes repair",
            )
        )
    return found


def _of_the_machine(
    machine: Machine, blank: tuple[float, float, float], t: float, where: str, wood: str
) -> list[Problem]:
    """Its table is too small, or there is too little room under the collet."""
    found = []
    long, wide = max(blank[:2]), min(blank[:2])
    if long > max(machine.length, machine.width) or wide > min(machine.length, machine.width):
        found.append(
            Problem(
                where,
                f"{wood} is {long:.0f} x {wide:.0f} mm",
                f"the table takes {machine.length:g} x {machine.width:g} mm",
            )
        )
    out = t + CUTTING_LENGTH_ALLOWANCE
    if blank[2] + out > machine.height:
        found.append(
            Problem(
                where,
                f"{wood} is {blank[2]:g} mm thick and the cutter stands out {out:g} mm",
                f"{machine.height:g} mm under the collet, not {blank[2] + out:g}",
            )
        )
    return found


def notes(cutter: Cutter, machine: Machine, t: float, f: Feeds) -> list[str]:
    """What the maker ought to know besides."""
    found = []
    need = t + CUTTING_LENGTH_ALLOWANCE
    if cutter.cutting_length is None:
        found.append(
            f"the {cutter.called}'s cutting length is not known: it has to be {need:g} mm or more"
        )
    elif cutter.cutting_length > 2 * need:
        found.append(
            f"the {cutter.called} cuts {cutter.cutting_length:g} mm and {need:g} would do: a"
            " shorter one bends less"
        )
    if cutter.measured is None:
        found.append(
            f"the {cutter.called} is taken as {cutter.diameter:g} mm: measure a slot it cuts"
        )
    if t / cutter.true > DEEP_FROM:
        found.append(
            f"the finishing pass is {t / cutter.true:.1f} cutters deep, beyond the trade's table:"
            " listen, and go slower where it sings"
        )
    if f.real_chip < LEAST_CHIP - 1e-9:
        found.append(
            f"the finishing pass cuts chips of {f.real_chip:.3f} mm, under {LEAST_CHIP:g}: the"
            f" machine feeds no faster than {machine.feed:g} mm/min at {f.rpm:.0f} rpm; maple and"
            " cherry burn: turn the spindle slower"
        )
    return found

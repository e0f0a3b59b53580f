"""What a worksheet is made of, and how it says lengths, masses, places and times."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from shapes.units import in_both, mass_said, with_own
from shapes.workshop.cautions import FIRST
from shapes.workshop.set_up import SetUp


@dataclass(frozen=True, slots=True)
class Group:
    """A part of the sheet: steps with tick boxes, rows of what and how much, and cautions."""

    title: str
    steps: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    head: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Worksheet:
    """A worksheet: title, the line under it, alarms, its groups in order, and the last line."""

    title: str
    under: str
    groups: tuple[Group, ...] = field(default=())
    foot: str = FIRST
    alarms: tuple[str, ...] = ()  # in red above everything


def mm(value: float) -> str:
    """A length, one digit where it needs one."""
    return f"{value:.1f}".rstrip("0").rstrip(".")


def exact(value: float) -> str:
    """A length as it was measured or is set: to 0.01 mm, no more digits than it has."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def place(x: float, y: float) -> str:
    """A place, to the millimetre."""
    return f"({x:.0f}, {y:.0f})".replace("-0,", "0,").replace("-0)", "0)")


def clock(minutes: float) -> str:
    """Minutes as a maker says them."""
    whole = math.ceil(minutes - 1e-9)
    return f"{whole} min" if whole < 90 else f"{whole // 60} h {whole % 60:02d} min"


BLANK = "________"


def size_of(made: SetUp, lengths: Iterable[float]) -> str:
    """Sizes in the maker's own unit, and in mm, which all
    files and figures of the machines are in.
    """
    each = tuple(lengths)
    return with_own(each, _unit(made), " x ".join(mm(v) for v in each) + " mm")


def mass_of(made: SetUp, kg: float) -> str:
    """A mass in the maker's own unit."""
    return mass_said(kg, _unit(made))


def in_own(sheet: Worksheet, made: SetUp) -> Worksheet:
    """Write inches behind every length of a worksheet for those who work in inches."""
    if _unit(made) != "in":
        return sheet

    def said(texts: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(in_both(t) for t in texts)

    groups = [
        replace(
            g, steps=said(g.steps), cautions=said(g.cautions), rows=tuple(said(r) for r in g.rows)
        )
        for g in sheet.groups
    ]
    return replace(
        sheet, under=in_both(sheet.under), groups=tuple(groups), alarms=said(sheet.alarms)
    )


def _unit(made: SetUp) -> str | None:
    return made.jobs[0].report.board.brief.unit or made.shop.unit

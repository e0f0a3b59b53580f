"""The finishing plan: its steps in order as data, quantities from areas, times, and the date of cure."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import date, timedelta
from functools import cache
from importlib import resources
from typing import Any

from shapes.errors import InputError, Problem
from shapes.settings import unknown
from shapes.timber.surface import Areas

WHEN = ("", "tabs", "skin", "round-over", "skimmed", "engraving", "print")
ON = ("", "edge", "faces", "all")
STAGES = ("free", "finish")
GRITS = (40, 600)


@dataclass(frozen=True, slots=True)
class Step:
    """One step: when it is done, what, grit, minutes a board and a m2 of ``on``, waiting time, source.

    ``stage`` free is what comes before the faces are sanded; ``coat`` 1 or 2 names a coat of oil.
    ``hours`` may be "between coats" and ``days`` "cure": then the oil's own times stand.
    """

    do: str
    when: str = ""
    on: str = ""
    grit: int | None = None
    minutes: float = 0.0
    minutes_per_m2: float = 0.0
    hours: float | str = 0.0
    days: float | str = 0.0
    stage: str = "finish"
    coat: int | None = None
    source: str = "the maker's own"


@dataclass(frozen=True, slots=True)
class Done:
    """A step as it stands on a board's sheet."""

    text: str
    minutes: float
    wait_hours: float
    stage: str
    coat: int | None
    source: str


@cache
def standard_steps() -> tuple[Step, ...]:
    """Return the steps of finishing.toml."""
    text = resources.files(__package__).joinpath("finishing.toml").read_text(encoding="utf-8")
    return steps_from(tomllib.loads(text)["steps"], "finishing.toml")


def steps_from(tables: Sequence[Any], where: str) -> tuple[Step, ...]:
    """Make steps from plain values. Raises InputError with every problem."""
    problems: list[Problem] = []
    steps = []
    for i, table in enumerate(tables, start=1):
        found = _problems(table, f"{where} {i}")
        problems += found
        if not found:
            steps.append(Step(**table))
    if not steps and not problems:
        problems.append(Problem(where, "holds no step", "", "leave it out to take the usual ones"))
    if problems:
        raise InputError(*problems)
    return tuple(steps)


def _problems(table: Any, place: str) -> list[Problem]:
    if not isinstance(table, dict):
        return [Problem(place, "is no table", "", "write [[finishing]]")]
    made = unknown(table, [f.name for f in fields(Step)], place, "a step")
    if not isinstance(table.get("do"), str) or not table["do"].strip():
        made.append(Problem(f"{place}: do", "says nothing", "", 'write do = "..."'))
    for name, allowed in (("when", WHEN), ("on", ON), ("stage", STAGES)):
        if table.get(name, allowed[-1] if name == "stage" else "") not in allowed:
            says = ", ".join(a for a in allowed if a)
            made.append(Problem(f"{place}: {name}", f"{table[name]!r} is not known", says))
    spans = {"minutes": (0, 600), "minutes_per_m2": (0, 600), "hours": (0, 240), "days": (0, 90), "grit": GRITS, "coat": (1, 2)}  # fmt: skip
    words = {"hours": "between coats", "days": "cure"}
    for name, (low, high) in spans.items():
        value = table.get(name)
        if value is None or (name in words and value == words[name]):
            continue
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:  # fmt: skip
            made.append(Problem(f"{place}: {name}", f"{value!r} does not do", f"allowed {low} to {high}"))  # fmt: skip
    return made


def plan(
    steps: Sequence[Step],
    areas: Areas,
    holds: Sequence[str],
    *,
    round_over: float,
    hours_between: float,
    cure_days: float,
    held: str = "tabs",
) -> list[Done]:
    """Return the steps of one board; ``holds`` says which of WHEN apply to it."""
    made = []
    for step in steps:
        if step.when and step.when not in holds:
            continue
        hours = hours_between if isinstance(step.hours, str) else step.hours
        days = cure_days if isinstance(step.days, str) else step.days
        wait = hours + 24 * days
        made.append(
            Done(
                step.do.replace("{round_over}", f"{round_over:g}").replace("{held}", held),
                step.minutes + step.minutes_per_m2 * areas.of(step.on),
                wait,
                step.stage,
                step.coat,
                step.source,
            )
        )
    return made


def cured_on(oiled: date, cure_days: float) -> date:
    """Return the first day on which a board with its last coat on ``oiled`` may meet food or leave."""
    return oiled + timedelta(days=math.ceil(cure_days))

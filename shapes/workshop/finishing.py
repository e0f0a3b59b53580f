"""The finishing plan.

Its steps in order as data, quantities from areas, times, and the date of cure.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Sequence
from dataclasses import MISSING, dataclass
from datetime import date, timedelta
from functools import cache
from importlib import resources
from typing import Any

from shapes.parameters import Range
from shapes.settings import Number, Tables, Text, Word, at, declared, setting
from shapes.text import TEXT
from shapes.timber.surface import Areas

WHEN = ("", "tabs", "skin", "round-over", "skimmed", "engraving", "print")
ON = ("", "edge", "faces", "all")
STAGES = ("free", "finish")


@dataclass(frozen=True, slots=True)
class _OwnTime:
    """Reads a time to wait: a number, or the word that stands for what the oil's tin says."""

    allowed: Range
    word: str

    def __call__(self, value: Any) -> float | str:
        """Read it."""
        return self.word if value == self.word else Number(self.allowed, "number")(value)

    def __str__(self) -> str:
        """Name what is taken."""
        return f"{Number(self.allowed)}, or {self.word}"


@dataclass(frozen=True, slots=True)
class Step:
    """One step: when it is done, what, grit, minutes a board
    and a m2 of ``on``, waiting time, source.

    ``stage`` free is what comes before the faces are sanded; ``coat`` 1 or 2 names a coat of oil.
    ``hours`` may be "between coats" and ``days`` "cure": then the oil's own times stand.
    """

    do: str = declared(MISSING, Text(TEXT), "what is done")
    when: str = declared("", Word(WHEN, "is not known"), "only where a board has this; else always")
    on: str = declared("", Word(ON, "is not known"), "what the minutes a m2 count")
    grit: int | None = setting(None, 40, 600, "grit of the paper", "", "count")
    minutes: float = setting(0.0, 0, 600, "minutes a board", "min", "number")
    minutes_per_m2: float = setting(0.0, 0, 600, "minutes a m2", "min", "number")
    hours: float | str = declared(
        0.0, _OwnTime(Range(0, 240, "hours to wait", "h"), "between coats"), "hours to wait"
    )
    days: float | str = declared(
        0.0, _OwnTime(Range(0, 90, "days to wait", "days"), "cure"), "days to wait"
    )
    stage: str = declared(
        "finish", Word(STAGES, "is not known"), "free: before the faces are sanded"
    )
    coat: int | None = setting(None, 1, 2, "which coat of oil it is", "", "count")
    source: str = declared("the maker's own", Text(TEXT), "where it comes from")


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
    return at(where, Tables(Step), list(tables))  # type: ignore[no-any-return]


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
    """Return the first day on which a board with its last
    coat on ``oiled`` may meet food or leave.
    """
    return oiled + timedelta(days=math.ceil(cure_days))

"""Checks: each file answers one question a maker asks of a board and returns findings."""

from __future__ import annotations

import math
from collections.abc import Callable
from types import ModuleType

from shapes.checks import (
    asymmetry,
    balance,
    cutter,
    fairness,
    grain,
    handle,
    narrow,
    round_over,
    sharp,
    size,
    strength,
    weight,
)
from shapes.checks.finding import FAIL, PASS, Finding
from shapes.checks.subject import Subject

_MODULES: dict[str, ModuleType] = {
    "size": size,
    "cutter": cutter,
    "handle": handle,
    "grain": grain,
    "weight": weight,
    "narrow": narrow,
    "sharp": sharp,
    "round-over": round_over,
    "strength": strength,
    "balance": balance,
    "asymmetry": asymmetry,
    "fairness": fairness,
}

CHECKS: dict[str, Callable[[Subject], list[Finding]]] = {n: m.check for n, m in _MODULES.items()}
SAYS: dict[str, str] = {n: str(m.__doc__).strip().splitlines()[0] for n, m in _MODULES.items()}
# What to change in a brief where a check turns many boards away; and what a caption says of a board
# that it warns of.
LOOSEN: dict[str, str] = {n: m.LOOSEN for n, m in _MODULES.items()}
WARNS: dict[str, str] = {n: m.WARNS for n, m in _MODULES.items()}


def report(s: Subject) -> list[Finding]:
    """Every check in order, each with its findings."""
    return [finding for check in CHECKS.values() for finding in check(s)]


def passes(findings: list[Finding]) -> bool:
    """Whether no finding is a fail."""
    return all(f.verdict != FAIL for f in findings)


def first_failure(s: Subject) -> str | None:
    """Name the first check that fails, the cheap ones first, by quick measures: for screening."""
    for name, fails in _QUICK.items():
        if fails(s):
            return name
    return None


def _fails(name: str) -> Callable[[Subject], bool]:
    return lambda s: not passes(CHECKS[name](s))


def _too_tight(s: Subject) -> bool:
    least = s.limits.least_inside_radius
    return least is not None and s.shaped_radius < least


def _most(s: Subject) -> float:
    return math.inf if s.limits.max_mass is None else s.limits.max_mass


def _no_flat(s: Subject) -> bool:
    r = s.limits.round_over
    return r > 0 and s.limits.thickness - 2 * r < round_over.LEAST_FLAT


# Checks that most failing boards fail at, the cheap ones first, each at least as strict as the check
# itself; a board that stands them all is judged by every check once it is chosen.
_QUICK: dict[str, Callable[[Subject], bool]] = {
    "size": _fails("size"),
    "round-over": _no_flat,
    "sharp": lambda s: sharp.check(s)[0].verdict != PASS,
    "fairness": _fails("fairness"),
    "cutter": lambda s: _too_tight(s) or not cutter.reaches(s),
    "narrow": lambda s: 2 * float(s.discs.inner.min()) < narrow.LEAST_WIDTH,
    "weight": lambda s: s.square_edged > _most(s) and s.mass > _most(s),
    "handle": _fails("handle"),
    "grain": _fails("grain"),
    "asymmetry": lambda s: not asymmetry.lively(s),
}

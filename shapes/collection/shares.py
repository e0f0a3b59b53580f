"""How many boards of a collection there may be of each form, each kind of handle, calm or dull."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from shapes.collection.board import Report
from shapes.collection.pool import Candidate, nothing_like
from shapes.forms import FORMS
from shapes.geometry.curve import Array, Flags
from shapes.geometry.overlap import asymmetry, quick_asymmetry
from shapes.handles import HANDLES

# Asymmetry that more than half are to have, and by how much the quick measure usually exceeds it.
LIVELY, _OVER = 0.10, 0.01


def kind(handle: str) -> str:
    """Return the kind of a handle: a neck is a neck, with a hole in its end or without."""
    return HANDLES[handle].kin or handle


def is_free(form: str) -> bool:
    """Whether a form is one flowing line, not a calm one."""
    return form in FORMS and FORMS[form].free


def _traits(form: str, handle: str, lively: bool) -> tuple[str, str, bool, bool]:
    """Return by what boards share a collection: form, kind of handle, free or calm, lively."""
    return form, kind(handle), is_free(form), lively


@dataclass(slots=True)
class Shares:
    """How many boards there may be, and are.

    Of each form, of each kind of handle, of calm forms, and of those that are not lively.
    """

    groups: Flags  # (n, groups) which candidates belong to each
    most: Array  # (groups,)
    has: Array  # (groups,)

    @staticmethod
    def of(candidates: Sequence[Candidate], count: int, kept: Sequence[Report]) -> Shares:
        """Share ``count`` boards, with those kept, out evenly among what the candidates have."""
        made = [
            _traits(c.form, c.handle, quick_asymmetry(nothing_like(c)) >= LIVELY + _OVER)
            for c in candidates
        ]
        held = [
            _traits(r.board.form, r.board.handle, asymmetry(r.subject.likeness) >= LIVELY)
            for r in kept
        ]
        forms, kinds = ({m[k] for m in made} for k in (0, 1))
        even = math.ceil(count / len(forms))
        each = even + 1  # since those that are not lively are fewer than half
        most: dict[tuple[int, str | bool], int] = {}
        for form in sorted(forms):
            most[0, form] = each if len(forms) > 1 else count
        for name in sorted(kinds):
            others = len(forms - {m[0] for m in made if m[1] == name})
            half = max(math.ceil(count / 2), count - even * others)
            most[1, name] = half if len(kinds) > 1 else count
        most[2, False] = count // 2 if any(m[2] for m in made) else count
        most[3, False] = max((count - 1) // 2, 1)
        return Shares(
            np.array([[m[k] == value for k, value in most] for m in made]),
            np.array(list(most.values())),
            np.array([sum(h[k] == value for h in held) for k, value in most]),
        )

    @property
    def dull(self) -> Flags:
        """Which candidates are not lively."""
        return self.groups[:, -1]

    def allow(self) -> Flags:
        """Return of which candidates one more may be taken."""
        return np.asarray(~(self.groups & (self.has >= self.most)).any(axis=1))

    def take(self, i: int, number: int = 1) -> None:
        """Count a candidate that is taken, or given back (-1)."""
        self.has = self.has + number * self.groups[i]

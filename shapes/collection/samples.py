"""One board of each form, as a picture sheet of forms shows them."""

from __future__ import annotations

from dataclasses import replace

from shapes.collection.board import Report
from shapes.collection.brief import Brief
from shapes.collection.draw import suits
from shapes.collection.generate import generate
from shapes.collection.pool import AtRandom
from shapes.forms import FORMS
from shapes.handles import HANDLES

_DRAWS = 30  # of each form
_TRAY = Brief(length=540.0, width=330.0, thickness=18.0, max_mass=3.0)
_SHOWN = ("two-openings", "neck-hole", "thumb-hole", "cord-hole", "opening", "neck", "two-hollows")


def samples(seed: int = 1) -> list[Report]:
    """Return the best of some draws of each form, named as its
    form, with the handle that suits it most.

    Raises CannotMeetError where none of a form's draws passes.
    """
    return [_best(seed, form) for form in FORMS]


def _best(seed: int, form: str) -> Report:
    handle = next(h for h in (*_SHOWN, *HANDLES) if suits(h, form))
    brief = replace(
        _TRAY if handle == "two-openings" else Brief(), forms=(form,), handles=(handle,)
    )
    (report,) = generate(AtRandom(brief), seed, 1, pool_size=_DRAWS).reports
    return replace(report, board=replace(report.board, name=form))

"""One board of each form, as a picture sheet of forms shows them."""

from __future__ import annotations

from shapes.checks import first_failure
from shapes.checks.looks import looks
from shapes.collection.board import Board, Report, drawn_from, full_report, subject_of
from shapes.collection.brief import Brief
from shapes.collection.draw import closed, draw, random_genes, suits
from shapes.collection.pool import generator
from shapes.errors import CannotMeetError, OutlineError
from shapes.forms import FORMS

_DRAWS = 30  # of each form
_TRAY = Brief(length=540.0, width=330.0, thickness=18.0, max_mass=3.0)
_SHOWN = ("two-openings", "neck-hole", "thumb-hole", "cord-hole", "opening", "neck", "two-hollows")


def samples(seed: int = 1) -> list[Report]:
    """Return the best of some draws of each form, named as its form, with the handle that suits it most.

    Raises CannotMeetError where none of a form's draws passes.
    """
    return [_best(seed, k, form) for k, form in enumerate(FORMS)]


def _best(seed: int, k: int, form: str) -> Report:
    handle = next(h for h in _SHOWN if suits(h, form))
    brief = _TRAY if handle == "two-openings" else Brief()
    rows = [random_genes(generator(seed, k, j), form, handle, brief.size()) for j in range(_DRAWS)]
    found: list[tuple[float, Board]] = []
    for genes in closed(rows):
        if genes is None:
            continue
        try:
            board = drawn_from(brief, genes, draw(genes), form)
            subject = subject_of(board, rough=True)
        except OutlineError:
            continue
        if not first_failure(subject):
            found.append((looks(subject).points, board))
    for _, board in sorted(found, key=lambda f: f[0]):
        report = full_report(board)
        if report.passes:
            return report
    raise CannotMeetError((f"no draw of the form '{form}' passes its checks",))

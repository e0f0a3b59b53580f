"""Forms: tables of stretches by name, our own and those of other packages.

A package adds a form by an entry point of the group ``shapes.forms``. It is drawn where a brief
names it, so that nobody's boards change with what is installed; a name of ours stays ours.
"""

from __future__ import annotations

from dataclasses import replace
from importlib.metadata import EntryPoint, entry_points

from shapes.errors import InputError, Problem
from shapes.forms.calm import CALM
from shapes.forms.form import Form
from shapes.forms.free import FREE
from shapes.forms.necked import NECKED

GROUP = "shapes.forms"


def _loaded(point: EntryPoint) -> Form:
    """Load a form of another package. Raises InputError where it is none."""
    try:
        form = point.load()
        if not isinstance(form, Form):
            raise TypeError(f"it is a {type(form).__name__}")
    except Exception as error:
        package = point.dist.name if point.dist else "another package"
        raise InputError(
            Problem(
                f"form '{point.name}' of {package}",
                f"is no form that can be drawn: {error}",
                "",
                "mend that package, or uninstall it",
            )
        ) from error
    return replace(form, seldom=True)


_OWN = {**FREE, **CALM, **NECKED}
FORMS: dict[str, Form] = {
    **_OWN,
    **{p.name: _loaded(p) for p in entry_points(group=GROUP) if p.name not in _OWN},
}

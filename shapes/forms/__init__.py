"""Forms: families of boards, each a table of stretches with ranges."""

from __future__ import annotations

from shapes.forms.calm import CALM
from shapes.forms.form import Form
from shapes.forms.free import FREE
from shapes.forms.necked import NECKED

FORMS: dict[str, Form] = {**FREE, **CALM, **NECKED}

"""What is usual for each form and handle, measured on many draws and kept in usual.toml.

Written anew by ``python -m shapes.collection.calibrate`` whenever a form or handle changes.
"""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files

from shapes.checks.subject import Range


@cache
def _table() -> dict[str, dict[str, list[float]]]:
    text = files("shapes.checks").joinpath("usual.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def usual(form: str, handle: str) -> Range | None:
    """Return the usual range, or None where none was measured."""
    row = _table().get(form, {}).get(handle)
    return Range(float(row[0]), float(row[1]), int(row[2]), float(row[3])) if row else None

"""Serving boards of free shape: drawn, checked, weighed and made ready for the machines.

    import shapes

    made = shapes.generate(shapes.read_brief("carry-boards"), 12, seed=3)
    liked = [r.board for r in made.reports if r.subject.mass < 1.0]
    shapes.export(liked, "files", ["dxf", "pdf"])

What ``place`` returns has, for each piece, (number, placement, report) of the boards on it, and
``why`` the rest is left over; ``read_boards`` a sequence that knows its files; reports have
``passes``, ``failed``, ``findings`` and the measures in ``subject``. A brief under other settings
is ``dataclasses.replace(brief, thickness=18)``.

Lengths are in mm, masses in kg, angles in degrees where they are asked for. A name is imported when
it is first used: ``import shapes`` alone takes next to no time.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.9.1"

_DOORS = {
    "shapes.collection.board": ("Board", "DrawnBoard", "Report"),
    "shapes.collection.brief": ("Brief",),
    "shapes.collection.generate": ("Collection",),
    "shapes.errors": ("CannotMeetError", "InputError", "RefusedError"),
    "shapes.geometry.outline": ("Outline",),
    "shapes.library.checking": ("check", "repair"),
    "shapes.library.drawing": ("generate", "vary"),
    "shapes.library.laying": ("place",),
    "shapes.library.making": ("Work", "export", "plan", "prepare"),
    "shapes.library.presets": ("read_brief", "read_piece"),
    "shapes.library.reading": ("read_boards", "read_drawing"),
    "shapes.library.showing": ("picture",),
    "shapes.library.writing": ("read_workshop", "write_collection", "write_placement"),
    "shapes.timber.off_cut": ("OffCut",),
    "shapes.workshop.shop": ("Workshop",),
}
_WHERE = {name: module for module, names in _DOORS.items() for name in names}

__all__ = sorted(_WHERE)


def __getattr__(name: str) -> Any:
    """Import what is asked for."""
    if name not in _WHERE:
        raise AttributeError(f"module 'shapes' has no attribute '{name}'")
    return getattr(import_module(_WHERE[name]), name)


def __dir__() -> list[str]:
    """Return the names that are offered."""
    return [*__all__, "__version__"]

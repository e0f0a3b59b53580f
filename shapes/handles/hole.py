"""A round hole whose centre is that of the tip it lies in.

For fingers, for the thumb, or to hang the board by.
"""

from __future__ import annotations

from dataclasses import dataclass

from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Ring:
    """A large hole to lift and hang the board by; laden, the fingers lie under it."""

    across: float = ranged(60.4, 65.0, "width of the hole", "mm")
    rim: float = ranged(24.0, 27.0, "wood between the hole and the edge", "mm")


@dataclass(frozen=True, slots=True)
class ThumbHole:
    """A hole for the thumb, the fingers under the board."""

    across: float = ranged(30.2, 32.6, "width of the hole", "mm")
    rim: float = ranged(18.3, 20.4, "wood between the hole and the edge", "mm")


@dataclass(frozen=True, slots=True)
class CordHole:
    """A small hole to hang the board by, on a cord or a peg."""

    across: float = ranged(18.0, 21.8, "width of the hole", "mm")
    rim: float = ranged(14.5, 17.5, "wood between the hole and the edge", "mm")

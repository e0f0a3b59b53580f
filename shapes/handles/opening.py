"""A hand opening that runs beside a stretch of the edge: bar and opening keep their widths."""

from __future__ import annotations

from dataclasses import dataclass

from shapes.handles.hand import BAR_ACROSS, BAR_ALONG
from shapes.parameters import ranged


@dataclass(frozen=True, slots=True)
class Opening:
    """An opening for the hand, with a bar of wood between it and the edge."""

    length: float = ranged(117.0, 121.0, "length of the opening", "mm")
    height: float = ranged(38.4, 39.2, "height of the opening", "mm")
    bar: float = ranged(0.5, 0.9, "width of the bar, as a share of what is allowed there")


def bar_of(share: float, *, across: bool) -> float:
    """Width, mm, of a bar: across the grain it is stouter."""
    low, high = BAR_ACROSS if across else (BAR_ALONG[0] + 4.0, BAR_ALONG[1])
    return low + 0.6 + share * (high - low - 1.2)

"""Parameters that a maker understands: a range, a default and one plain sentence, kept as data.

Command help, documentation, drawing at random and tests all read the same ranges.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import Any


@dataclass(frozen=True, slots=True)
class Range:
    """An allowed range, both ends included, and what the parameter does."""

    low: float
    high: float
    says: str
    unit: str = ""


def ranged(low: float, high: float, says: str, unit: str = "") -> Any:
    """Declare a dataclass field whose default is the middle of its range."""
    about = Range(low, high, says, unit)
    return field(default=(low + high) / 2, metadata={"range": about})


def ranges(kind: Any) -> dict[str, Range]:
    """Ranges of a parameter dataclass by field name, in order."""
    return {f.name: f.metadata["range"] for f in fields(kind) if "range" in f.metadata}


def from_shares(kind: Any, shares: dict[str, float]) -> Any:
    """Make a parameter value from shares 0 to 1 of each range; a share that is missing is 0.5."""
    return kind(
        **{n: r.low + shares.get(n, 0.5) * (r.high - r.low) for n, r in ranges(kind).items()}
    )

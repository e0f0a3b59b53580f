"""What a check says: a verdict, the measured value beside its limit, places and one sentence."""

from __future__ import annotations

import math
from dataclasses import dataclass

PASS, WARN, FAIL, SKIP = "pass", "warn", "fail", "skip"


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding; ``measured`` and ``limit`` are None where nothing limits or was asked."""

    check: str
    verdict: str
    measured: float | None
    limit: float | None
    unit: str
    where: tuple[tuple[float, float], ...]
    message: str

    def as_json(self) -> dict[str, object]:
        """Return the finding as the contract's object: no NaN, no Infinity."""
        return {
            "check": self.check,
            "verdict": self.verdict,
            "measured": finite(self.measured),
            "limit": finite(self.limit),
            "unit": self.unit,
            "where": [[round(x, 3), round(y, 3)] for x, y in self.where],
            "message": self.message,
        }


def finite(value: float | None, digits: int = 6) -> float | None:
    """Round for writing; None where a value is infinite, undefined or absent."""
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), digits)

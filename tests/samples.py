"""How many cases a long test takes: a sample as a rule, all of them under ``pytest --all``."""

from __future__ import annotations

import os

ALL = "SHAPES_ALL_SAMPLES"  # set by conftest where --all is given, for every worker


def of(every: int, few: int) -> int:
    """Return how many of ``every`` are taken."""
    return every if os.environ.get(ALL) else few

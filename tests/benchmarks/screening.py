"""Screening and the full report in closings, in a process of its own.

What went before weighs nothing.

Prints the two ratios. Run by test_ratios.py, from the project's folder.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parent))

from closings import a_closing, best
from made_boards import drawn

from shapes.checks import first_failure
from shapes.collection.board import full_report, subject_of
from shapes.collection.brief import Brief
from shapes.collection.pool import AtRandom, screen_one
from shapes.errors import OutlineError

ROUNDS = 6


def main() -> None:
    """Measure, and print both."""
    source = AtRandom(Brief())
    made = [drawn(source, 1, k) for k in range(80)]

    def screen() -> None:
        for board in made:
            try:
                first_failure(subject_of(board, rough=True))
            except OutlineError:
                continue

    chosen = [b for k, b in enumerate(made) if screen_one(source, 1, k, 0)[0]][:24]

    def report() -> None:
        for board in chosen:
            full_report(board).as_json("x")

    unit = min(a_closing(), a_closing())
    screening = best(screen, ROUNDS) / len(made) / unit
    print(screening, best(report, ROUNDS) / len(chosen) / unit)


if __name__ == "__main__":
    main()

"""Whole processes timed against their unit: importing the libraries that the command stands on."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

ROOT = Path(__file__).parents[1]
IMPORTS = [sys.executable, "-c", "import numpy, scipy.interpolate, shapely, ezdxf, typer, cairosvg"]
COMMAND = [sys.executable, "-c", "from shapes.cli.app import main; main()"]


PAUSE = 5.0  # s between tries


def least(measure: Callable[[], float], most: float, tries: int = 6) -> float:
    """Least of a few measurements, the first that is at or below ``most`` the last.

    A busy machine only adds; a spell of that passes, so that each further try waits a little.
    """
    found = measure()
    while tries > 1 and found > most:
        time.sleep(PAUSE)
        found, tries = min(found, measure()), tries - 1
    return found


def in_processes(
    command: Sequence[str], unit: Sequence[str] = IMPORTS, rounds: int = 6, copies: int = 1
) -> float:
    """Least time of a command in the least time of its unit, run in turn: slow spells hit both.

    ``copies`` of the unit run side by side, as many as the command has processes: where the machine
    is busy, both then lack the same cores.
    """
    shortest = [float("inf"), float("inf")]
    for _ in range(rounds):
        for i, (code, many) in enumerate(((command, 1), (unit, copies))):
            start = time.perf_counter()
            running = [
                subprocess.Popen(
                    code, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
                )
                for _ in range(many)
            ]
            assert not any(one.wait() for one in running)
            shortest[i] = min(shortest[i], time.perf_counter() - start)
    return shortest[0] / shortest[1]

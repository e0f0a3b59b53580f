"""The unit of what is measured within a process.

Closing a board of 440 points by a disc of 3 mm (GEOS).
"""

from __future__ import annotations

import gc
import time
from collections.abc import Callable

import numpy as np
import shapely
from made_boards import boards

from shapes.reach.closing import quarter_segments


def best(run: Callable[[], object], rounds: int = 5) -> float:
    """Least processor time of a few rounds, s: what the work costs when nothing else runs."""
    times = []
    gc.collect()
    gc.disable()  # as timeit does: a test process is full of objects that are none of ours
    try:
        for _ in range(rounds):
            start = time.process_time()
            run()
            times.append(time.process_time() - start)
    finally:
        gc.enable()
    return min(times)


def a_closing() -> float:
    board = boards(1, seed=2)[0]
    ring = np.asarray(board.wood.exterior.segmentize(board.wood.length / 400).coords)
    wood = shapely.Polygon(ring[np.linspace(0, len(ring) - 2, 440).astype(int)])
    quads = quarter_segments(3.0)

    def close() -> None:
        for _ in range(40):
            wood.buffer(3, quad_segs=quads).buffer(-3, quad_segs=quads)

    return best(close) / 40

"""The cutter swept along its path, on 200 boards.

Wood left and wood wrongly cut, against Clipper2 too.
"""

from __future__ import annotations

import clipper
import numpy as np
import pytest
from made_boards import boards
from nearest import farthest
from samples import of

from shapes.geometry.curve import flatten
from shapes.geometry.measures import least_radii
from shapes.workshop.paths import finishing_path, swept_errors

CUTTERS = (3.0, 6.0, 8.0, 12.7)
CHUNK = of(25, 10)  # boards a case
WITHIN = 0.05  # mm


@pytest.mark.slow
@pytest.mark.parametrize("chunk", range(8))
def test_the_sweep_leaves_and_takes_nothing(chunk: int) -> None:
    swept = 0
    for i, board in enumerate(boards(8 * CHUNK, seed=21)[chunk * CHUNK : (chunk + 1) * CHUNK]):
        hollow = min(least_radii(c)[0] for c in board.curves)
        diameter = next(
            (d for d in (CUTTERS[i % 4], CUTTERS[1], CUTTERS[0]) if d / 2 < hollow), None
        )
        if diameter is None:
            continue
        radius = diameter / 2
        rings = finishing_path(board, radius)
        wrong, left = swept_errors(board, rings, radius)
        assert wrong <= WITHIN
        assert left <= WITHIN
        swept += 1
        # The same path by Clipper2: one offset of each loop.
        theirs = [clipper.offset([flatten(board.edge, 0.001)], radius)]
        theirs += [clipper.offset([flatten(c, 0.001)[::-1]], -radius) for c in board.openings]
        path = [r for each in theirs for r in each]
        far = max(farthest(np.concatenate(x), y) for x, y in ((rings, path), (path, rings)))
        assert far <= 0.01, (chunk, i, far)
        ours_long, theirs_long = (_long(x) for x in (rings, path))
        assert ours_long == pytest.approx(theirs_long, rel=1e-3), "length of cut"
    assert swept >= CHUNK - 3


def _long(rings: list[np.ndarray]) -> float:
    return sum(float(np.hypot(*(np.roll(r, -1, axis=0) - r).T).sum()) for r in rings)


def test_a_path_that_is_wrong_is_seen() -> None:
    board = boards(1)[0]
    rings = finishing_path(board, 3.0)
    wrong, _ = swept_errors(board, [r * 0.999 for r in rings], 3.0)
    _, left = swept_errors(board, [r * 1.001 for r in rings], 3.0)
    assert wrong > WITHIN
    assert left > WITHIN

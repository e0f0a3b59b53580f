"""Wood that a cutter leaves, against opening by offsets with Clipper2 (pyclipr)."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from clipper import CHORD, closed_by
from made_boards import boards
from samples import of
from shapes_of_known_size import filleted_corner, notched

from shapes.geometry.curve import evaluate, flatten
from shapes.geometry.outline import Outline, transformed
from shapes.reach.discs import discs
from shapes.reach.reach import uncut


def depth_left(board: Outline, cutter: float) -> float:
    """Greatest distance from the edge, and openings, to what the cutter leaves."""
    rings = [flatten(c, CHORD) for c in board.curves]
    closed = closed_by(rings, cutter / 2)
    line = shapely.unary_union([shapely.LinearRing(p) for p in closed])
    shapely.prepare(line)
    worst = 0.0
    for curve in board.curves:
        s = np.linspace(0, len(curve), 60 * len(curve), endpoint=False)
        p = evaluate(curve, s)[0]
        worst = max(worst, float(shapely.distance(line, shapely.points(p)).max()))
    return worst


@pytest.mark.parametrize("cutter", [12.7, 16.0, 20.0, 30.0])
def test_depth_of_wood_left_on_boards_made_small(cutter: float) -> None:
    """Boards at 0.13 of their size, so that their hollows are tight for these cutters."""
    seen = 0
    for whole in boards(of(50, 24), seed=21):
        board = transformed(Outline(whole.edge), 0.4, 0.13)
        left = uncut(discs(board), cutter)
        depth = left[0].depth if left else 0.0
        wanted = depth_left(board, cutter)
        assert depth == pytest.approx(wanted, abs=0.005)
        seen += wanted > 0.01
    assert seen >= of(3, 1)


@pytest.mark.parametrize(
    ("board", "cutter"),
    [
        (filleted_corner(3.0), 8.0),
        (filleted_corner(5.0), 12.7),
        (notched(14.0, 90.0), 16.0),
    ],
)
def test_depth_of_wood_left_on_hard_shapes(board: Outline, cutter: float) -> None:
    assert uncut(discs(board), cutter)[0].depth == pytest.approx(
        depth_left(board, cutter), abs=0.005
    )

"""The rounded solid against a mesh kernel, manifold3d: a Minkowski sum with a ball.

A board whose outward bends are no tighter than the round-over is its outline moved in by r, of
thickness t - 2 r, grown by a ball of radius r. Polyhedra lie within their smooth solids, so the
kernel errs low: by some 0.03 per cent of the volume at these facets.
"""

from __future__ import annotations

import manifold3d
import numpy as np
import pytest
import shapely
from made_boards import boards
from samples import of

from shapes.geometry.curve import flatten
from shapes.geometry.outline import Outline
from shapes.reach.discs import discs
from shapes.reach.width import narrowest
from shapes.timber.solid import solid

THICK = 20.0


@pytest.mark.slow
@pytest.mark.parametrize(("r", "seed"), [(4.0, 41), (6.0, 43)][of(0, 1) :])
def test_volume_of_rounded_boards(r: float, seed: int) -> None:
    ball = manifold3d.Manifold.sphere(r, 40)
    board = Outline(boards(1, seed=seed)[0].edge)
    inner = shapely.Polygon(flatten(board.edge, 0.02)).buffer(-r, quad_segs=12).simplify(0.03)
    ring = np.asarray(inner.exterior.coords)[:-1]
    section = manifold3d.CrossSection([ring if inner.exterior.is_ccw else ring[::-1].copy()])
    core = section.extrude(THICK - 2 * r).translate([0, 0, r])
    made = core.minkowski_sum(ball)
    found = solid(board, THICK, r, 12.7, narrowest(discs(board)).width)
    assert made.volume() < found.volume
    assert made.volume() == pytest.approx(found.volume, rel=8e-4)

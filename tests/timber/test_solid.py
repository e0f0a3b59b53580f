"""Volume of a rounded board against solids computed another way."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from made_boards import boards, drawn
from shapes_of_known_size import ellipse, slot

from shapes.collection.brief import Brief
from shapes.collection.draw import outline_of
from shapes.collection.pool import AtRandom
from shapes.errors import OutlineError
from shapes.geometry.curve import circle, flatten, transform
from shapes.geometry.outline import Outline, outline
from shapes.reach.discs import discs
from shapes.reach.width import narrowest
from shapes.timber.solid import Solid, box_of, rounds, solid


def volume_by_slices(board: Outline, thickness: float, r: float, bearing: float) -> float:
    """Add 400 slices a face, each the area of the wood moved in, by the midpoint rule."""
    shell = flatten(board.edge, 0.001)
    through = [flatten(c, 0.001) for c in board.openings]
    eased = [p for p, c in zip(through, board.openings, strict=True) if rounds(c, bearing)]
    plain = sum(
        shapely.Polygon(p).area
        for p, c in zip(through, board.openings, strict=True)
        if not rounds(c, bearing)
    )
    wood = shapely.Polygon(shell, eased)
    n = 400
    z = (np.arange(n) + 0.5) * r / n
    insets = r - np.sqrt(r * r - (r - z) ** 2)
    areas = shapely.area(shapely.buffer(wood, -insets, quad_segs=64)) - plain
    core = (wood.area - plain) * (thickness - 2 * r)
    return float(core + 2 * areas.sum() * r / n)


def made(board: Outline, thickness: float, r: float, bearing: float = 12.7) -> Solid:
    return solid(board, thickness, r, bearing, narrowest(discs(board)).width)


@pytest.mark.parametrize("wide", [10.0, 14.1, 14.3, 30.0])
def test_an_opening_is_judged_alike_however_it_is_turned(wide: float) -> None:
    """A slot of 60 mm lying, leaning and upright; and the board's mass with it."""
    slots = [
        transform(slot(wide, 60.0 - wide), math.radians(a), 1.0, (9.0, -4.0))
        for a in (0, 7, 20, 45, 90, 133)
    ]
    for s in slots:
        assert box_of(s) == pytest.approx((wide, 60.0), abs=0.03)
        assert rounds(s, 12.7) == (wide > 14.2)
    solids = [made(outline(circle((0.0, 0.0), 90.0), [s]), 20.0, 6.0) for s in slots]
    for one in solids:
        assert one.volume == pytest.approx(solids[0].volume, rel=1e-5)
        assert one.face == pytest.approx(solids[0].face, rel=1e-4)


@pytest.mark.parametrize("r", [2.0, 6.35, 9.5])
def test_boards_as_drawn(r: float) -> None:
    for board in boards(15, seed=77):
        wanted = volume_by_slices(board, 20.0, r, 12.7)
        assert made(board, 20.0, r).volume == pytest.approx(wanted, rel=5e-4)


def test_sharp_leaves_with_a_large_round_over() -> None:
    """Leaves a third of the size, so that their tips are sharper than the round-over."""
    from shapes.geometry.outline import transformed

    seen = 0
    brief = Brief(forms=("leaf",), handles=("none",))
    for k in range(20):
        try:
            board = outline_of(drawn(AtRandom(brief), 3, k).sketch)
        except OutlineError:
            continue
        small = transformed(board, scale=0.33)
        wanted = volume_by_slices(small, 20.0, 9.5, 12.7)
        assert made(small, 20.0, 9.5).volume == pytest.approx(wanted, rel=5e-4)
        seen += 1
    assert seen >= 15


def test_the_disc_of_pappus() -> None:
    """Disc R 100, quarter-round 6: 4789.1231 mm3 leave each face (closed form)."""
    board = outline(circle((0, 0), 100.0))
    taken = math.pi * 100**2 * 20 - made(board, 20.0, 6.0).volume
    assert taken / 2 == pytest.approx(4789.1231, rel=1e-5)


def test_areas_of_a_rounded_disc() -> None:
    s = made(outline(circle((0, 0), 100.0)), 20.0, 6.0)
    assert s.face == pytest.approx(math.pi * 94**2, rel=1e-5)
    ring = 2 * math.pi * (math.pi / 2 * 6) * (100 - 6 * (1 - 2 / math.pi))
    assert s.edge == pytest.approx(2 * math.pi * 100 * 8 + 2 * ring, rel=1e-5)


def test_pappus_and_insets_agree_where_both_hold() -> None:
    board = outline(ellipse(150, 90), [slot(30.0, 60.0)])
    pappus = solid(board, 20.0, 6.0, 12.7, 1e9)
    insets = solid(board, 20.0, 6.0, 12.7, 0.0)
    assert insets.volume == pytest.approx(pappus.volume, rel=1e-5)
    assert insets.face == pytest.approx(pappus.face, rel=1e-4)
    assert insets.edge == pytest.approx(pappus.edge, rel=1e-4)


def test_a_small_hole_is_not_rounded_over() -> None:
    plain = outline(ellipse(150, 90))
    holed = outline(ellipse(150, 90), [circle((100, 0), 5.0)])
    lost = made(plain, 20.0, 6.0).volume - made(holed, 20.0, 6.0).volume
    assert lost == pytest.approx(math.pi * 25 * 20, rel=1e-6)


def test_no_round_over_is_a_prism() -> None:
    board = outline(ellipse(150, 90))
    assert made(board, 20.0, 0.0).volume == pytest.approx(math.pi * 150 * 90 * 20, rel=1e-6)

"""Placements judged by Clipper2, which shares no code with the placing.

90 invented off-cuts, 12 in a sample, 300 by hand.

Everything is allowed to be wrong by 0.01 mm and by no more.
"""

from __future__ import annotations

import pytest
from made_boards import drawn
from made_off_cuts import off_cut
from placing_judge import CUTTER, judge
from samples import of
from shapely import affinity

import shapes.placing.fill as many
from shapes.collection.brief import Brief
from shapes.collection.pool import AtRandom
from shapes.placing.ground import Wanted
from shapes.placing.place_many import place_many
from shapes.timber.off_cut import OffCut, Rules

CHUNK = of(15, 2)


@pytest.mark.slow
@pytest.mark.parametrize("chunk", range(6))
def test_no_placement_overlaps_or_leaves_the_wood(
    chunk: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(many, "STARTS", 1)
    monkeypatch.setattr(many, "ROUNDS", 2)
    monkeypatch.setattr(many, "SEARCHES", 1)
    source = AtRandom(Brief(length=260, width=150, max_mass=1.0))
    boards = [drawn(source, 31, k) for k in (2, 3, 8, 12, 16)]
    laid = 0
    for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK):
        piece = off_cut(seed)
        placed, _ = place_many(Rules(piece, CUTTER), [Wanted(b) for b in boards], seed=seed)
        assert judge(piece, placed) == [], piece.name
        laid += len(placed)
    assert laid > CHUNK


def test_the_judge_sees_a_board_that_is_moved(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each rule can be broken: the same placement a millimetre off is found out."""
    monkeypatch.setattr(many, "STARTS", 2)
    monkeypatch.setattr(many, "ROUNDS", 6)
    monkeypatch.setattr(many, "SEARCHES", 1)
    source = AtRandom(Brief(length=260, width=150, max_mass=1.0))
    wanted = [Wanted(drawn(source, 31, k)) for k in (2, 3, 8, 12, 16)]
    found = 0
    for seed in range(of(18, 4)):
        piece = off_cut(seed)
        placed, _ = place_many(Rules(piece, CUTTER), wanted)
        tight = min((c.there - c.asked for _, p in placed for c in p.clearances), default=9.0)
        if tight > 0.5:
            continue
        away = OffCut(
            piece.name,
            affinity.translate(piece.outline, 1.2, 1.2),
            piece.thickness,
            piece.species,
            grain=piece.grain,
            defects=piece.defects,
        )
        found += judge(away, placed) != []
    assert found >= of(3, 1)

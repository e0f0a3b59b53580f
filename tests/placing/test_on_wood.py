"""Boards drawn for a piece: what their handles are, and how their size counts."""

from __future__ import annotations

from dataclasses import replace

import pytest
from made_off_cuts import timber

from shapes.checks.looks import looks
from shapes.collection.board import subject_of
from shapes.collection.brief import Brief
from shapes.collection.pool import board_of, generator, screen_chunk
from shapes.placing.fitted import brief_on
from shapes.placing.on_wood import OnWood


def drawn_on(size: tuple[float, float], *handles: str) -> OnWood:
    piece = timber(*size)
    brief = Brief(
        forms=("mussel", "drop", "willow"), handles=handles, max_mass=5.0, length=600, width=300
    )
    return OnWood(brief_on(piece, brief), piece)


def test_small_boards_of_a_piece_have_a_cords_hole_and_long_ones_a_thumbs() -> None:
    both, thumb = (
        drawn_on((640, 236), *handles) for handles in (("thumb-hole", "cord-hole"), ("thumb-hole",))
    )
    sizes = set()
    for k in range(60):
        genes = both.genes(k, generator(3, k, 0))
        small = genes.row.box[0] < 400
        sizes.add((small, genes.handle))
        assert genes.handle == ("cord-hole" if small else "thumb-hole")
        assert thumb.genes(k, generator(3, k, 0)).handle == "thumb-hole"
    assert {(True, "cord-hole"), (False, "thumb-hole")} <= sizes


def test_a_small_board_of_a_piece_has_no_large_hole_but_a_smaller_or_the_smallest() -> None:
    """A ring from 440 mm, a thumb's hole from 400, a cord's below."""
    source = drawn_on((640, 260), "ring", "thumb-hole", "cord-hole")
    found: dict[str, list[float]] = {}
    for k in range(90):
        genes = source.genes(k, generator(3, k, 0))
        found.setdefault(genes.handle, []).append(genes.row.box[0])
    assert set(found) == {"ring", "thumb-hole", "cord-hole"}
    assert min(found["ring"]) >= 440
    assert min(found["thumb-hole"]) >= 400


@pytest.mark.parametrize("size", [(640.0, 236.0), (410.0, 170.0)])
def test_a_board_much_shorter_than_was_asked_loses_points(size: tuple[float, float]) -> None:
    """Forty points for each share of the length that is missing below 0.85 of it: our choice."""
    source = drawn_on(size, "cord-hole")
    found, _, _ = screen_chunk(source, 5, 0, 12)
    assert len(found) >= 3
    shares = []
    for c in found:
        subject = subject_of(board_of(source, 5, c.index, c.attempt), rough=True)
        share = subject.box[0] / source.brief.length
        lost = c.points - looks(subject).points
        assert lost == pytest.approx(40 * max(0.85 - share, 0), abs=1e-5)
        shares.append(share)
    assert min(shares) < 0.85 or size[0] > 600


def test_trinkets_beside_long_boards_are_left_out_while_enough_remain() -> None:
    source = drawn_on((640.0, 236.0), "cord-hole")
    (one, *_), _, _ = screen_chunk(source, 5, 0, 12)
    made = [replace(one, length=v) for v in (512.0, 256.2, 255.8, 397.0, 152.0)]
    assert [c.length for c in source.among(made, 1)] == [512.0, 256.2, 397.0]
    assert source.among(made, 2) == made  # three would be too few to choose two of
    assert source.among([], 3) == []

"""Relatives of a board: its own parameters and noise moved by a stated share."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from shapes.collection.board import Board
from shapes.collection.brief import Brief
from shapes.collection.draw import CALM, Genes, draw, slenderness_for
from shapes.collection.pool import AnyWood

_SHARES = 0.5  # of a parameter's range that it may move at --how-far 1, one standard deviation
_TURN = math.pi / 3  # by which the noise turns towards fresh noise at --how-far 1


@dataclass(frozen=True, slots=True)
class NearBoard(AnyWood):
    """Genes near those of one board; ``how_far`` 0 gives the board again, 1 a distant cousin."""

    brief: Brief
    parent: Genes
    how_far: float

    def genes(self, k: int, rng: np.random.Generator) -> Genes:
        """Move every parameter and every noise; the handle's stay in their ranges."""
        del k

        def moved(shares: tuple[tuple[str, float], ...]) -> tuple[tuple[str, float], ...]:
            step = self.how_far * _SHARES * rng.standard_normal(len(shares))
            return tuple(
                (n, round(float(np.clip(v + d, 0, 1)), 6))
                for (n, v), d in zip(shares, step, strict=True)
            )

        turn = self.how_far * _TURN
        fresh = rng.standard_normal(len(self.parent.noise))
        noise = np.array(self.parent.noise) * math.cos(turn) + fresh * math.sin(turn)
        return replace(
            self.parent,
            form_shares=moved(self.parent.form_shares),
            handle_shares=moved(self.parent.handle_shares),
            noise=tuple(np.round(noise.clip(-CALM, CALM), 6).tolist()),
        )


def unchanged(board: Board) -> bool:
    """Whether a board's outline is still the one that its genes draw."""
    drawn = draw(board.genes, board.brief.size()).edge
    return drawn.shape == board.sketch.edge.shape and bool(
        np.allclose(drawn, board.sketch.edge, atol=1e-5)
    )


def near(board: Board, how_far: float) -> NearBoard:
    """Return the source of relatives of a board."""
    return NearBoard(board.brief, board.genes, how_far)


def in_another_box(board: Board, brief: Brief) -> Board:
    """Fit a board's slenderness to another length and width: slimmer rather than smaller."""
    shares = dict(board.genes.form_shares)
    wanted = slenderness_for(board.genes.form, board.genes.handle, brief.length, brief.width)
    shares["slenderness"] = round(min(max(wanted, 0.0), 1.0), 6)
    return replace(
        board, brief=brief, genes=replace(board.genes, form_shares=tuple(shares.items()))
    )

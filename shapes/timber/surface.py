"""Areas of a board's faces, edge, round-over and end grain, and the oil that they take."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from shapes.geometry.along import walk
from shapes.geometry.outline import Outline
from shapes.timber.solid import Solid, rounds

COATS = (42.0, 30.0)  # ml/m2 of hard-wax type oil, first and second coat: from memory; the tin wins
END_GRAIN = 2.5  # times the oil of a face: 2 to 3, from memory
END_GRAIN_COSINE = math.cos(
    math.radians(45.0)
)  # steeper to the grain, edge counts as end grain; our choice


@dataclass(frozen=True, slots=True)
class Areas:
    """Areas of one board in m2.

    ``edge`` is what stays flat, ``end_grain`` its part across the grain.
    """

    faces: float
    edge: float
    round_over: float
    end_grain: float
    square_edge: float = 0.0  # before it is rounded over

    @property
    def total(self) -> float:
        """All that is oiled."""
        return self.faces + self.edge + self.round_over

    def of(self, on: str) -> float:
        """Area that a step works on."""
        return {"edge": self.square_edge, "faces": self.faces, "all": self.total}.get(on, 0.0)


def areas(
    outline: Outline,
    body: Solid,
    lengths: Sequence[float],
    thickness: float,
    round_over: float,
    bearing: float,
    grain: float,
) -> Areas:
    """Return the areas of a board from its solid and the lengths of its loops, mm.

    Grain in radians.
    """
    r = min(round_over, thickness / 2)
    kept = [
        thickness - (2 * r if i == 0 or rounds(c, bearing) else 0.0)
        for i, c in enumerate(outline.curves)
    ]
    flat = sum(long * high for long, high in zip(lengths, kept, strict=True))
    rim = body.edge - flat
    across = total = 0.0
    fibre = np.array([math.cos(grain), math.sin(grain)])
    for curve in outline.curves:
        w = walk(curve)
        total += w.length
        across += float(w.pieces[np.abs(w.tangent @ fibre) < END_GRAIN_COSINE].sum())
    ends = across / total * (flat + rim)
    return Areas(
        2e-6 * body.face, 1e-6 * flat, 1e-6 * rim, 1e-6 * ends, 1e-6 * sum(lengths) * thickness
    )


def oil_ml(areas: Areas, first: float = COATS[0], second: float = COATS[1]) -> tuple[float, float]:
    """Oil of the first and second coat, ml; end grain takes END_GRAIN times as much."""
    thirsty = areas.total + (END_GRAIN - 1) * areas.end_grain
    return first * thirsty, second * thirsty

"""Many boards on a rectangle against spyrrow, a strip packing library, given eight seconds."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import spyrrow
from samples import of

from shapes.collection.board import DrawnBoard
from shapes.collection.brief import Brief
from shapes.geometry.curve import polygon
from shapes.geometry.outline import Outline
from shapes.placing.ground import Wanted
from shapes.placing.place_many import place_many
from shapes.timber.off_cut import BETWEEN, OffCut, Rules

GIVEN = of(8, 2)  # s: ten rectangles; it finds no denser strip in a minute


def a_rectangle(length: float, width: float, name: str) -> DrawnBoard:
    return DrawnBoard(
        Brief(), Outline(polygon([(0, 0), (length, 0), (length, width), (0, width)])), name
    )


@pytest.mark.slow
def test_many_rectangles_against_a_strip_packing_library() -> None:
    """Spyrrow packs ten rectangles into the shortest strip; ours fill that strip's own box.

    On one core as we have. Sizes grow by the distance that boards keep.
    """
    rng = np.random.default_rng(7)
    apart = 6.0 + BETWEEN
    sizes = [
        (round(float(a), 1), round(float(b), 1))
        for a, b in zip(rng.uniform(120, 330, 10), rng.uniform(70, 190, 10), strict=True)
    ]
    height = round(float(rng.uniform(260, 420)))
    items = [
        spyrrow.Item(
            str(i),
            [(0, 0), (w + apart, 0), (w + apart, h + apart), (0, h + apart)],
            demand=1,
            allowed_orientations=[0],
        )
        for i, (w, h) in enumerate(sizes)
    ]
    strip = spyrrow.StripPackingInstance("boards", strip_height=height + apart - 12, items=items)

    def packed(seconds: int, strip: spyrrow.StripPackingInstance = strip) -> float:
        config = spyrrow.StripPackingConfig(
            early_termination=False, total_computation_time=seconds, num_workers=1, seed=0
        )
        return float(strip.solve(config).width) - apart + 12

    boards = [Wanted(a_rectangle(w, h, str(i))) for i, (w, h) in enumerate(sizes)]

    def filled(width: float, boards: list[Wanted] = boards, height: float = height) -> list[int]:
        piece = OffCut("box", shapely.box(0, 0, width, height), 20, "black walnut", margin=0.0)
        return [i for i, _ in place_many(Rules(piece, 6.0), boards, 0.0)[0]]

    width = packed(GIVEN)
    area = sum(w * h for w, h in sizes)
    mine = sum(sizes[i][0] * sizes[i][1] for i in filled(width))
    box = width * height
    print(f"density {mine / box:.3f}, the library's {area / box:.3f}")
    assert mine >= 0.9 * area

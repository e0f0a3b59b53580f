"""What is wrong with placements, by Clipper2, which shares no code with the placing.

Everything is allowed to be wrong by 0.01 mm and by no more.
"""

from __future__ import annotations

import math

import clipper
import numpy as np
import shapely
from shapely import affinity

from shapes.geometry.curve import flatten
from shapes.placing.place import Placement
from shapes.timber.off_cut import BETWEEN, OVER_NATURAL, OffCut

TRUE = 0.01
CUTTER = 6.0


def ring(shape: shapely.Geometry) -> np.ndarray:
    return np.asarray(shapely.get_coordinates(shape)[:-1])


def seen(a: list[np.ndarray], b: list[np.ndarray]) -> bool:
    """Whether two sets overlap by more than rounding shows: 0.01 mm over 0.01 mm."""
    return clipper.overlap(a, b) > 1e-4


def extent(piece: OffCut, index: int) -> list[np.ndarray]:
    """A defect's own shape; a check's run on along the grain, worked out here again."""
    d = piece.defects[index]
    if d.kind != "check":
        return [ring(d.shape)]
    step = d.clearance * np.array([math.cos(piece.grain), math.sin(piece.grain)])
    moved = [affinity.translate(d.shape, *(k * step)) for k in np.linspace(-1, 1, 41)]
    return [ring(m) for m in moved]


def judge(piece: OffCut, placed: list[tuple[int, Placement]]) -> list[str]:
    """What is wrong with the placements on a piece."""
    wrong = []
    outline = [ring(r) for r in (piece.outline.exterior, *piece.outline.interiors)]
    boards = [[flatten(c, 0.001) for c in p.outline.curves] for _, p in placed]
    for i, (edge, *holes) in enumerate(boards):
        for j in range(i):
            apart = clipper.offset([edge], CUTTER + BETWEEN - TRUE)
            if seen(apart, [boards[j][0]]):
                wrong.append(f"{i} and {j} are too near")
        if piece.natural is None:
            wide = clipper.offset([edge], CUTTER + piece.margin - TRUE)
            if clipper.beyond(wide, outline) > 1e-4:
                wrong.append(f"{i} comes too near the piece's edge")
        else:
            cut = shapely.difference(piece.outline.boundary, piece.natural)
            far = shapely.distance(cut, shapely.points(edge)).min()
            if far < CUTTER + piece.margin - TRUE:
                wrong.append(f"{i} comes too near a cut edge of the piece")
            if clipper.beyond([edge], clipper.offset(outline, OVER_NATURAL + TRUE)) > 1e-4:
                wrong.append(f"{i} runs too far over the natural edge")
        for k, d in enumerate(piece.defects):
            shape = extent(piece, k)
            around = 5.0 if d.kind == "check" else d.clearance
            if "body" in d.may_lie_in:
                continue
            grown = clipper.offset(shape, around - TRUE)
            if "opening" in d.may_lie_in:
                if clipper.overlap(grown, [edge]) - clipper.overlap(grown, holes) > 1e-3:
                    wrong.append(f"{d.name} touches the wood of {i}")
            elif seen(clipper.offset(shape, around + CUTTER - TRUE), [edge]):
                wrong.append(f"{d.name} is too near {i}")
        for f in piece.fixings:
            need = 40 + CUTTER / 2 if f.proud else 10 + CUTTER
            middle = shapely.Point(f.at)
            inside = shapely.Polygon(edge).contains(middle)
            if inside or shapely.LinearRing(edge).distance(middle) < need + f.diameter / 2 - TRUE:
                wrong.append(f"{f.name} is too near {i}")
    return wrong

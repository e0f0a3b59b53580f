"""Arrangements of boards on a rectangle by exhaustive search, kept as data to hold placing against.

``python tests/arrangements.py`` makes them anew (some minutes): for each case three or four boards
lie level, either end first; every order, every end and every place across in steps of STEP are
tried, each board let down onto those before it as far as it goes, and the least height taken. The
rectangle of a case is that height and SPARE more. Only numpy and GEOS are asked, none of what lays
boards in the package.
"""

from __future__ import annotations

import itertools
import json
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from made_boards import drawn
from numpy.typing import NDArray
from shapely.affinity import rotate, translate

from shapes.collection.brief import Brief
from shapes.collection.draw import outline_of
from shapes.collection.pool import AtRandom

FILE = Path(__file__).parent / "authorities" / "arrangements.json"
APART, RIM = (
    14.0,
    11.0,
)  # mm between boards, and to the edge: a cutter of 6 and what is left between
STEP = {3: 4, 4: 12}  # mm between places across, by the number of boards
SPARE = 0.5  # mm of height more than was found
POINTS = 72  # corners of a board
FORMS = ("mussel", "drop", "bell", "scoop", "tongue", "comma", "lug", "petal")
CASES = [(3, 1.25), (3, 1.4), (3, 1.6), (3, 1.9), (3, 2.1), (3, 1.15), (3, 1.75), (4, 1.3)]
CASES += [(4, 1.15), (4, 1.45)]  # boards, and width by the longest of them

Columns = NDArray[np.float64]
How = tuple[tuple[int, ...], tuple[int, ...], tuple[int, ...]]  # order, ends, places across


def ring_of(form: str, seed: int) -> shapely.Polygon:
    """Outer edge of a board of 220 to 300 mm, of POINTS corners, its low left at the origin."""
    source = AtRandom(Brief(length=420, width=200, forms=(form,)))
    edge = shapely.Polygon(outline_of(drawn(source, seed, seed).sketch).wood.exterior)
    at = [edge.exterior.interpolate(t, normalized=True) for t in np.arange(POINTS) / POINTS]
    size = np.random.default_rng(seed).uniform(220, 300) / (edge.bounds[2] - edge.bounds[0])
    points = np.array([(p.x, p.y) for p in at]) * size
    return shapely.Polygon(np.round(points - points.min(axis=0), 2))


def profile(board: shapely.Polygon) -> tuple[Columns, Columns]:
    """Lowest and highest of each column of 1 mm, APART / 2 round the board, from its own left."""
    wide = shapely.buffer(board, APART / 2, quad_segs=16)
    at = shapely.get_coordinates(shapely.segmentize(wide, 0.1))
    column = np.floor(at[:, 0] - at[:, 0].min() - 1e-9).clip(0).astype(int)
    low, high = np.full(column.max() + 1, np.inf), np.full(column.max() + 1, -np.inf)
    np.minimum.at(low, column, at[:, 1])
    np.maximum.at(high, column, at[:, 1])
    return low - low.min(), high - low.min()


def least(boards: list[shapely.Polygon], width: int) -> tuple[float, How]:
    """Least height, about, and (order, ends, places) that gives it."""
    both = [[profile(b), profile(rotate(b, 180))] for b in boards]
    best: tuple[float, How] = (np.inf, ((), (), ()))
    for order in itertools.permutations(range(len(boards))):
        for ends in itertools.product((0, 1), repeat=len(boards)):
            some = [both[i][e] for i, e in zip(order, ends, strict=True)]
            found = _let_down(some, np.zeros(width), 0.0, STEP[len(boards)], best[0])
            if found is not None:
                best = found[0], (order, ends, found[1])
    return best


def _let_down(
    some: list[tuple[Columns, Columns]], floor: Columns, top: float, step: int, bound: float
) -> tuple[float, tuple[int, ...]] | None:
    """Let the first down at every place across and go on with the rest; None above the bound."""
    (low, high), *rest = some
    n, width = len(low), len(floor)
    if n > width:
        return None
    places = np.arange(0, width - n + 1, step)
    under = np.lib.stride_tricks.sliding_window_view(floor, n)[places]
    heights = (under - low).max(axis=1)
    tops = np.maximum(heights + high.max(), top)
    best: tuple[float, tuple[int, ...]] | None = None
    for k in np.argsort(tops):
        if tops[k] >= bound:
            break
        if not rest:
            return float(tops[k]), (int(places[k]),)
        new = floor.copy()
        here = new[places[k] : places[k] + n]
        np.maximum(here, heights[k] + high, out=here)
        found = _let_down(rest, new, float(tops[k]), step, bound)
        if found is not None:
            bound, best = found[0], (found[0], (int(places[k]), *found[1]))
    return best


def exactly(boards: list[shapely.Polygon], how: How, height: float) -> list[shapely.Polygon]:
    """Let the boards down again as ``how`` says, to 0.001 mm by GEOS."""
    order, ends, places = how
    lying: list[shapely.Polygon] = []
    for i, end, x in zip(order, ends, places, strict=True):
        board = rotate(boards[i], 180) if end else boards[i]
        board = translate(board, x - board.bounds[0], -board.bounds[1])
        under, over = 0.0, height + 400
        while over - under > 1e-3:
            y = (under + over) / 2
            # Down from above: what is free there and above is sought, not a pocket below.
            here = shapely.union_all([translate(board, 0, y), translate(board, 0, y + 5)])
            free = all(here.distance(o) >= APART for o in lying)
            under, over = (under, y) if free else (y, over)
        lying.append(translate(board, 0, over))
    return [lying[list(order).index(i)] for i in range(len(boards))]


def case(k: int) -> dict[str, Any]:
    """One case: boards, the rectangle, and where each board lies in it."""
    count, share = CASES[k]
    forms = [FORMS[(k + 3 * i) % len(FORMS)] for i in range(count)]
    boards = [ring_of(form, 10 * k + i) for i, form in enumerate(forms)]
    longest = max(b.bounds[2] for b in boards)
    height, how = least(boards, int(share * longest + APART))
    lying = exactly(boards, how, height)
    x0, y0, x1, y1 = shapely.total_bounds(np.array(lying))
    assert all(a.distance(b) >= APART - 1e-6 for a, b in itertools.combinations(lying, 2))
    size = [round(x1 - x0 + 2 * RIM, 2) + 0.01, round(y1 - y0 + 2 * RIM + SPARE, 2)]
    shift = [translate(b, RIM - x0, RIM - y0) for b in lying]
    return {
        "size": [round(v, 2) for v in size],
        "names": forms,
        "boards": [shapely.get_coordinates(b.exterior)[:-1].tolist() for b in boards],
        "lying": [np.round(shapely.get_coordinates(b.exterior)[:-1], 3).tolist() for b in shift],
    }


if __name__ == "__main__":
    made = []
    for k in range(len(CASES)):
        made.append(case(k))
        area = sum(shapely.Polygon(b).area for b in made[-1]["boards"])
        long, wide = made[-1]["size"]
        print(k, CASES[k], long, wide, f"{area / (long * wide):.3f} of the rectangle", flush=True)
    FILE.write_text(json.dumps({"source": "tests/arrangements.py", "cases": made}) + "\n")

"""Areas against brute force, and everything for a dozen boards against the import floor."""

from __future__ import annotations

import subprocess
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
import pytest
import shapely
from made_boards import boards
from processes import COMMAND, in_processes, least
from samples import of
from scipy.optimize import minimize

from shapes.geometry.curve import turn
from shapes.geometry.rectangle import largest_of_ratio

pytestmark = pytest.mark.slow
RATIOS = (1.0, 2.0, 3.3, 6.0, 10.0)
CLEAR = 14.0  # mm: a round-over of 6 and 8 beyond


def by_brute_force(region: shapely.Geometry, ratio: float) -> float:
    """Length of the best of 36 angles and every centre of 7
    mm, the best refined by Nelder and Mead.
    """
    border = shapely.boundary(region)
    p = shapely.get_coordinates(shapely.segmentize(border, 3.0))
    x0, y0, x1, y1 = region.bounds
    centres = np.stack(
        [v.ravel() for v in np.meshgrid(np.arange(x0, x1, 7), np.arange(y0, y1, 7))], axis=1
    )
    centres = centres[shapely.contains_xy(region, *centres.T)]
    starts = []
    for angle in np.arange(0, np.pi, np.pi / 36):
        q = np.abs(turn(p, -angle)[None] - turn(centres, -angle)[:, None]) / (0.5, 0.5 / ratio)
        reach = q.max(axis=2).min(axis=1)
        starts += [(reach[k], *centres[k], angle) for k in np.argsort(-reach)[:2]]
    p = shapely.get_coordinates(shapely.segmentize(border, 0.7))

    def shortfall(v: np.ndarray) -> float:
        q = np.abs(turn(p - v[:2], -v[2] / 50)) / (0.5, 0.5 / ratio)
        return -float(q.max(axis=1).min())

    best = 0.0
    for _, x, y, angle in sorted(starts, reverse=True)[:6]:
        simplex = np.array([x, y, angle * 50]) + np.diag([4.0, 4.0, 2.0, 0.0])[[3, 0, 1, 2], :3]
        made = minimize(
            shortfall,
            simplex[0],
            method="Nelder-Mead",
            options={"initial_simplex": simplex, "maxfev": 250},
        )
        if shapely.contains_xy(region, *made.x[:2]):
            best = max(best, -float(made.fun))
    return best


def both(case: tuple[shapely.Geometry, float]) -> tuple[float, float, float]:
    """Our share of the brute-force optimum, and the seconds of each."""
    region, ratio = case
    start = time.process_time()
    made = largest_of_ratio(region, ratio)
    ours = time.process_time() - start
    best = by_brute_force(region, ratio)
    assert made is not None
    return made.length / best, ours, time.process_time() - start - ours


def ready() -> None:
    """Import what the first call imports, so that it is not timed."""
    largest_of_ratio(shapely.box(0, 0, 300, 180), 1.5)


def test_the_largest_rectangle_against_brute_force() -> None:
    """Boards of five ratios.

    Within 0.5 % of the optimum's length, as 60 were when they were run.
    """
    cases = [
        (b.wood.buffer(-CLEAR), RATIOS[i % 5]) for i, b in enumerate(boards(of(20, 10), seed=5))
    ]
    with ProcessPoolExecutor(2, None, ready) as workers:
        found = list(workers.map(both, cases, chunksize=5))
    shares = [share for share, _, _ in found]
    ours, theirs = (sum(row[i] for row in found) for i in (1, 2))
    print(
        f"least share of the optimum {min(shares):.4f}; an area takes {ours / theirs:.3f} of a"
        " brute-force pass"
    )
    assert min(shares) >= 0.995
    assert ours <= 0.3 * theirs  # 0.2 is wanted: 0.15 to 0.21 by machine


def test_everything_for_a_dozen_boards_against_the_imports(tmp_path: Path) -> None:
    made = str(tmp_path / "boards")
    subprocess.run([*COMMAND, "generate", "--out", made], check=True, capture_output=True)
    # The bar is for what the machines and the bench get: pictures have one of their own.
    marks = ["--text", "Harvest table\\n{name}", "--print-text", "rye and seed", "--pixels", "200"]
    command = [*COMMAND, "prepare", made, "--to", str(tmp_path / "batch"), "--force", *marks]
    ratio = least(lambda: in_processes(command, rounds=of(3, 1), copies=2), 7)
    print(f"prepare a dozen boards, engraved and printed: {ratio:.2f} times the imports")
    assert (
        ratio <= 7
    )  # 6 of one import is wanted, which is a quarter shorter: 6.1 when last measured

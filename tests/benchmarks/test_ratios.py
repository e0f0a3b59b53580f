"""Speed and memory as ratios measured in one run against a unit of the same machine.

A closing is two GEOS buffers by 3 mm of one board's outline at 0.01 mm, 440 vertices.
The unit of a whole process is importing the libraries that the command stands on.
"""

from __future__ import annotations

import gc
import math
import subprocess
import sys
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
from closings import a_closing, best
from made_boards import boards, drawn
from processes import COMMAND, ROOT, in_processes, least
from samples import of

from shapes.collection.board import DrawnBoard, full_report
from shapes.collection.brief import Brief
from shapes.collection.pool import AtRandom, draw_pool
from shapes.files.drawing import read_drawing
from shapes.files.drawn import MOST_CORNERS, MOST_POINTS
from shapes.files.dxf import arcs_of
from shapes.files.recipe import write_recipe
from shapes.geometry.curve import polygon
from shapes.geometry.outline import Outline, bounds, outline
from shapes.pictures.finished import body_of, picture
from shapes.pictures.sheet import finished_sheet
from shapes.reach.closing import quarter_segments

pytestmark = pytest.mark.slow


def test_screening_and_the_full_report_in_closings() -> None:
    """In a process of its own: late in a long run of tests the same code reads a tenth slower.

    The least of a few such runs: whatever else the machine does only adds.
    """
    script = str(Path(__file__).with_name("screening.py"))
    runs: list[list[float]] = []

    def column(i: int) -> float:
        return min(row[i] for row in runs)

    def over() -> float:
        made = subprocess.run(
            [sys.executable, script], check=True, capture_output=True, text=True, cwd=ROOT
        )
        runs.append([float(value) for value in made.stdout.split()])
        return max(column(0) / 16, column(1) / 75)

    least(over, 1)
    screening, full = column(0), column(1)
    print(f"screening one candidate: {screening:.1f} closings; full report: {full:.1f} closings")
    assert screening <= 16  # 8 is wanted: see the guide
    assert full <= 75  # 60 is wanted, and reached where nothing else runs: see the guide


def test_arcs_of_a_board_in_closings() -> None:
    """15 ms on the machine of the house plan, where a closing took 0.23 ms: 65 closings."""
    some = boards(20, seed=31)
    cost = least(lambda: best(lambda: [arcs_of(b) for b in some]) / len(some) / a_closing(), 65)
    print(f"arcs of one board: {cost:.0f} closings")
    assert cost <= 65


@pytest.mark.parametrize(("plain", "wanted", "most"), [(True, 3.8, 4.2), (False, 5.5, 5.3)])
def test_the_whole_command_against_importing_its_libraries(
    tmp_path: Path, plain: bool, wanted: float, most: float
) -> None:
    """Of two imports side by side, each a quarter longer than
    one alone, which the wanted ratios are of.
    """
    asked = ["generate", "--count", "12", "--force", "--out", str(tmp_path / "b")]
    command = [*COMMAND, *asked, *(["--plain"] if plain else [])]
    ratio = least(lambda: in_processes(command, rounds=of(3, 1), copies=2), most)
    kind = "plain" if plain else "finished"
    print(
        f"generate --count 12, pool 168, {kind} sheet: {ratio:.2f} times two imports at once"
        f" ({wanted} of one wanted)"
    )
    assert ratio <= most  # how near the wanted one it comes stands in the guide


def test_a_finished_board_in_closings() -> None:
    """Half a megapixel, on one core."""
    report = full_report(drawn(AtRandom(Brief()), 5, 0))
    body = body_of(report)
    x0, y0, x1, y1 = bounds(body.outline)
    screen = body.screen(math.sqrt(0.5e6 / ((x1 - x0 + 32) * (y1 - y0 + 32))))
    size = screen.rows * screen.columns
    cost = least(
        lambda: best(lambda: picture(body, screen).pixels, 3) / a_closing() * 0.5e6 / size, 2000
    )
    print(
        f"a finished board of {size / 1e6:.2f} megapixels: {cost:.0f} closings for half a megapixel"
    )
    assert cost <= 2000


def test_a_picture_of_1600_pixels_against_importing_the_libraries(tmp_path: Path) -> None:
    board = tmp_path / "board.toml"
    board.write_bytes(write_recipe(drawn(AtRandom(Brief()), 5, 0)))
    code = (
        "import sys; from pathlib import Path; from shapes.collection.board import"
        " full_report\nfrom shapes.files.recipe import read_recipe; from shapes.pictures.board"
        " import SHOWN, as_png, board_picture\nreport ="
        " full_report(read_recipe(Path(sys.argv[1])))\nPath(sys.argv[2]).write_bytes(as_png(board_picture(report),"
        " SHOWN))"
    )
    command = [sys.executable, "-c", code, str(board), str(tmp_path / "board.png")]
    ratio = least(lambda: in_processes(command, rounds=of(4, 2)), 3)
    print(f"board.png, 1600 pixels wide, in a process of its own: {ratio:.2f} times the imports")
    assert ratio <= 3


def test_memory_over_a_finished_sheet() -> None:
    reports = [full_report(drawn(AtRandom(Brief()), 5, k)) for k in range(12)]
    tracemalloc.start()
    finished_sheet(reports, "sheet").png()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    print(f"peak over a finished sheet of twelve: {peak / 1e6:.0f} MB")
    assert peak <= 400e6


def test_help_against_an_empty_app() -> None:
    empty = (
        "import typer\napp = typer.Typer()\n@app.command()\ndef a() -> None: ...\n"
        "@app.command()\ndef b() -> None: ...\napp()"
    )
    unit = [sys.executable, "-c", empty, "--help"]
    ratio = least(lambda: in_processes([*COMMAND, "--help"], unit, rounds=12), 1.3)
    print(f"shapes --help: {ratio:.2f} times an empty two-command app")
    assert ratio <= 1.3


def test_cost_grows_linearly_with_the_pool() -> None:
    source = AtRandom(Brief())
    small, large = (120, 480) if of(1, 0) else (60, 180)
    draws = {n: draw_pool(source, 1, n).attempts for n in (small, large)}

    def ratio_of_costs() -> float:
        cost = {n: best(lambda n=n: draw_pool(source, 1, n), 2) / draws[n] for n in (small, large)}  # type: ignore[misc]
        return cost[large] / cost[small]

    ratio = least(ratio_of_costs, 1.15)
    print(f"cost a draw, pool {large} against {small}: {ratio:.2f}")
    assert ratio <= 1.15


def test_memory_kept_a_candidate_in_a_pool_of_20_000() -> None:
    """Twenty thousand candidates by what one more takes in smaller pools, measured."""
    source = AtRandom(Brief())
    draw_pool(source, 1, 48)
    small, large = of(120, 40), of(480, 160)
    held = {}
    for size in (small, large):
        tracemalloc.start()
        before = tracemalloc.get_traced_memory()[0]
        pool = draw_pool(source, 2, size)
        gc.collect()
        held[len(pool.candidates)] = tracemalloc.get_traced_memory()[0] - before
        tracemalloc.stop()
    (few, less), (many, more) = sorted(held.items())
    kept = (more - less) / (many - few)
    print(f"kept a candidate: {kept / 1000:.2f} kB")
    assert kept <= 8000


def a_polyline(count: int) -> Outline:
    """A paddle as a drawing program might save it: facets all round, none to spare."""
    a = np.arange(count) * 2 * np.pi / count
    r = 130 + 30 * np.sin(2 * a + 1) + 8 * np.sin(7 * a)
    return outline(polygon(np.stack([1.3 * r * np.cos(a), r * np.sin(a)], axis=1)))


def closing_of(board: Outline) -> float:
    quads = quarter_segments(3.0)
    return best(lambda: board.wood.buffer(3, quad_segs=quads).buffer(-3, quad_segs=quads), 3)


def checking(board: Outline, rounds: int = 3) -> float:
    def check() -> None:
        for curve in board.curves:
            curve.memo.clear()
        full_report(DrawnBoard(Brief(), board, "drawn")).as_json("x")

    return best(check, rounds)


def test_checking_an_imported_outline_in_its_own_closings() -> None:
    sizes = (1500, 5000, MOST_POINTS)
    drawn = {n: a_polyline(n) for n in sizes}
    times = {n: checking(b) for n, b in drawn.items()}
    ratios = {n: times[n] / closing_of(b) for n, b in drawn.items()}
    exponent = float(np.polyfit(np.log(sizes), np.log([times[n] for n in sizes]), 1)[0])
    print(
        f"closings by vertices: { {n: round(r) for n, r in ratios.items()} }, exponent"
        f" {exponent:.2f}"
    )
    assert ratios[1500] <= 60
    assert ratios[MOST_POINTS] <= 40
    assert exponent <= 1.2


def test_checking_the_worst_that_is_read() -> None:
    """Hollows all along the edge, and corners all along it, at the stated limits of a drawing."""
    a = np.arange(MOST_POINTS) * 2 * np.pi / MOST_POINTS
    r = 150 + 3 * np.sin(200 * a)
    hollows = outline(polygon(np.stack([r * np.cos(a), r * np.sin(a)], axis=1)))
    count = MOST_CORNERS - 10
    teeth = [(0.3 * i, 0.3 * (i % 2)) for i in range(count)]
    corners = outline(polygon([*teeth, (0.3 * count, -100), (0, -100)]))
    tracemalloc.start()
    ratios = [
        least(lambda b=b: checking(b, 1) / checking(a_polyline(1500)), 150)  # type: ignore[misc]
        for b in (hollows, corners)
    ]
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    print(
        f"check at the limits: {ratios[0]:.0f} and {ratios[1]:.0f} times an imported board, peak"
        f" {peak / 1e6:.0f} MB"
    )
    assert max(ratios) <= 150  # 87 and 69 when written: 11 s where a usual one takes 60 ms
    assert peak < 900e6


def test_memory_of_reading_as_many_vertices_as_are_read(tmp_path: Path) -> None:
    """Bounded by the drawing: under 100 times the bytes of its coordinates."""
    count = MOST_POINTS - 100
    p = a_polyline(count).edge.segments[:, 0]
    text = " ".join(f"{x:.4f},{y:.4f}" for x, y in p)
    path = tmp_path / "many.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="400mm" viewBox="-200 -200 400'
        f' 400"><polygon points="{text}"/></svg>'
    )
    tracemalloc.start()
    drawing = read_drawing(path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert len(drawing.boards[0].edge) == count
    print(f"peak {peak / 1e6:.0f} MB, {peak / (16 * count):.0f} times the coordinates")
    assert peak < 100 * 16 * count

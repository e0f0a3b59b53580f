"""What we write, read back by the readers for any drawing: DXF of arcs and of splines, and SVG."""

from __future__ import annotations

from pathlib import Path

import pytest
from made_boards import boards
from nearest import farthest
from samples import of

from shapes.files.drawing import read_drawing
from shapes.files.dxf import arcs_of, cut_dxf
from shapes.files.svg import cut_svg
from shapes.geometry.curve import flatten
from shapes.geometry.measures import area
from shapes.geometry.outline import Outline, outline, transformed


def assert_same(path: Path, data: bytes, board: Outline, within: float, relative: float) -> None:
    path.write_bytes(data)
    drawing = read_drawing(path)
    assert drawing.notes == ()
    (loops,) = drawing.boards
    back = outline(loops.edge, loops.openings)
    assert len(back.openings) == len(board.openings)
    assert area(back.curves) == pytest.approx(area(board.curves), rel=relative)
    for curve in back.curves:
        ring = flatten(curve, 1e-4)
        best = min(
            (
                max(farthest(ring[::4], [w]), farthest(w[::4], [ring]))
                for w in (flatten(c, 1e-4) for c in board.curves)
            ),
        )
        assert best <= within


@pytest.mark.slow
def test_boards_come_back_as_they_were(tmp_path: Path) -> None:
    for board in boards(of(80, 30), seed=61):
        assert_same(tmp_path / "a.dxf", cut_dxf(board, arcs_of(board)), board, 0.01 + 3e-4, 2e-5)
        assert_same(tmp_path / "s.dxf", cut_dxf(board, None), board, 2e-6 + 3e-4, 1e-9)
        assert_same(tmp_path / "c.svg", cut_svg(board).encode(), board, 2e-6 + 3e-4, 1e-9)


def test_several_boards_in_one_file(tmp_path: Path) -> None:
    some = [transformed(b, shift=(i * 600.0, 0.0)) for i, b in enumerate(boards(3, seed=5))]
    for name, data in (("m.dxf", cut_dxf(some, arcs_of(some))), ("m.svg", cut_svg(some).encode())):
        (tmp_path / name).write_bytes(data)
        back = read_drawing(tmp_path / name)
        assert len(back.boards) == 3
        assert sorted(len(b.openings) for b in back.boards) == sorted(len(b.openings) for b in some)
        total = sum(area([b.edge]) for b in some)
        assert sum(abs(area([b.edge])) for b in back.boards) == pytest.approx(total, rel=2e-5)

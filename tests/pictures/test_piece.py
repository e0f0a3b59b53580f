"""A piece as wood.

Its own log, its defects where they are, boards of the same figure lying in it.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from shapes.collection.brief import Brief, brief_from
from shapes.errors import InputError
from shapes.files.off_cut import read_off_cut
from shapes.geometry.curve import circle
from shapes.geometry.outline import outline
from shapes.library.presets import off_cuts
from shapes.pictures.finished import Picture
from shapes.pictures.piece import piece_log, piece_picture
from shapes.pictures.screen import Screen
from shapes.placing.fitted import brief_on
from shapes.timber.off_cut import KINDS, Defect, OffCut
from shapes.timber.sawn import SAWN


def a_piece(*defects: Defect, grain: float = 0.0, **more: object) -> OffCut:
    shape = shapely.box(100.0, 50.0, 500.0, 250.0)
    return OffCut("test piece", shape, 30.0, "black cherry", grain=grain, defects=defects, **more)  # type: ignore[arg-type]


def round_defect(kind: str, x: float, y: float, r: float) -> Defect:
    return Defect(f"{kind} 1", kind, shapely.Point(x, y).buffer(r), 5.0)


def shown(
    piece: OffCut, *boards: tuple[float, float, float]
) -> tuple[Picture, np.ndarray, np.ndarray]:
    """A picture with round boards (x, y, r) and the middles of its pixels."""
    screen = Screen(90.0, 260.0, 2.0, 840, 440)
    made = piece_picture(
        piece, [(outline(circle((x, y), r)), 6.0, 12.7) for x, y, r in boards], 6.0, screen
    )
    xs, ys = screen.centres()
    x, y = np.meshgrid(xs, ys)
    return made, x, y


@pytest.mark.parametrize("kind", [k for k in KINDS if k not in ("sapwood", "stain", "rot")])
def test_a_defect_is_dark_where_it_is_and_nowhere_else(kind: str) -> None:
    sound, x, y = shown(a_piece())
    flawed, _, _ = shown(a_piece(round_defect(kind, 333.0, 140.0, 15.0)))
    q = np.hypot(x - 333.0, y - 140.0)
    ratio = flawed.light.mean(axis=2) / np.maximum(sound.light.mean(axis=2), 1e-6)
    assert ratio[q < 13].mean() < 0.75
    assert ratio[(q > 90) & (sound.cover == 1)].mean() == pytest.approx(1.0, abs=0.03)


def test_sapwood_is_paler_and_keeps_the_figure() -> None:
    strip = Defect("sapwood 1", "sapwood", shapely.box(100, 200, 500, 250), 0.0)
    sound, x, y = shown(a_piece())
    flawed, _, _ = shown(a_piece(strip))
    inside = (y > 202) & (y < 248) & (x > 102) & (x < 498)
    assert flawed.light[inside].mean() > 1.15 * sound.light[inside].mean()
    a, b = (p.light[inside].mean(axis=1) for p in (sound, flawed))
    assert np.corrcoef(a, b)[0, 1] > 0.95


def test_boards_show_the_figure_of_the_piece_that_they_lie_in() -> None:
    piece = a_piece()
    bare, x, y = shown(piece)
    laid, _, _ = shown(piece, (300.0, 150.0, 70.0))
    q = np.hypot(x - 300.0, y - 150.0)
    inside, slot, beyond = q < 60, (q > 71) & (q < 75), q > 79
    tones = [p.light[inside].mean(axis=1) for p in (bare, laid)]
    assert np.corrcoef(*tones)[0, 1] > 0.85
    assert laid.light[slot].mean() < 0.45 * bare.light[slot].mean()  # the way of the cutter
    assert (laid.light[beyond] == bare.light[beyond]).all()


def test_rings_bend_round_the_knots_of_the_piece() -> None:
    piece = a_piece(round_defect("knot", 333.0, 140.0, 12.0), grain=math.radians(20))
    log = piece_log(piece)
    (knot,) = log.knots
    back = np.array(
        [[math.cos(0.349066), -math.sin(0.349066)], [math.sin(0.349066), math.cos(0.349066)]]
    ) @ (knot.x, knot.y)
    assert back == pytest.approx([333.0, 140.0], abs=0.1)
    assert knot.radius == pytest.approx(13.2, rel=0.01)


def test_the_pith_is_at_its_distance_from_the_piece_wherever_it_was_measured_from() -> None:
    near = piece_log(a_piece(rings=30.0))
    moved = replace(a_piece(rings=30.0), outline=shapely.box(2100.0, 950.0, 2500.0, 1150.0))
    far = piece_log(moved)
    for log, (x, y) in ((near, (300.0, 150.0)), (far, (2300.0, 1050.0))):
        py = log.pith[0] + log.drift[0] * x
        pz = log.pith[1] + log.drift[1] * x
        assert math.hypot(py - y, pz) < 280
        assert math.hypot(py - y, pz) > 60


@pytest.mark.parametrize(("said", "degrees"), [*SAWN.items(), (37, 37.0)])
def test_rings_of_an_off_cut_come_to_its_boards(
    tmp_path: Path, said: str | float, degrees: float
) -> None:
    text = off_cuts()["walnut-end"].read_text()
    word = f'"{said}"' if isinstance(said, str) else said
    path = tmp_path / "piece.toml"
    path.write_text(f"rings = {word}\n" + text)
    piece, _ = read_off_cut(path)
    assert piece.rings == degrees
    assert brief_on(piece, Brief(length=300.0, width=150.0)).rings == degrees


@pytest.mark.parametrize("said", ['"sideways"', "95", "-1", "true", "[1]"])
def test_rings_that_say_nothing_are_told(tmp_path: Path, said: str) -> None:
    path = tmp_path / "piece.toml"
    path.write_text(f"rings = {said}\n" + off_cuts()["walnut-end"].read_text())
    with pytest.raises(InputError, match="rings") as told:
        read_off_cut(path)
    assert len(told.value.problems) == 1


def test_the_unit_of_a_brief_is_stated_or_taken_from_its_length() -> None:
    assert brief_from({"length": "16 1/2 in", "width": 240}).unit == "in"
    assert brief_from({"length": "42 cm"}).unit == "cm"
    assert brief_from({"length": 420}).unit is None
    assert brief_from({"length": "16 in", "unit": "mm"}).unit == "mm"
    again = brief_from(brief_from({"length": "16 in"}).as_table())
    assert (again.unit, again.length) == ("in", 406.4)
    with pytest.raises(InputError, match="unit"):
        brief_from({"unit": "ell"})

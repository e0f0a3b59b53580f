"""Wood as a solid.

Rings where they have to be, figure that runs over the edge, colours of the species.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from made_boards import drawn
from scipy.signal import find_peaks

from shapes.collection.board import full_report
from shapes.collection.brief import Brief
from shapes.collection.pool import AtRandom
from shapes.pictures.finished import body_of
from shapes.pictures.log import Knot, Log, log_of
from shapes.pictures.plank import plank_of
from shapes.timber.species import species_table

SPECIES = species_table()


def still(name: str, **how: float | None) -> Log:
    """A log of a species whose rings do not waver and whose pith runs level."""
    made = log_of(SPECIES[name].look, "5a17e3", reach=200.0, thickness=20.0, **how)  # type: ignore[arg-type]
    return replace(made, look=replace(made.look, waver=0.0), drift=(0.0, 0.0))


def line(y: np.ndarray, x: float = 0.0, z: float = 0.0) -> np.ndarray:
    return np.stack([np.full_like(y, x), y, np.full_like(y, z)], axis=1).astype(np.float32)


@pytest.mark.parametrize("name", SPECIES)
def test_rings_are_as_wide_as_the_species_has_them(name: str) -> None:
    """Over many logs: a mean of the logarithm's spread, a tenth either way."""
    widths = [np.diff(still(name, rings_deg=85.0).rings)]
    widths += [
        np.diff(log_of(SPECIES[name].look, f"{k:06x}", reach=200, thickness=20).rings)
        for k in range(40)
    ]
    assert np.concatenate(widths).mean() == pytest.approx(SPECIES[name].look.ring, rel=0.15)


@pytest.mark.parametrize("name", ["european oak", "black walnut", "wenge"])
def test_a_quarter_sawn_face_shows_a_ring_a_ring_width(name: str) -> None:
    """Rings stand square to the face.

    Across it late wood is darkest once a ring, where the year ends.
    """
    log = replace(still(name, rings_deg=90.0), pith=(-150.0, 0.0))
    y = np.arange(-80, 80, 0.05)
    p = line(y)
    r = log.radius(*p.T)
    assert np.abs(r - (y + 150)).max() < 0.01
    late, _ = log._ring(p[:, 1], p[:, 2], r, log.table(0.05), np.zeros(1, np.float32))
    peaks = y[find_peaks(late, prominence=0.02)[0]] + 150
    rings = log.rings[(log.rings > 71) & (log.rings < 229)]
    assert len(peaks) == pytest.approx(len(rings), abs=0.04 * len(rings))
    assert all(np.abs(peaks - ring).min() < 0.3 for ring in rings if np.abs(rings - ring).max() > 1)


def test_a_flat_sawn_face_has_the_spacing_of_its_pith() -> None:
    """A ring of radius R about a pith q below meets the face at y = sqrt(R^2 - q^2)."""
    q = 90.0
    log = replace(still("white ash", rings_deg=0.0), pith=(0.0, -q))
    y = np.arange(0.0, 120.0, 0.02)
    p = line(y)
    late, _ = log._ring(
        p[:, 1], p[:, 2], log.radius(*p.T), log.table(0.02), np.zeros(1, np.float32)
    )
    at = y[find_peaks(late, prominence=0.02)[0]]
    inside = log.rings[(log.rings > q + 2) & (log.rings < 145)]
    expected = np.sqrt(inside**2 - q**2)
    assert len(expected) > 12
    for e in expected:
        assert np.abs(at - e).min() < 0.35
    gaps = np.diff(expected)
    assert gaps[0] > 2 * gaps[-1]  # broad in the middle, close at the sides: cathedrals


def test_rings_are_round_the_pith_at_every_depth() -> None:
    """R^2 = (y - py)^2 + (z - pz)^2, and the pith drifts along the grain."""
    log = replace(still("white ash"), pith=(30.0, -80.0), drift=(0.02, -0.05))
    rng = np.random.default_rng(3)
    p = rng.uniform((-150, -80, -20), (150, 80, 0), (300, 3)).astype(np.float32)
    x, y, z = p.T.astype(float)
    expected = np.hypot(y - 30.0 - 0.02 * x, z + 80.0 + 0.05 * x)
    assert log.radius(*p.T) == pytest.approx(expected, abs=1e-3)


def test_a_stated_cut_is_kept_and_words_stand_for_it() -> None:
    for asked in (0.0, 30.0, 80.0):
        for key in ("00000a", "f00d11", "123456"):
            log = log_of(SPECIES["white oak"].look, key, reach=200, thickness=20, rings_deg=asked)
            py, pz = log.pith[0], log.pith[1] + 10
            found = math.degrees(math.atan2(abs(py), abs(pz)))
            assert found == pytest.approx(asked, abs=8)


@pytest.mark.parametrize("toward", [-1, 1])
def test_a_board_is_laid_over_the_figure(toward: int) -> None:
    """The axis of the arches is where it is asked; as a rule they close toward the lighter end.

    A line of the face keeps its distance from the pith: off the axis that is reached where it is
    less on the axis, so arches close to where the distance grows.
    """
    look, closing = SPECIES["white ash"].look, 0
    for k in range(200):
        log = log_of(look, f"{k:06x}", reach=220, thickness=18, middle=37.0, toward=toward)
        log = replace(log, look=replace(look, waver=0.0))
        steep = math.degrees(math.atan2(abs(log.pith[0] - 37.0), abs(log.pith[1] + 9)))
        if steep < 14:
            assert log.pith[0] == pytest.approx(37.0, abs=6 + 178 * math.sin(math.radians(5)))
        x, y, z = np.array([[-30, 37, 0], [30, 37, 0]], dtype=np.float32).T
        near, far = log.radius(x, y, z)
        closing += bool((far - near) * toward > 0)
    assert 0.7 * 200 < closing < 0.9 * 200


@pytest.mark.parametrize(("form", "grain"), [("scoop", 0), ("drop", 0), ("mussel", 20)])
def test_the_figure_of_a_board_lies_on_its_middle_of_mass(form: str, grain: float) -> None:
    """By GEOS; the lighter end is the one that lies further from the middle of mass."""
    brief = Brief(length=480, width=230, forms=(form,))
    board = drawn(AtRandom(brief), 4, 0)
    a = math.radians(grain)
    report = full_report(board, a)
    wood = body_of(report).log
    x, y = report.outline.wood.centroid.coords[0]
    x0, _, x1, _ = report.outline.wood.bounds
    stated = log_of(
        wood.look,
        plank_of(report),
        reach=(x1 - x0) / 2,
        thickness=brief.thickness,
        grain=a,
        middle=y * math.cos(a) - x * math.sin(a),
        toward=1 if x < (x0 + x1) / 2 else -1,
    )
    assert wood.pith == pytest.approx(stated.pith, abs=0.02)
    assert wood.drift == stated.drift


def test_the_figure_runs_on_over_the_rounded_edge() -> None:
    """From the face round a quarter of 6 mm and down the wall,
    colour changes no faster than on the face.
    """
    log = log_of(SPECIES["black walnut"].look, "00b0a7", reach=200, thickness=20, rings_deg=20)
    r, step = 6.0, 0.05
    a = np.arange(0, math.pi / 2, step / r)
    face = np.arange(-60, 0, step)
    wall = np.arange(-r, -14, -step)
    y = np.concatenate([face, r * np.sin(a), np.full_like(wall, r)])
    z = np.concatenate([0 * face, r * np.cos(a) - r, wall])
    p = np.stack([0 * y + 11, y, z], axis=1)
    colour, _ = log.colour(p, 0.5)
    change = np.abs(np.diff(colour.astype(float), axis=0)).sum(axis=1)
    joints = [len(face) - 1, len(face) + len(a) - 1]
    for j in joints:
        assert change[j - 2 : j + 3].max() <= np.quantile(change[: len(face) - 2], 0.999)
    # And the face itself is no other wood than the same places of the solid.
    both = log.colour(p[:200], 0.5)[0], log.colour(p, 0.5)[0][:200]
    assert both[0] == pytest.approx(both[1], abs=1e-5)


def test_the_two_ways_to_look_noise_up_agree() -> None:
    """A level face takes one slice of the noise; the same places among others take all of it."""
    log = log_of(SPECIES["white oak"].look, "c0ffee", reach=200, thickness=20)
    rng = np.random.default_rng(2)
    p = np.concatenate([rng.uniform(-150, 150, (500, 2)), np.zeros((500, 1))], axis=1)
    odd = np.concatenate([p, [[0.0, 0.0, -7.3]]])
    assert log.colour(p, 0.7)[0] == pytest.approx(log.colour(odd, 0.7)[0][:-1], abs=2e-5)


@pytest.mark.parametrize("name", SPECIES)
def test_colours_stay_in_the_range_of_the_species(name: str) -> None:
    """Means over a board, as linear light by the square.

    Between late and early wood, a little either way.
    """
    look = SPECIES[name].look
    low, high = (
        np.array([int(c[i : i + 2], 16) / 255 for i in (1, 3, 5)]) ** 2
        for c in (look.late, look.early)
    )
    x, y = np.meshgrid(np.arange(-150, 150, 1.7), np.arange(-70, 70, 0.9))
    p = np.stack([x.ravel(), y.ravel(), 0 * x.ravel()], axis=1)
    for key in ("0000aa", "77f0e1", "b5d33c"):
        colour, _ = log_of(look, key, reach=160, thickness=20).colour(p, 0.8)
        mean = colour.mean(axis=0)
        assert np.isfinite(colour).all()
        assert (mean > 0.72 * low).all()
        assert (mean < 1.1 * high).all()


@pytest.mark.parametrize("name", ["white oak", "black walnut", "zebrano", "european beech"])
def test_what_a_pixel_is_too_coarse_for_is_averaged(name: str) -> None:
    """Coarse pixels are of one tone with fine ones, and calmer than they."""
    log = log_of(SPECIES[name].look, "a1b2c3", reach=160, thickness=20, rings_deg=60)
    tones, spread = [], []
    for pixel in (0.15, 0.9):
        x, y = np.meshgrid(np.arange(-90, 90, 1.31), np.arange(-60, 60, 0.37))
        p = np.stack([x.ravel(), y.ravel(), 0 * x.ravel()], axis=1)
        colour, _ = log.colour(p, pixel)
        tones.append(colour.mean())
        spread.append(colour.mean(axis=1).std())
    assert tones[1] == pytest.approx(tones[0], rel=0.06)
    assert spread[1] < spread[0]


def test_grain_turns_the_figure_with_it() -> None:
    look = SPECIES["white ash"].look
    level, turned = (log_of(look, "00ab12", reach=160, thickness=20, grain=g) for g in (0.0, 0.7))
    p = np.random.default_rng(1).uniform(-80, 80, (400, 3)) * (1, 1, 0)
    c, s = math.cos(0.7), math.sin(0.7)
    q = p @ np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]])
    assert turned.colour(q.astype(np.float32), 0.5)[0] == pytest.approx(
        level.colour(p.astype(np.float32), 0.5)[0], abs=0.02
    )


def test_rings_part_round_a_knot_and_none_runs_through() -> None:
    """A stream round a cylinder.

    What comes to its rim along the middle line stays on the middle line.
    """
    log = replace(still("black cherry", rings_deg=85.0), knots=(Knot(20.0, 5.0, 9.0),))
    far = line(np.array([5.0, 40.0, -30.0]), x=-150.0)
    assert log.places(far)[1] == pytest.approx([5.0, 40.0, -30.0], abs=0.35)
    rim = np.array(
        [[20 + 1.4 * 9 * math.cos(a), 5 + 9 * math.sin(a), 0] for a in np.linspace(0, 6.2, 40)],
        dtype=np.float32,
    )
    assert log.places(rim)[1] == pytest.approx(5.0, abs=1e-3)
    above = log.places(line(np.array([16.0]), x=20.0))[1]
    assert 5.0 < float(above[0]) < 16.0


def test_no_two_logs_are_alike_and_one_is_always_itself() -> None:
    look = SPECIES["black walnut"].look
    p = line(np.linspace(-60, 60, 90), x=5.0)
    one, same, other = (
        log_of(look, k, reach=160, thickness=20).colour(p, 0.5)[0]
        for k in ("00000a", "00000a", "00000b")
    )
    assert (one == same).all()
    assert np.abs(one - other).mean() > 0.005

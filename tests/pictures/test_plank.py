"""The plank that a board is shown of."""

from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from made_boards import drawn
from PIL import Image
from scipy.ndimage import uniform_filter

from shapes.collection.board import DrawnBoard, Report, full_report
from shapes.collection.brief import Brief
from shapes.collection.pool import AtRandom
from shapes.files.recipe import digest
from shapes.geometry.curve import polygon
from shapes.geometry.outline import outline
from shapes.pictures import plank
from shapes.pictures.finished import body_of, png_of, wide
from shapes.pictures.log import Log
from shapes.pictures.plank import PLANKS, clearness, log_at, plank_of
from shapes.timber.species import species_table


@pytest.fixture(scope="module")
def report() -> Report:
    brief = Brief(length=470, width=226, species="black walnut", forms=("drop",))
    return full_report(drawn(AtRandom(brief), 11, 2))


def places(x: float = 240.0, y: float = 110.0, step: float = 5.0) -> np.ndarray:
    at = np.meshgrid(np.arange(-x, x, step), np.arange(-y, y, step))
    return np.stack([*(v.ravel() for v in at), np.zeros(at[0].size)], axis=1).astype(np.float32)


def straight(
    wood: str,
    pith: tuple[float, float] = (3.0, -90.0),
    drift: tuple[float, float] = (0.0, 0.11),
) -> Log:
    """Make a log whose rings run even and do not waver."""
    look = replace(species_table()[wood].look, waver=0.0)
    return Log(look, pith, drift, np.arange(0, 900, look.ring), (1.0, 2.0, 3.0))


def test_it_is_the_clearest_of_those_that_the_recipe_names(
    report: Report, monkeypatch: pytest.MonkeyPatch
) -> None:
    chosen = plank_of(report)
    first = int(digest(report.board), 16)
    names = [f"{first + k:06x}" for k in range(PLANKS)]
    assert chosen in names
    asked: list[float] = []

    def asking(log: Log, at: np.ndarray, beside: np.ndarray) -> float:
        assert at.shape == (len(beside), 3)
        asked.append(log.pith[0])
        return log.pith[0]

    monkeypatch.setattr(plank, "clearness", asking)
    assert plank_of(report) == names[int(np.argmax(asked))]
    assert body_of(report, log=names[3]).log.pith == log_at(report, names[3]).pith


def test_the_last_key_is_followed_by_the_first(
    report: Report, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Six hexadecimal digits, also where the recipe's own are nearly all f."""
    monkeypatch.setattr(plank, "digest", lambda board: "fffffe")
    monkeypatch.setattr(plank, "clearness", lambda log, at, beside: 0.0)
    assert plank_of(report) == "fffffe"
    asked: list[str] = []
    monkeypatch.setattr(plank, "log_at", lambda report, key: asked.append(key))
    plank_of(report)
    assert asked[:4] == ["fffffe", "ffffff", "000000", "000001"]


def test_figure_that_faces_both_ways_counts_against_a_plank() -> None:
    """Moved along by half a board, the rings' crest lies in the middle: half of it faces back.

    By the geometry of a cone: with its axis rising by 0.11 a mm from 90 mm under the face at x = 0,
    depth falls to nothing at x = 90 / 0.11 and rises beyond.
    """
    one_way = straight("white ash", pith=(0.0, -90.0), drift=(0.0, 0.11))
    crest = straight("white ash", pith=(0.0, 0.001), drift=(0.0, 0.11))
    at = places()
    assert clearness(one_way, at, np.zeros(len(at), bool)) == pytest.approx(0.0, abs=0.02)
    assert clearness(crest, at, np.zeros(len(at), bool)) == pytest.approx(-4 * 0.5, abs=0.1)


def test_a_plank_sawn_on_the_quarter_shows_no_arches_and_counts_as_if_half_faced_back() -> None:
    at = places()
    stripes = straight("white ash", pith=(170.0, -9.0), drift=(0.0, 0.012))
    assert clearness(stripes, at, np.zeros(len(at), bool)) == pytest.approx(-4 * 0.5, abs=0.02)


def test_rings_that_waver_count_against_a_plank() -> None:
    at = places()
    calm = straight("white ash")
    shaken = replace(calm, look=replace(calm.look, waver=1.5))
    assert (
        clearness(shaken, at, np.zeros(len(at), bool))
        < clearness(calm, at, np.zeros(len(at), bool)) - 0.3
    )


def test_faint_wood_counts_less_than_clear_wood_and_enough_is_enough() -> None:
    at, clear = places(), straight("black walnut")
    values = [
        clearness(
            replace(clear, look=replace(clear.look, contrast=c, streak=c / 2)),
            at,
            np.zeros(len(at), bool),
        )
        for c in (0.0, 0.1, 0.3, 0.8)
    ]
    assert values == sorted(values)
    assert values[0] < 0.6
    assert values[-1] < 2.5 + 1e-9
    bold = straight("white ash")  # its lines are bold on any plank: contrast does not count
    plain = replace(bold, look=replace(bold.look, contrast=0.0))
    assert clearness(bold, at, np.zeros(len(at), bool)) == clearness(
        plain, at, np.zeros(len(at), bool)
    )


@pytest.mark.parametrize("rings", ["flat-sawn", "quarter-sawn"])
@pytest.mark.parametrize("wood", ["black walnut", "white ash"])
def test_a_strip_that_no_place_lies_in_is_shown_of_the_first(wood: str, rings: str) -> None:
    """2 mm wide, as a line of somebody's drawing may be."""
    strip = outline(polygon([(-1.5, -1), (1.5, -1), (1.5, 1), (-1.5, 1)]))
    brief = Brief(species=wood, rings={"flat-sawn": 0.0, "quarter-sawn": 90.0}[rings])
    thin = full_report(DrawnBoard(brief, strip, "strip"))
    assert plank_of(thin) == digest(thin.board)
    assert plank_of(full_report(drawn(AtRandom(brief), 3, 1)))


@pytest.mark.parametrize("wood", ["black walnut", "black cherry"])
def test_a_board_shows_more_figure_than_planks_at_random(wood: str) -> None:
    """Judged on the picture itself, by scipy.ndimage: the spread of lightness, patch by patch."""

    def figure(report: Report, key: str) -> float:
        pixels = np.asarray(
            Image.open(BytesIO(png_of(wide(body_of(report, log=key), 260).pixels))).convert("L")
        ).astype(float)
        light = np.log(np.maximum(pixels, 1.0))
        inside = uniform_filter((pixels < 215).astype(float), 45) > 0.999
        mean = uniform_filter(light, 22)
        spread = np.sqrt(np.maximum(uniform_filter(light**2, 22) - mean**2, 0))
        return float(np.median(spread[inside]) + mean[inside].std())

    more = []
    for seed in (2, 5, 9):
        brief = Brief(length=490, width=240, species=wood, forms=("mussel", "bell", "drop"))
        report = full_report(drawn(AtRandom(brief), seed, seed % 3))
        first = int(digest(report.board), 16)
        every = [figure(report, f"{first + k:06x}") for k in range(PLANKS)]
        more.append(figure(report, plank_of(report)) / np.mean(every))
    assert np.mean(more) > 1.15
    assert min(more) > 1.0

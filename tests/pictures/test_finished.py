"""Finished boards on sheets and alone.

The same pixels everywhere, marks on their face, words that are asked for.
"""

from __future__ import annotations

import base64
import hashlib
import io
import re
import subprocess
import sys
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from made_boards import drawn
from PIL import Image
from processes import ROOT

from shapes.checks import SAYS, WARNS
from shapes.checks.finding import FAIL, WARN
from shapes.collection.board import Report, full_report
from shapes.collection.brief import Brief
from shapes.collection.pool import AtRandom
from shapes.files.marking import Marking, mark
from shapes.files.recipe import digest
from shapes.geometry.outline import bounds
from shapes.pictures import finished, sheet
from shapes.pictures.beside import THINGS, beside
from shapes.pictures.board import Shown, as_png, board_picture
from shapes.pictures.finished import Marked, body_of, drawn_marks, jpeg_of, picture, wide
from shapes.pictures.light import lit
from shapes.pictures.plain import contact_sheet
from shapes.pictures.sheet import PIXELS, finished_sheet
from shapes.pictures.surface import LEAN


@pytest.fixture(scope="module")
def reports() -> list[Report]:
    return [
        full_report(replace(drawn(AtRandom(Brief()), 3, k), name=f"one & <{k}>")) for k in range(3)
    ]


def test_the_same_pixels_in_any_process_and_on_any_number_of_threads(
    reports: list[Report], monkeypatch: pytest.MonkeyPatch
) -> None:
    pictures = []
    for threads in (1, 2, 5):
        monkeypatch.setattr(finished, "THREADS", threads)
        pictures.append([p.tobytes() for _, _, p in finished_sheet(reports, "sheet").pictures])
    assert pictures[0] == pictures[1] == pictures[2]
    script = (
        "import sys, hashlib; sys.path.insert(0, 'tests')\n"
        "from dataclasses import replace\n"
        "from made_boards import drawn\n"
        "from shapes.collection.board import full_report\n"
        "from shapes.collection.brief import Brief\n"
        "from shapes.collection.pool import AtRandom\n"
        "from shapes.pictures.finished import body_of, wide\n"
        "made = wide(body_of(full_report(drawn(AtRandom(Brief()), 3, 1))), 333).pixels\n"
        "print(hashlib.sha256(made.tobytes()).hexdigest())"
    )
    other = subprocess.run(
        [sys.executable, "-c", script], check=True, capture_output=True, text=True, cwd=ROOT
    )
    here = hashlib.sha256(wide(body_of(reports[1]), 333).pixels.tobytes()).hexdigest()
    assert other.stdout.strip() == here


def test_a_picture_is_as_wide_as_asked_and_the_board_in_its_middle(reports: list[Report]) -> None:
    for pixels in (200, 777, 1600):
        made = wide(body_of(reports[0]), pixels)
        assert made.pixels.shape[1] == pixels
        columns = np.flatnonzero((made.cover > 0.5).any(axis=0))
        assert abs(columns[0] - (pixels - 1 - columns[-1])) <= 2
        x0, _, x1, _ = bounds(reports[0].outline)
        assert len(columns) == pytest.approx((x1 - x0) * made.screen.scale, abs=2)


def test_without_a_ground_the_board_is_whole_and_the_corners_are_clear(
    reports: list[Report],
) -> None:
    data = as_png(board_picture(reports[0], Shown(500, True)), Shown(500, True))
    with Image.open(io.BytesIO(data)) as made:
        assert made.mode == "RGBA"
        pixels = np.array(made)
    on = wide(body_of(reports[0]), 500)
    assert (pixels[on.cover == 1][:, 3] == 255).all()
    assert (pixels[on.cover == 1][:, :3] == on.pixels[on.cover == 1]).all()
    assert pixels[0, 0, 3] < 12
    ground = (on.cover == 0) & (on.kept > 0.15)
    assert (pixels[ground][:, 3] > 5).all()  # its shadow comes with it
    assert pixels[ground][:, :3].max() <= 2


def test_the_underside_is_the_other_side_of_the_same_wood(reports: list[Report]) -> None:
    """Turned over on its long edge.

    The upper face at (x, y, 0), the underside at (x, -y, -thickness).
    """
    key = digest(reports[1].board)
    top, under = (body_of(reports[1], under=u, log=key) for u in (False, True))
    x0, y0, x1, y1 = bounds(top.outline)
    assert bounds(under.outline) == pytest.approx((x0, -y1, x1, -y0))
    assert under.log.pith == top.log.pith
    assert (under.log.rings == top.log.rings).all()
    screen = under.screen(1.2)
    on = under.seen(screen)
    made = under.light(on)[on.at[: on.flat]]
    p = on.place[: on.flat] * (1, -1, 1) - (0, 0, under.thickness)
    wood, _ = top.log.colour(p.astype(np.float32), 1 / screen.scale)
    # What the light makes of each tone of the wood is the same everywhere on a flat face, but for
    # the sheen that lies over it and a little falling off across the board.
    seen, tone = made.mean(axis=1), wood.mean(axis=1)
    assert np.corrcoef(seen, tone)[0, 1] > 0.9
    factor, sheen = np.polyfit(tone, seen, 1)
    off = np.abs(seen - (factor * tone + sheen)) / seen
    assert np.quantile(off, 0.95) < 0.12
    assert factor > 0.9
    other, _ = top.log.colour(
        (on.place[: on.flat] * (1, -1, 1)).astype(np.float32), 1 / screen.scale
    )
    assert np.corrcoef(seen, other.mean(axis=1))[0, 1] < 0.9


class Asked:
    """A log that keeps what places it was asked for."""

    def __init__(self) -> None:
        """Begin with none."""
        self.places: list[np.ndarray] = []
        self.grain = 0.0

    def table(self, pixel: float) -> None:
        """Nothing to blur."""

    def colour(self, p: np.ndarray, *rest: object) -> tuple[np.ndarray, np.ndarray]:
        """Grey wood."""
        self.places.append(p)
        return np.full((len(p), 3), 0.3, dtype=np.float32), np.zeros(len(p), dtype=np.float32)


@pytest.mark.parametrize("under", [False, True])
def test_every_pixel_takes_its_wood_from_where_it_is_in_the_board(
    reports: list[Report], under: bool
) -> None:
    """Seen u deep with the underside up, a place is u above
    the underside, and mirrored in the long edge.
    """
    log = Asked()
    body = replace(body_of(reports[0], under=under), log=log)  # type: ignore[arg-type]
    on = body.seen(body.screen(1.1))
    body.light(on)
    asked = np.concatenate(log.places)
    x, y, z = on.place.T
    expected = [x, -y, -body.thickness - z] if under else [x, y, z]
    assert asked == pytest.approx(np.stack(expected, axis=1), abs=1e-4)
    assert asked[:, 2].min() < -0.5 * body.thickness < asked[:, 2].max()


def test_end_grain_is_darker_than_the_sides_whichever_way_the_grain_runs() -> None:
    """Upright edges in the same light, told apart by the grain alone."""
    grey, level = np.full((1, 3), 0.3, dtype=np.float32), np.zeros(1, dtype=np.float32)
    for way in (0.0, 1.1, 2.5):
        normal = np.array([[np.cos(way), np.sin(way), 0.0]], dtype=np.float32)
        end, side, none = (
            lit(grey, level, normal, grain=g).sum() for g in (way, way + np.pi / 2, None)
        )
        assert end < 0.85 * side
        assert none == pytest.approx(side, rel=1e-5)


def test_a_mark_is_shown_on_the_face_that_it_is_on(reports: list[Report]) -> None:
    burnt = mark(reports[0], Marking("engraving", "Oak", face="underside"), "board", None)
    printed = mark(reports[0], Marking("print", "Elm", face="underside"), "board", burnt)
    made = drawn_marks((burnt, printed), "#ff0000", under=True)
    assert [m.ink for m in made] == [None, (1.0, 0.0, 0.0)]
    assert drawn_marks((burnt, printed), "#ff0000", under=False) == []
    eating = mark(reports[0], Marking("engraving", "Oak", face="eating"), "board", None)
    (one,) = drawn_marks((eating, None), "#ff0000", under=False)
    assert one.ink is None
    assert drawn_marks((eating, None), "#ff0000", under=True) == []
    with_it = board_picture(reports[0], Shown(600), (burnt, printed), under=True).light
    without = board_picture(reports[0], Shown(600), under=True).light
    assert 0.01 < (np.abs(with_it - without).max(axis=2) > 0.05).mean() < 0.3


def test_marks_are_burnt_or_printed_where_they_are_and_nowhere_else(reports: list[Report]) -> None:
    ring = np.array([[-30.0, -12.0], [10.0, -12.0], [10.0, 9.0], [-30.0, 9.0]])
    key = digest(reports[0].board)
    plain = wide(body_of(reports[0], log=key), 700)
    x, y = plain.screen.centres()
    inside = (x[None] > -29) & (x[None] < 9) & (y[:, None] > -11) & (y[:, None] < 8)
    outside = (x[None] < -31) | (x[None] > 11) | (y[:, None] < -13) | (y[:, None] > 10)
    burnt, printed = (
        wide(body_of(reports[0], [Marked([ring], ink)], log=key), 700)
        for ink in (None, (0.02, 0.05, 0.4))
    )
    for made in (burnt, printed):
        assert (made.pixels[outside] == plain.pixels[outside]).all()
    assert burnt.light[inside].mean() < 0.45 * plain.light[inside].mean()
    red, _, blue = printed.light[inside].mean(axis=0)
    assert blue > 2 * red
    assert wide(body_of(reports[0], under=True), 700).pixels.mean() > 0


def test_the_sheet_says_name_size_mass_and_no_machine_words(reports: list[Report]) -> None:
    made = finished_sheet(reports, "A & B <sheet>").svg().decode()
    text = " ".join(re.findall(r"<text[^>]*>([^<]*)</text>", made))
    assert "A &amp; B &lt;sheet&gt;" in text
    assert "one &amp; &lt;0&gt;" in text
    assert "black walnut, 20 mm thick, oiled" in text
    for report in reports:
        l, w = report.subject.box  # noqa: E741
        assert f"{l:.0f} x {w:.0f} mm, {report.subject.mass:.2f} kg" in text
    assert "cutter" not in text
    assert "rounded over" not in text
    assert "cutter" in contact_sheet(reports, "plain", 1)


def test_sizes_are_in_the_unit_the_brief_was_written_in(reports: list[Report]) -> None:
    board = replace(reports[0].board, brief=replace(reports[0].board.brief, unit="in"))
    text = " ".join(sheet.caption(replace(reports[0], board=board), 1))
    l, w = reports[0].subject.box  # noqa: E741
    shown = re.match(
        r"([\d /]+) x ([\d /]+) in, ([\d.]+) lb",
        text.split("  ")[-1].split(reports[0].board.name)[-1].strip(),
    )
    assert shown is not None
    for said, true in zip(shown.groups()[:2], (l, w), strict=True):
        assert abs(float(sum(Fraction(p) for p in said.split())) * 25.4 - true) <= 25.4 / 32 + 1e-9
    assert float(shown[3]) * 0.45359237 == pytest.approx(reports[0].subject.mass, abs=0.003)


def test_what_warns_or_is_tight_stands_under_the_board(reports: list[Report]) -> None:
    one = reports[0]
    said = [replace(f, verdict=WARN) if f.check == "weight" else f for f in one.findings]
    assert "heavy" in " ".join(sheet.caption(replace(one, findings=said), 1))
    failed = [replace(f, verdict=FAIL) if f.check == "weight" else f for f in one.findings]
    assert "FAILS weight" in " ".join(sheet.caption(replace(one, findings=failed), 1))
    assert set(WARNS) == set(SAYS)
    for largest, told in ((6.5, True), (7.5, False)):
        tight = [replace(f, measured=largest) if f.check == "cutter" else f for f in one.findings]
        assert ("cutter to" in " ".join(sheet.caption(replace(one, findings=tight), 1))) == told


def test_what_warns_of_all_is_said_once(reports: list[Report]) -> None:
    def heavy(r: Report) -> Report:
        return replace(
            r, findings=[replace(f, verdict=WARN) if f.check == "weight" else f for f in r.findings]
        )

    calm = [replace(r, findings=[f for f in r.findings if f.verdict != WARN]) for r in reports]
    for made, count in (([heavy(r) for r in calm], 1), ([heavy(calm[0]), *calm[1:]], 1), (calm, 0)):
        text = finished_sheet(made, "sheet").words
        assert text.count("heavy") == count
        assert ("all: heavy" in text) == (made[1].findings != calm[1].findings)


def test_a_finished_sheet_shows_every_board_to_one_scale_and_covers_no_words(
    reports: list[Report],
) -> None:
    made = finished_sheet(reports, "sheet")
    with Image.open(io.BytesIO(made.png())) as png:
        page = np.array(png.convert("RGB"))
    assert page.shape[1] == PIXELS
    longs = []
    for (x, y, p), report in zip(made.pictures, reports, strict=True):
        assert (page[y : y + p.shape[0], x : x + p.shape[1]] == p).all()
        dark = np.flatnonzero((p.max(axis=2) < 200).any(axis=0))
        longs.append((dark[-1] - dark[0] + 1) / report.subject.box[0])
    assert max(longs) / min(longs) < 1.02
    empty = replace(made, pictures=())
    with Image.open(io.BytesIO(empty.png())) as png:
        words = np.array(png.convert("RGB"))
    for x, y, p in made.pictures:  # no letter is under a picture
        assert words[y : y + p.shape[0], x : x + p.shape[1]].min() > 235


def test_no_shadow_hides_a_word(reports: list[Report]) -> None:
    """The ground of a picture may lie over title, scale and grain: they are seen all the same."""
    made = finished_sheet(reports, "sheet")
    with Image.open(io.BytesIO(replace(made, pictures=()).png())) as png:
        words = np.array(png.convert("RGB"))
    ground = np.full((700, PIXELS, 3), words[0, 0], dtype=np.uint8)
    with Image.open(io.BytesIO(replace(made, pictures=((0, 0, ground),)).png())) as png:
        assert (np.array(png.convert("RGB")) == words).all()
    assert words[:300, -500:].min() < 100
    text = made.svg().decode()
    assert text.rindex("<image") < text.index("<text")
    assert text.index("<rect") < text.index("<image")


def test_the_svg_holds_the_same_pictures(reports: list[Report]) -> None:
    made = finished_sheet(reports, "sheet")
    found = re.findall(r'href="data:image/jpeg;base64,([^"]+)"', made.svg().decode())
    assert [base64.b64decode(f) for f in found] == [jpeg_of(p) for _, _, p in made.pictures]


@pytest.mark.parametrize(
    ("thing", "long", "wide_"), [("plate", 260, 260), ("loaf", 280, 120), ("hand", None, 230)]
)
def test_things_of_known_size_are_true_to_scale(
    reports: list[Report], thing: str, long: float | None, wide_: float
) -> None:
    assert thing in THINGS
    body = body_of(reports[0])
    made = beside(body, thing, 900)
    assert made.pixels.shape[1] == 900
    scale = made.screen.scale
    there = made.cover > 0.5
    columns = np.flatnonzero(there.any(axis=0))
    gap = int(columns[np.flatnonzero(np.diff(columns) > 10)[-1]]) + 5
    alone = there[:, gap:]
    seen = np.flatnonzero(alone.any(axis=0)), np.flatnonzero(alone.any(axis=1))
    if long is not None:
        assert len(seen[0]) / scale == pytest.approx(long, abs=4)
    assert len(seen[1]) / scale == pytest.approx(wide_, rel=0.16)  # and its height, leaning
    x0, _, x1, _ = bounds(body.outline)
    assert np.count_nonzero(there[:, :gap].any(axis=0)) / scale == pytest.approx(x1 - x0, abs=1.5)


def test_the_edge_is_seen_below_the_face_as_thick_as_it_is(reports: list[Report]) -> None:
    for thickness in (14.0, 30.0):
        board = replace(
            reports[0].board, brief=replace(reports[0].board.brief, thickness=thickness)
        )
        body = body_of(full_report(board))
        made = picture(body, body.screen(2.0))
        rows = np.flatnonzero((made.cover > 0.5).any(axis=1))
        _, y0, _, y1 = bounds(body.outline)
        r = min(body.round_over, thickness / 2)
        expected = y1 - y0 + LEAN * (thickness - 2 * r) + 2 * r * (np.hypot(1, LEAN) - 1)
        assert len(rows) / 2.0 == pytest.approx(expected, abs=1.0)


def test_line_drawings_are_there_still(reports: list[Report], tmp_path: Path) -> None:
    text = contact_sheet(reports, "plain", 1)
    assert "<image" not in text
    assert text.count("<clipPath") == len(reports)

"""The pictures in gallery/ are what the tool makes now."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from shapes.cli.app import run
from shapes.cli.common import presets

GALLERY = Path(__file__).parents[2] / "gallery"


def test_there_is_a_sheet_of_every_preset() -> None:
    assert {p.stem for p in GALLERY.glob("*.svg")} == set(presets())
    more = {"artwork-reach", "artwork-mended"}
    more |= {"off-cut-live-edge-cherry", "off-cut-live-edge-cherry-placed", "worksheet"}
    assert {p.stem for p in GALLERY.glob("*.png")} == set(presets()) | more


def test_a_sheet_made_again_has_the_same_numbers(tmp_path: Path) -> None:
    out = tmp_path / "boards"
    assert run(["generate", "--preset", "fruit-stones", "--out", str(out)]) == 0
    made, kept = out / "contact-sheet.svg", GALLERY / "fruit-stones.svg"
    number = re.compile(r"-?\d+(?:\.\d+)?")
    a, b = (path.read_text(encoding="utf-8") for path in (made, kept))
    assert number.sub("", a) == number.sub("", b)
    left, right = (np.array(number.findall(text), dtype=float) for text in (a, b))
    assert len(left) > 1000
    assert left == pytest.approx(right, abs=1e-4)
    with (
        Image.open(out / "contact-sheet.png") as one,
        Image.open(GALLERY / "fruit-stones.png") as two,
    ):
        assert one.size == two.size
        tones = [np.asarray(i.convert("RGB"), dtype=float).mean(axis=(0, 1)) for i in (one, two)]
    assert tones[0] == pytest.approx(tones[1], abs=2.0)

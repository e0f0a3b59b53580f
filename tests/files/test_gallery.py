"""The pictures in gallery/ are what the tool makes now."""

from __future__ import annotations

import base64
import io
import re
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from shapes.cli.app import run
from shapes.library.presets import briefs

GALLERY = Path(__file__).parents[2] / "gallery"


def test_there_is_a_sheet_of_every_preset() -> None:
    assert {p.stem for p in GALLERY.glob("*.svg")} == set(briefs())
    more = {"board-beside-plate", "board-underside"}
    more |= {"off-cut-live-edge-cherry", "off-cut-live-edge-cherry-placed"}
    more |= {"page-choose", "page-shape", "page-piece"}
    assert {p.stem for p in GALLERY.glob("*.jpg")} == set(briefs()) | more
    drawn = {"artwork-reach", "artwork-mended", "worksheet"}
    assert {p.stem for p in GALLERY.glob("*.png")} == drawn


def test_a_sheet_made_again_has_the_same_numbers(tmp_path: Path) -> None:
    out = tmp_path / "boards"
    assert run(["generate", "--preset", "fruit-stones", "--out", str(out)]) == 0
    made, kept = out / "contact-sheet.svg", GALLERY / "fruit-stones.svg"
    number = re.compile(r"-?\d+(?:\.\d+)?")
    image = re.compile(r"data:image/jpeg;base64,([^\"]+)")
    texts = [path.read_text(encoding="utf-8") for path in (made, kept)]
    a, b = (image.sub("", text) for text in texts)
    assert number.sub("", a) == number.sub("", b)
    left, right = (np.array(number.findall(text), dtype=float) for text in (a, b))
    assert len(left) > 100
    assert left == pytest.approx(right, abs=1e-4)
    boards = [[_pixels(data) for data in image.findall(text)] for text in texts]
    assert len(boards[0]) == len(boards[1]) == 12
    for one, two in zip(*boards, strict=True):
        assert one.shape == two.shape
        assert np.abs(one - two).mean() < 1.0


def _pixels(data: str) -> np.ndarray:
    with Image.open(io.BytesIO(base64.b64decode(data))) as image:
        return np.asarray(image, dtype=float)

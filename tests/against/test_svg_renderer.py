"""Areas of made SVG drawings against resvg, a renderer of static SVG that others wrote."""

from __future__ import annotations

import io
import random
from pathlib import Path

import numpy as np
import pytest
import resvg
from made_drawings import made
from PIL import Image

from shapes.errors import InputError
from shapes.files.drawing import read_drawing
from shapes.files.svg_view import PX
from shapes.geometry.curve import bounds
from shapes.geometry.measures import area, length

_ROWS = (1.0, 0.0, 0.0, 0.0, 1.0, 0.0)  # the matrix that changes nothing, row by row

EDGE = 0.1  # px: what its anti-aliasing may add or take at an edge; measured, at most 0.082


def pixels(text: str) -> tuple[float, tuple[int, int], tuple[int, int, int, int] | None]:
    """Area that is inked, in px, the size of the page, and the box of the ink."""
    tree = resvg.usvg.Tree.from_str(text, resvg.usvg.Options.default())
    picture = Image.open(io.BytesIO(bytes(resvg.render(tree, _ROWS))))
    ink = picture.convert("RGBA").getchannel("A")
    return float(np.asarray(ink).sum()) / 255, tree.int_size(), ink.getbbox()


@pytest.mark.parametrize("start", range(0, 300, 60))
def test_areas_of_made_drawings(tmp_path: Path, start: int) -> None:
    compared = 0
    for seed in range(start, start + 60):
        text = made(random.Random(seed))
        path = tmp_path / "one.svg"
        path.write_text(text, encoding="utf-8")
        inked, (wide, high), box = pixels(text)
        found = read_drawing(path, "px")
        whole = [c for b in found.boards for c in (b.edge, *b.openings)]
        mine = sum(
            abs(area([b.edge])) - sum(abs(area([c])) for c in b.openings) for b in found.boards
        )
        boxes = np.array([bounds(c) for c in whole]) / PX
        spans = boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)
        # A shape that a page cuts off has less ink there: only whole ones are compared.
        if (spans > (wide - 4, high - 4)).any() or inked == 0:
            continue
        around = sum(length(c) for c in whole) / PX
        if abs(mine / PX**2 - inked) > EDGE * around:
            cut = box is None or min(box[:2]) == 0 or box[2] >= wide or box[3] >= high
            assert cut, f"seed {seed}: {mine / PX**2:.1f} px for {inked:.1f}\n{text}"
            continue
        compared += 1
    assert compared > 40


def test_the_comparison_sees_a_hundredth() -> None:
    page = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="500" height="400"><rect x="9" y="9"'
        ' width="{}" height="200"/></svg>'
    )
    assert pixels(page.format(300))[0] == pytest.approx(60000, abs=1)
    assert pixels(page.format(303))[0] == pytest.approx(60600, abs=1)


BOX = '<rect x="10" y="10" width="100" height="50"/>'


@pytest.mark.parametrize(
    ("size", "mm"),
    # a side that is not stated follows from the viewBox (CSS 2.1, 10.3.2: by the intrinsic ratio)
    [
        ('width="300mm" viewBox="0 0 600 200"', 0.5),
        ('height="100mm" viewBox="0 0 600 200"', 0.5),
        ('width="300mm" height="auto" viewBox="0 0 600 200"', 0.5),
        ('width="300mm" height="100%" viewBox="0 0 600 200"', 0.5),
        ('width="auto" height="100mm" viewBox="0 0 600 200"', 0.5),
        ('style="width:300mm" viewBox="0 0 600 200"', 0.5),
        ('width="300mm" height="300mm" viewBox="0 0 600 200"', 0.5),
        (
            (
                'width="300mm" height="300mm" viewBox="0 0 600 200" preserveAspectRatio="defer'
                ' xMinYMax slice"'
            ),
            1.5,
        ),
    ],
)
def test_a_page_of_which_one_side_is_stated(tmp_path: Path, size: str, mm: float) -> None:
    path = tmp_path / "page.svg"
    path.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{BOX}</svg>')
    found = read_drawing(path)
    assert abs(area([found.boards[0].edge])) == pytest.approx(5000 * mm * mm, rel=1e-9)


@pytest.mark.parametrize(
    ("body", "says"),
    [
        ('<rect width="2em" height="9"/>', "has a width in 'em'"),
        ('<rect width="-5" height="9"/>', "a <rect> with a negative width"),
        ('<circle r="-5"/>', "a <circle> with a negative r"),
        (
            '<rect width="9" height="9" style="transform: rotate(3deg)"/>',
            "sets transform of a <rect> by a style",
        ),
        ('<path style="d: path(&quot;M0 0h9v9z&quot;)"/>', "sets d of a <path> by a style"),
        (
            '<g transform="turn(3)"><rect width="9" height="9"/></g>',
            "has a transform that is none: 'turn(3)'",
        ),
        (
            '<g transform="rotate(3"><rect width="9" height="9"/></g>',
            "has a transform that is none",
        ),
        ('<path d="M0 0 L9"/>', "path data that ends too soon"),
        ('<svg viewBox="0 0 9"><rect width="9" height="9"/></svg>', "has a viewBox of '0 0 9'"),
        ('<polygon points="0,0 9,nine"/>', "has points that are no numbers"),
        ('<rect width="wide" height="9"/>', "has a width that is no length: 'wide'"),
    ],
)
def test_what_is_not_read_is_refused_by_its_name(tmp_path: Path, body: str, says: str) -> None:
    path = tmp_path / "odd.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300'
        f' 200">{body}</svg>'
    )
    with pytest.raises(InputError) as caught:
        read_drawing(path)
    assert says in str(caught.value)


def test_an_unused_symbol_is_not_cut(tmp_path: Path) -> None:
    path = tmp_path / "kept.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300'
        f' 200"><symbol id="s" viewBox="0 0 200 100">{BOX}</symbol><use href="#s" width="100"'
        ' height="50"/></svg>'
    )
    found = read_drawing(path)
    assert len(found.boards) == 1
    assert abs(area([found.boards[0].edge])) == pytest.approx(5000 / 4)


HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300 200"'
OPEN = '<path d="M20 10 H280 Q295 80 270 150 H30"/>'


@pytest.mark.parametrize(
    ("text", "says"),
    # what the outermost svg says of ink holds in it; keywords have no case; a transform there is
    # refused
    [
        (f'{HEAD} fill="none" stroke="black">{OPEN}</svg>', "holds no closed loop"),
        (f"{HEAD}><style>svg{{fill:none;stroke:#000}}</style>{OPEN}</svg>", "holds no closed loop"),
        (f'{HEAD} fill="none">{BOX}</svg>', "ignored: 1 hidden"),
        (f'{HEAD} visibility="hidden">{BOX}</svg>', "ignored: 1 hidden"),
        (f'{HEAD} display="NONE">{BOX}</svg>', "ignored: 1 hidden"),
        (f'{HEAD}><g fill="None">{BOX}</g></svg>', "ignored: 1 hidden"),
        (
            (
                f'{HEAD}><defs><svg id="s" fill="none" stroke="#000">{OPEN}</svg></defs><use'
                ' href="#s"/></svg>'
            ),
            "holds no closed loop",
        ),
        (f'{HEAD} transform="scale(2)">{BOX}</svg>', "a transform of its outermost <svg>"),
        (f'{HEAD} style="transform:scale(2)">{BOX}</svg>', "a transform of its outermost <svg>"),
        (f'{HEAD}><symbol id="s" refX="5">{BOX}</symbol><use href="#s"/></svg>', "refX or refY"),
    ],
)
def test_what_is_not_seen_is_not_cut(tmp_path: Path, text: str, says: str) -> None:
    path = tmp_path / "page.svg"
    path.write_text(text)
    with pytest.raises(InputError) as caught:
        read_drawing(path)
    assert says in str(caught.value)


@pytest.mark.parametrize(
    "more",
    [
        '<f:circle xmlns:f="urn:x" cx="40" cy="30" r="9"/>',
        '<circle cx="40" cy="30" r="9" systemLanguage="xx"/>',
        '<circle cx="40" cy="30" r="9" fill-opacity="0"/>',
        '<circle cx="40" cy="30" r="9" style="display:NONE"/>',
        '<circle cx="40" cy="30" r="9" fill="none" stroke="red" stroke-width="0"/>',
        '<style media="print">rect{display:none}</style>',
        '<style type="text/x-foo">rect{display:none}</style>',
    ],
)
def test_what_is_not_drawn_is_no_opening_and_sheets_for_others_say_nothing(
    tmp_path: Path, more: str
) -> None:
    path = tmp_path / "page.svg"
    path.write_text(f"{HEAD}>{BOX}{more}</svg>")
    (board,) = read_drawing(path).boards
    assert board.openings == ()
    path.write_text(f'{HEAD}>{BOX}<circle cx="40" cy="30" r="9"/></svg>')
    assert len(read_drawing(path).boards[0].openings) == 1


def test_a_transform_of_a_nested_svg_holds_for_its_copies(tmp_path: Path) -> None:
    path = tmp_path / "page.svg"
    path.write_text(
        f'{HEAD}><defs><svg id="s" transform="scale(0.5)">{BOX}</svg></defs><use href="#s"/></svg>'
    )
    (board,) = read_drawing(path).boards
    assert abs(area([board.edge])) == pytest.approx(1250)


def test_a_layer_may_be_the_whole_page(tmp_path: Path) -> None:
    path = tmp_path / "page.svg"
    path.write_text(f'{HEAD} id="plate">{BOX}</svg>')
    assert len(read_drawing(path, layers=("Plate",)).boards) == 1

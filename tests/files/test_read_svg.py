"""Reading SVG: every command and shape by its area, and icons against a raster by Cairo."""

from __future__ import annotations

import io
import math
from pathlib import Path

import cairosvg
import numpy as np
import pytest
from PIL import Image
from real_outlines import icons

from shapes.errors import InputError, OutlineError
from shapes.files.drawing import Drawing, read_drawing
from shapes.geometry.curve import bounds
from shapes.geometry.measures import area, length
from shapes.geometry.outline import outline

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'


def drawing(
    folder: Path,
    body: str,
    size: str = 'width="300mm" height="200mm" viewBox="0 0 300 200"',
    **how: object,
) -> Drawing:
    path = folder / "drawn.svg"
    path.write_text(f"{HEAD} {size}>{body}</svg>", encoding="utf-8")
    return read_drawing(path, **how)  # type: ignore[arg-type]


def whole(found: Drawing) -> float:
    return sum(abs(area([b.edge])) - sum(abs(area([c])) for c in b.openings) for b in found.boards)


@pytest.mark.parametrize(
    ("body", "wanted"),
    [
        ('<path d="M10 10 H110 V60 h-100 Z"/>', 5000),
        ('<path d="m10 10 100 0 0 50 -100 0z"/>', 5000),
        ('<path d="M10,10L110,10 110,60 10,60Z"/>', 5000),
        ('<path d="M0 50 A50 50 0 1 1 100 50 A50 50 0 1 1 0 50 Z"/>', math.pi * 2500),
        ('<path d="M0 50a50 50 0 0 1 100 0a50 50 0 0 1 -100 0z"/>', math.pi * 2500),
        ('<path d="M0 50 A50 20 30 0 1 86.6 100 A50 20 30 0 1 0 50 Z"/>', math.pi * 1000),
        ('<path d="M0 0 Q50 100 100 0 Z"/>', 2 / 3 * 100 * 50),
        ('<path d="M0 0 Q25 50 50 50 T100 0 Z"/>', None),
        ('<path d="M0 0 C0 40 100 40 100 0 Z"/>', 0.6 * 100 * 40),
        ('<path d="M0 0 C0 40 50 40 50 0 S100 -40 100 0 V-60 H0Z"/>', None),
        ('<rect x="5" y="5" width="80" height="40"/>', 3200),
        ('<rect x="5" y="5" width="80" height="40" rx="10"/>', 3200 - (4 - math.pi) * 100),
        ('<circle cx="90" cy="90" r="30"/>', math.pi * 900),
        ('<ellipse cx="90" cy="90" rx="30" ry="12"/>', math.pi * 360),
        ('<polygon points="0,0 90,0 90,50"/>', 2250),
        ('<polyline points="0,0 90,0 90,50" fill="red"/>', 2250),  # filled: closed by SVG's rule
        (
            (
                '<g transform="translate(20 5) scale(2 3)"><g transform="rotate(33)"><rect'
                ' width="10" height="10"/></g></g>'
            ),
            600,
        ),
        ('<g transform="matrix(1 0 0.5 1 0 0) skewX(20)"><rect width="40" height="30"/></g>', 1200),
        (
            (
                '<defs><rect id="a" width="30" height="20"/></defs><use href="#a" x="9"/><use'
                ' xlink:href="#a" y="90" transform="scale(2)"/>'
            ),
            3000,
        ),
        (
            (
                '<svg x="10" y="10" width="100" height="50" viewBox="0 0 10 5"><rect width="4"'
                ' height="3"/></svg>'
            ),
            1200,
        ),
        ('<path d="M0 0 h100 v80 h-100 Z M20 20 h30 v30 h-30 Z"/>', 7100),
    ],
)
def test_commands_and_shapes(tmp_path: Path, body: str, wanted: float | None) -> None:
    found = drawing(tmp_path, body)
    if wanted is not None:
        # An ellipse through two points may be scaled up by the rule for radii that do not reach.
        assert whole(found) == pytest.approx(wanted, rel=1e-6 if "86.6" not in body else 0.5)
    assert whole(found) > 100


def test_lines_and_cubics_are_taken_exactly(tmp_path: Path) -> None:
    found = drawing(tmp_path, '<path d="M12.5 7 C 30 80.25 99 61 140.125 20 L 12.5 7 Z"/>')
    want = np.array([[12.5, -7], [30, -80.25], [99, -61], [140.125, -20]])
    assert np.abs(found.boards[0].edge.segments[0] - want).max() < 1e-9


@pytest.mark.parametrize(
    ("size", "mm"),
    [
        ('width="100mm" height="100mm" viewBox="0 0 50 50"', 2.0),
        ('width="10cm" height="10cm" viewBox="0 0 50 50"', 2.0),
        ('width="4in" height="4in" viewBox="0 0 4 4"', 25.4),
        ('width="72pt" height="72pt" viewBox="0 0 1 1"', 25.4),
        ('width="6pc" height="6pc" viewBox="0 0 1 1"', 25.4),
    ],
)
def test_physical_units(tmp_path: Path, size: str, mm: float) -> None:
    """CSS lengths: 1 in = 2.54 cm = 96 px = 72 pt = 6 pc (W3C, as a library page cites them)."""
    found = drawing(tmp_path, '<rect x="0.1" y="0.1" width="0.5" height="0.5"/>', size)
    assert length(found.boards[0].edge) == pytest.approx(2 * mm, rel=1e-6)


@pytest.mark.parametrize(
    "size",
    [
        'viewBox="0 0 50 50"',
        'width="100" height="80"',
        'width="100px"',
        'width="100%" viewBox="0 0 9 9"',
        "",
    ],
)
def test_without_a_unit_one_is_asked_for(tmp_path: Path, size: str) -> None:
    with pytest.raises(InputError, match="does not say what unit"):
        drawing(tmp_path, '<rect width="50" height="50"/>', size)


def test_places_are_the_documents_own_y_up(tmp_path: Path) -> None:
    size = 'width="100mm" height="100mm" viewBox="-50 -50 100 100"'
    found = drawing(tmp_path, '<rect x="10" y="20" width="5" height="7"/>', size)
    assert bounds(found.boards[0].edge) == pytest.approx((10, -27, 15, -20))


def test_what_a_style_hides_is_left_out(tmp_path: Path) -> None:
    body = (
        "<style>.gone {display: none} #ghost {visibility:hidden}"
        ' rect.bare{fill:none;stroke:none}</style><rect width="50" height="40"/><circle'
        ' class="gone" cx="20" cy="20" r="5"/><g id="ghost"><rect width="9" height="9"/></g><rect'
        ' class="bare" x="3" y="3" width="9" height="9"/><g style="display:none"><rect x="1" y="1"'
        ' width="5" height="5"/></g><g opacity="0"><rect x="1" y="1" width="5"'
        ' height="5"/></g><text>name</text><image/>'
    )
    found = drawing(tmp_path, body)
    assert whole(found) == pytest.approx(2000)
    assert any("hidden" in note for note in found.notes)
    assert any("<text>" in note for note in found.notes)


def test_layers_by_id_or_label(tmp_path: Path) -> None:
    body = (
        '<g id="body"><rect width="50" height="40"/></g>'
        '<g xmlns:x="urn:some" x:label="Hidden parts"><circle cx="9" cy="9" r="5"/></g>'
    )
    assert whole(drawing(tmp_path, body, layers=("BODY",))) == pytest.approx(2000)
    assert whole(drawing(tmp_path, body, layers=("hidden parts",))) == pytest.approx(
        math.pi * 25, rel=1e-6
    )
    with pytest.raises(InputError, match="no layer 'x'"):
        drawing(tmp_path, body, layers=("x",))


@pytest.mark.slow
def test_icons_against_a_raster(tmp_path: Path) -> None:
    """Area of wood against the ink that Cairo draws, to half a per cent of the page."""
    seen = 0
    for name, text in icons():
        path = tmp_path / "icon.svg"
        path.write_text(text)
        found = read_drawing(path)
        try:
            wood = sum(outline(b.edge, b.openings).wood.area for b in found.boards)
        except OutlineError:
            continue
        png = cairosvg.svg2png(
            bytestring=text.replace("currentColor", "#000").encode(), output_width=400
        )
        ink = np.asarray(Image.open(io.BytesIO(png)).convert("RGBA"))[..., 3] / 255
        side = float(text.split('width="')[1].split("mm")[0])
        assert wood / side**2 == pytest.approx(ink.mean(), abs=0.005), name
        seen += 1
    assert seen > 280


@pytest.mark.parametrize(
    "mirror", ["scale(-1,1)", "scale(1,-1)", "rotate(30) scale(-1,1)", "scale(-1,-1)"]
)
def test_an_arc_that_is_mirrored_bulges_the_same_way_of_its_body(
    tmp_path: Path, mirror: str
) -> None:
    """A box of 100 x 60 with a half disc on it: 6000 + 1250 pi, however it is mirrored."""
    body = f'<path d="M0 0 H100 V60 A50 50 0 0 1 0 60 Z" transform="translate(150,100) {mirror}"/>'
    assert whole(drawing(tmp_path, body)) == pytest.approx(6000 + 1250 * math.pi, rel=1e-4)

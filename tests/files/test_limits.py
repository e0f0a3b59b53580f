"""What a drawing may hold is stated.

A little more is refused in one line before the work, a little less is read.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from shapes.errors import InputError
from shapes.files import read_dxf
from shapes.files.drawing import read_drawing
from shapes.files.drawn import MOST_BOARDS, MOST_CORNERS, MOST_OPENINGS, MOST_POINTS

PLATE = [(0, 0), (4000, 0), (4000, 2000), (0, 2000)]


def plate(m: Any) -> None:
    m.add_lwpolyline(PLATE, close=True)


def openings(count: int) -> Callable[[Any], None]:
    def draw(m: Any) -> None:
        plate(m)
        for i in range(count):
            m.add_circle((30 + 60 * (i % 40), 30 + 60 * (i // 40)), 12)

    return draw


def boards(count: int) -> Callable[[Any], None]:
    def draw(m: Any) -> None:
        for i in range(count):
            m.add_circle((400 * i, 0), 150)

    return draw


def teeth(corners: int) -> Callable[[Any], None]:
    def draw(m: Any) -> None:
        n = corners - 2  # the two below are corners too
        m.add_lwpolyline(
            [*((4 * i, 4 * (i % 2)) for i in range(n)), (4 * n - 4, -900), (0, -900)], close=True
        )

    return draw


def facets(count: int) -> Callable[[Any], None]:
    def draw(m: Any) -> None:
        turn = 2 * math.pi / count
        m.add_lwpolyline(
            [(150 * math.cos(i * turn), 150 * math.sin(i * turn)) for i in range(count)], close=True
        )

    return draw


def long(mm: float) -> Callable[[Any], None]:
    return lambda m: m.add_lwpolyline([(0, 0), (mm, 0), (mm, 300), (0, 300)], close=True)


def star(count: int) -> Callable[[Any], None]:
    def draw(m: Any) -> None:
        plate(m)
        for i in range(count):
            m.add_line((0, -500), (100 * math.cos(i), -500 + 100 * math.sin(i)))

    return draw


@pytest.mark.parametrize(
    ("within", "beyond", "says"),
    [
        (
            openings(MOST_OPENINGS),
            openings(MOST_OPENINGS + 1),
            "holds 201 openings; at most 200 are read",
        ),
        (boards(MOST_BOARDS), boards(MOST_BOARDS + 1), "holds 51 boards; at most 50 are read"),
        (teeth(MOST_CORNERS), teeth(MOST_CORNERS + 1), "holds 1001 corners; at most 1000 are read"),
        (
            facets(MOST_POINTS),
            facets(MOST_POINTS + 1),
            "holds 20 001 pieces or more; at most 20 000 are read",
        ),
        (long(5000), long(5100), "is 5.1 m long; at most 5 m"),
        (star(200), star(201), "201 lines end at (0.000, -500.000) mm"),
    ],
)
def test_a_little_more_is_refused(
    tmp_path: Path, within: Callable[[Any], None], beyond: Callable[[Any], None], says: str
) -> None:
    path = tmp_path / "drawn.dxf"
    for draw, wrong in ((within, ""), (beyond, says)):
        doc = ezdxf.new("R2000", units=4)
        draw(doc.modelspace())
        doc.saveas(path)
        if not wrong:
            assert read_drawing(path).boards
            continue
        with pytest.raises(InputError) as caught:
            read_drawing(path)
        assert wrong in str(caught.value)
        assert len(str(caught.value).splitlines()) == 1


def test_path_data_and_copies_are_counted_before_they_are_read(tmp_path: Path) -> None:
    head = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300'
        ' 200">'
    )
    path = tmp_path / "drawn.svg"
    for body, says in (
        (
            f'<path d="M0 0{"L9 9 " * 170_000}z"/>',
            "characters of path data, copies counted, or more; at most 800 000 are read",
        ),
        (
            f'<polygon points="{"9,9 " * 210_000}"/>',
            "characters of path data, copies counted, or more",
        ),
        (
            '<defs><rect id="a" width="9" height="9"/></defs>' + '<use href="#a"/>' * 15_000,
            "30 003 pieces or more",
        ),
        (
            '<defs><path id="a" d="M0 0' + "M0 0" * 500 + '"/></defs>' + '<use href="#a"/>' * 500,
            "copies counted, or more",
        ),
        ("<g/>" * 21_000, "pieces or more; at most 20 000 are read"),
        ("<g/>" * 210_000, "tags; at most 200000"),
        (
            (
                f'<g transform="{"a" * 150_000}"/><rect width="9" height="9"'
                f' transform="{" " * 150_000}x"/>'
            ),
            "characters of a transform or more",
        ),
        (f'<rect width="{"1" * 150_000}!" height="9"/>', "is no length"),
        (
            "<style>" + ":not(.c){fill:red}" * 2000 + "</style>" + "<g/>" * 9000,
            "rules of a style for its elements or more",
        ),
        (f"<style>{'.a{b:c}' * 60_000}</style>", "characters of style sheets or more"),
        (f'<g style="{"a:b;" * 1_100_000}"/>', "characters of styles or more"),
    ):
        path.write_text(f"{head}{body}</svg>")
        with pytest.raises(InputError) as caught:
            read_drawing(path)
        assert says in str(caught.value)


@pytest.mark.parametrize(
    "slip",
    [
        ZeroDivisionError("float division by zero"),
        AttributeError("'NoneType' object has no attribute 'x'"),
        IndexError("tuple index out of range"),
    ],
)
def test_a_damaged_entity_is_named_and_no_slip_of_a_parser_repeated(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, slip: Exception
) -> None:
    path = tmp_path / "drawn.dxf"
    doc = ezdxf.new("R2000", units=4)
    plate(doc.modelspace())
    handle = doc.modelspace().add_ellipse((0, 0), (90, 0), 0.5).dxf.handle
    doc.saveas(path)

    def stumbles(e: Any) -> None:
        raise slip

    monkeypatch.setitem(read_dxf._TAKE, "ELLIPSE", stumbles)
    with pytest.raises(InputError) as caught:
        read_drawing(path)
    assert f"ELLIPSE with the handle {handle} is damaged" in str(caught.value)
    assert str(slip) not in str(caught.value)

"""Pictures of boards, and files that were written, as the page shows them."""

from __future__ import annotations

from pathlib import Path

from shapes.collection.board import full_report
from shapes.errors import InputError, Problem
from shapes.folders.collection import BENCH
from shapes.page.answers import PIXELS
from shapes.page.drafts import standing
from shapes.page.opened import Opened
from shapes.page.values import Body, as_number, number


def wall(o: Opened, asked: Body) -> bytes:
    """Return a board finished, to the wall's scale."""
    size = number(as_number(str(asked.get("scale"))), 0.1, 6, "scale")
    return o.boards.scaled(o.boards.report(o.bench(asked), str(asked.get("key"))), size)


def board(o: Opened, asked: Body) -> bytes:
    """Return a board finished, large, either face, beside a thing."""
    report = o.boards.report(o.bench(asked), str(asked.get("key")))
    return o.boards.picture(
        report, pixels=_pixels(asked), under=asked.get("under") == "1", thing=asked.get("beside")
    )


def draft(o: Opened, asked: Body) -> bytes:
    """Return a board under shaping finished, of the plank that it was of as it was begun."""
    shaped = standing(o, {**asked, "at": as_number(str(asked.get("at")))})
    begun = shaped.board_at(0)
    log = o.boards.plank(begun, lambda: full_report(begun))
    return o.boards.picture(
        full_report(shaped.board), pixels=_pixels(asked), under=False, thing=None, log=log
    )


def _pixels(asked: Body) -> int:
    return round(number(as_number(str(asked.get("pixels"))), *PIXELS, "pixels"))


def file(o: Opened, name: str) -> Path:
    """Return a written file that the page shows: a worksheet, an offer, a picture.

    Raises InputError.
    """
    path = (o.root / name).resolve()
    hidden = any(p.startswith(".") for p in Path(name).parts)
    shown = path.suffix in (".html", ".png", ".svg", ".pdf", ".csv", ".toml", ".dxf")
    if (
        hidden
        or not shown
        or not path.is_relative_to(o.root)
        or not path.is_file()
        or BENCH not in path.relative_to(o.root).parts
    ):
        raise InputError(Problem("file", f"there is no '{name[:80]}' to be shown"))
    return path

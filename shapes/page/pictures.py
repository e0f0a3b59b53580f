"""Pictures of boards, and files that were written, as the page shows them."""

from __future__ import annotations

from pathlib import Path

from shapes.collection.board import full_report
from shapes.errors import InputError, Problem
from shapes.files.recipe import digest
from shapes.folders.collection import BENCH
from shapes.page.answers import PIXELS
from shapes.page.drafts import standing
from shapes.page.opened import Opened
from shapes.page.values import as_number, number


def wall_picture(o: Opened, folder: str, key: str, scale: str) -> bytes:
    """Return a board finished, to the wall's scale."""
    size = number(as_number(scale), 0.1, 6, "scale")
    return o.boards.scaled(o.boards.report(o.bench({"folder": folder}), key), size)


def board_picture(o: Opened, folder: str, key: str, pixels: str, under: bool, beside: str | None) -> bytes:  # fmt: skip
    """Return a board finished, large, either face, beside a thing."""
    size = round(number(as_number(pixels), *PIXELS, "pixels"))
    report = o.boards.report(o.bench({"folder": folder}), key)
    return o.boards.picture(report, pixels=size, under=under, thing=beside)


def draft_picture(o: Opened, folder: str, draft: str, at: str, pixels: str) -> bytes:
    """Return a board under shaping finished."""
    size = round(number(as_number(pixels), *PIXELS, "pixels"))
    asked = {"folder": folder, "draft": draft, "at": as_number(at)}
    shaped = standing(o, asked)
    report = full_report(shaped.board)
    return o.boards.picture(
        report, pixels=size, under=False, thing=None, log=digest(shaped.board_at(0))
    )


def file(o: Opened, name: str) -> Path:
    """Return a written file that the page shows: a worksheet, an offer, a picture. Raises InputError."""
    path = (o.root / name).resolve()
    hidden = any(p.startswith(".") for p in Path(name).parts)
    shown = path.suffix in (".html", ".png", ".svg", ".pdf", ".csv", ".toml", ".dxf")
    if hidden or not shown or not path.is_relative_to(o.root) or not path.is_file() or BENCH not in path.relative_to(o.root).parts:  # fmt: skip
        raise InputError(Problem("file", f"there is no '{name[:80]}' to be shown"))
    return path

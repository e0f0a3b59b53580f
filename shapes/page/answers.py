"""What the page is told of boards, folders and choices: plain values, and pictures as PNG."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from shapes.checks.finding import FAIL, WARN, finite
from shapes.collection.board import Board, DrawnBoard, Report, full_report
from shapes.files.recipe import digest, read_recipe
from shapes.files.svg import path_data
from shapes.folders.bench import Bench
from shapes.geometry.outline import bounds
from shapes.pictures.beside import THINGS, beside
from shapes.pictures.finished import body_of, picture, png_of, wide
from shapes.pictures.plank import plank_of

PIXELS = (60, 2400)
REMEMBERED = 400  # reports and pictures that are remembered
T = TypeVar("T")


class Memory:
    """The last things worked out, by what they were worked out from."""

    def __init__(self, most: int = REMEMBERED) -> None:
        """Remember ``most`` things."""
        self._most = most
        self._held: OrderedDict[Any, Any] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: Any, make: Callable[[], T]) -> T:
        """Return what is remembered, or make it."""
        with self._lock:
            if key in self._held:
                self._held.move_to_end(key)
                return self._held[key]  # type: ignore[no-any-return]
        made = make()
        with self._lock:
            self._held[key] = made
            while len(self._held) > self._most:
                self._held.popitem(last=False)
        return made


class Boards:
    """Boards of a folder, read and checked once for as long as their file stays what it is."""

    def __init__(self) -> None:
        """Begin with nothing."""
        self._reports = Memory()
        self._pictures = Memory()
        self._planks = Memory()

    def report(self, bench: Bench, key: str) -> Report:
        """Return a board with its checks. Raises InputError."""
        return self.report_at(bench.path(key) / "board.toml")

    def report_at(self, path: Path) -> Report:
        """Return the board of a recipe with its checks."""
        try:
            told = path.stat()
            stamp = (str(path), told.st_mtime_ns, told.st_size)
        except OSError:
            stamp = (str(path), 0, 0)
        return self._reports.get(stamp, lambda: full_report(read_recipe(path)))

    def plank(self, board: Board | DrawnBoard, report: Callable[[], Report]) -> str:
        """Return the key of the plank that a board is shown of; ``report`` is its, if asked for."""
        return self._planks.get(_looks(board), lambda: plank_of(report()))

    def picture(
        self, report: Report, *, pixels: int, under: bool, thing: str | None, log: str = ""
    ) -> bytes:
        """Return a board finished, without a ground, ``pixels`` wide.

        Of a log of its own, or of one named.
        """
        key = (*_looks(report.board), pixels, under, thing, log)

        def make() -> bytes:
            body = body_of(report, under=under, log=log or self.plank(report.board, lambda: report))
            if thing in THINGS:
                return png_of(beside(body, str(thing), pixels).cut_out)
            return png_of(wide(body, pixels).cut_out)

        return self._pictures.get(key, make)

    def scaled(self, report: Report, scale: float) -> bytes:
        """Return a board finished at so many pixels a mm: boards of one wall are to one scale."""
        key = (*_looks(report.board), scale)

        def make() -> bytes:
            body = body_of(report, log=self.plank(report.board, lambda: report))
            return png_of(picture(body, body.screen(scale)).cut_out)

        return self._pictures.get(key, make)


def _looks(board: Board | DrawnBoard) -> tuple[Any, ...]:
    """What decides how a board looks."""
    brief = board.brief
    eased = brief.round_over, brief.guide_bearing
    return digest(board), brief.thickness, brief.species, brief.rings, *eased


def about(report: Report) -> dict[str, Any]:
    """Return what the page draws and says of a board, its origin the board's middle, y up, mm."""
    s, board = report.subject, report.board
    return {
        "name": board.name,
        "form": board.form,
        "handle": board.handle,
        "path": "".join(path_data(c) for c in report.outline.curves),
        "box": list(bounds(report.outline)),
        "size": [finite(v, 2) for v in s.box],
        "mass": finite(s.mass, 4),
        "passes": report.passes,
    }


def told(key: str, report: Report) -> dict[str, Any]:
    """Return what the wall shows of a board."""
    board = report.board
    strength = [
        f.measured for f in report.findings if f.check == "strength" and f.measured is not None
    ]
    return {
        "key": key,
        **about(report),
        "thickness": board.brief.thickness,
        "timber": report.estimate().timber_cost,
        "strength": finite(min(strength)) if strength else None,
        "shapes": isinstance(board, Board) and board.genes is not None,
        "says": [f.message for f in report.findings if f.verdict in (WARN, FAIL)],
    }

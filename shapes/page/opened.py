"""The place that was opened: its collections, its pieces, its workshop.

Nothing outside of it but presets.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from shapes.collection.brief import Brief
from shapes.errors import InputError, Problem
from shapes.folders.bench import Bench
from shapes.library import presets
from shapes.library.writing import read_workshop
from shapes.page.answers import Boards
from shapes.page.values import Body

if TYPE_CHECKING:
    from shapes.timber.off_cut import OffCut
    from shapes.workshop.shop import Workshop

MOST_LISTED = 300
WORKSHOP = "workshop.toml"


@dataclass(frozen=True, slots=True)
class Opened:
    """What was opened.

    ``folder``: the collection below ``root`` to begin with; ``brief`` and ``named``, a piece: what
    a new one begins from. ``folder`` in a request is a collection's folder below ``root``, '' that
    itself.
    """

    root: Path
    folder: str | None = None
    brief: Brief | None = None
    named: str = ""
    jobs: int = 1
    boards: Boards = field(default_factory=Boards)

    def pieces(self) -> list[str]:
        """Names of off-cuts: files here, then presets."""
        own = [
            p.relative_to(self.root).as_posix()
            for d in ("*.toml", "off-cuts/*.toml")
            for p in sorted(self.root.glob(d))
            if is_piece(p)
        ]
        return [*own[:MOST_LISTED], *presets.off_cuts()]

    def bench(self, asked: Body) -> Bench:
        """Return the collection that a request names. Raises InputError."""
        name = str(asked.get("folder", "")).replace("\0", "?")
        folder = (self.root / name).resolve()
        if not folder.is_relative_to(self.root) or not (folder / "collection.json").is_file():
            raise InputError(
                Problem(
                    f"folder '{name[:80]}'", "holds no boards here", "", "choose one that is listed"
                )
            )
        return Bench(folder)

    def piece(self, name: str) -> OffCut:
        """Read a piece that is listed. Raises InputError."""
        if name not in self.pieces():
            raise InputError(
                Problem("piece", f"there is no '{name[:80]}' here", "", "choose one that is listed")
            )
        own = self.root / name
        return presets.read_piece(own if own.is_file() else name)

    def workshop_file(self) -> Path | None:
        """Return the workshop's file, where there is one here."""
        path = self.root / WORKSHOP
        return path if path.is_file() else None

    def shop(self) -> Workshop:
        """Read the workshop. Raises InputError."""
        return read_workshop(self.workshop_file())


def is_piece(path: Path) -> bool:
    """Whether a TOML file looks like an off-cut's: it has an outline."""
    try:
        return (
            re.search(r"^\s*\[outline\]|^outline\.", path.read_text("utf-8")[:20_000], re.MULTILINE)
            is not None
        )
    except (OSError, UnicodeDecodeError):
        return False


def opened_at(place: Path | None, jobs: int = 1) -> Opened:
    """Return what a place opens: a folder, a brief, an off-cut, or what is here.

    Raises InputError.
    """
    if place is None:
        return _folder(Path.cwd(), jobs)
    if place.is_dir():
        return _folder(place, jobs)
    if place.suffix != ".toml" or not place.is_file():
        raise InputError(
            Problem(
                str(place), "is no folder, brief or off-cut", "", "name a folder, or a .toml file"
            )
        )
    root = place.parent.resolve()
    if is_piece(place):
        presets.read_piece(place)
        return Opened(root, None, None, place.name, jobs)
    return Opened(root, None, presets.read_brief(place), "", jobs)


def _folder(place: Path, jobs: int) -> Opened:
    here = place.resolve()
    return Opened(here, "" if (here / "collection.json").is_file() else None, None, "", jobs)

"""Read a workshop, and write folders of boards and of placements."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from shapes.collection.generate import Collection
from shapes.folders import collection as folder
from shapes.folders.whole import held
from shapes.library.presets import silent
from shapes.workshop.shop import Workshop, read_shop

if TYPE_CHECKING:
    from shapes.placing.lay_out import LaidOut


def read_workshop(path: str | Path | None = None) -> Workshop:
    """Read a workshop.toml: machine, cutters, rates, oil.

    A workshop of which nothing is known without one.

    Raises InputError with every problem at once.
    """
    return read_shop(None if path is None else Path(path))


def write_collection(
    made: Collection,
    to: str | Path,
    *,
    colours: dict[str, str] | None = None,
    plain: bool = False,
    jobs: int = 1,
    force: bool = False,
    note: Callable[[str], None] = silent,
) -> Collection:
    """Write boards and their sheet as a folder, whole or not at all.

    Return them as they are named there.

    ``plain``: a sheet of line drawings; ``colours`` of layers; ``force``: replace the collection
    that is there. Raises InputError where the folder is not ours to write, or another run writes
    it.
    """
    with held(Path(to)):
        return folder.write_collection(
            made, Path(to), force=force, colours=colours, note=note, plain=plain, jobs=jobs
        )


def write_placement(
    made: LaidOut,
    to: str | Path,
    *,
    datum: str = "centre",
    unit: str | None = None,
    colours: dict[str, str] | None = None,
    force: bool = False,
    note: Callable[[str], None] = silent,
) -> None:
    """Write what ``place`` found as a folder: for each piece cut files, setting-out and a picture.

    ``datum``: (0, 0) of the files: centre, corner, mark, or X,Y on the piece in mm. ``read_boards``
    reads the folder back, and ``prepare`` makes its boards where they lie. Raises InputError as
    ``write_collection``.
    """
    from shapes.folders.placement import Blank, datum_of, write_placed

    blanks = [Blank(c, datum_of(c.rules.piece, datum), unit=unit) for c in made.covered]
    names = [made.names[i] for i in made.left]
    with held(Path(to)):
        write_placed(blanks, names, Path(to), force=force, colours=colours, note=note)

"""A collection folder, written to DIR.partial and renamed whole; nothing else is ever lost."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

from shapes import __version__
from shapes.collection.board import Board, Report, full_report
from shapes.collection.generate import Collection
from shapes.collection.names import names_for
from shapes.errors import InputError, Problem, did_you_mean
from shapes.files.dxf import arcs_of, box_reference, check_dxf, cut_dxf
from shapes.files.raster import CairoMissingError, LineDrawing, Writable
from shapes.files.recipe import digest, read_recipe, write_recipe
from shapes.files.safe import write_checked
from shapes.files.svg import check_svg, cut_svg
from shapes.folders import whole
from shapes.pictures.plain import contact_sheet
from shapes.pictures.sheet import PIXELS, finished_sheet
from shapes.processes import processes
from shapes.text_files import read_json

BENCH = "bench"  # folder of what is done on the page with a collection
BOARD_FILES = ("board.toml", "figures.json", "cut.dxf", "cut.svg", "setting-out.dxf")
SHEETS = ("contact-sheet.svg", "contact-sheet.png")


def to_json(value: Any) -> bytes:
    """JSON as we write it: no NaN, no Infinity, two spaces, a line end."""
    return (json.dumps(value, indent=2, allow_nan=False) + "\n").encode()


def named(collection: Collection, others: Sequence[str] = ()) -> Collection:
    """Give every board without a name one of its own, none of the ``others``."""
    taken = [*others, *(r.board.name for r in collection.reports if r.board.name)]
    fresh = [r for r in collection.reports if not r.board.name]
    names = iter(names_for([digest(r.board) for r in fresh], taken))
    reports = tuple(
        r if r.board.name else replace(r, board=replace(r.board, name=next(names)))
        for r in collection.reports
    )
    return replace(collection, reports=reports)


def folder_name(report: Report, place: int) -> str:
    """NN-FORM-xxxxxx."""
    return f"{place:02d}-{report.board.form}-{digest(report.board)}"


def figures(report: Report, file: str) -> dict[str, Any]:
    """Return the contract's object with the estimate."""
    return {**report.as_json(file), "estimate": asdict(report.estimate())}


def ready(target: Path, *, force: bool) -> None:
    """Refuse a place that is not ours to write. Raises InputError."""
    if force and (target / BENCH).is_dir():
        raise InputError(
            Problem(
                str(target),
                "holds what was chosen and shaped on the page (bench)",
                "",
                "choose another --out, or move that folder away",
            )
        )
    whole.ready(target, _ours, "collection", force=force)


def folders_in(folder: Path) -> list[str]:
    """Return the boards' folders that a collection lists, in order.

    Raises ValueError, KeyError, TypeError or OSError.
    """
    return [str(b["folder"]) for b in read_json(folder / "collection.json")["boards"]]


def _ours(target: Path) -> set[str]:
    """Files below a collection folder that its collection.json names."""
    folders = set(folders_in(target))
    return (
        {"collection.json", *SHEETS} | {f"{f}/{n}" for f in folders for n in BOARD_FILES} | folders
    )


def write_collection(
    collection: Collection,
    target: Path,
    *,
    force: bool = False,
    colours: dict[str, str] | None = None,
    note: Callable[[str], None] = lambda text: None,
    plain: bool = False,
    jobs: int = 1,
) -> Collection:
    """Write a collection folder whole, its sheet finished or ``plain``. Raises InputError.

    With more than one job the boards' files are made in a process beside the sheet; the bytes are
    the same.
    """
    ready(target, force=force)
    collection = named(collection)

    def fill(place: Path) -> None:
        names = [folder_name(r, i) for i, r in enumerate(collection.reports, start=1)]
        for name in names:
            (place / name).mkdir()
        each = collection.reports, [place / name for name in names], [colours] * len(names)
        with _beside(jobs) as write:
            # Asked for first: the sheet is drawn meanwhile.
            written = write(write_board, *each)
            _write_sheet(collection, place, note, plain=plain)
            list(written)
        about = {
            "schema": 1,
            "brief": collection.brief.as_table(),
            "seed": collection.seed,
            "version": __version__,
            "boards": [
                {**r.as_json(f"{name}/board.toml"), "folder": name}
                for name, r in zip(names, collection.reports, strict=True)
            ],
        }
        write_checked(place / "collection.json", to_json(about))

    whole.write(target, fill, lambda: ready(target, force=force))
    return collection


@contextmanager
def _beside(jobs: int) -> Iterator[Callable[..., Iterable[None]]]:
    """Give a ``map`` that works in a process beside this one, or here where there is one job."""
    if jobs <= 1:
        yield map
        return
    with processes(1) as each:
        yield each


def _write_sheet(
    made: Collection, place: Path, note: Callable[[str], None], *, plain: bool
) -> None:
    sheet = _sheet(made, plain=plain)
    write_checked(place / SHEETS[0], sheet.svg())
    try:
        write_checked(place / SHEETS[1], sheet.png())
    except CairoMissingError as missing:
        note(str(missing))


def _sheet(made: Collection, *, plain: bool) -> Writable:
    if plain:
        return LineDrawing(contact_sheet(made.reports, made.brief.title, made.seed), PIXELS)
    return finished_sheet(made.reports, made.brief.title)


def write_board(report: Report, place: Path, colours: dict[str, str] | None) -> None:
    """Write the five files of one board."""
    outline = report.outline
    chains = arcs_of(outline)
    blank = report.estimate().blank_mm[:2]
    no_shift = (0.0, 0.0)
    if isinstance(report.board, Board):
        write_checked(place / "board.toml", write_recipe(report.board))
    write_checked(place / "figures.json", to_json(figures(report, "board.toml")))
    write_checked(
        place / "cut.dxf",
        cut_dxf(outline, chains, no_shift, None, colours),
        check_dxf(outline, no_shift),
    )
    write_checked(
        place / "cut.svg",
        cut_svg(outline, no_shift, colours).encode(),
        check_svg(outline, no_shift),
    )
    write_checked(
        place / "setting-out.dxf",
        cut_dxf(outline, chains, no_shift, box_reference(blank, no_shift), colours),
        check_dxf(outline, no_shift),
    )


def _listed(folder: Path, asked: str = "--keep") -> list[str]:
    """Return the boards' folders of a collection, in order. Raises InputError."""
    try:
        return folders_in(folder)
    except (OSError, ValueError, KeyError, TypeError):
        raise InputError(
            Problem(
                asked,
                f"{folder} holds no collection to keep boards from",
                "",
                "name its folder with --out",
            )
        ) from None


def places_of(folder: Path, codes: Sequence[str]) -> tuple[tuple[int, ...], list[str]]:
    """Return numbers and names of boards by the code that ends their folders' names.

    Raises InputError.
    """
    folders = _listed(folder, "--keep-from")
    places = {name.rsplit("-", 1)[-1]: i for i, name in enumerate(folders, start=1)}
    if gone := [c for c in codes if c not in places]:
        hint = "name the folder it was offered from with --out"
        raise InputError(
            *(
                Problem(
                    "--keep-from",
                    f"{folder} holds no board {c}",
                    "",
                    did_you_mean(c, places, hint, 0.8),
                )
                for c in gone
            )
        )
    found = [places[c] for c in codes]
    names = [read_recipe(folder / folders[p - 1] / "board.toml").name for p in found]
    return tuple(found), names


def read_kept(folder: Path, places: tuple[int, ...]) -> list[tuple[int, Report]]:
    """Read the boards to keep, by number, from a collection folder. Raises InputError."""
    names = _listed(folder)
    wrong = [p for p in places if not 1 <= p <= len(names)]
    if wrong:
        raise InputError(
            *(
                Problem("--keep", f"there is no board {p}", f"allowed 1 to {len(names)}", "")
                for p in wrong
            )
        )
    return [(p, full_report(read_recipe(folder / names[p - 1] / "board.toml"))) for p in places]

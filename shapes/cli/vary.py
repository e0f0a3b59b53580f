"""shapes vary: relatives of a board that is nearly right."""

from pathlib import Path
from typing import Annotated

import typer

from shapes.cli.common import OfFinished


def vary(
    board: Annotated[Path, typer.Argument(help="The board: its board.toml or its folder.")],
    count: Annotated[int, typer.Option(help="How many relatives.")] = 12,
    how_far: Annotated[float, typer.Option(help="How far from the board, 0 to 1.")] = 0.35,
    sizes: Annotated[
        int | None,
        typer.Option(
            help="A set in so many sizes in place of relatives, the board's own the largest."
        ),
    ] = None,
    seed: Annotated[int, typer.Option(help="Another number, other relatives.")] = 1,
    out: Annotated[Path, typer.Option(help="Folder for the relatives.")] = Path("relatives"),
    length: Annotated[
        str | None, typer.Option(help="Another length of the board itself, mm: none is longer.")
    ] = None,
    width: Annotated[
        str | None, typer.Option(help="Another width of the board itself, mm: slimmer or broader.")
    ] = None,
    thickness: OfFinished = None,
    handle: Annotated[
        str | None, typer.Option(help="Another handle on the same body (shapes list handles).")
    ] = None,
    jobs: Annotated[int | None, typer.Option(help="Processes to draw with.  [one a core]")] = None,
    fewer: Annotated[
        bool, typer.Option("--fewer", help="Take fewer relatives if need be.")
    ] = False,
    plain: Annotated[
        bool, typer.Option("--plain", help="A sheet of line drawings, to print and write on.")
    ] = False,
    force: Annotated[
        bool, typer.Option("--force", help="Replace the collection in the folder.")
    ] = False,
) -> None:
    """Draw relatives of one board: the same form and handle, moved a little."""
    from dataclasses import replace

    from shapes.cli.common import in_range, note, replaced, reserve, told, workers
    from shapes.cli.reading import read_boards
    from shapes.collection.generate import generate as make
    from shapes.collection.vary import (
        in_another_box,
        in_sizes,
        near,
        stretches_of,
        unchanged,
        with_handle,
    )
    from shapes.errors import InputError, Problem, did_you_mean
    from shapes.folders.collection import ready, write_collection
    from shapes.handles import HANDLES

    boards = read_boards([board])
    if len(boards) != 1:
        raise InputError(
            Problem(str(board), f"holds {len(boards)} boards", "", "name the folder of one")
        )
    in_range(count, 1, 99, "--count")
    in_range(how_far, 0, 1, "--how-far")
    in_range(seed, 0, 2**63 - 1, "--seed")
    if sizes is not None:
        in_range(sizes, 2, 5, "--sizes")
    parent = boards[0]
    stretches_of(parent)
    if handle is not None and handle not in HANDLES:
        hint = did_you_mean(handle, HANDLES, "known: " + ", ".join(HANDLES), 0.4)
        raise InputError(Problem("--handle", f"there is no handle '{handle}'", "", hint))
    own = replace(parent.brief, forms=(), handles=(), title=f"Relatives of {parent.name}")
    brief = replaced(own, {"length": length, "width": width, "thickness": thickness})
    resized = (length is not None, width is not None)
    within = (
        in_another_box(parent, brief, resized) if any(resized) else replace(parent, brief=brief)
    )
    if not unchanged(parent):
        note("the outline was changed by hand: its relatives follow the recipe it came from")
    reserve(out, ready, force=force)
    if handle is not None:
        within = with_handle(within, handle, seed)
    if sizes is not None:
        made = in_sizes(within, sizes, seed)
    else:
        made = make(near(within, how_far, resized), seed, count, jobs=workers(jobs), fewer=fewer)
    told(write_collection(made, out, force=force, note=note, plain=plain, jobs=workers(jobs)), out)

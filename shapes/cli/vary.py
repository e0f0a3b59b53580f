"""shapes vary: relatives of a board that is nearly right."""

from pathlib import Path
from typing import Annotated

import typer

from shapes.cli.common import OfFinished, OfJobs


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
    jobs: OfJobs = None,
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
    from shapes.cli.common import as_options, in_range, note, number_or_text, reserve, told, workers
    from shapes.cli.reading import read_recipes
    from shapes.collection.vary import unchanged
    from shapes.errors import InputError, Problem
    from shapes.folders.collection import ready, write_collection
    from shapes.library import drawing

    boards = read_recipes([board])
    if len(boards) != 1:
        raise InputError(
            Problem(str(board), f"holds {len(boards)} boards", "", "name the folder of one")
        )
    in_range(count, 1, drawing.MOST_BOARDS, "--count")
    in_range(how_far, 0, 1, "--how-far")
    in_range(seed, 0, drawing.MOST_SEED, "--seed")
    if sizes is not None:
        in_range(sizes, *drawing.SIZES, "--sizes")
    drawing.may_vary(boards[0])
    if not unchanged(boards[0]):
        note("the outline was changed by hand: its relatives follow the recipe it came from")
    reserve(out, ready, force=force)
    with as_options():
        made = drawing.vary(
            boards[0],
            count,
            how_far,
            seed=seed,
            length=number_or_text(length),
            width=number_or_text(width),
            thickness=number_or_text(thickness),
            handle=handle,
            sizes=sizes,
            fewer=fewer,
            jobs=workers(jobs),
        )
    told(write_collection(made, out, force=force, note=note, plain=plain, jobs=workers(jobs)), out)

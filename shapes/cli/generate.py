"""shapes generate: from a brief to a collection folder."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from shapes.cli.common import OfJobs, OfLiveEdge, OfNotForFood

if TYPE_CHECKING:
    from shapes.collection.brief import Brief
    from shapes.collection.generate import Collection
    from shapes.collection.pool import Source
    from shapes.timber.off_cut import OffCut


def generate(
    brief: Annotated[Path | None, typer.Argument(help="Your brief, a TOML file.")] = None,
    preset: Annotated[
        str | None, typer.Option(help="A preset in place of a brief of your own.")
    ] = None,
    count: Annotated[int | None, typer.Option(help="How many boards.  [the brief's, 12]")] = None,
    seed: Annotated[int | None, typer.Option(help="Another number, other boards.  [1]")] = None,
    out: Annotated[Path, typer.Option(help="Folder for the collection.")] = Path("boards"),
    keep: Annotated[
        str | None, typer.Option(help="Boards of the old collection that stay, as 3,7.")
    ] = None,
    keep_from: Annotated[
        str | None,
        typer.Option(help="The line a customer sent back: its boards stay.", metavar="LINE"),
    ] = None,
    pool: Annotated[
        int | None, typer.Option(help="Candidates to draw.  [14 for each board]")
    ] = None,
    jobs: OfJobs = None,
    workshop: Annotated[
        Path | None, typer.Option(help="Your workshop.toml, for layer colours.")
    ] = None,
    off_cut: Annotated[
        str | None, typer.Option(help="Draw for this off-cut: its TOML, or the name of a preset.")
    ] = None,
    fewer: Annotated[
        bool, typer.Option("--fewer", help="Take a smaller collection if need be.")
    ] = False,
    plain: Annotated[
        bool, typer.Option("--plain", help="A sheet of line drawings, to print and write on.")
    ] = False,
    not_for_food: OfNotForFood = False,
    live_edge: OfLiveEdge = None,
    force: Annotated[
        bool, typer.Option("--force", help="Replace the collection in the folder.")
    ] = False,
) -> None:
    """Draw boards from a brief, check them, choose a collection, and write its folder."""
    from shapes.cli.common import (
        brief_for,
        in_range,
        note,
        progress,
        reserve,
        told,
        whole_numbers,
        workers,
    )
    from shapes.collection.pool import POOL
    from shapes.folders.collection import read_kept, ready, write_collection
    from shapes.library import drawing
    from shapes.workshop.shop import read_shop

    chosen = brief_for(brief, preset)
    stated = brief is not None or preset is not None
    piece = None
    if off_cut is not None:
        keeps = live_edge is not None or chosen.live_edge == "keep"
        own = chosen.species if stated else None
        piece = _piece(off_cut, own, keeps=keeps, not_for_food=not_for_food)
    source = drawing.source_of(chosen if stated or piece is None else None, piece)
    chosen = source.brief
    if piece is not None and piece.keep:
        _say_if_none_keeps(chosen)
    wanted = chosen.count if count is None else count
    in_range(wanted, 1, drawing.MOST_BOARDS, "--count")
    places = whole_numbers(keep, "--keep") if keep else ()
    if keep_from is not None:
        places = answered(keep, keep_from, out)
    kept = read_kept(out, places) if places else []
    in_range(len(places), 0, wanted, "--keep")
    size = POOL * wanted if pool is None else pool
    in_range(size, wanted, drawing.MOST_POOL, "--pool")
    processes = workers(jobs)
    start = (2 if places else 1) if seed is None else seed
    in_range(start, 0, drawing.MOST_SEED, "--seed")
    colours = read_shop(workshop).layer_colours
    reserve(out, ready, force=force)
    bar, tell = progress(size)
    with bar:
        made = drawing.generate(
            source,
            wanted,
            seed=start,
            keep=kept,
            pool=size,
            fewer=fewer,
            jobs=processes,
            tell=tell,
        )
    told(
        write_collection(
            made, out, force=force, colours=colours, note=note, plain=plain, jobs=processes
        ),
        out,
    )
    if piece is not None and piece.keep:
        _say_kept(source, made)


def _piece(name: str, own: str | None, *, keeps: bool, not_for_food: bool) -> "OffCut":
    """Read the piece that boards are drawn for; ``own``: the species that was asked for."""
    from dataclasses import replace

    from shapes.cli.common import note
    from shapes.cli.laying import other_species, read_off_cuts, unfit

    piece = read_off_cuts([name])[0]
    if not piece.fit_for_food and not not_for_food:
        note(unfit(piece))
        raise typer.Exit(1)
    if own is not None and piece.species != own:
        note(other_species(piece, own))
    return replace(piece, keep=piece.natural is not None) if keeps else piece


def _say_if_none_keeps(brief: "Brief") -> None:
    """Say where no form that may be drawn takes a natural edge for a side."""
    from shapes.cli.common import note
    from shapes.forms import FORMS

    if not any(FORMS[f].natural for f, _ in brief.allowed):
        note(
            "none of the forms asked for takes a natural edge for a side, so little of it is"
            f" kept: {', '.join(f for f in FORMS if FORMS[f].natural)} do"
        )


def _say_kept(source: "Source", made: "Collection") -> None:
    """Say how much of the natural edge each board keeps."""
    from shapes.cli.common import note
    from shapes.placing.on_wood import OnWood

    assert isinstance(source, OnWood)
    each = [f"{k} {source.kept(b):.0f}" for k, b in enumerate(made.boards, 1)]
    free = source.rules.free_natural.length
    note(f"natural edge that each board keeps, of {free:.0f} mm: {', '.join(each)}")


def answered(keep: str | None, line: str, folder: Path) -> tuple[int, ...]:
    """Return the numbers of the boards that a customer's line names, and say the wish in it."""
    from shapes.cli.common import note
    from shapes.errors import InputError, Problem
    from shapes.files.offer import read_answer
    from shapes.folders.collection import places_of

    if keep is not None:
        raise InputError(Problem("--keep-from", "goes without --keep", "", "give one of them"))
    answer = read_answer(line)
    places, names = places_of(folder, answer.codes)
    note(f"kept: {', '.join(names)}")
    if answer.wish:
        note(f"the customer's wish, which is yours to answer: {answer.wish}")
    return places

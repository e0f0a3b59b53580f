"""shapes offer: boards for a customer to choose from."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from shapes.cli.common import OfBeside, OfBrief, OfGap, OfGrain, OfLayer, OfUnit

if TYPE_CHECKING:
    from shapes.library.reading import Found
    from shapes.workshop.job import Job
    from shapes.workshop.shop import Workshop


def offer(
    boards: Annotated[
        list[Path], typer.Argument(help="Boards: board.toml, .dxf or .svg files, or folders.")
    ],
    out: Annotated[
        Path, typer.Option(help="The offer: .html to send and be answered, or .pdf to print.")
    ],
    title: Annotated[str | None, typer.Option(help="What stands on top.  [the brief's]")] = None,
    workshop: Annotated[
        Path | None, typer.Option(help="Your workshop.toml: prices are told where its rates allow.")
    ] = None,
    beside: OfBeside = None,
    brief: OfBrief = None,
    grain: OfGrain = 0.0,
    unit: OfUnit = None,
    layer: OfLayer = None,
    gap: OfGap = None,
    force: Annotated[bool, typer.Option("--force", help="Replace the file.")] = False,
) -> None:
    """Write an offer: pictures, sizes, timber, weight, price
    and care; the customer marks and answers.
    """
    from shapes.cli.common import note, plain_text
    from shapes.cli.reading import read_all, reading_from
    from shapes.collection.board import full_report
    from shapes.collection.brief import read_brief
    from shapes.folders.offer import write_offer
    from shapes.workshop.shop import read_shop

    reading = reading_from(unit, layer, gap, grain=grain, centred=True)
    found = read_all(boards, reading, read_brief(brief) if brief else None)
    reports = [full_report(b, found.grain(i)) for i, b in enumerate(found.boards)]
    shop = read_shop(workshop) if workshop else None
    laid = planned(found, shop) if shop else {}
    food = [
        b.brief.for_food and (i not in found.lies or found.lies[i].blank.piece.fit_for_food)
        for i, b in enumerate(found.boards)
    ]
    top = plain_text(title or "", "--title") or reports[0].board.brief.title
    thing = None if beside is None else beside.value
    for text in write_offer(
        reports, out, top, shop, laid=laid, for_food=food, beside=thing, force=force
    ):
        note(text)
    many = f"{len(reports)} board{'' if len(reports) == 1 else 's'}"
    note(f"{many} in {out}: send it; generate --keep-from takes the line that comes back")


def planned(found: "Found", shop: "Workshop") -> "dict[int, Job]":
    """Plan the boards that lie on pieces as they are cut there, by their index."""
    from shapes.folders.batch import lying
    from shapes.workshop.job import JobOptions
    from shapes.workshop.set_up import set_up
    from shapes.workshop.stock import of_piece

    jobs = {}
    for blank in {id(laid.blank): laid.blank for laid in found.lies.values()}.values():
        made = set_up(lying(blank), shop, JobOptions(), of_piece(blank.piece, blank.datum))
        for i, laid in found.lies.items():
            if laid.blank is blank:
                jobs[i] = next(j for j in made.jobs if j.number == laid.number)
    return jobs

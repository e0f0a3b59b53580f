"""shapes place: boards on off-cuts, with cut files, setting-out files and pictures."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from shapes.cli.common import (
    OfBrief,
    OfGap,
    OfGrain,
    OfJobs,
    OfLayer,
    OfLiveEdge,
    OfNotForFood,
    OfUnit,
)

if TYPE_CHECKING:
    from shapes.folders.placement import Blank


def place(
    boards: Annotated[
        list[Path], typer.Argument(help="Boards: board.toml, .dxf or .svg files, or folders.")
    ],
    off_cut: Annotated[
        list[str],
        typer.Option(
            help="An off-cut's TOML, a folder of them, or the name of a preset; may be repeated."
        ),
    ],
    quantity: Annotated[
        str | None, typer.Option(help="How many of each board, as 2,1,3.  [1 each]")
    ] = None,
    priority: Annotated[
        str | None, typer.Option(help="How urgent each board is, 1 first, as 1,2,2.  [all alike]")
    ] = None,
    first: Annotated[
        str | None,
        typer.Option(help="Boards that come before all others, in this order, by number, as 3,1."),
    ] = None,
    may_be_left: Annotated[
        str | None, typer.Option(help="Boards that may be left over, by number, as 2,4.")
    ] = None,
    patience: Annotated[
        float | None,
        typer.Option(help="Seconds after which the best that was found is taken.  [no end]"),
    ] = None,
    scale: Annotated[
        str | None,
        typer.Option(help="One board on one off-cut as large as fits between these, as 0.8,1.2."),
    ] = None,
    grain_within: Annotated[
        float, typer.Option(help="Most angle between the grain and the handle's axis, degrees.")
    ] = 10.0,
    cutter: Annotated[
        str | None, typer.Option(help="Diameter of the cutter.  [the boards' own]")
    ] = None,
    datum: Annotated[
        str, typer.Option(help="(0, 0) of the files: centre, corner, mark, or X,Y on the piece.")
    ] = "centre",
    out: Annotated[
        Path | None, typer.Option(help="Folder for cut files, setting-out files and pictures.")
    ] = None,
    seed: Annotated[int, typer.Option(help="Another number, another arrangement.")] = 1,
    workshop: Annotated[
        Path | None, typer.Option(help="Your workshop.toml: layer colours, bandsaw.")
    ] = None,
    brief: OfBrief = None,
    grain: OfGrain = 0.0,
    unit: OfUnit = None,
    layer: OfLayer = None,
    gap: OfGap = None,
    not_for_food: OfNotForFood = False,
    live_edge: OfLiveEdge = None,
    jobs: OfJobs = None,
    force: Annotated[
        bool, typer.Option("--force", help="Replace the placement in the folder.")
    ] = False,
    json: Annotated[bool, typer.Option("--json", help="Machine-readable output.")] = False,
) -> None:
    """Put boards on off-cuts: where each lies, what limits it, and the files to cut it there."""
    from shapes.cli.common import note, reserve, table
    from shapes.cli.laying import laid_out, said
    from shapes.cli.reading import reading_from
    from shapes.folders.collection import to_json
    from shapes.folders.placement import listing, ready, write_placed
    from shapes.workshop.shop import read_shop

    shop = read_shop(workshop)
    if out is not None:
        reserve(out, ready, force=force)
    reading = reading_from(unit, layer, gap, grain=grain, centred=True)
    made = laid_out(
        boards,
        off_cut,
        reading,
        brief,
        quantity=quantity,
        priority=priority,
        scale=scale,
        within_deg=grain_within,
        cutter=cutter,
        datum=datum,
        seed=seed,
        saw=shop.bandsaw,
        not_for_food=not_for_food,
        live_edge=live_edge is not None,
        unit=shop.unit,
        first=first,
        may_be_left=may_be_left,
        patience=patience,
        jobs=jobs,
    )
    blanks = made.blanks
    placed = sum(len(b.placed) for b in blanks)
    if out is not None and placed:
        write_placed(blanks, made.over, out, force=force, colours=shop.layer_colours, note=note)
    if json:
        print(to_json(listing(blanks, made.over, [None] * len(blanks))).decode(), end="")
    elif placed:
        head = ["no", "board", "off-cut", "scale", "x", "y", "turned", "limited by", "mm", "asked"]
        print(table(head, [row for b in blanks for row in _rows(b)]))
        for b in blanks:
            note(
                f"{b.piece.name}: {len(b.placed)} board{'' if len(b.placed) == 1 else 's'}, yield"
                f" {b.account.yield_share * 100:.0f} %"
            )
    bad = said(made)
    if not placed:
        note("no board fits; nothing was written" if blanks else "nothing was written")
    elif out is None:
        note("nothing was written: give --out FOLDER for cut files and pictures")
    elif not json:
        note(f"written to {out}: cut.dxf, setting-out.dxf and placement.svg for each off-cut")
    if bad:
        raise typer.Exit(1)


def _rows(blank: "Blank") -> list[list[str]]:
    rows = []
    for count, p, report in blank.placed:
        near = p.tightest
        rows.append(
            [
                str(count),
                report.board.name or report.board.form,
                blank.piece.name,
                f"{p.scale:.3f}",
                f"{p.pose.x - blank.datum[0]:.1f}",
                f"{p.pose.y - blank.datum[1]:.1f}",
                f"{p.turned:.1f}",
                near.name,
                f"{near.there:z.1f}",
                f"{near.asked:.1f}",
            ]
        )
    return rows

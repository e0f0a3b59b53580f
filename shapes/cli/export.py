"""shapes export: files for the machines."""

from enum import Enum
from pathlib import Path
from typing import Annotated

import typer

from shapes.cli.common import (
    OfAnyway,
    OfBeside,
    OfBrief,
    OfFinished,
    OfGap,
    OfGrain,
    OfGrip,
    OfLayer,
    OfLoad,
    OfPixels,
    OfTransparent,
    OfUnit,
)


class Format(str, Enum):
    """File formats."""

    dxf = "dxf"
    svg = "svg"
    pdf = "pdf"
    png = "png"


class Datum(str, Enum):
    """Where (0, 0) lies on the blank."""

    centre = "centre"
    corner = "corner"


class EdgeAs(str, Enum):
    """How a DXF holds the edge."""

    arcs = "arcs"
    spline = "spline"


def export(
    boards: Annotated[
        list[Path], typer.Argument(help="Boards: board.toml, .dxf or .svg files, or folders.")
    ],
    to: Annotated[Path, typer.Option(help="Folder for the files.")],
    format: Annotated[
        list[Format],
        typer.Option(
            help="dxf, svg, pdf (1:1), png (1:1 and the board finished); may be repeated."
        ),
    ] = [Format.dxf],
    datum: Annotated[
        Datum, typer.Option(help="(0, 0) at the blank's centre or its lower left corner.")
    ] = Datum.centre,
    edge: Annotated[
        EdgeAs, typer.Option(help="DXF edge as arcs within 0.01 mm, or as one exact spline.")
    ] = EdgeAs.arcs,
    workshop: Annotated[
        Path | None, typer.Option(help="Your workshop.toml, for layer colours.")
    ] = None,
    thickness: OfFinished = None,
    grip: OfGrip = None,
    load: OfLoad = None,
    anyway: OfAnyway = False,
    brief: OfBrief = None,
    grain: OfGrain = 0.0,
    unit: OfUnit = None,
    layer: OfLayer = None,
    gap: OfGap = None,
    pixels: OfPixels = 1600,
    transparent: OfTransparent = False,
    beside: OfBeside = None,
    force: Annotated[
        bool, typer.Option("--force", help="Replace files of the same names.")
    ] = False,
) -> None:
    """Write the files of chosen boards, read back and checked before they take their names."""
    from shapes.cli.common import as_options, note, numbers, shown_as
    from shapes.cli.reading import read_all, reading_from, say_taken
    from shapes.collection.board import DrawnBoard
    from shapes.collection.brief import read_brief
    from shapes.errors import InputError, Problem
    from shapes.library import making
    from shapes.pictures.board import Shown
    from shapes.workshop.shop import read_shop

    shown = shown_as(pixels, transparent, beside)
    if Format.png not in format and shown != Shown():
        raise InputError(
            Problem(
                "--pixels, --transparent, --beside",
                "are of the finished picture",
                "",
                "say --format png too",
            )
        )
    colours = read_shop(workshop).layer_colours
    reading = reading_from(unit, layer, gap, grip or (), grain, centred=True)
    found = read_all(boards, reading, read_brief(brief) if brief else None)
    if brief is None and any(isinstance(b, DrawnBoard) for b in found):
        say_taken((), ("thickness", "species"))
    with as_options():
        written, reports = making.export(
            found,
            to,
            [f.value for f in format],
            settings=numbers({"thickness": thickness, "load": load}),
            grips=reading.grips,
            corner=datum is Datum.corner,
            arcs=edge is EdgeAs.arcs,
            colours=colours,
            shown=shown,
            anyway=anyway,
            force=force,
        )
    for report in reports:
        if report.failed:
            note(
                f"{report.board.name or 'board'} FAILS {', '.join(report.failed)}: see shapes check"
            )
    for path in written:
        print(path)

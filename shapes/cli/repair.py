"""shapes repair: ease what the cutter cannot reach, and say how far the edge moved."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from shapes.cli.export import EdgeAs

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapes.library.checking import Mended


def repair(
    file: Annotated[Path, typer.Argument(help="A drawing, .dxf or .svg.")],
    cutter: Annotated[str, typer.Option(help="Diameter of the cutter, mm.")],
    out: Annotated[Path, typer.Option(help="The mended file, .dxf or .svg.")],
    round_over: Annotated[
        str | None, typer.Option(help="Round-over, mm: make room for its bearing as well.")
    ] = None,
    guide_bearing: Annotated[
        str | None, typer.Option(help="Diameter of its guide bearing, mm.  [12.7]")
    ] = None,
    thickness: Annotated[str | None, typer.Option(help="Thickness, mm.  [20]")] = None,
    narrow: Annotated[str | None, typer.Option(help="Thicken wood narrower than this, mm.")] = None,
    unit: Annotated[
        str | None, typer.Option(help="mm, cm, in or px, where the file does not say.")
    ] = None,
    layer: Annotated[
        list[str] | None, typer.Option(help="The layers to take; may be repeated.")
    ] = None,
    gap: Annotated[str | None, typer.Option(help="Ends this near are joined, mm.  [0.1]")] = None,
    edge: Annotated[
        EdgeAs, typer.Option(help="DXF edge as lines and arcs within 0.01 mm, or as exact splines.")
    ] = EdgeAs.arcs,
    picture: Annotated[
        Path | None, typer.Option(help="Draw before and after, as .svg or .png.")
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace files that are there.")] = False,
) -> int:
    """Mend what keeps a drawing from being cut; only the stretches that fail are drawn anew."""
    from shapes.cli.common import as_options, in_range, note, number_or_text
    from shapes.cli.reading import reading_from
    from shapes.errors import InputError, Problem
    from shapes.library import checking
    from shapes.units import length

    _places_free([p for p in (out, picture) if p], file, force=force)
    try:
        least = length(narrow) if narrow else 0.0
    except ValueError as error:
        raise InputError(Problem("--narrow", str(error), "allowed 0 to 60 mm")) from None
    in_range(least, 0, checking.MOST_NARROW, "--narrow")
    how = reading_from(unit, layer, gap)
    with as_options():
        made = checking.repair(
            file,
            number_or_text(cutter),
            round_over=number_or_text(round_over),
            guide_bearing=number_or_text(guide_bearing),
            thickness=number_or_text(thickness),
            narrow=least,
            unit=how.unit,
            layers=how.layers,
            gap=how.gap,
            note=note,
        )
    made.write(out, arcs=edge is EdgeAs.arcs)
    if picture:
        _draw(made, picture, f"{file.name}: mended for a {made.asked.brief.cutter:g} mm cutter")
    print("\n".join(made.notes))
    note(f"written: {out}" + (f" and {picture}" if picture else ""))
    return 0


def _places_free(places: "Sequence[Path]", source: Path, *, force: bool) -> None:
    from shapes.errors import InputError, Problem

    problems = []
    for place in places:
        wrong = place.suffix.lower() not in (
            (".dxf", ".svg") if place is places[0] else (".svg", ".png")
        )
        if wrong:
            kinds = ".dxf or .svg" if place is places[0] else ".svg or .png"
            problems.append(
                Problem(str(place), "has another ending than we write", "", f"name a {kinds}")
            )
        elif place.absolute() == source.absolute():
            problems.append(
                Problem(str(place), "is the file that is to be mended", "", "choose another --out")
            )
        elif place.exists() and not force:
            problems.append(
                Problem(
                    str(place), "is there already", "", "choose another, or replace it with --force"
                )
            )
        elif not place.absolute().parent.is_dir():
            problems.append(Problem(str(place), "its folder is not there", "", "make it first"))
    if problems:
        raise InputError(*problems)


def _draw(made: "Mended", place: Path, title: str) -> None:
    from shapes.errors import InputError, Problem
    from shapes.files.raster import CairoMissingError, png
    from shapes.files.safe import write_checked
    from shapes.pictures.repair import repair_picture

    drawn = repair_picture(made.before, made.after, title, made.notes)
    try:
        data = drawn.encode() if place.suffix.lower() == ".svg" else png(drawn, 2000)
    except CairoMissingError as missing:
        raise InputError(Problem("--picture", str(missing))) from None
    write_checked(place, data)

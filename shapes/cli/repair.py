"""shapes repair: ease what the cutter cannot reach, and say how far the edge moved."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from shapes.cli.export import Edge

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from shapes.collection.mend import Asked
    from shapes.geometry.loops import Loops
    from shapes.geometry.repair import Repaired


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
        Edge, typer.Option(help="DXF edge as lines and arcs within 0.01 mm, or as exact splines.")
    ] = Edge.arcs,
    picture: Annotated[
        Path | None, typer.Option(help="Draw before and after, as .svg or .png.")
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace files that are there.")] = False,
) -> int:
    """Mend what keeps a drawing from being cut; only the stretches that fail are drawn anew."""
    from shapes.cli.common import note, replaced
    from shapes.cli.reading import asked_from
    from shapes.collection.brief import Brief
    from shapes.collection.mend import Asked, mend
    from shapes.errors import InputError, Problem
    from shapes.files.drawing import read_drawing
    from shapes.geometry.crossings import CannotRepairError, resolved
    from shapes.units import length

    _places_free([p for p in (out, picture) if p], file, force=force)
    brief = replaced(
        Brief(),
        {
            "cutter": cutter,
            "round_over": round_over,
            "guide_bearing": guide_bearing,
            "thickness": thickness,
        },
    )
    try:
        least = length(narrow) if narrow else 0.0
    except ValueError as error:
        raise InputError(Problem("--narrow", str(error), "allowed 0 to 60 mm")) from None
    if not 0 <= least <= 60:
        raise InputError(Problem("--narrow", f"{least:g} is out of range", "allowed 0 to 60 mm"))
    how = asked_from(unit, layer, gap)
    drawing = read_drawing(file, how.unit, how.layers, how.gap)
    for text in drawing.notes:
        note(f"{file}: {text}")
    asked = Asked(brief, round_over is not None or guide_bearing is not None, least)
    try:
        boards, done = resolved(drawing.boards)
    except CannotRepairError as error:
        raise InputError(Problem(str(file), f"cannot be repaired: {error}")) from None
    mended: list[Repaired] = []
    problems = []
    for i, loops in enumerate(boards, start=1):
        where = f"{file}: board {i}" if len(boards) > 1 else str(file)
        try:
            mended.append(mend(loops, asked))
        except CannotRepairError as error:
            problems.append(Problem(where, f"cannot be repaired: {error}"))
    if problems:
        raise InputError(*problems)
    _write(mended, out, asked, arcs=edge is Edge.arcs)
    lines = done + [
        line for i, r in enumerate(mended, start=1) for line in told(r, i if len(mended) > 1 else 0)
    ]
    if picture:
        _draw(
            boards, mended, picture, f"{file.name}: mended for a {brief.cutter:g} mm cutter", lines
        )
    print("\n".join(lines))
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


def told(r: "Repaired", number: int) -> list[str]:
    """Say what was done to one board."""
    name = f"board {number}: " if number else ""
    if r.notes == ["nothing to mend"]:
        return [f"{name}nothing to mend: it is written as it was"]
    count = len(r.stretches)
    first = (
        f"{name}{count} {'stretch' if count == 1 else 'stretches'} of edge drawn anew; it moved by"
        f" {r.moved:.2f} mm at most; {r.gained / 100:.2f} cm2 of wood more, {r.lost / 100:.2f} cm2 less"
    )
    return [first, *(f"{name}{text}" for text in r.notes)]


def _write(mended: "Sequence[Repaired]", out: Path, asked: "Asked", *, arcs: bool) -> None:
    """Write the file; it takes its name only if what is read back passes."""
    from shapes.collection.mend import still_passes
    from shapes.files.drawing import read_drawing
    from shapes.files.dxf import arcs_of, check_dxf, cut_dxf
    from shapes.files.safe import write_checked
    from shapes.files.svg import check_svg, cut_svg
    from shapes.geometry.outline import outline

    outlines = [r.outline for r in mended]
    same: Callable[[bytes], None]
    if out.suffix.lower() == ".dxf":
        data = cut_dxf(outlines, arcs_of(outlines) if arcs else None)
        same = check_dxf(outlines, (0.0, 0.0))
    else:
        data = cut_svg(outlines).encode()
        same = check_svg(outlines, (0.0, 0.0))

    def check(back: bytes) -> None:
        import tempfile

        same(back)
        with tempfile.TemporaryDirectory() as folder:
            copy = Path(folder) / f"back{out.suffix.lower()}"
            copy.write_bytes(back)
            again = read_drawing(copy)
        if len(again.boards) != len(outlines):
            raise OSError(f"read back {len(again.boards)} boards, not {len(outlines)}")
        for loops in again.boards:
            if not still_passes(outline(loops.edge, loops.openings), asked):
                raise OSError("what was read back does not pass")

    write_checked(out, data, check)


def _draw(
    before: "Sequence[Loops]",
    after: "Sequence[Repaired]",
    place: Path,
    title: str,
    lines: "Sequence[str]",
) -> None:
    from shapes.errors import InputError, Problem
    from shapes.files.raster import CairoMissingError, png
    from shapes.files.safe import write_checked
    from shapes.pictures.repair import repair_picture

    drawn = repair_picture(before, after, title, lines)
    try:
        data = drawn.encode() if place.suffix.lower() == ".svg" else png(drawn, 2000)
    except CairoMissingError as missing:
        raise InputError(Problem("--picture", str(missing))) from None
    write_checked(place, data)

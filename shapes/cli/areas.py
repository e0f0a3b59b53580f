"""shapes areas: the largest areas of a board for engraving and printing."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from shapes.cli.common import OfBrief, OfGap, OfGrain, OfLayer, OfUnit
from shapes.cli.marking import OnFace

if TYPE_CHECKING:
    from shapes.errors import Problem


def areas(
    boards: Annotated[
        list[Path], typer.Argument(help="Boards: board.toml, .dxf or .svg files, or folders.")
    ],
    ratio: Annotated[
        str,
        typer.Option(help="Length to width of each area, as 3 or 3,1: kept apart in this order."),
    ] = "3",
    angle: Annotated[
        str, typer.Option(help="Degrees to the grain, or any: the largest of all angles.")
    ] = "any",
    use: Annotated[
        str, typer.Option(help="engraving (8 mm beyond the round-over) or print (5 mm).")
    ] = "engraving",
    on: Annotated[
        OnFace, typer.Option(help="underside, handle or eating face.")
    ] = OnFace.underside,
    margin: Annotated[
        str | None, typer.Option(help="mm beyond the round-over, in place of what is usual.")
    ] = None,
    brief: OfBrief = None,
    grain: OfGrain = 0.0,
    unit: OfUnit = None,
    layer: OfLayer = None,
    gap: OfGap = None,
    json: Annotated[bool, typer.Option("--json", help="Machine-readable output.")] = False,
) -> None:
    """Find the largest areas of a stated ratio, clear of edge, openings and handle."""
    from dataclasses import asdict

    from shapes.cli.common import note, table
    from shapes.cli.marking import a_length, an_angle, told_area
    from shapes.cli.reading import read_all, reading_from
    from shapes.collection.board import full_report
    from shapes.collection.brief import read_brief
    from shapes.errors import InputError
    from shapes.folders.collection import to_json
    from shapes.workshop.face import CLEAR, areas, face_of

    if use not in CLEAR:
        raise InputError(_no_use(use))
    ratios, turned = _ratios(ratio), an_angle(angle)
    wide = a_length(margin, 0, 100, "--margin")
    reading = reading_from(unit, layer, gap, grain=grain, centred=True)
    found = read_all(boards, reading, read_brief(brief) if brief else None)
    rows: list[list[str]] = []
    listed: list[dict[str, Any]] = []
    problems: list[Problem] = []
    for board, file in zip(found.boards, found.files, strict=True):
        name = board.name or file
        try:
            face = face_of(full_report(board), on.value, use, wide, name)
            made = areas(face, ratios, turned, name)
        except InputError as error:
            problems += error.problems
            continue
        rows += [[name, *told_area(a, face)] for a in made]
        listed.append(
            {
                "schema": 1,
                "name": name,
                "file": file,
                "face": face.name,
                "areas": [{k: round(float(v), 6) for k, v in asdict(a).items()} for a in made],
            }
        )
    if json:
        print(to_json(listed).decode(), end="")
    elif rows:
        print(table(["board", "face", "length", "width", "x", "y", "angle"], rows))
    if on is OnFace.eating:
        note(
            "the eating face holds food and is hard to clean where it is marked: the underside is"
            " the usual place"
        )
    if problems:
        raise InputError(*problems)


def _no_use(use: str) -> "Problem":
    from shapes.errors import Problem

    return Problem("--use", f"'{use}' is no use of an area", "", "engraving or print")


def _ratios(text: str) -> list[float]:
    from shapes.errors import InputError, Problem

    try:
        values = [float(v) for v in text.split(",")]
        if not all(0.02 <= v <= 50 for v in values) or len(values) > 12:
            raise ValueError
    except ValueError:
        raise InputError(
            Problem(
                "--ratio",
                f"'{text}' is no list of ratios",
                "0.02 to 50, twelve at most",
                "write 3 or 3,1",
            )
        ) from None
    return values

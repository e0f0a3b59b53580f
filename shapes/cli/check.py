"""shapes check: every check on a board."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from shapes.collection.board import Report


def check(
    files: Annotated[list[Path], typer.Argument(help="Boards: board.toml files or folders.")],
    brief: Annotated[
        Path | None, typer.Option(help="Hold them to this brief, not their own.")
    ] = None,
    cutter: Annotated[str | None, typer.Option(help="Diameter of the cutter, mm.")] = None,
    thickness: Annotated[str | None, typer.Option(help="Thickness, mm.")] = None,
    species: Annotated[str | None, typer.Option(help="Species of the timber.")] = None,
    max_mass: Annotated[
        str | None, typer.Option("--max-mass", help="Most it may weigh, kg.")
    ] = None,
    handle_width: Annotated[str | None, typer.Option(help="Width of the neck, mm.")] = None,
    round_over: Annotated[str | None, typer.Option(help="Round-over, mm.")] = None,
    guide_bearing: Annotated[str | None, typer.Option(help="Guide bearing, mm.")] = None,
    grain: Annotated[float, typer.Option(help="Angle of the grain to the x axis, degrees.")] = 0.0,
    grip: Annotated[str | None, typer.Option(help="Where the hand grips, as X,Y in mm.")] = None,
    json: Annotated[bool, typer.Option("--json", help="Machine-readable output.")] = False,
) -> int:
    """Check boards and say, for each question a maker asks, what was found."""
    import math
    from dataclasses import replace

    from shapes.cli.common import in_range, read_boards, recipe_files, replaced
    from shapes.collection.board import full_report
    from shapes.collection.brief import read_brief
    from shapes.files.folder import to_json

    options = {
        "cutter": cutter,
        "thickness": thickness,
        "species": species,
        "max_mass": max_mass,
        "neck_width": handle_width,
        "round_over": round_over,
        "guide_bearing": guide_bearing,
    }
    in_range(grain, -180, 180, "--grain")
    place = _point(grip) if grip else None
    base = read_brief(brief) if brief else None
    boards = read_boards(files)
    reports: list[Report] = []
    for board in boards:
        held = replace(board, brief=replaced(base or board.brief, options))
        if place:
            held = replace(held, sketch=replace(held.sketch, grip=((*place, 0.0),)))
        reports.append(full_report(held, math.radians(grain)))
    if json:
        names = [str(path) for path in recipe_files(files)]
        print(to_json([r.as_json(n) for r, n in zip(reports, names, strict=True)]).decode(), end="")
    else:
        for report in reports:
            print(_told(report))
    return 0 if all(r.passes for r in reports) else 1


def _point(text: str) -> tuple[float, float]:
    from shapes.errors import InputError, Problem

    try:
        x, y = (float(part) for part in text.split(","))
    except ValueError:
        raise InputError(
            Problem("--grip", f"'{text}' is no point", "", "write X,Y in mm")
        ) from None
    return x, y


def _told(report: Report) -> str:
    from shapes.cli.common import table

    name = report.board.name or "board"
    verdict = "passes" if report.passes else "FAILS"
    rows = [
        [f.check, f.verdict if f.verdict != "fail" else "FAIL", f.message] for f in report.findings
    ]
    return f"{name} ({report.board.genes.form}) {verdict}\n" + table(["", "", ""], rows) + "\n"

"""shapes estimate: area, mass, timber, finish and cost."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from shapes.collection.brief import Brief


def estimate(
    files: Annotated[
        list[Path], typer.Argument(help="Boards: board.toml, .dxf or .svg files, or folders.")
    ],
    brief: Annotated[
        Path | None, typer.Option(help="Of drawings: thickness, timber and bits from this brief.")
    ] = None,
    grain: Annotated[
        float, typer.Option(help="Of drawings: angle of the grain to the x axis, degrees.")
    ] = 0.0,
    unit: Annotated[
        str | None, typer.Option(help="Of drawings: mm, cm, in or px, where a file does not say.")
    ] = None,
    layer: Annotated[
        list[str] | None, typer.Option(help="Of drawings: the layers to take; may be repeated.")
    ] = None,
    gap: Annotated[
        str | None, typer.Option(help="Of drawings: ends this near are joined, mm.  [0.1]")
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Machine-readable output.")] = False,
) -> None:
    """Say what each board needs of timber and oil, what it weighs and what the timber costs."""
    from dataclasses import asdict

    from shapes.cli.common import note, table
    from shapes.cli.reading import asked_from, read_all, say_taken
    from shapes.collection.board import Drawn, full_report
    from shapes.collection.brief import read_brief
    from shapes.files.folder import to_json

    asked = asked_from(unit, layer, gap, grain=grain, centred=True)
    found = read_all(files, asked, read_brief(brief) if brief else None)
    reports = [full_report(b) for b in found.boards]
    if brief is None and any(isinstance(b, Drawn) for b in found.boards):
        say_taken((), ("thickness", "species"))
    if json:
        made = [
            {"schema": 1, "name": r.board.name, "estimate": asdict(r.estimate())} for r in reports
        ]
        print(to_json(made).decode(), end="")
        return
    rows = []
    for r in reports:
        e = r.estimate()
        rows.append(
            [
                r.board.name or r.board.form,
                f"{e.mass_kg:.2f}",
                f"{e.mass_band_kg[0]:.2f}-{e.mass_band_kg[1]:.2f}",
                " x ".join(f"{v:.0f}" for v in e.blank_mm),
                f"{e.blank_m3 * 1000:.2f}",
                f"{e.board_feet:.2f}",
                f"{e.yield_share * 100:.0f}",
                f"{e.finished_area_m2:.3f}",
                f"{e.oil_ml:.0f}",
                "" if e.timber_cost is None else f"{e.timber_cost:.2f}",
            ]
        )
    head = [
        "board",
        "kg",
        "kg, wood varies",
        "blank, mm",
        "litres",
        "board feet",
        "yield %",
        "m2 to oil",
        "oil, ml",
        "timber cost",
    ]
    print(table(head, rows))
    sources = {
        f"{r.board.brief.species}: {r.board.brief.density:.0f} kg/m3 ({_source(r.board.brief)})"
        for r in reports
    }
    for line in sorted(sources):
        note(line)


def _source(brief: Brief) -> str:
    if brief.weighed:
        return "from the piece you weighed"
    return f"{brief.timber.source}; at {brief.moisture:g} % moisture"

"""shapes estimate: area, mass, timber, finish and cost."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from shapes.collection.brief import Brief


def estimate(
    files: Annotated[list[Path], typer.Argument(help="Boards: board.toml files or folders.")],
    json: Annotated[bool, typer.Option("--json", help="Machine-readable output.")] = False,
) -> None:
    """Say what each board needs of timber and oil, what it weighs and what the timber costs."""
    from dataclasses import asdict

    from shapes.cli.common import note, read_boards, table
    from shapes.collection.board import full_report
    from shapes.files.folder import to_json

    reports = [full_report(b) for b in read_boards(files)]
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

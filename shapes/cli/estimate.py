"""shapes estimate: area, mass, timber, finish and cost; the account of off-cuts."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from shapes.cli.common import OfBrief, OfGap, OfGrain, OfLayer, OfUnit

if TYPE_CHECKING:
    from shapes.collection.board import Report
    from shapes.collection.brief import Brief
    from shapes.library.reading import Reading


def estimate(
    files: Annotated[
        list[Path],
        typer.Argument(help="Boards: board.toml, .dxf or .svg files, or folders; or a placement."),
    ],
    off_cut: Annotated[
        list[str] | None,
        typer.Option(help="Account for the boards on this off-cut; may be repeated."),
    ] = None,
    quantity: Annotated[
        str | None, typer.Option(help="On off-cuts: how many of each board, as 2,1,3.")
    ] = None,
    moisture_from: Annotated[
        float | None, typer.Option(help="Moisture the boards move from, %.  [the piece's]")
    ] = None,
    moisture_to: Annotated[float, typer.Option(help="Moisture the boards move to, %.")] = 12.0,
    tally: Annotated[
        bool, typer.Option("--tally", help="Board feet by the trade's rounding as well.")
    ] = False,
    workshop: Annotated[
        Path | None, typer.Option(help="Your workshop.toml: is there a bandsaw?")
    ] = None,
    brief: OfBrief = None,
    grain: OfGrain = 0.0,
    unit: OfUnit = None,
    layer: OfLayer = None,
    gap: OfGap = None,
    json: Annotated[bool, typer.Option("--json", help="Machine-readable output.")] = False,
) -> None:
    """Say what each board needs of timber and oil, what it weighs and what the timber costs."""
    from shapes.cli.account import tell
    from shapes.cli.common import in_range
    from shapes.cli.laying import laid_out, said
    from shapes.cli.reading import reading_from
    from shapes.errors import InputError, Problem
    from shapes.folders.collection import to_json
    from shapes.folders.placed import read_placed
    from shapes.folders.placement import listing
    from shapes.workshop.shop import read_shop

    for name, value in (("--moisture-from", moisture_from), ("--moisture-to", moisture_to)):
        if value is not None:
            in_range(value, 4, 25, name)
    shop = read_shop(workshop)
    reading = reading_from(unit, layer, gap, grain=grain, centred=True)
    placements = [f for f in files if (f / "placement.json").is_file()]
    laid = None
    if off_cut:
        laid = laid_out(
            files,
            off_cut,
            reading,
            brief,
            quantity=quantity,
            saw=shop.bandsaw,
            moisture=(moisture_from, moisture_to),
            not_for_food=True,
            unit=shop.unit,
        )
        made = listing(laid.blanks, laid.over, [None] * len(laid.blanks))
    elif placements:
        if len(files) > 1:
            raise InputError(
                Problem(str(placements[0]), "is a placement", "", "name it alone, or boards alone")
            )
        blanks, left = read_placed(placements[0], shop.bandsaw, (moisture_from, moisture_to))
        made = listing(blanks, left, [b.folder for b in blanks])
    else:
        _boards(files, brief, reading, json=json)
        return
    if json:
        print(to_json(made).decode(), end="")
    else:
        tell(made, tally=tally, unit=shop.unit)
    if laid is not None and said(laid):
        raise typer.Exit(1)


def _boards(files: list[Path], brief: Path | None, reading: "Reading", *, json: bool) -> None:
    """Estimate boards on blanks of their own."""
    from dataclasses import asdict

    from shapes.cli.common import note
    from shapes.cli.reading import read_all, say_taken
    from shapes.collection.board import DrawnBoard, full_report
    from shapes.collection.brief import read_brief
    from shapes.folders.collection import to_json

    found = read_all(files, reading, read_brief(brief) if brief else None)
    reports = [full_report(b, found.grain(i)) for i, b in enumerate(found.boards)]
    if brief is None and any(isinstance(b, DrawnBoard) for b in found.boards):
        say_taken((), ("thickness", "species"))
    if json:
        made = [
            {"schema": 1, "name": r.board.name, "estimate": asdict(r.estimate())} for r in reports
        ]
        print(to_json(made).decode(), end="")
        return
    _table(reports)
    sources = {
        f"{r.board.brief.species}: {r.board.brief.density:.0f} kg/m3 ({_source(r.board.brief)})"
        for r in reports
    }
    for line in sorted(sources):
        note(line)


def _table(reports: "list[Report]") -> None:
    from shapes.cli.common import table
    from shapes.units import KG_PER_POUND, figure

    rows = []
    unit = reports[0].board.brief.unit if reports else None
    pounds = KG_PER_POUND if unit == "in" else 1.0
    for r in reports:
        e = r.estimate()
        rows.append(
            [
                r.board.name or r.board.form,
                f"{e.mass_kg / pounds:.2f}",
                f"{e.mass_band_kg[0] / pounds:.2f}-{e.mass_band_kg[1] / pounds:.2f}",
                " x ".join(figure(v, unit) for v in e.blank_mm),
                f"{e.blank_m3 * 1000:.2f}",
                f"{e.board_feet:.2f}",
                f"{e.yield_share * 100:.0f}",
                f"{e.finished_area_m2:.3f}",
                f"{e.oil_ml:.0f}",
                "" if e.timber_cost is None else f"{e.timber_cost:.2f}",
            ]
        )
    mass = "lb" if unit == "in" else "kg"
    head = [
        "board",
        mass,
        f"{mass}, wood varies",
        f"blank, {unit or 'mm'}",
        "litres",
        "board feet",
        "yield %",
        "m2 to oil",
        "oil, ml",
        "timber cost",
    ]
    print(table(head, rows))


def _source(brief: "Brief") -> str:
    if brief.weighed:
        return "from the piece you weighed"
    return f"{brief.timber.source}; at {brief.moisture:g} % moisture"

"""shapes check: every check on any outline."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from shapes.cli.common import OfGrip, OfLoad

if TYPE_CHECKING:
    from shapes.collection.board import Report

OF_DRAWINGS = "Of drawings: "


def check(
    files: Annotated[
        list[Path],
        typer.Argument(help="Boards: board.toml, .dxf or .svg files, or folders of them."),
    ],
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
    load: OfLoad = None,
    grain: Annotated[float, typer.Option(help="Angle of the grain to the x axis, degrees.")] = 0.0,
    grip: OfGrip = None,
    unit: Annotated[
        str | None, typer.Option(help=OF_DRAWINGS + "mm, cm, in or px, where a file does not say.")
    ] = None,
    layer: Annotated[
        list[str] | None, typer.Option(help=OF_DRAWINGS + "the layers to take; may be repeated.")
    ] = None,
    gap: Annotated[
        str | None, typer.Option(help=OF_DRAWINGS + "ends this near are joined, mm.  [0.1]")
    ] = None,
    looks: Annotated[
        bool,
        typer.Option("--looks", help=OF_DRAWINGS + "say how lively and fair they are as well."),
    ] = False,
    picture: Annotated[
        Path | None,
        typer.Option(help="Draw the edge coloured by the cutter it needs, as .svg or .png."),
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Machine-readable output.")] = False,
) -> int:
    """Check boards and say, for each question a maker asks, what was found."""
    from dataclasses import replace

    from shapes.checks.strength import CAUTION
    from shapes.cli.common import replaced
    from shapes.cli.reading import reading_from, say, say_taken
    from shapes.collection.board import NO_LIMIT, DrawnBoard
    from shapes.collection.brief import Brief, read_brief
    from shapes.folders.collection import to_json
    from shapes.library import checking
    from shapes.library.reading import find

    options = {
        "cutter": cutter,
        "thickness": thickness,
        "species": species,
        "max_mass": max_mass,
        "neck_width": handle_width,
        "round_over": round_over,
        "guide_bearing": guide_bearing,
        "load": load,
    }
    reading = reading_from(unit, layer, gap, grip or (), grain, looks=looks)
    base = read_brief(brief) if brief else None
    found = find(files, reading, base)
    reports: list[Report] = []
    for i, board in enumerate(found):
        theirs = isinstance(board, DrawnBoard) and i not in found.lies
        held = replaced(base or (Brief() if theirs else board.brief), options)
        if theirs and base is None and max_mass is None:
            held = replace(held, max_mass=NO_LIMIT)
        turned = found.grain(i) if i in found.lies else reading.grain
        reports.append(checking.checked(board, held, turned, reading.grips))
    if base is None and any(isinstance(b, DrawnBoard) for b in found):
        say_taken([name for name, value in options.items() if value is not None])
    if picture is not None and reports:
        _draw(reports, picture)
    if json:
        made = [r.as_json(n) for r, n in zip(reports, found.files, strict=True)]
        print(to_json(made).decode(), end="")
    elif reports:
        print(told(reports))
        if any(f.check == "strength" and f.verdict != "skip" for r in reports for f in r.findings):
            print(f"\n{CAUTION}")
    say(found)
    return 0 if all(r.passes for r in reports) else 1


def _draw(reports: "list[Report]", path: Path) -> None:
    """Write one picture, or one a board beside each other's names."""
    from shapes.cli.common import note
    from shapes.pictures.reach import write_reach

    for i, report in enumerate(reports, start=1):
        place = path if len(reports) == 1 else path.with_name(f"{path.stem}-{i}{path.suffix}")
        write_reach(report, place)
        note(f"{place}: the edge, coloured by the cutter it needs")


def told(reports: "list[Report]") -> str:
    """Return the checks of one board in full; of several a table, then what is not right."""
    from shapes.cli.common import table

    if len(reports) == 1:
        return _in_full(reports[0], ("pass", "warn", "fail", "skip"))
    rows = []
    for i, r in enumerate(reports, start=1):
        s, largest = r.subject, r.subject.largest_cutter
        rows.append(
            [
                str(i),
                r.board.name or "board",
                "passes" if r.passes else "FAILS",
                f"{s.box[0]:.0f} x {s.box[1]:.0f}",
                f"{s.mass:.2f}",
                f"{largest:.1f}" if largest else "any",
                ", ".join(r.failed) or "-",
            ]
        )
    head = ["no", "board", "", "mm", "kg", "cutter up to", "fails"]
    details = [
        _in_full(r, ("warn", "fail"))
        for r in reports
        if any(f.verdict in ("warn", "fail") for f in r.findings)
    ]
    return "\n\n".join([table(head, rows), *details])


def _in_full(report: "Report", verdicts: tuple[str, ...]) -> str:
    from shapes.cli.common import table

    name = report.board.name or "board"
    verdict = "passes" if report.passes else "FAILS"
    rows = [
        [f.check, f.verdict if f.verdict != "fail" else "FAIL", f.message]
        for f in report.findings
        if f.verdict in verdicts
    ]
    return f"{name} ({report.board.form}) {verdict}\n" + table(["", "", ""], rows)

"""shapes plan and shapes prepare.

The cutting plan, and everything for the machines and the bench.
"""

from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from shapes.cli.common import (
    OfAnyway,
    OfBeside,
    OfBrief,
    OfFinished,
    OfGap,
    OfGrain,
    OfGrip,
    OfJobs,
    OfLayer,
    OfLoad,
    OfNotForFood,
    OfPixels,
    OfTransparent,
    OfUnit,
)
from shapes.cli.marking import OnFace

if TYPE_CHECKING:
    from shapes.library.making import Made
    from shapes.workshop.job import Job


class Hold(str, Enum):
    """What holds a board until it is free."""

    either = "either"
    tabs = "tabs"
    skin = "skin"


class Zero(str, Enum):
    """Where z is counted from."""

    top = "top"
    spoil = "spoil"


class Paper(str, Enum):
    """Sheets of paper."""

    a4 = "a4"
    letter = "letter"


Boards = Annotated[
    list[Path],
    typer.Argument(help="Boards: board.toml, .dxf or .svg files, folders, or a placement."),
]
OfHold = Annotated[Hold, typer.Option(help="tabs, skin, or either: tabs where they find a place.")]
OfZero = Annotated[Zero, typer.Option(help="z from the top face, or from the spoilboard.")]
OfThickness = Annotated[
    str | None, typer.Option(help="Measured after skimming, mm.  [the finished thickness]")
]
OfCutter = Annotated[str | None, typer.Option(help="Diameter of the cutter.  [the boards' own]")]
OfShare = Annotated[
    float, typer.Option(help="Share of the trade's chip loads, 0.1 to 1: half for a light machine.")
]
OfWorkshop = Annotated[
    Path | None, typer.Option(help="Your workshop.toml: machine, cutters, rates, oil, finishing.")
]


def plan(
    boards: Boards,
    cutter: OfCutter = None,
    thickness: OfFinished = None,
    hold: OfHold = Hold.either,
    z: OfZero = Zero.top,
    measured: OfThickness = None,
    chip_share: OfShare = 0.5,
    picture: Annotated[
        Path | None, typer.Option(help="SVG of one board: tabs, and where fibres lift.")
    ] = None,
    workshop: OfWorkshop = None,
    brief: OfBrief = None,
    grain: OfGrain = 0.0,
    unit: OfUnit = None,
    layer: OfLayer = None,
    gap: OfGap = None,
    json: Annotated[bool, typer.Option("--json", help="Machine-readable output.")] = False,
) -> None:
    """Say how each board is cut: skims, passes, feeds, tabs, lengths, times and tear-out."""
    from shapes.cli.common import as_options, note, numbers, table
    from shapes.cli.reading import read_all, reading_from
    from shapes.cli.tasks import asked_of
    from shapes.collection.brief import read_brief
    from shapes.errors import InputError, Problem
    from shapes.files.figure import as_svg
    from shapes.files.safe import write_checked
    from shapes.folders.collection import to_json
    from shapes.folders.figures import batch_json
    from shapes.library import making
    from shapes.pictures.board_figure import board_figure
    from shapes.workshop.shop import read_shop

    asked = asked_of(hold.value, z.value, measured, chip_share)
    reading = reading_from(unit, layer, gap, grain=grain, centred=True)
    work = making.Work(
        read_shop(workshop), asked, numbers({"cutter": cutter, "thickness": thickness})
    )
    found = read_all(boards, reading, read_brief(brief) if brief else None)
    with as_options():
        done = making.plan(found, work, note=note)
    made, jobs = done.set_ups, done.jobs
    if picture is not None and len(made) != 1:
        raise InputError(
            Problem("--picture", f"shows one blank or piece, not {len(made)}", "", "name one")
        )
    if picture is not None:
        if picture.suffix.lower() != ".svg":
            raise InputError(Problem("--picture", f"{picture} is no .svg", "", "name it so"))
        write_checked(picture, as_svg(board_figure(made[0]), 277, 190).encode())
    if json and jobs:
        print(to_json(batch_json(made, [None] * len(jobs))).decode(), end="")
    elif jobs:
        head = [
            "board",
            "held by",
            "passes",
            "rpm",
            "mm/min",
            "metres",
            "minutes cutting",
            "lifts, mm",
        ]
        print(table(head, [_row(j) for j in jobs]))
    if done.problems:
        raise InputError(*done.problems)


def prepare(
    boards: Boards,
    to: Annotated[Path, typer.Option(help="Folder for everything.")],
    text: Annotated[
        str | None,
        typer.Option(help="Engrave this; \\n starts a line, {name} is the board's name."),
    ] = None,
    font: Annotated[
        str, typer.Option(help="A font by name (shapes list fonts), or a .ttf or .otf file.")
    ] = "Caladea",
    letter_height: Annotated[
        str | None, typer.Option(help="Height of a capital, mm.  [as large as fits]")
    ] = None,
    along_edge: Annotated[
        str | None, typer.Option(help="Set the text along the edge, this far from it, mm.")
    ] = None,
    artwork: Annotated[
        Path | None,
        typer.Option(help="Engrave an .svg or .dxf, as large as fits; with --text, above it."),
    ] = None,
    on: Annotated[
        OnFace, typer.Option(help="Engrave on underside, handle or eating.")
    ] = OnFace.underside,
    angle: Annotated[str, typer.Option(help="Of marks: degrees to the grain, or any.")] = "0",
    margin: Annotated[
        str | None,
        typer.Option(help="Of marks: mm beyond the round-over.  [8 engraved, 5 printed]"),
    ] = None,
    mark_width: Annotated[
        str | None, typer.Option(help="Width of the engraving, mm.  [as large as fits]")
    ] = None,
    mark_at: Annotated[
        str | None,
        typer.Option(
            help="Middle of the engraving: X,Y in mm from the board's, as that face lies."
        ),
    ] = None,
    names: Annotated[
        Path | None,
        typer.Option(help="A CSV of names, one a line: a board and an engraving for each {name}."),
    ] = None,
    print_art: Annotated[
        Path | None, typer.Option("--print", help="Print an .svg or .dxf in one ink.")
    ] = None,
    print_text: Annotated[str | None, typer.Option(help="Print this text in one ink.")] = None,
    print_on: Annotated[
        OnFace, typer.Option(help="Print on underside or handle.")
    ] = OnFace.underside,
    ink: Annotated[str, typer.Option(help="Colour of the print, #rrggbb.")] = "#1f2a44",
    cutter: OfCutter = None,
    thickness: OfFinished = None,
    grip: OfGrip = None,
    load: OfLoad = None,
    anyway: OfAnyway = False,
    not_for_food: OfNotForFood = False,
    hold: OfHold = Hold.either,
    z: OfZero = Zero.top,
    measured: OfThickness = None,
    chip_share: OfShare = 0.5,
    cutter_path: Annotated[
        bool, typer.Option("--cutter-path", help="The path of the cutter's centre as a reference.")
    ] = False,
    paper: Annotated[Paper, typer.Option(help="Of templates and worksheets.")] = Paper.a4,
    quantity: Annotated[
        str | None, typer.Option(help="How many of each board, as 2,1,3.  [1 each]")
    ] = None,
    timber_source: Annotated[
        str, typer.Option(help="Where the timber is from, for the record.")
    ] = "",
    oil_batch: Annotated[str, typer.Option(help="Batch number on the tin.")] = "",
    oiled: Annotated[
        str | None, typer.Option(help="Day of the last coat, as 2026-05-14: gives the day of cure.")
    ] = None,
    workshop: OfWorkshop = None,
    brief: OfBrief = None,
    grain: OfGrain = 0.0,
    unit: OfUnit = None,
    layer: OfLayer = None,
    gap: OfGap = None,
    pixels: OfPixels = 1600,
    transparent: OfTransparent = False,
    beside: OfBeside = None,
    jobs: OfJobs = None,
    force: Annotated[
        bool, typer.Option("--force", help="Replace the batch in the folder.")
    ] = False,
    json: Annotated[bool, typer.Option("--json", help="Machine-readable output.")] = False,
) -> None:
    """Write everything after the shape is chosen: machine
    files, template, worksheet, prices, cards.
    """
    from shapes.cli.common import as_options, note, numbers, reserve, shown_as, workers
    from shapes.cli.marking import a_length, a_point, an_angle, colour, line, read_names
    from shapes.cli.reading import read_all, reading_from
    from shapes.cli.tasks import asked_of, counts_of
    from shapes.collection.brief import read_brief
    from shapes.files.marking import Marking
    from shapes.folders.batch import ready
    from shapes.library import making
    from shapes.workshop.shop import read_shop

    shop = read_shop(workshop)
    reserve(to, ready, force=force)
    _only_one("--print-text", print_text, "--print", print_art)
    _only_one("--along-edge", along_edge, "--artwork", artwork)
    _only_one("--along-edge", along_edge, "--mark-width", mark_width)
    _only_one("--along-edge", along_edge, "--mark-at", mark_at)
    _only_one("--along-edge", along_edge, "--names", names)
    if print_art or print_text:
        _never_where_food_lies(print_on)
    ink = colour(ink, "--ink")
    text, print_text = line(text, "--text"), line(print_text, "--print-text")
    called = read_names(names, text) if names else ()
    if called and quantity is None:
        quantity = str(len(called))
    both: dict[str, Any] = {
        "font": font,
        "angle": an_angle(angle),
        "margin": a_length(margin, 0, 100, "--margin"),
        "unit": unit,
    }
    sizes: dict[str, Any] = {
        "height": a_length(letter_height, 1, 200, "--letter-height"),
        "along": a_length(along_edge, 0, 200, "--along-edge"),
        "width": a_length(mark_width, 5, 1000, "--mark-width"),
        "at": a_point(mark_at, "--mark-at"),
    }
    marks = [
        Marking("engraving", text, artwork, on.value, names=called, **both, **sizes),
        Marking("print", print_text, print_art, print_on.value, **both),
    ]
    asked = asked_of(hold.value, z.value, measured, chip_share, timber_source, oil_batch, oiled)
    reading = reading_from(unit, layer, gap, grip or (), grain, centred=True)
    work = making.Work(
        shop,
        asked,
        numbers({"cutter": cutter, "thickness": thickness, "load": load}),
        tuple(counts_of(quantity)),
        reading.grips,
        tuple(m for m in marks if m.wanted),
        paper.value,
        ink,
        cutter_path,
        shown_as(pixels, transparent, beside),
        anyway,
        not_for_food,
    )
    found = read_all(boards, reading, read_brief(brief) if brief else None)
    with as_options():
        done = making.prepare(found, to, work, jobs=workers(jobs), force=force, note=note)
    _say_made(done, to, json=json)


def _say_made(done: "Made", to: Path, *, json: bool) -> None:
    """Print what was made, and say where to start."""
    from shapes.cli.common import note, table
    from shapes.folders.collection import to_json
    from shapes.folders.figures import batch_json

    made, files = done.set_ups, done.files
    if json:
        print(
            to_json({**batch_json(made, [None] * len(done.jobs)), "files": files}).decode(), end=""
        )
    else:
        head = ["board", "quantity", "to make", "machine, each", "bench, each", "oil, ml", "marks"]
        print(table(head, [_batch_row(j) for j in done.jobs]))
    note(
        f"{sum((to / f).is_file() for f in files)} files in {to}: start with"
        f" {next(f for f in files if f.endswith('.html'))}"
    )


def _never_where_food_lies(face: OnFace) -> None:
    from shapes.errors import InputError, Problem

    if face is OnFace.eating:
        raise InputError(
            Problem(
                "--print-on",
                "never on the eating face: ink meets food there",
                "underside or handle",
            )
        )


def _only_one(one: str, value: Any, other: str, second: Any) -> None:
    from shapes.errors import InputError, Problem

    if value is not None and second is not None:
        raise InputError(Problem(one, f"goes without {other}", "", "give one of them"))


def _row(job: "Job") -> list[str]:
    from shapes.workshop.words import clock

    p = job.plan
    edge = p.cuts[-1]
    lifts = job.lifted.length(edge=True) + job.lifted.length(edge=False)
    return [
        job.name,
        edge.held,
        f"{len(edge.passes) - 1} + 1",
        f"{p.feeds.rpm:.0f}",
        f"{p.feeds.feed:.0f}",
        f"{p.length / 1000:.1f}",
        clock(job.cutting_minutes),
        f"{lifts:.0f}",
    ]


def _batch_row(job: "Job") -> list[str]:
    from shapes.workshop.price import to_make
    from shapes.workshop.words import clock

    marks = [
        n + (f", capitals {m.mark.capital:.1f} mm" if m.mark.capital else "")
        for n, m in (("engraved", job.engraving), ("printed", job.printed))
        if m
    ]
    return [
        job.name,
        str(job.asked.quantity),
        str(to_make(job.asked.quantity)),
        clock(job.machine_minutes),
        clock(job.bench_minutes),
        f"{sum(job.oil):.0f}",
        "; ".join(marks),
    ]

"""A batch in one folder.

Every board with its machines' files and its worksheet, prices, record, cards.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from shapes.collection.board import Board, DrawnBoard, Report, full_report
from shapes.errors import InputError, Problem
from shapes.files.machine import (
    Planned,
    cut_files,
    engrave_files,
    face_file,
    frame_file,
    print_files,
)
from shapes.files.marking import Marking, judged, mark
from shapes.files.paper import template_pdf
from shapes.files.safe import plain_name, write_checked
from shapes.files.worksheet import care_pdf, worksheet_html, worksheet_pdf
from shapes.folders import whole
from shapes.folders.collection import to_json
from shapes.folders.figures import batch_json, prices_csv, record_csv
from shapes.folders.placement import Blank
from shapes.geometry.pose import Pose
from shapes.pictures.board import INK, SHOWN, Shown, as_png, board_picture
from shapes.pictures.board_figure import board_figure
from shapes.pictures.placement import placement_picture
from shapes.processes import helpers
from shapes.text_files import read_json
from shapes.workshop.job import Job, JobOptions, Placed
from shapes.workshop.price import batch_of
from shapes.workshop.set_up import Lies, SetUp, set_up
from shapes.workshop.sheet import lacking, worksheet
from shapes.workshop.shop import Workshop
from shapes.workshop.stock import of_piece

BATCH = "batch.json"
FINEST = 0.4  # mm, of a print (design)


def ready(target: Path, *, force: bool) -> None:
    """Refuse a place that is not ours to write. Raises InputError."""
    whole.ready(target, _ours, "batch", force=force)


def _ours(target: Path) -> set[str]:
    return set(read_json(target / BATCH)["files"])


@dataclass(frozen=True, slots=True, eq=False)
class Task:
    """A stock to prepare: one board with a blank of its own, or all boards of ``blank``."""

    boards: tuple[Board | DrawnBoard, ...]
    places: tuple[str, ...]  # what each is called in messages
    place: int
    shop: Workshop
    asked: JobOptions
    blank: Blank | None = None
    marks: tuple[Marking, ...] = ()
    paper: str = "a4"
    ink: str = INK
    path: bool = False
    shown: Shown = SHOWN
    files: bool = True  # whether files are made, or the job alone
    anyway: bool = False  # a board that fails a check is planned all the same
    not_for_food: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """What came of a task: the set-up with its files, checked; or its problems.

    Lines to be said.
    """

    made: SetUp | None
    files: tuple[Planned, ...] = ()
    problems: tuple[Problem, ...] = ()
    unfit: tuple[Problem, ...] = ()  # why its boards may not leave the shop
    lines: tuple[str, ...] = ()


def prepare(task: Task) -> Prepared:
    """Plan what is cut from one stock, place its marks and make its files.

    Problems are returned, not raised.
    """
    lies: list[Lies] = []
    lines: list[str] = []
    problems: list[Problem] = []
    unfit: list[Problem] = []
    for k, (where, one) in enumerate(zip(task.places, _lying(task), strict=True)):
        unfit += _unfit(task, one.report, where, first=k == 0)
        if one.report.failed and task.anyway:
            lines.append(f"{where} FAILS {', '.join(one.report.failed)}: see shapes check")
        placed: dict[str, Placed] = {}
        try:
            for asked in task.marks:
                placed[asked.use] = mark(one.report, asked, where, placed.get("engraving"))
        except InputError as error:
            problems += error.problems
        lies.append(replace(one, engraving=placed.get("engraving"), printed=placed.get("print")))
    stock = of_piece(task.blank.piece, task.blank.datum) if task.blank else None
    try:
        made = set_up(lies, task.shop, task.asked, stock)
    except InputError as error:
        problems += error.problems
    if problems or unfit:
        return Prepared(None, (), tuple(problems), tuple(unfit), tuple(lines))
    lines += lacking(made)
    for job in made.jobs:
        for mark_made, spot in ((job.engraving, task.shop.laser.spot), (job.printed, FINEST)):
            lines += judged(mark_made, spot, job.name) if mark_made else []
    files = []
    for planned in setup_files(made, task) if task.files else ():
        if planned.check:
            planned.check(planned.data)
        files.append(Planned(planned.name, planned.data))
    return Prepared(made, tuple(files), lines=tuple(lines))


def _lying(task: Task) -> list[Lies]:
    """Every board as it lies: on a blank of its own, or on the piece."""
    if task.blank is not None:
        return lying(task.blank, task.places)
    return [Lies(full_report(b), w) for b, w in zip(task.boards, task.places, strict=True)]


def lying(blank: Blank, places: Sequence[str] = ()) -> list[Lies]:
    """Return the boards of a piece as they lie from its
    datum, each with its part of the account.
    """
    x, y = blank.datum
    accounts = {line.number: line for line in blank.account.lines}
    names = places or [r.board.name or r.board.form for _, _, r in blank.placed]
    return [
        Lies(report, where, Pose(p.pose.x - x, p.pose.y - y, p.pose.angle), n, accounts[n])
        for where, (n, p, report) in zip(names, blank.placed, strict=True)
    ]


def _unfit(task: Task, report: Report, where: str, *, first: bool) -> list[Problem]:
    """Why a board may not be made: a check that fails, timber that is not for food."""
    found = [] if task.anyway else report.refused(where)
    piece = task.blank.piece if task.blank else None
    if not task.not_for_food:
        if piece is not None and not piece.fit_for_food and first:
            found.append(
                Problem(
                    piece.name,
                    f"is not fit for food: its origin is '{piece.origin}'",
                    "only known solid timber",
                    "leave it, or say --not-for-food",
                )
            )
        elif (piece is None or piece.fit_for_food) and not report.board.brief.for_food:
            found.append(
                Problem(
                    where, "was drawn for timber that is not fit for food", "", "say --not-for-food"
                )
            )
    return found


def prepare_all(tasks: Sequence[Task], jobs: int = 1) -> list[Prepared]:
    """Prepare every stock, by several processes where there are several."""
    with helpers(min(jobs, len(tasks))) as each:
        return list(each(prepare, tasks))


def write_batch(
    prepared: Sequence[tuple[SetUp, Sequence[Planned]]], target: Path, *, force: bool = False
) -> list[str]:
    """Write the folder whole and return its files.

    Raises InputError; leaves nothing half-written.
    """
    ready(target, force=force)
    written: list[str] = []
    setups = [made for made, _ in prepared]
    jobs = [j for made in setups for j in made.jobs]

    def fill(place: Path) -> None:
        folders: list[str | None] = []
        for i, (made, files) in enumerate(prepared, start=1):
            folder = f"{i:02d}-{plain_name(made.name) or 'board'}"
            own = [folder]
            if made.stock.piece is not None:
                own = [f"{folder}/{board_folder(j)}" for j in made.jobs]
            for name in dict.fromkeys((folder, *own)):
                (place / name).mkdir()
                written.append(name)
            folders += own
            for planned in files:
                write_checked(place / folder / planned.name, planned.data)
                written.append(f"{folder}/{planned.name}")
        batch = batch_of(jobs)
        cards = [(j.name, j.report.board.brief.species, j.for_food) for j in jobs]
        for name, data in (
            ("prices.csv", prices_csv(batch)),
            ("record.csv", record_csv(jobs)),
            ("care-cards.pdf", care_pdf(cards)),
        ):
            write_checked(place / name, data)
            written.append(name)
        written.append(BATCH)
        write_checked(place / BATCH, to_json({**batch_json(setups, folders), "files": written}))

    whole.write(target, fill, lambda: ready(target, force=force))
    return written


def board_folder(job: Job) -> str:
    """Folder of a board's own files beside those of the piece it is cut from."""
    return f"{job.number}-{plain_name(job.name) or 'board'}"


def setup_files(made: SetUp, task: Task) -> list[Planned]:
    """Return every file of one stock.

    Those of the router once, those of its boards in folders of theirs.
    """
    files = cut_files(made, task.shop.layer_colours, path=task.path)
    if task.blank is not None:
        named = [(n, p, r.board.name or r.board.form) for n, p, r in task.blank.placed]
        unit = task.blank.unit or task.shop.unit
        picture = placement_picture(
            task.blank.piece, named, task.blank.datum, task.blank.cutter, unit
        )
        files.append(Planned("placement.svg", picture.encode()))
    sheet, figure = worksheet(made, task.place), board_figure(made)
    files += [
        Planned("worksheet.html", worksheet_html(sheet, figure, task.paper)),
        Planned("worksheet.pdf", worksheet_pdf(sheet, figure, task.paper)),
    ]
    for job in made.jobs:
        under = f"{board_folder(job)}/" if task.blank is not None else ""
        files += [replace(f, name=under + f.name) for f in board_files(job, task)]
    return files


def board_files(job: Job, task: Task) -> list[Planned]:
    """Return the files of one board that its stock does not hold.

    Marks, frames, template, pictures.
    """
    colours = job.shop.layer_colours
    made: list[Planned] = []
    if job.engraving:
        made += engrave_files(job.engraving, colours)
    if job.printed:
        made += print_files(job.printed, task.ink)
    marks = [m for m in (job.engraving, job.printed) if m]
    for suffix in dict.fromkeys(m.face.suffix for m in marks):
        on = [m for m in marks if m.face.suffix == suffix]
        made += [face_file(job, on), frame_file(job, on[0].face, colours)]
    both = (job.engraving, job.printed)
    for under in (False, *([True] if any(m.face.under for m in marks) else [])):
        picture = board_picture(job.made, task.shown, both, task.ink, under=under)
        name = "board-UNDERSIDE.png" if under else "board.png"
        made.append(Planned(name, as_png(picture, task.shown)))
    title = f"{job.number}  {job.name}" if task.blank else f"{task.place}  {job.name}"
    template = template_pdf(job.made.outline, title, task.paper, job.report.subject.grain)
    return [*made, Planned(f"template-{task.paper}.pdf", template)]

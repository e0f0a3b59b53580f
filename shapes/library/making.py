"""Plan and write what the machines and the bench need of boards that are chosen."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from shapes.collection.board import Board, DrawnBoard, Report, full_report
from shapes.errors import OPTION, InputError, Problem, RefusedError
from shapes.files.marking import Marking
from shapes.folders.batch import Prepared, Task, prepare_all, write_batch
from shapes.folders.chosen import write_files
from shapes.folders.placement import Blank
from shapes.library.presets import silent
from shapes.library.reading import Found, Grip
from shapes.library.settings import held_board, with_settings
from shapes.pictures.board import INK, SHOWN, Shown
from shapes.workshop.job import Job, JobOptions
from shapes.workshop.set_up import SetUp
from shapes.workshop.shop import Workshop

FORMATS = ("dxf", "svg", "pdf", "png")
CUT = frozenset({"dxf", "svg", "pdf"})  # formats by which wood is cut; a picture is none
Settings = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Work:
    """What is asked of a batch beside its boards.

    ``settings`` are of the brief (cutter, thickness, load), in place of the boards' own;
    ``quantities`` one a board, or one for all; ``grips`` (x, y, radians).
    """

    shop: Workshop = field(default_factory=Workshop)
    asked: JobOptions = field(default_factory=JobOptions)
    settings: Settings = field(default_factory=dict)
    quantities: Sequence[int] = (1,)
    grips: tuple[Grip, ...] = ()
    marks: tuple[Marking, ...] = ()
    paper: str = "a4"
    ink: str = INK
    cutter_path: bool = False
    shown: Shown = SHOWN
    anyway: bool = False  # a board that fails a check is made all the same, and says so
    not_for_food: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Made:
    """What came of a batch.

    Its set-ups, why boards have none, and the files where it was written.
    """

    set_ups: tuple[SetUp, ...]
    problems: tuple[Problem, ...] = ()
    files: tuple[str, ...] = ()

    @property
    def jobs(self) -> list[Job]:
        """The job of every board, in order."""
        return [j for made in self.set_ups for j in made.jobs]


def plan(
    boards: Found | Sequence[Board | DrawnBoard],
    work: Work | None = None,
    *,
    note: Callable[[str], None] = silent,
) -> Made:
    """Say how boards are cut: passes, feeds, tabs, lengths, times, tear-out. Nothing is written.

    Boards may fail checks; why one cannot be planned stands in ``problems``. ``note`` hears what is
    worth knowing. Raises InputError where what is asked does not go with the boards.
    """
    work = replace(work or Work(), anyway=True, not_for_food=True)
    return _settled(prepare_all(_tasks(boards, work, files=False)), note)


def prepare(
    boards: Found | Sequence[Board | DrawnBoard],
    to: str | Path,
    work: Work | None = None,
    *,
    jobs: int = 1,
    force: bool = False,
    note: Callable[[str], None] = silent,
) -> Made:
    """Write everything after the shape is chosen.

    Machine files, template, worksheet, prices, cards.

    ``boards`` as ``read_boards`` returns them, so that those of a placement are made where they
    lie; others get a blank of their own. ``work``: the shop and what is asked. ``jobs``: processes.
    ``force``: replace the batch in the folder, which is written whole or not at all. ``note`` hears
    what is worth knowing.

    Raises InputError with every problem, RefusedError where a board fails a check or its timber may
    not touch food.
    """
    work = work or Work()
    tasks = _tasks(boards, work, files=True)
    called = max((len(m.names) for m in work.marks), default=0)
    if called and (len(tasks) != 1 or tasks[0].blank or tasks[0].asked.quantity != called):
        raise InputError(
            Problem(
                f"{OPTION}: names",
                f"{called} names go with one board made {called} times",
                "",
                "name one board on a blank of its own",
            )
        )
    prepared = prepare_all(tasks, jobs)
    made = _settled(prepared, note)
    if made.problems:
        raise InputError(*made.problems)
    unfit = [q for p in prepared for q in p.unfit]
    if unfit:
        raise RefusedError(*unfit)
    files = write_batch([(p.made, p.files) for p in prepared if p.made], Path(to), force=force)
    return replace(made, files=tuple(files))


def export(
    boards: Found | Sequence[Board | DrawnBoard],
    to: str | Path,
    formats: Sequence[str] | str = ("dxf",),
    *,
    settings: Settings | None = None,
    grips: tuple[Grip, ...] = (),
    corner: bool = False,
    arcs: bool = True,
    colours: dict[str, str] | None = None,
    shown: Shown = SHOWN,
    anyway: bool = False,
    force: bool = False,
) -> tuple[list[Path], list[Report]]:
    """Write files of boards: dxf, svg, pdf (1:1), png (1:1, and the board finished).

    ``settings`` of the brief in place of the boards' own; ``corner``: (0, 0) at the blank's lower
    left corner, not its centre; ``arcs``: a DXF's edge as arcs within 0.01 mm, else as one exact
    spline; ``colours`` of layers; ``shown``: how a finished picture is; ``force``: replace files of
    the same names.

    Returns the files, and the boards' reports. Raises InputError, or RefusedError where wood would
    be cut of a board that fails a check and not ``anyway``, or that lies on a piece.
    """
    formats = [formats] if isinstance(formats, str) else list(formats)
    wrong = [f for f in formats if f not in FORMATS]
    if wrong or not formats:
        raise InputError(
            Problem(
                "formats",
                f"unknown format '{wrong[0]}'" if wrong else "there are none",
                ", ".join(FORMATS),
            )
        )
    found = _found(boards)
    reports = []
    for i, board in enumerate(found):
        held = held_board(board, with_settings(board.brief, dict(settings or {})), grips)
        reports.append(full_report(held, found.grain(i)))
    problems: list[Problem] = []
    for i, report in enumerate(reports):
        name = report.board.name or "board"
        if CUT & set(formats) and i in found.lies:
            laid = found.lies[i].blank
            problems.append(
                Problem(
                    name,
                    f"lies on {laid.piece.name}: it is cut by the cut.dxf of that piece",
                    "",
                    f"see {laid.folder} in the placement; shapes prepare writes the rest",
                )
            )
        if CUT & set(formats) and not anyway:
            problems += report.refused(name)
    if problems:
        raise RefusedError(*problems)
    written = write_files(
        reports,
        Path(to),
        formats,
        corner=corner,
        arcs=arcs,
        colours=colours,
        shown=shown,
        force=force,
    )
    return written, reports


def _found(boards: Found | Sequence[Board | DrawnBoard]) -> Found:
    if isinstance(boards, Found):
        return boards
    if not isinstance(boards, Sequence):
        raise InputError(
            Problem(
                "boards",
                f"are a {type(boards).__name__}",
                "what read_boards returns, or a list of boards",
                "a placement is written first (write_placement), then read",
            )
        )
    return Found(list(boards), [b.name or b.form for b in boards])


def _tasks(boards: Found | Sequence[Board | DrawnBoard], work: Work, *, files: bool) -> list[Task]:
    """Return a task for each blank, one for each piece. Raises InputError."""
    found = _found(boards)
    each = list(work.quantities)
    if len(each) not in (1, len(found)):
        raise InputError(
            Problem(
                f"{OPTION}: quantity",
                f"names {len(each)} boards of {len(found)}",
                "",
                "one number for all, or one each",
            )
        )
    every = each * len(found) if len(each) == 1 else each
    how: dict[str, Any] = {
        "marks": work.marks,
        "paper": work.paper,
        "ink": work.ink,
        "path": work.cutter_path,
        "shown": work.shown,
        "files": files,
        "anyway": work.anyway,
        "not_for_food": work.not_for_food,
    }
    tasks: list[Task] = []
    problems: list[Problem] = []
    pieces: dict[str, list[int]] = {}
    for i, (board, file, count) in enumerate(zip(found, found.files, every, strict=True)):
        if i in found.lies:
            pieces.setdefault(found.lies[i].blank.folder, []).append(i)
            continue
        board = held_board(board, with_settings(board.brief, dict(work.settings)), work.grips)
        wanted = replace(work.asked, quantity=count)
        tasks.append(
            Task((board,), (board.name or file,), len(tasks) + 1, work.shop, wanted, **how)
        )
    for which in pieces.values():
        blank = found.lies[which[0]].blank
        problems += _of_piece(blank, len(which), work.settings, [every[i] for i in which])
        if not blank.placed:
            continue
        names = tuple(f"{found[i].name or found[i].form} on {blank.piece.name}" for i in which)
        on = tuple(found[i] for i in which)
        tasks.append(Task(on, names, len(tasks) + 1, work.shop, work.asked, blank, **how))
    if problems:
        raise InputError(*problems)
    return tasks


def _of_piece(
    blank: Blank, count: int, settings: Settings, quantities: Sequence[int]
) -> list[Problem]:
    """What cannot be asked of boards that lie on a piece."""
    name, found = blank.piece.name, []
    if count != len(blank.placed):
        found.append(
            Problem(
                name,
                f"holds {len(blank.placed)} boards, of which {count} named: it is cut whole",
                "",
                "name its folder, or place these alone",
            )
        )
    for setting, value in settings.items():
        if value is not None:
            found.append(
                Problem(
                    f"{OPTION}: {setting}",
                    f"the boards lie on {name} as they were placed",
                    "",
                    f"place them again with another {setting}",
                )
            )
    if any(q != 1 for q in quantities):
        found.append(
            Problem(
                f"{OPTION}: quantity",
                f"a placement holds one board for each place on {name}",
                "",
                "say --quantity to shapes place",
            )
        )
    return found


def _settled(prepared: list[Prepared], note: Callable[[str], None]) -> Made:
    """Say what is to be said of set-ups, and return them with the problems of all."""
    made = [p.made for p in prepared if p.made]
    jobs = [j for m in made for j in m.jobs]
    lines = [line for p in prepared for line in p.lines]
    lines += [n for j in jobs for n in j.notes]
    for job in jobs:
        if job.asked.hold == "either" and job.plan.hold == "skin":
            lines.append(f"{job.name}: no three stretches are fit for tabs, so a skin holds it")
    if not all(m.known for m in made):
        lines.append(
            "no workshop states the cutter: speeds, feeds and minutes are those of a two-edged"
            " cutter on a middling machine, and blanks on the sheet"
        )
    for text in dict.fromkeys(lines):
        note(text)
    return Made(tuple(made), tuple(dict.fromkeys(q for p in prepared for q in p.problems)))

"""What plan and prepare share: a task for each blank and piece, and what is said of what came of them."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from shapes.cli.reading import Asked as Reading
    from shapes.errors import Problem
    from shapes.folders.batch import Prepared, Task
    from shapes.folders.placement import Blank
    from shapes.workshop.job import Asked
    from shapes.workshop.set_up import SetUp
    from shapes.workshop.shop import Shop


def asked_of(
    hold: str,
    z: str,
    measured: str | None,
    share: float,
    timber: str = "",
    oil: str = "",
    oiled: str | None = None,
) -> "Asked":
    """Read the options of a job. Raises InputError."""
    from datetime import date

    from shapes.cli.common import in_range, plain_text
    from shapes.cli.marking import a_length
    from shapes.errors import InputError, Problem
    from shapes.workshop.job import Asked

    in_range(share, 0.1, 1, "--chip-share")
    day = None
    if oiled is not None:
        try:
            day = date.fromisoformat(oiled)
        except ValueError:
            raise InputError(Problem("--oiled", f"'{oiled}' is no date", "", "write 2026-05-14")) from None  # fmt: skip
    thickness = a_length(measured, 6, 80, "--measured")
    return Asked(
        hold,
        z,
        thickness,
        share,
        1,
        plain_text(timber, "--timber-source"),
        plain_text(oil, "--oil-batch"),
        day,
    )


def counts_of(quantity: str | None) -> list[int] | None:
    """Read how many of each board. Raises InputError."""
    from shapes.cli.common import in_range
    from shapes.errors import InputError, Problem

    if quantity is None:
        return None
    try:
        counts = [int(part) for part in quantity.split(",")]
    except ValueError:
        raise InputError(Problem("--quantity", f"'{quantity}' is no list of numbers", "", "write 2,1,3")) from None  # fmt: skip
    for count in counts:
        in_range(count, 1, 500, "--quantity")
    return counts


def tasks_of(
    paths: list[Path],
    reading: "Reading",
    brief: Path | None,
    shop: "Shop",
    asked: "Asked",
    changes: "dict[str, str | None]",
    counts: list[int] | None = None,
    load: "dict[str, str | None] | None" = None,
    **how: Any,
) -> "list[Task]":
    """Read every board, with what is asked of it: a task for each blank, one for each piece.

    ``changes`` are settings that a board on a piece cannot have other than its piece's; ``load`` others.
    """
    from dataclasses import replace

    from shapes.cli.common import held_board, replaced
    from shapes.cli.reading import read_all
    from shapes.collection.brief import read_brief
    from shapes.errors import InputError, Problem
    from shapes.folders.batch import Task

    found = read_all(paths, reading, read_brief(brief) if brief else None)
    each = counts or [1]
    if len(each) not in (1, len(found.boards)):
        raise InputError(Problem("--quantity", f"names {len(each)} boards of {len(found.boards)}", "", "one number for all, or one each"))  # fmt: skip
    every = each * len(found.boards) if len(each) == 1 else each
    tasks: list[Task] = []
    problems: list[Problem] = []
    pieces: dict[str, list[int]] = {}
    for i, (board, file, count) in enumerate(zip(found.boards, found.files, every, strict=True)):
        if i in found.lies:
            pieces.setdefault(found.lies[i].blank.folder, []).append(i)
            continue
        bits = replaced(board.brief, {**changes, **(load or {})})
        board = held_board(board, bits, reading.grips)
        wanted = replace(asked, quantity=count)
        tasks.append(Task((board,), (board.name or file,), len(tasks) + 1, shop, wanted, **how))
    for which in pieces.values():
        blank = found.lies[which[0]].blank
        problems += _of_piece(blank, len(which), changes, [every[i] for i in which], load or {})
        if not blank.placed:
            continue
        boards = tuple(found.boards[i] for i in which)
        names = tuple(f"{b.name or b.form} on {blank.piece.name}" for b in boards)
        tasks.append(Task(boards, names, len(tasks) + 1, shop, asked, blank, **how))
    if problems:
        raise InputError(*problems)
    return tasks


def _of_piece(
    blank: "Blank",
    count: int,
    changes: "dict[str, str | None]",
    quantities: list[int],
    load: "dict[str, str | None]",
) -> "list[Problem]":
    """What cannot be asked of boards that lie on a piece."""
    from shapes.errors import Problem

    name, found = blank.piece.name, []
    if count != len(blank.placed):
        found.append(Problem(name, f"holds {len(blank.placed)} boards, of which {count} named: it is cut whole", "", "name its folder, or place these alone"))  # fmt: skip
    for option, value in {**changes, **load}.items():
        if value is not None:
            found.append(Problem(f"--{option}", f"the boards lie on {name} as they were placed", "", f"place them again with another {option}"))  # fmt: skip
    if any(q != 1 for q in quantities):
        found.append(Problem("--quantity", f"a placement holds one board for each place on {name}", "", "say --quantity to shapes place"))  # fmt: skip
    return found


def settled(prepared: "list[Prepared]") -> "tuple[list[SetUp], list[Problem]]":
    """Say what is to be said; return the set-ups, and the problems of all boards."""
    from shapes.cli.common import note

    made = [p.made for p in prepared if p.made]
    jobs = [j for m in made for j in m.jobs]
    lines = [line for p in prepared for line in p.lines]
    lines += [n for j in jobs for n in j.notes]
    for job in jobs:
        if job.asked.hold == "either" and job.plan.hold == "skin":
            lines.append(f"{job.name}: no three stretches are fit for tabs, so a skin holds it")
    if not all(m.known for m in made):
        lines.append("no workshop states the cutter: speeds, feeds and minutes are those of a two-edged cutter on a middling machine, and blanks on the sheet")  # fmt: skip
    for text in dict.fromkeys(lines):
        note(text)
    return made, list(dict.fromkeys(q for p in prepared for q in p.problems))

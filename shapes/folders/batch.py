"""A batch in one folder: every board with its machines' files and its worksheet, prices, record, cards."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from shapes import __version__
from shapes.collection.board import Board, Drawn, full_report
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
from shapes.pictures.board import INK, SHOWN, Shown, as_png, board_picture
from shapes.pictures.board_figure import board_figure
from shapes.workshop.job import Asked, Batch, Job, Placed, Price, batch_of, job_of, to_make
from shapes.workshop.sheet import worksheet
from shapes.workshop.shop import Shop

BATCH = "batch.json"
FINEST = 0.4  # mm, of a print (design)


def job_json(job: Job) -> dict[str, Any]:
    """Return a job as plain values; lengths mm, areas m2, times minutes."""
    p, a = job.plan, job.areas
    return {
        "name": job.name,
        "blank_mm": list(job.estimate.blank_mm),
        "quantity": job.asked.quantity,
        "to_make": to_make(job.asked.quantity),
        "cutting": {
            "cutter_mm": p.cutter.true,
            "rpm": p.feeds.rpm,
            "chip_load_mm": round(p.feeds.chip, 4),
            "feed_mm_min": round(p.feeds.feed, 1),
            "full_depth_feed_mm_min": round(p.feeds.full_depth, 1),
            "thickness_mm": p.thickness,
            "measured": p.measured,
            "z_from": p.z_from,
            "hold": p.hold,
            "depth_mm": round(p.depth, 3),
            "cuts": [
                {
                    "what": c.what,
                    "held": c.held,
                    "length_mm": round(c.length, 2),
                    "minutes": round(c.minutes, 2),
                    "passes": [asdict(z) for z in c.passes],
                    "tabs": [[round(t.x, 3), round(t.y, 3)] for t in c.tabs],
                }
                for c in p.cuts
            ],
            "skim": None if p.skim is None else {"first_mm": list(p.skim.first), "second_mm": list(p.skim.second), "minutes": round(p.skim.minutes, 2), "rest_a_day": p.skim.rest},
            "length_mm": round(p.length, 2),
            "minutes": round(p.minutes, 2),
        },
        "tear_out": {
            "edge_mm": round(job.lifted.length(edge=True), 1),
            "openings_mm": round(job.lifted.length(edge=False), 1),
            "flat_mm": [round(v, 3) for v in job.lifted.flat],
            "stretches": [{"loop": f.loop, "length_mm": round(f.length, 1), "from": f.points[0].round(3).tolist(), "to": f.points[-1].round(3).tolist()} for f in job.lifted.lifted],
            "underside_mm": round(sum(f.length for f in job.lifted.under), 1),
            "advice": [*job.lifted.router(), *(f"trimmer: {a}" for a in job.lifted.trimmer())],
        },
        "areas_m2": {n: round(v, 6) for n, v in asdict(a).items()},
        "oil_ml": [round(v, 2) for v in job.oil],
        "finishing": [asdict(s) for s in job.steps],
        "bench_minutes": round(job.bench_minutes, 1),
        "cured": job.cured.isoformat() if job.cured else None,
        "engraving": _mark_json(job.engraving),
        "print": _mark_json(job.printed),
        "notes": list(job.notes),
    }  # fmt: skip


def _mark_json(placed: Placed | None) -> dict[str, Any] | None:
    if placed is None:
        return None
    area = asdict(placed.area)
    return {
        "says": placed.mark.says,
        "face": placed.face.name,
        "area": {n: round(float(v), 6) for n, v in area.items()},
        "capital_mm": None if placed.mark.capital is None else round(placed.mark.capital, 3),
    }


def batch_json(jobs: Sequence[Job], folders: Sequence[str | None]) -> dict[str, Any]:
    """Return the whole batch as plain values."""
    batch = batch_of(jobs)
    return {
        "schema": 1,
        "version": __version__,
        "boards": [{"folder": f, **job_json(j)} for j, f in zip(jobs, folders, strict=True)],
        "blanks": [
            {"blank": name, "boards": [j.name for j in on], "length_of_cut_mm": round(sum(j.plan.length for j in on), 1), "minutes_machine": round(sum(j.plan.minutes for j in on), 2)}
            for name, on in _blanks(jobs)
        ],
        "minutes_machine": round(sum(p.machine_minutes for p in batch.every), 2),
        "minutes_bench": round(sum(p.bench_minutes for p in batch.every), 2),
        "length_of_cut_mm": round(sum(j.plan.length * to_make(j.asked.quantity) for j in jobs), 1),
        "prices": [{**asdict(p), "cost": p.cost, "price": p.price} for p in batch.every],
        "not_priced": list(batch.unknown),
        "total": batch.total,
    }  # fmt: skip


def _blanks(jobs: Sequence[Job]) -> list[tuple[str, list[Job]]]:
    """Boards by the piece they are cut from: an off-cut, or a blank of their own."""
    found: dict[str, list[Job]] = {}
    for job in jobs:
        found.setdefault(job.off_cut or f"blank of {job.name}", []).append(job)
    return list(found.items())


_COLUMNS = ("board", "quantity", "to make", "machine minutes", "bench minutes", "timber", "machine time", "bench time", "finish", "cost", "margin", "tax", "price", "price each")  # fmt: skip


def prices_csv(batch: Batch) -> bytes:
    """Return the price table: a line a board, the set-up once, totals."""
    held = io.StringIO()
    table = csv.writer(held, lineterminator="\n")
    table.writerow(_COLUMNS)
    for p in batch.every:
        table.writerow(_price_row(p))
    every = batch.every
    sums = [_sum(getattr(p, n) for p in every) for n in ("timber", "machine", "bench", "finish", "cost", "margin", "tax", "price")]  # fmt: skip
    minutes = [f"{sum(getattr(p, n) for p in every):.1f}" for n in ("machine_minutes", "bench_minutes")]  # fmt: skip
    table.writerow(["total", sum(p.quantity for p in batch.lines), sum(p.to_make for p in batch.lines), *minutes, *sums, ""])  # fmt: skip
    return held.getvalue().encode()


def _sum(values: Any) -> str:
    known = [v for v in values if v is not None]
    return f"{sum(known):.2f}" if known else ""


def _price_row(p: Price) -> list[Any]:
    money = [_sum([v]) for v in (p.timber, p.machine, p.bench, p.finish, p.cost, p.margin, p.tax, p.price)]  # fmt: skip
    minutes = [f"{p.machine_minutes:.1f}", f"{p.bench_minutes:.1f}"]
    return [p.name, p.quantity, p.to_make, *minutes, *money, f"{p.price / p.quantity:.2f}"]


def record_csv(jobs: Sequence[Job]) -> bytes:
    """Return a record for traceability: a line for each board that is made, dates to be filled in."""
    held = io.StringIO()
    table = csv.writer(held, lineterminator="\n")
    table.writerow(("board", "number", "species", "timber source", "oil", "oil batch", "cut on", "last coat on", "cured on", "dispatched on", "to"))  # fmt: skip
    for job in jobs:
        brief, asked = job.report.board.brief, job.asked
        oiled = asked.oiled.isoformat() if asked.oiled else ""
        cured = job.cured.isoformat() if job.cured else ""
        for k in range(1, to_make(asked.quantity) + 1):
            table.writerow((job.name, k, brief.species, asked.timber_source, job.shop.oil.name, asked.oil_batch, "", oiled, cured, "", ""))  # fmt: skip
    return held.getvalue().encode()


def ready(target: Path, *, force: bool) -> None:
    """Refuse a place that is not ours to write. Raises InputError."""
    whole.ready(target, _ours, "batch", force=force)


def _ours(target: Path) -> set[str]:
    return set(json.loads((target / BATCH).read_text(encoding="utf-8"))["files"])


@dataclass(frozen=True, slots=True)
class Task:
    """A board to prepare, with all that is asked of it."""

    board: Board | Drawn
    where: str
    place: int
    shop: Shop
    asked: Asked
    off_cut: str | None = None
    marks: tuple[Marking, ...] = ()
    paper: str = "a4"
    ink: str = INK
    path: bool = False
    shown: Shown = SHOWN
    files: bool = True  # whether files are made, or the job alone


@dataclass(frozen=True, slots=True)
class Prepared:
    """What came of a task: the job with its files, checked; or its problems. Lines to be said."""

    job: Job | None
    files: tuple[Planned, ...] = ()
    problems: tuple[Problem, ...] = ()
    lines: tuple[str, ...] = ()


def prepare(task: Task) -> Prepared:
    """Plan one board, place its marks and make its files. Problems are returned, not raised."""
    report, where = full_report(task.board), task.where
    lines = []
    if report.failed:
        lines.append(f"{where} FAILS {', '.join(report.failed)}: see shapes check")
    placed: dict[str, Placed] = {}
    try:
        for asked in task.marks:
            placed[asked.use] = mark(report, asked, where, placed.get("engraving"))
        job = job_of(report, task.shop, task.asked, engraving=placed.get("engraving"), printed=placed.get("print"), off_cut=task.off_cut, where=where)  # fmt: skip
    except InputError as error:
        return Prepared(None, (), error.problems, tuple(lines))
    for made, spot in ((job.engraving, task.shop.laser.spot), (job.printed, FINEST)):
        lines += judged(made, spot, where) if made else []
    made_files = []
    for planned in board_files(job, task.place, task.paper, task.ink, path=task.path, shown=task.shown) if task.files else ():  # fmt: skip
        if planned.check:
            planned.check(planned.data)
        made_files.append(Planned(planned.name, planned.data))
    return Prepared(job, tuple(made_files), (), tuple(lines))


def prepare_all(tasks: Sequence[Task], jobs: int = 1) -> list[Prepared]:
    """Prepare every board, by several processes where there are several boards."""
    if jobs <= 1 or len(tasks) == 1:
        return [prepare(t) for t in tasks]
    with ProcessPoolExecutor(min(jobs, len(tasks))) as workers:
        return list(workers.map(prepare, tasks))


def write_batch(
    prepared: Sequence[tuple[Job, Sequence[Planned]]], target: Path, *, force: bool = False
) -> list[str]:
    """Write the folder whole and return its files. Raises InputError; leaves nothing half-written."""
    ready(target, force=force)
    written: list[str] = []
    jobs = [job for job, _ in prepared]

    def fill(place: Path) -> None:
        folders = [f"{i:02d}-{plain_name(j.name) or 'board'}" for i, j in enumerate(jobs, start=1)]
        for folder, (_, files) in zip(folders, prepared, strict=True):
            (place / folder).mkdir()
            written.append(folder)
            for planned in files:
                write_checked(place / folder / planned.name, planned.data)
                written.append(f"{folder}/{planned.name}")
        batch = batch_of(jobs)
        cards = [(j.name, j.report.board.brief.species) for j in jobs]
        for name, data in (
            ("prices.csv", prices_csv(batch)),
            ("record.csv", record_csv(jobs)),
            ("care-cards.pdf", care_pdf(cards)),
        ):
            write_checked(place / name, data)
            written.append(name)
        written.append(BATCH)
        write_checked(place / BATCH, to_json({**batch_json(jobs, folders), "files": written}))

    whole.write(target, fill)
    return written


def board_files(
    job: Job, place: int, paper: str, ink: str, *, path: bool, shown: Shown = SHOWN
) -> list[Planned]:
    """Return every file of one board."""
    colours = job.shop.layer_colours
    made = cut_files(job, colours, path=path)
    if job.engraving:
        made += engrave_files(job.engraving, colours)
    if job.printed:
        made += print_files(job.printed, ink)
    marks = [m for m in (job.engraving, job.printed) if m]
    for suffix in dict.fromkeys(m.face.suffix for m in marks):
        on = [m for m in marks if m.face.suffix == suffix]
        made += [face_file(job, on), frame_file(job, on[0].face, colours)]
    both = (job.engraving, job.printed)
    for under in (False, *([True] if any(m.face.under for m in marks) else [])):
        picture = board_picture(job.report, shown, both, ink, under=under)
        name = "board-UNDERSIDE.png" if under else "board.png"
        made.append(Planned(name, as_png(picture, shown)))
    sheet, figure = worksheet(job, place), board_figure(job)
    return [
        *made,
        Planned(f"template-{paper}.pdf", template_pdf(job.report.outline, sheet.title, paper)),
        Planned("worksheet.html", worksheet_html(sheet, figure, paper)),
        Planned("worksheet.pdf", worksheet_pdf(sheet, figure, paper)),
    ]

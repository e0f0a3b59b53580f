"""Handing over: a batch for the machines, an offer for a customer."""

from __future__ import annotations

import math
from pathlib import Path

from shapes.errors import InputError, Problem
from shapes.files.marking import Marking
from shapes.folders.bench import Bench
from shapes.folders.offer import write_offer
from shapes.folders.placement import Blank
from shapes.geometry.outline import flip_of
from shapes.library.making import Work
from shapes.library.making import prepare as make_batch
from shapes.library.reading import Found, read_boards
from shapes.page.laying import laid, poses_of, table_of
from shapes.page.opened import Opened
from shapes.page.values import Body
from shapes.text import NAME, TEXT, plain
from shapes.workshop.face import areas, face_of

FACES = ("underside", "handle", "eating")
BATCH, PLACED, OFFER = "batch-", "placed", "offer.html"
RATIO = 3.0  # of the area that is shown before a mark is known: a word is about so long; our choice


def area(o: Opened, asked: Body) -> Body:
    """Return the largest place for a mark on a board as that face lies, and how the board is turned over for it."""
    report = o.boards.report(o.bench(asked), str(asked.get("key")))
    name = report.board.name
    face = face_of(report, _face(asked), "engraving", None, name)
    (found, *_) = areas(face, [RATIO], 0.0, name)
    return {
        "flip": flip_of(report.outline).tolist() if face.under else [1.0, 1.0],
        "area": {"x": found.x, "y": found.y, "length": found.length, "width": found.width, "angle": math.degrees(found.angle)},
    }  # fmt: skip


def prepare(o: Opened, asked: Body) -> Body:
    """Write a batch of the boards that are ordered, or of those that lie on the piece, in a folder of its own."""
    bench = o.bench(asked)
    notes: list[str] = []
    found, counts = _chosen(o, bench, asked, notes)
    text = plain(str(asked.get("text") or "").strip()[:TEXT] or "-", TEXT)
    marks = (Marking("engraving", text=text, face=_face(asked)),) if text != "-" else ()
    work = Work(shop=o.shop(), quantities=counts, marks=marks)
    taken = [int(p.name[len(BATCH) :]) for p in bench.place.glob(f"{BATCH}*") if p.name[len(BATCH) :].isdigit()]  # fmt: skip
    target = bench.place / f"{BATCH}{max(taken, default=0) + 1}"
    made = make_batch(found, target, work, jobs=o.jobs, note=notes.append)
    there = target.relative_to(o.root).as_posix()
    return {
        "folder": there,
        "sheets": [f"{there}/{f}" for f in sorted(made.files) if f.endswith("worksheet.html")],
        "files": sorted(made.files),
        "notes": notes,
    }


def offer(o: Opened, asked: Body) -> Body:
    """Write an offer of the boards that are ordered."""
    bench = o.bench(asked)
    reports = [o.boards.report(bench, k) for k in _ordered(bench)]
    if not reports:
        raise _none_ordered()
    title = plain(str(asked.get("title") or bench.folder.name)[:NAME], NAME)
    bench.place.mkdir(exist_ok=True)
    target = bench.place / OFFER
    notes = write_offer(reports, target, title, o.shop(), force=True)
    return {"file": target.relative_to(o.root).as_posix(), "notes": list(notes)}


def _face(asked: Body) -> str:
    on = str(asked.get("on") or FACES[0])
    if on not in FACES:
        raise InputError(Problem("on", f"'{on[:20]}' is no face", ", ".join(FACES)))
    return on


def _ordered(bench: Bench) -> list[str]:
    known = set(bench.keys())
    return [k for k, n in bench.choice().orders if n and k in known]


def _chosen(o: Opened, bench: Bench, asked: Body, notes: list[str]) -> tuple[Found, list[int]]:
    """Return the boards to be made, with how many of each."""
    if asked.get("piece"):
        return read_boards(_placed(o, bench), note=notes.append), [1]
    keys = _ordered(bench)
    if not keys:
        raise _none_ordered()
    counts = dict(bench.choice().orders)
    return read_boards(*(bench.path(k) for k in keys), note=notes.append), [counts[k] for k in keys]


def _placed(o: Opened, bench: Bench) -> Path:
    """Write the placement of what a hand laid, as ``place`` would. Raises InputError where it does not hold."""
    from shapes.folders.placement import datum_of, write_placed
    from shapes.folders.whole import held

    found = laid(bench)
    if not found.get("boards"):
        raise InputError(Problem("piece", "no board lies on it", "", "lay one on it first"))
    keys, poses = poses_of(found["boards"])
    table = table_of(o, bench, found["piece"], keys)
    bad = [o.boards.report(bench, k).board.name for k, one in zip(keys, table.lying(poses), strict=True) if not one.holds]  # fmt: skip
    if bad:
        raise InputError(*(Problem(name, "does not lie clear of everything", "", "settle it first") for name in bad))  # fmt: skip
    covered = table.covered(poses)
    target = bench.place / PLACED
    with held(target):
        write_placed([Blank(covered, datum_of(covered.piece, "centre"))], [], target, force=True)
    return target


def _none_ordered() -> InputError:
    return InputError(Problem("boards", "none is ordered", "", "say how many of each: press + at a board"))  # fmt: skip

"""Handing over: a batch for the machines, an offer for a customer."""

from __future__ import annotations

import io
import tempfile
import zipfile
from pathlib import Path
from typing import Any

import numpy as np

from shapes.errors import InputError, Problem
from shapes.files.marking import Marking, artwork_curves
from shapes.files.marking import mark as place_mark
from shapes.files.safe import write_checked
from shapes.files.svg import path_data
from shapes.folders.bench import Bench
from shapes.folders.collection import BENCH
from shapes.folders.offer import write_offer
from shapes.folders.placement import Blank
from shapes.geometry.curve import Curve, flatten
from shapes.geometry.outline import flip_of
from shapes.library.making import Work
from shapes.library.making import prepare as make_batch
from shapes.library.reading import Found, read_boards
from shapes.page.laying import laid, poses_of, table_of
from shapes.page.opened import Opened
from shapes.page.values import Body, as_number, number, words
from shapes.text import NAME, TEXT
from shapes.units import SHOWN_DECIMALS

FACES = ("underside", "handle", "eating")
ARTWORK = ("artwork.svg", "artwork.dxf")
HEIGHTS = (2.0, 200.0)  # mm, of capitals
BATCH, PLACED, OFFER = "batch-", "placed", "offer.html"


def mark(o: Opened, asked: Body) -> Body:
    """Return a mark as it comes to lie on a board, and how the board is turned over for it."""
    bench = o.bench(asked)
    report = o.boards.report(bench, str(asked.get("key")))
    (marking,) = _marks(bench, asked) or (None,)
    if marking is None:
        return {"path": ""}
    placed = place_mark(report, marking, report.board.name)
    return {
        "flip": flip_of(report.outline).tolist() if placed.face.under else [1.0, 1.0],
        "path": "".join(path_data(c, 2) for c in placed.mark.curves),
        "capital": placed.mark.capital,
        "size": _box(placed.mark.curves),
        "notes": list(placed.mark.notes),
    }


def engrave(o: Opened, asked: Body) -> Body:
    """Keep what is to be engraved, as the page says it."""
    bench = o.bench(asked)
    said = {n: words(asked.get(n), TEXT, n) for n in ("text", "on", "height", "artwork")}
    return {"mark": dict(bench.engrave({n: v for n, v in said.items() if v}).mark)}


def artwork(o: Opened, asked: Body) -> Body:
    """Take a drawing (.svg or .dxf, as text) for a mark.

    It stands in the bench until another takes its place.
    """
    bench = o.bench(asked)
    suffix = Path(str(asked.get("name", ""))).suffix.lower()
    text = asked.get("text")
    if suffix not in (".svg", ".dxf") or not isinstance(text, str):
        raise InputError(
            Problem("artwork", "is no drawing", ".svg or .dxf", "turn it into outlines first")
        )
    data = text.encode("utf-8", "replace")
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / f"artwork{suffix}"
        copy.write_bytes(data)
        artwork_curves(copy, None)
    write_checked(bench.made(f"artwork{suffix}"), data)
    return {"artwork": f"artwork{suffix}"}


def _box(curves: list[Curve]) -> list[float]:
    ring = np.concatenate([flatten(c, 0.05) for c in curves])
    return [float(v) for v in np.ptp(ring, axis=0)]


def _marks(bench: Bench, asked: Body) -> tuple[Marking, ...]:
    """Read what is to be engraved: words, artwork, or both."""
    said = words(asked.get("text"), TEXT, "text")
    art = bench.place / str(asked["artwork"]) if asked.get("artwork") in ARTWORK else None
    if art is not None and not art.is_file():
        art = None
    if not said and art is None:
        return ()
    height = asked.get("height")
    size = (
        None
        if height in (None, "") or not said or art
        else number(as_number(str(height)), *HEIGHTS, "letter height")
    )
    return (Marking("engraving", text=said or None, artwork=art, face=_face(asked), height=size),)


def prepare(o: Opened, asked: Body) -> Body:
    """Write a batch of the boards that are ordered, or of those
    that lie on the piece, in a folder of its own.
    """
    bench = o.bench(asked)
    notes: list[str] = []
    found, counts = _chosen(o, bench, asked, notes)
    unit = asked.get("unit") if asked.get("unit") in SHOWN_DECIMALS else None
    settings = {} if asked.get("piece") else {"unit": unit}
    work = Work(shop=o.shop(), quantities=counts, marks=_marks(bench, asked), settings=settings)
    taken = [
        int(p.name[len(BATCH) :])
        for p in bench.place.glob(f"{BATCH}*")
        if p.name[len(BATCH) :].isdigit()
    ]
    target = bench.made(f"{BATCH}{max(taken, default=0) + 1}")
    made = make_batch(found, target, work, jobs=o.jobs, note=notes.append)
    there = target.relative_to(o.root).as_posix()
    return {
        "folder": there,
        "sheets": [f"{there}/{f}" for f in sorted(made.files) if f.endswith("worksheet.html")],
        "files": [
            {"name": f, "at": f"{there}/{f}", "for": _used_for(f)} for f in sorted(made.files)
        ],
        "notes": notes,
    }


def offer(o: Opened, asked: Body) -> Body:
    """Write an offer of the boards that are ordered."""
    bench = o.bench(asked)
    reports = [o.boards.report(bench, k) for k in _ordered(bench)]
    if not reports:
        raise _none_ordered()
    title = words(asked.get("title"), NAME, "title", bench.folder.name)
    target = bench.made(OFFER)
    notes = write_offer(reports, target, title, o.shop(), force=True)
    return {"file": target.relative_to(o.root).as_posix(), "notes": list(notes)}


FOR = {
    "cut.": "router",
    "cutter-path": "router, for reference",
    "setting-out": "to check by eye",
    "engrave": "laser",
    "frame": "router: a frame that holds the board for its mark",
    "print": "printer",
    "template": "paper, to lay on the wood",
    "worksheet": "bench",
    "placement": "bench",
    "board": "to look at",
    "care-cards": "for the buyer",
    "prices": "office",
    "record": "office",
    "batch": "other programs",
}
"""What a file of a batch is for, by how its name begins."""


def _used_for(file: str) -> str:
    name = Path(file).name
    return next((what for begin, what in FOR.items() if name.startswith(begin)), "")


def zipped(o: Opened, name: str) -> bytes:
    """Return all files of a batch in one. Raises InputError."""
    folder = (o.root / name).resolve()
    ours = folder.parent.name == BENCH and folder.name.startswith(BATCH) and folder.is_dir()
    if not ours or not folder.is_relative_to(o.root):
        raise InputError(Problem("folder", f"there is no batch '{name[:80]}'"))
    held = io.BytesIO()
    within = f"{folder.parent.parent.name}-{folder.name}"
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted(folder.rglob("*")):
            if path.is_file() and not path.is_symlink():
                archive.write(path, f"{within}/{path.relative_to(folder).as_posix()}")
    return held.getvalue()


def _face(asked: Body) -> str:
    on = str(asked.get("on") or FACES[0])
    if on not in FACES:
        raise InputError(Problem("on", f"'{on[:20]}' is no face", ", ".join(FACES)))
    return on


def _ordered(bench: Bench) -> list[str]:
    known = set(bench.every_key())
    return [k for k, n in bench.choice().orders if n and k in known]


def _chosen(o: Opened, bench: Bench, asked: Body, notes: list[str]) -> tuple[Found, list[int]]:
    """Return the boards to be made, with how many of each."""
    if asked.get("piece"):
        return read_boards(_placed(o, bench, asked.get("unit")), note=notes.append), [1]
    keys = _ordered(bench)
    if not keys:
        raise _none_ordered()
    counts = dict(bench.choice().orders)
    return read_boards(*(bench.path(k) for k in keys), note=notes.append), [counts[k] for k in keys]


def _placed(o: Opened, bench: Bench, unit: Any) -> Path:
    """Write the placement of what a hand laid, as ``place`` would.

    Raises InputError where it does not hold.
    """
    from shapes.folders.placement import datum_of, write_placed
    from shapes.folders.whole import held

    found = laid(bench)
    if not found.get("boards"):
        raise InputError(Problem("piece", "no board lies on it", "", "lay one on it first"))
    keys, poses = poses_of(found["boards"])
    table = table_of(o, bench, found["piece"], keys)
    bad = [
        o.boards.report(bench, k).board.name
        for k, one in zip(keys, table.lying(poses), strict=True)
        if not one.holds
    ]
    if bad:
        raise InputError(
            *(
                Problem(name, "does not lie clear of everything", "", "settle it first")
                for name in bad
            )
        )
    covered = table.covered(poses)
    target = bench.made(PLACED)
    with held(target):
        write_placed(
            [
                Blank(
                    covered,
                    datum_of(covered.piece, "centre"),
                    unit=unit if unit in SHOWN_DECIMALS else None,
                )
            ],
            [],
            target,
            force=True,
        )
    return target


def _none_ordered() -> InputError:
    return InputError(
        Problem("boards", "none is ordered", "", "say how many of each: press + at a board")
    )

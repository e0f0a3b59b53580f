"""A batch as plain values: batch.json, the price table, the record."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import numpy as np

from shapes import __version__
from shapes.text import cell
from shapes.workshop.job import Job, Placed
from shapes.workshop.price import Batch, PriceLine, batch_of, to_make
from shapes.workshop.set_up import SetUp
from shapes.workshop.tear_out import Lifted


def job_json(job: Job) -> dict[str, Any]:
    """Return a job as plain values; lengths mm, areas m2, times minutes.

    Places from the datum of its files.
    """
    piece = job.stock.piece
    return {
        "name": job.name,
        "off_cut": piece.name if piece else None,
        "lies_at": (
            [round(job.pose.x, 4), round(job.pose.y, 4), round(math.degrees(job.pose.angle), 4)]
            if piece
            else None
        ),
        "blank_mm": None if piece else list(job.estimate.blank_mm),
        "mass_kg": round(job.mass, 4),
        "for_food": job.for_food,
        "fails": list(job.report.failed),
        "quantity": job.asked.quantity,
        "to_make": to_make(job.asked.quantity),
        "cutting": _cutting_json(job),
        "tear_out": {
            "edge_mm": round(job.lifted.length(edge=True), 1),
            "openings_mm": round(job.lifted.length(edge=False), 1),
            "flat_mm": [round(v, 3) for v in job.lifted.flat],
            "stretches": [
                {"loop": f.loop, "length_mm": round(f.length, 1), **_ends(job, f)}
                for f in job.lifted.lifted
            ],
            "underside_mm": round(sum(f.length for f in job.lifted.under), 1),
            "advice": [*job.lifted.router(), *(f"trimmer: {a}" for a in job.lifted.trimmer())],
        },
        "areas_m2": {n: round(v, 6) for n, v in asdict(job.areas).items()},
        "oil_ml": [round(v, 2) for v in job.oil],
        "finishing": [asdict(s) for s in job.steps],
        "minutes_router": round(job.machine_minutes, 2),
        "bench_minutes": round(job.bench_minutes, 1),
        "cured": job.cured.isoformat() if job.cured else None,
        "engraving": _mark_json(job.engraving),
        "print": _mark_json(job.printed),
        "notes": list(job.notes),
    }


def _cutting_json(job: Job) -> dict[str, Any]:
    """Return how a board is cut; tabs from the datum of its files."""
    p = job.plan
    return {
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
                "tabs": (
                    np.round(
                        job.pose.of(np.array([[t.x, t.y] for t in c.tabs]).reshape(-1, 2)), 3
                    ).tolist()
                ),
            }
            for c in p.cuts
        ],
        "skim": (
            None
            if p.skim is None
            else {
                "first_mm": list(p.skim.first),
                "second_mm": list(p.skim.second),
                "minutes": round(p.skim.minutes, 2),
                "rest_a_day": p.skim.rest,
            }
        ),
        "length_mm": round(p.length, 2),
        "minutes": round(p.minutes, 2),
    }


def _ends(job: Job, lifted: Lifted) -> dict[str, Any]:
    ends = job.pose.of(lifted.points[[0, -1]]).round(3).tolist()
    return {"from": ends[0], "to": ends[1]}


def _mark_json(placed: Placed | None) -> dict[str, Any] | None:
    if placed is None:
        return None
    area = asdict(placed.area)
    return {
        "says": placed.mark.says,
        "names": [n for n, _ in placed.each],
        "face": placed.face.name,
        "area": {n: round(float(v), 6) for n, v in area.items()},
        "capital_mm": None if placed.mark.capital is None else round(placed.mark.capital, 3),
    }


MEANINGS = {
    "boards.cutting.minutes": "minutes the cutter runs on one board; skims of a piece apart",
    "boards.minutes_router": (
        "one board at the router: cutting, and its part of skimming, loading and turning"
    ),
    "blanks.minutes_machine": (
        "all that is cut from one stock, once: cutting, skimming, loading and turning"
    ),
    "minutes_machine": "the whole order: all boards made, a tenth more for spoil, and the set-up",
    "prices.machine_minutes": "all boards made of a line, a tenth more for spoil",
    "prices.price": "cost, mark-up and tax; null where a part of the cost is not known",
    "boards.oil_ml": "first and second coat of one board, end grain counted 2.5 times",
}
"""What words of the file mean that could be taken for one another."""


def batch_json(setups: Sequence[SetUp], folders: Sequence[str | None]) -> dict[str, Any]:
    """Return the whole batch as plain values; ``folders`` of its boards in their order."""
    jobs = [j for s in setups for j in s.jobs]
    batch = batch_of(jobs)
    return {
        "schema": 1,
        "version": __version__,
        "meanings": MEANINGS,
        "assumed": (
            []
            if all(s.known for s in setups)
            else ["cutter", "speeds", "feeds", "minutes of the router"]
        ),
        "boards": [{"folder": f, **job_json(j)} for j, f in zip(jobs, folders, strict=True)],
        "blanks": [_stock_json(s) for s in setups],
        "minutes_machine": round(sum(p.machine_minutes for p in batch.every), 2),
        "minutes_bench": round(sum(p.bench_minutes for p in batch.every), 2),
        "length_of_cut_mm": round(sum(j.plan.length * to_make(j.asked.quantity) for j in jobs), 1),
        "markup_percent": round(100 * jobs[0].shop.markup_share, 4),
        "margin_percent": round(100 * jobs[0].shop.margin_share, 4),
        "prices": [{**asdict(p), "cost": p.cost, "price": p.price} for p in batch.every],
        "not_priced": list(batch.unknown),
        "total": batch.total,
    }


def _stock_json(made: SetUp) -> dict[str, Any]:
    """One stock: what holds it, what comes off its faces, which natural edges stay."""
    stock, skim = made.stock, made.skim
    return {
        "blank": stock.piece.name if stock.piece else f"blank of {made.name}",
        "boards": [j.name for j in made.jobs],
        "off_cut": stock.piece is not None,
        "found_mm": [round(v, 3) for v in stock.size],
        "datum_mm": list(stock.datum) if stock.piece else None,
        "skim": (
            None
            if skim is None
            else {
                "first_mm": list(skim.first),
                "second_mm": list(skim.second),
                "minutes": round(skim.minutes, 2),
                "rest_a_day": skim.rest,
            }
        ),
        "screws_mm": [list(p) for p in made.held.screws],
        "loose_waste_mm": [[round(x, 1), round(y, 1)] for x, y in made.held.loose],
        "natural_edge_mm": [
            {"board": j.number, "from": list(a), "to": list(b), "length": round(n, 1)}
            for j in made.jobs
            for a, b, n in made.kept(j)
        ],
        "length_of_cut_mm": round(made.length, 1),
        "minutes_machine": round(made.machine_minutes, 2),
        "minutes_cutting": round(made.cutting_minutes, 2),
    }


_COLUMNS = (
    "board",
    "quantity",
    "to make",
    "machine minutes, spoilt ones in them",
    "bench minutes, spoilt ones in them",
    "timber",
    "machine time",
    "bench time",
    "finish",
    "cost",
    "margin",
    "tax",
    "price",
    "price each",
    "not in the price",
)


def prices_csv(batch: Batch) -> bytes:
    """Return the price table: a line a board, the set-up once, totals."""
    rows: list[Sequence[Any]] = [_COLUMNS]
    for p in batch.every:
        marked = [n for n in batch.unknown if n.startswith(("laser", "printer"))]
        rows.append(_price_row(p, marked if p in batch.lines else ()))
    every = batch.every
    sums = [_sum([getattr(p, n) for p in every]) for n in _MONEY]
    minutes = [
        f"{sum(getattr(p, n) for p in every):.1f}" for n in ("machine_minutes", "bench_minutes")
    ]
    rows.append(
        [
            "total",
            sum(p.quantity for p in batch.lines),
            sum(p.to_make for p in batch.lines),
            *minutes,
            *sums,
            "",
            "",
        ]
    )
    return _csv(rows)


def _csv(rows: Sequence[Sequence[Any]]) -> bytes:
    """Return rows as CSV; no text in it is a formula to a table of figures."""
    held = io.StringIO()
    table = csv.writer(held, lineterminator="\n")
    table.writerows([cell(v) if isinstance(v, str) else v for v in row] for row in rows)
    return held.getvalue().encode()


_MONEY = ("timber", "machine", "bench", "finish", "cost", "margin", "tax", "price")


def _sum(values: Sequence[float | None]) -> str:
    """The sum of what stands in the column above, to the cent; empty where a part is not known."""
    known = [round(v, 2) for v in values if v is not None]
    return f"{sum(known):.2f}" if len(known) == len(values) else ""


def _price_row(p: PriceLine, apart: Sequence[str]) -> list[Any]:
    money = [_sum([getattr(p, n)]) for n in _MONEY]
    minutes = [f"{p.machine_minutes:.1f}", f"{p.bench_minutes:.1f}"]
    each = None if p.price is None else p.price / p.quantity
    return [p.name, p.quantity, p.to_make, *minutes, *money, _sum([each]), "; ".join(apart)]


def _engraved(job: Job, k: int) -> str:
    """What is engraved on the k-th board of a line.

    Nothing on a spoilt one's stand-in beyond the names.
    """
    if job.engraving is None:
        return ""
    names = [n for n, _ in job.engraving.each]
    return job.engraving.mark.says if not names else names[k - 1] if k <= len(names) else ""


def record_csv(jobs: Sequence[Job]) -> bytes:
    """Return a record for traceability.

    A line for each board that is made, dates to be filled in.
    """
    rows: list[Sequence[Any]] = [
        (
            "board",
            "number",
            "species",
            "piece",
            "timber source",
            "oil",
            "oil batch",
            "cut on",
            "last coat on",
            "cured on",
            "dispatched on",
            "to",
            "engraved",
            "for food",
            "fails",
        )
    ]
    for job in jobs:
        brief, asked = job.report.board.brief, job.asked
        oiled = asked.oiled.isoformat() if asked.oiled else ""
        cured = job.cured.isoformat() if job.cured else ""
        for k in range(1, to_make(asked.quantity) + 1):
            rows.append(
                (
                    job.name,
                    k,
                    brief.species,
                    job.stock.piece.name if job.stock.piece else "",
                    job.source,
                    job.shop.oil.name,
                    asked.oil_batch,
                    "",
                    oiled,
                    cured,
                    "",
                    "",
                    _engraved(job, k),
                    "yes" if job.for_food else "NOT FOR FOOD",
                    " ".join(job.report.failed),
                )
            )
    return _csv(rows)

"""A job: one board with everything that is done to it, from blank to dispatch, and what it costs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

import numpy as np

from shapes.collection.board import Report
from shapes.geometry.along import walk
from shapes.geometry.outline import Outline
from shapes.geometry.rectangle import Rectangle
from shapes.timber.estimate import Estimate
from shapes.timber.solid import rounds
from shapes.workshop.cutting import Plan, cutting_plan
from shapes.workshop.face import Face
from shapes.workshop.finishing import Areas, Done, cured_on, oil_ml, plan, standard_steps
from shapes.workshop.frame import frame
from shapes.workshop.lettering import Mark
from shapes.workshop.shop import Shop
from shapes.workshop.tear_out import TearOut, tear_out

SPOIL = 0.10  # of the boards: spoilt ones are counted in every cost (design)
HANDLING = 6.0  # minutes a board at the router: screwing down twice, turning, zero, changing bits; our choice
END = math.cos(
    math.radians(45.0)
)  # edge steeper than this to the grain counts as end grain; our choice


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """A mark on a face; its area's centre is the datum of its files."""

    face: Face
    mark: Mark

    @property
    def area(self) -> Rectangle:
        """The area it lies in."""
        return self.mark.area

    @property
    def datum(self) -> tuple[float, float]:
        """Centre of its area, mm from the board's own datum as the face lies."""
        return self.area.x, self.area.y


@dataclass(frozen=True, slots=True)
class Asked:
    """What a maker says of a job."""

    hold: str = "either"
    z_from: str = "top"
    thickness: float | None = None  # measured after skimming, mm
    chip_share: float = 0.5
    quantity: int = 1
    timber_source: str = ""
    oil_batch: str = ""
    oiled: date | None = None


class Costs(NamedTuple):
    """Costs of a board in the maker's own money; None where a rate is not known."""

    timber: float | None
    machine: float | None
    bench: float | None
    finish: float | None

    @property
    def total(self) -> float:
        """What is known of them."""
        return sum(v for v in self if v is not None)

    def times(self, count: float) -> Costs:
        """Return the costs of several boards."""
        return Costs(*(None if v is None else v * count for v in self))


@dataclass(frozen=True, slots=True, eq=False)
class Job:
    """One board's plan, marks, areas, finish and times."""

    report: Report
    shop: Shop
    asked: Asked
    plan: Plan
    lifted: TearOut
    areas: Areas
    steps: tuple[Done, ...]
    engraving: Placed | None = None
    printed: Placed | None = None
    notes: tuple[str, ...] = field(default=())
    off_cut: str | None = None  # the off-cut it lies on with others; else it has a blank of its own

    @property
    def name(self) -> str:
        """What the board is called."""
        return self.report.board.name or self.report.board.form

    @property
    def estimate(self) -> Estimate:
        """Blank, mass and timber."""
        return self.report.estimate()

    @property
    def oil(self) -> tuple[float, float]:
        """Oil of the first and second coat, ml."""
        return oil_ml(self.areas, self.shop.oil.first, self.shop.oil.second)

    @property
    def machine_minutes(self) -> float:
        """Minutes at the router, with loading and turning."""
        return self.plan.minutes + HANDLING

    @property
    def bench_minutes(self) -> float:
        """Minutes at the bench."""
        return sum(s.minutes for s in self.steps)

    @property
    def costs(self) -> Costs:
        """What one board costs, as far as rates are known."""
        rates, per_litre = self.shop.rates, self.shop.oil.price_per_litre
        return Costs(
            self.estimate.timber_cost,
            _at(rates.machine, self.machine_minutes),
            _at(rates.bench, self.bench_minutes),
            None if per_litre is None else per_litre * sum(self.oil) / 1000,
        )

    @property
    def cured(self) -> date | None:
        """First day for food or dispatch, where the day of oiling is known."""
        if self.asked.oiled is None:
            return None
        return cured_on(self.asked.oiled, self.shop.oil.cure_days)

    def frame(self, face: Face) -> Outline:
        """Return the locating frame for a face."""
        return frame(face.outline, self.plan.cutter.true)


def areas_of(report: Report) -> Areas:
    """Areas of a board's faces, flat edge, round-over and end grain, m2."""
    s, brief = report.subject, report.board.brief
    lengths, _ = s.loops
    r = min(brief.round_over, brief.thickness / 2)
    kept = [
        brief.thickness - (2 * r if i == 0 or rounds(c, brief.guide_bearing) else 0.0)
        for i, c in enumerate(report.outline.curves)
    ]
    flat = sum(long * high for long, high in zip(lengths, kept, strict=True))
    rim = s.solid.edge - flat
    across = total = 0.0
    grain = np.array([math.cos(s.grain), math.sin(s.grain)])
    for curve in report.outline.curves:
        w = walk(curve)
        total += w.length
        across += float(w.pieces[np.abs(w.tangent @ grain) < END].sum())
    share = across / total
    square = sum(lengths) * brief.thickness
    return Areas(2e-6 * s.solid.face, 1e-6 * flat, 1e-6 * rim, 1e-6 * share * (flat + rim), 1e-6 * square)  # fmt: skip


def job_of(
    report: Report,
    shop: Shop,
    asked: Asked,
    *,
    engraving: Placed | None = None,
    printed: Placed | None = None,
    off_cut: str | None = None,
    where: str = "board",
) -> Job:
    """Plan one board. Raises InputError with every problem that keeps it from the machine."""
    brief, s = report.board.brief, report.subject
    cutting = cutting_plan(
        s,
        shop.cutter(brief.cutter),
        shop.machine,
        blank=report.estimate().blank_mm,
        skimmer=shop.skimmer,
        thickness=asked.thickness,
        hold=asked.hold,
        z_from=asked.z_from,
        share=asked.chip_share,
        own_blank=off_cut is None,
        where=where,
    )
    areas = areas_of(report)
    holds = ["tabs"]
    holds += ["round-over"] if brief.round_over > 0 else []
    holds += ["skimmed"] if cutting.skim else []
    holds += ["engraving"] if engraving else []
    holds += ["print"] if printed else []
    steps = plan(
        shop.finishing or standard_steps(),
        areas,
        holds,
        round_over=brief.round_over,
        hours_between=shop.oil.hours,
        cure_days=shop.oil.cure_days,
        held="tabs" if cutting.tabs else "skin",
    )
    torn = tear_out(s.outline, s.grain, brief.thickness, brief.round_over, brief.guide_bearing)
    notes = list(cutting.notes)
    for placed, what in ((engraving, "engraving"), (printed, "print")):
        if placed and placed.face.name == "eating":
            notes.append(f"{what} on the eating face: it holds food and is hard to clean; the underside is the usual place")  # fmt: skip
    return Job(report, shop, asked, cutting, torn, areas, tuple(steps), engraving, printed, tuple(notes), off_cut)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Price:
    """One line of the price table: a board and its quantity; money is None where a rate is not known."""

    name: str
    quantity: int
    to_make: int
    machine_minutes: float
    bench_minutes: float
    timber: float | None
    machine: float | None
    bench: float | None
    finish: float | None
    margin: float
    tax: float

    @property
    def cost(self) -> float:
        """What is known of the cost."""
        return sum(v for v in (self.timber, self.machine, self.bench, self.finish) if v is not None)

    @property
    def price(self) -> float:
        """Cost, margin and tax."""
        return self.cost + self.margin + self.tax


@dataclass(frozen=True, slots=True)
class Batch:
    """Prices of a batch; set-up is counted once, over all."""

    lines: tuple[Price, ...]
    set_up: Price
    unknown: tuple[str, ...]

    @property
    def total(self) -> float:
        """Price of all boards."""
        return sum(p.price for p in self.every)

    @property
    def every(self) -> tuple[Price, ...]:
        """Lines with the set-up."""
        return (*self.lines, self.set_up)


def to_make(quantity: int) -> int:
    """Boards to make: a tenth more, to the nearest whole one; a single board is made once."""
    return math.floor(quantity * (1 + SPOIL) + 0.5)


def batch_of(jobs: Sequence[Job]) -> Batch:
    """Price jobs: a tenth more of everything for spoil, set-up once."""
    lines = []
    shop = jobs[0].shop
    for job in jobs:
        q = job.asked.quantity
        made = q * (1 + SPOIL)
        machine, bench = job.machine_minutes * made, job.bench_minutes * made
        lines.append(_price(job.name, q, to_make(q), machine, bench, job.costs.times(made), shop))
    once = Costs(None, _at(shop.rates.machine, shop.rates.set_up), None, None)
    set_up = _price("set-up, once", 1, 1, shop.rates.set_up, 0.0, once, shop)
    unknown = [
        name
        for name, gone in (
            ("timber", any(p.timber is None for p in lines)),
            ("machine time", shop.rates.machine is None),
            ("bench time", shop.rates.bench is None),
            ("finish", shop.oil.price_per_litre is None),
            ("laser time", any(j.engraving for j in jobs)),
            ("printer time and ink", any(j.printed for j in jobs)),
        )
        if gone
    ]
    return Batch(tuple(lines), set_up, tuple(unknown))


def _at(rate: float | None, minutes: float) -> float | None:
    return None if rate is None else rate * minutes / 60


def _price(
    name: str,
    quantity: int,
    made: int,
    machine: float,
    bench: float,
    costs: Costs,
    shop: Shop,
) -> Price:
    margin = costs.total * shop.margin / 100
    tax = (costs.total + margin) * shop.tax / 100
    return Price(name, quantity, made, machine, bench, *costs, margin, tax)

"""A job: one board with everything that is done to it,
from the wood to dispatch, and what it costs.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

import numpy as np
import shapely

from shapes.collection.board import Report
from shapes.geometry.outline import Outline, bounds, transformed
from shapes.geometry.pose import Pose
from shapes.geometry.rectangle import Rectangle
from shapes.placing.account import AccountLine
from shapes.timber.estimate import Estimate
from shapes.timber.surface import Areas, oil_ml
from shapes.workshop.face import Face
from shapes.workshop.finishing import Done, cured_on
from shapes.workshop.frame import frame
from shapes.workshop.lettering import Mark
from shapes.workshop.plan import Plan
from shapes.workshop.shop import Workshop
from shapes.workshop.stock import Stock
from shapes.workshop.tabs import Tab
from shapes.workshop.tear_out import TearOut

# minutes a set-up at the router: screwing down twice, turning, zero, changing bits; our choice
HANDLING = 6.0
HERE = Pose(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """A mark on a face; its area's centre is the datum of its files."""

    face: Face
    mark: Mark
    each: tuple[tuple[str, Mark], ...] = ()  # a mark for each name, of which ``mark`` is the first

    @property
    def area(self) -> Rectangle:
        """The area it lies in."""
        return self.mark.area

    @property
    def datum(self) -> tuple[float, float]:
        """Centre of its area, mm from the board's own datum as the face lies."""
        return self.area.x, self.area.y


@dataclass(frozen=True, slots=True)
class JobOptions:
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
    """Costs of a board in the maker's own money, to the cent; None where a rate is not known."""

    timber: float | None
    machine: float | None
    bench: float | None
    finish: float | None

    @property
    def total(self) -> float | None:
        """What is known of them; None where nothing is."""
        known = [v for v in self if v is not None]
        return sum(known) if known else None

    def times(self, count: float) -> Costs:
        """Return the costs of several boards."""
        return Costs(*(None if v is None else round(v * count, 2) for v in self))


def at_rate(rate: float | None, minutes: float) -> float | None:
    """What minutes cost at a rate an hour; None where the rate is not known."""
    return None if rate is None else rate * minutes / 60


@dataclass(frozen=True, slots=True, eq=False)
class Job:
    """One board's plan, marks, areas, finish and times; ``pose`` lays it on its stock.

    ``made`` is the board as it comes off its stock: cut to the wood where it keeps a natural edge.
    ``line`` is its part of the account of a piece; a board with a blank of its own has none.
    ``shared`` are its minutes of what is done once for all that its stock holds.
    """

    report: Report
    made: Report
    shop: Workshop
    asked: JobOptions
    stock: Stock
    plan: Plan
    lifted: TearOut
    areas: Areas
    steps: tuple[Done, ...]
    engraving: Placed | None = None
    printed: Placed | None = None
    notes: tuple[str, ...] = field(default=())
    pose: Pose = HERE
    line: AccountLine | None = None
    number: int = 1  # on its stock
    shared: float = HANDLING
    skimming: float = 0.0  # of ``shared``, what skims of a piece take

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
    def mass(self) -> float:
        """Mass of the finished board, kg.

        Of what lies on the piece, where it keeps a natural edge.
        """
        return self.report.subject.mass if self.line is None else self.line.mass_kg

    @property
    def outline(self) -> Outline:
        """Its outline as it lies on its stock, mm from the datum."""
        p = self.pose
        made = self.report.outline
        return made if p == HERE else transformed(made, p.angle, shift=(p.x, p.y))

    @property
    def filled(self) -> shapely.Polygon:
        """The same with its openings filled."""
        return shapely.Polygon(self.outline.wood.exterior)

    @property
    def tabs(self) -> tuple[Tab, ...]:
        """Its tabs as they lie on its stock."""
        at = self.pose.of(np.array([[t.x, t.y] for t in self.plan.tabs]).reshape(-1, 2))
        return tuple(
            Tab(float(x), float(y), t.angle + self.pose.angle, t.long)
            for (x, y), t in zip(at, self.plan.tabs, strict=True)
        )

    @property
    def for_food(self) -> bool:
        """Whether it may be sold for food."""
        return self.stock.fit_for_food and self.report.board.brief.for_food

    @property
    def cutting_minutes(self) -> float:
        """Minutes that a cutter runs for it, its part of the skims in them."""
        return self.plan.minutes + self.skimming

    @property
    def own_box(self) -> tuple[float, float]:
        """Length and width of the board itself, however it lies, mm."""
        x0, y0, x1, y1 = bounds(self.report.outline)
        return x1 - x0, y1 - y0

    @property
    def source(self) -> str:
        """Where its timber is from: as the piece says, else as was asked."""
        piece = self.stock.piece
        return piece.source if piece and piece.source else self.asked.timber_source

    @property
    def machine_minutes(self) -> float:
        """Minutes at the router: cutting, and its part of skimming, loading and turning."""
        return self.plan.minutes + self.shared

    @property
    def bench_minutes(self) -> float:
        """Minutes at the bench."""
        return sum(s.minutes for s in self.steps)

    @property
    def costs(self) -> Costs:
        """What one board costs, as far as rates are known."""
        rates, per_litre = self.shop.rates, self.shop.oil.price_per_litre
        return Costs(
            self.estimate.timber_cost if self.line is None else self.line.cost,
            at_rate(rates.machine, self.machine_minutes),
            at_rate(rates.bench, self.bench_minutes),
            None if per_litre is None else per_litre * sum(self.oil) / 1000,
        ).times(1)

    @property
    def cured(self) -> date | None:
        """First day for food or dispatch, where the day of oiling is known."""
        if self.asked.oiled is None:
            return None
        return cured_on(self.asked.oiled, self.shop.oil.cure_days)

    @property
    def proof_load(self) -> float:
        """Mass of the load test, kg: food times the jerk of a hand."""
        brief = self.report.board.brief
        return brief.load * brief.jerk

    def from_corner(self, placed: Placed) -> tuple[float, float]:
        """Datum of a mark from the lower left corner of its locating frame, mm."""
        x0, y0, _, _ = self.frame(placed.face).wood.bounds
        return placed.datum[0] - x0, placed.datum[1] - y0

    def frame(self, face: Face) -> Outline:
        """Return the locating frame for a face."""
        return frame(face.outline, self.plan.cutter.true)

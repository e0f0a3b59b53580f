"""A set-up: one stock on the router with the jobs that are cut from it, planned together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import astuple, dataclass, replace

import numpy as np
import shapely

from shapes.checks.subject import Subject
from shapes.collection.board import Report
from shapes.errors import InputError, Problem
from shapes.geometry.pose import Pose
from shapes.placing.account import AccountLine
from shapes.timber.surface import Areas
from shapes.workshop.cutting import cutting_plan, skim_plan
from shapes.workshop.finishing import Done, plan, standard_steps
from shapes.workshop.job import HANDLING, HERE, Costs, Job, JobOptions, Placed
from shapes.workshop.plan import Plan, Skim
from shapes.workshop.shop import Workshop
from shapes.workshop.stock import SCREW_DEPTH, HoldDown, Stock, around, hold_down, own_blank
from shapes.workshop.tear_out import tear_out


@dataclass(frozen=True, slots=True, eq=False)
class SetUp:
    """One stock on the router with the jobs that are cut
    from it, and how it is held and skimmed.
    """

    stock: Stock
    jobs: tuple[Job, ...]
    held: HoldDown
    skim: Skim | None

    @property
    def shop(self) -> Workshop:
        """The workshop."""
        return self.jobs[0].shop

    @property
    def asked(self) -> JobOptions:
        """What the maker says of it."""
        return self.jobs[0].asked

    @property
    def name(self) -> str:
        """What it is called: the piece, or the board whose blank it is."""
        return self.stock.piece.name if self.stock.piece else self.jobs[0].name

    @property
    def thickness(self) -> float:
        """Thickness after skimming, mm."""
        return self.jobs[0].plan.thickness

    @property
    def for_food(self) -> bool:
        """Whether all its boards may be sold for food."""
        return all(j.for_food for j in self.jobs)

    @property
    def thickness_rested(self) -> float:
        """Thickness when the first face has had its last skim and the second has not, mm."""
        skim = self.skim
        return self.stock.found - (skim.first[-1] + skim.before[-1] if skim else 0.0)

    @property
    def head_depth(self) -> float:
        """Depth of a screw's head below the face as found, mm: below all that is skimmed."""
        return (self.skim.first[-1] if self.skim else 0.0) + SCREW_DEPTH

    @property
    def cutting_minutes(self) -> float:
        """Minutes that a cutter runs, skims and all."""
        return sum(j.cutting_minutes for j in self.jobs)

    @property
    def machine_minutes(self) -> float:
        """Minutes at the router, loading and turning in it."""
        return sum(j.machine_minutes for j in self.jobs)

    @property
    def known(self) -> bool:
        """Whether the workshop states the cutter: else speeds, feeds and times are assumed."""
        return self.shop.has(self.jobs[0].plan.cutter)

    @property
    def bench_minutes(self) -> float:
        """Minutes at the bench for all its boards."""
        return sum(j.bench_minutes for j in self.jobs)

    @property
    def length(self) -> float:
        """Length of cut of all its boards, mm, skims apart."""
        return sum(j.plan.length for j in self.jobs)

    @property
    def oil(self) -> tuple[float, float]:
        """Oil of the first and second coat for all its boards, ml."""
        return sum(j.oil[0] for j in self.jobs), sum(j.oil[1] for j in self.jobs)

    @property
    def areas(self) -> Areas:
        """Areas of all its boards, m2."""
        each = [astuple(j.areas) for j in self.jobs]
        return Areas(*(sum(column) for column in zip(*each, strict=True)))

    @property
    def costs(self) -> Costs:
        """What its boards cost together; None where a part of one is not known."""
        columns = zip(*(j.costs for j in self.jobs), strict=True)
        return Costs(*(None if None in c else sum(v for v in c if v is not None) for c in columns))

    @property
    def volume_m3(self) -> float:
        """Timber as found, m3."""
        return float(self.stock.outline.area * self.stock.found * 1e-9)

    def kept(self, job: Job) -> list[tuple[tuple[float, float], tuple[float, float], float]]:
        """Ends and length of every stretch of natural edge that a board takes for its own, mm."""
        return self.stock.kept(job.filled)


@dataclass(frozen=True, slots=True, eq=False)
class Lies:
    """A board of a set-up.

    Its report as it lies, its pose, number, part of the account, and marks.
    """

    report: Report
    where: str
    pose: Pose = HERE
    number: int = 1
    line: AccountLine | None = None
    engraving: Placed | None = None
    printed: Placed | None = None


def set_up(
    lies: Sequence[Lies], shop: Workshop, asked: JobOptions, stock: Stock | None = None
) -> SetUp:
    """Plan the boards of one stock, by default of a blank of its own.

    Raises InputError with every problem that keeps one of them from the machine.
    """
    first = lies[0].report
    brief = first.board.brief
    stock = stock or own_blank(first.estimate().blank_mm)
    cutter = shop.cutter(brief.cutter)
    filled = [_filled(one) for one in lies]
    held = hold_down(stock, filled, cutter.true)
    skim, apart, skimming = None, HANDLING, 0.0
    thickness = asked.thickness if asked.thickness is not None else brief.thickness
    if stock.piece is not None and stock.found > thickness:
        off = stock.found - thickness
        skim = skim_plan(shop.skimmer, shop.machine, stock.size, off, asked.chip_share)
        skimming = skim.minutes
        apart += skimming
    jobs: list[Job] = []
    problems: list[Problem] = []
    for one in lies:
        try:
            jobs.append(
                _job(one, shop, asked, stock, held, apart / len(lies), skimming / len(lies))
            )
            problems += _off_the_bed(jobs[-1], one.where)
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(*problems)
    return SetUp(stock, tuple(jobs), held, skim if stock.piece else jobs[0].plan.skim)


def _off_the_bed(job: Job, where: str) -> list[Problem]:
    """Locating frames that are larger than the bed of the laser or the printer."""
    found = []
    for placed, name, bed in (
        (job.engraving, "laser", job.shop.laser),
        (job.printed, "printer", job.shop.printer),
    ):
        if placed is None or bed.length is None or bed.width is None:
            continue
        x0, y0, x1, y1 = job.frame(placed.face).wood.bounds
        need, there = sorted((x1 - x0, y1 - y0)), sorted((bed.length, bed.width))
        if need[0] > there[0] or need[1] > there[1]:
            found.append(
                Problem(
                    where,
                    f"its locating frame of {need[1]:.0f} x {need[0]:.0f} mm does not lie on the"
                    f" {name}",
                    f"its bed is {there[1]:g} x {there[0]:g} mm",
                    "mark a smaller board, or leave the mark out",
                )
            )
    return found


def _filled(one: Lies) -> shapely.Polygon:
    ring = shapely.get_coordinates(one.report.outline.wood.exterior)
    return shapely.Polygon(one.pose.of(ring))


def comes_off(report: Report, stock: Stock, pose: Pose) -> Report:
    """Return a board as it comes off its stock: cut to the wood where it keeps a natural edge."""
    outline, s = stock.leaves(report.outline, pose), report.subject
    if outline is report.outline:
        return report
    subject = Subject(outline, s.limits, handle=s.handle, grips=s.grips, grain=s.grain)
    return replace(report, outline=outline, subject=subject)


def _job(
    one: Lies,
    shop: Workshop,
    asked: JobOptions,
    stock: Stock,
    held: HoldDown,
    shared: float,
    skimming: float,
) -> Job:
    report = one.report
    brief, s = report.board.brief, report.subject
    cutter = shop.cutter(brief.cutter)
    cutting = cutting_plan(
        s,
        cutter,
        shop.machine,
        blank=stock.size,
        skimmer=shop.skimmer,
        thickness=asked.thickness,
        hold=asked.hold,
        z_from=asked.z_from,
        share=asked.chip_share,
        own_blank=stock.piece is None,
        around=around(stock, held, one.pose, cutter.true),
        where=one.where,
    )
    made = comes_off(report, stock, one.pose)
    areas = made.areas()
    steps = _finishing(one, shop, stock, cutting, areas)
    torn = tear_out(s.outline, s.grain, brief.thickness, brief.round_over, brief.guide_bearing)
    if not stock.natural.is_empty:  # along a natural edge nothing is cut
        torn = torn.within(
            lambda p: np.asarray(shapely.intersects_xy(stock.outline, *one.pose.of(p).T))
        )
    notes = [*cutting.notes, *_marked(one)]
    return Job(
        report,
        made,
        shop,
        asked,
        stock,
        cutting,
        torn,
        areas,
        tuple(steps),
        one.engraving,
        one.printed,
        tuple(notes),
        one.pose,
        one.line,
        one.number,
        shared,
        skimming,
    )


def _finishing(one: Lies, shop: Workshop, stock: Stock, cutting: Plan, areas: Areas) -> list[Done]:
    """Return the steps from the machine to the oiled board, those that this board needs."""
    brief = one.report.board.brief
    held = "tabs" if cutting.tabs else "skin"
    holds = [held]
    holds += ["round-over"] if brief.round_over > 0 else []
    holds += ["skimmed"] if stock.found > cutting.thickness else []
    holds += ["engraving"] if one.engraving else []
    holds += ["print"] if one.printed else []
    return plan(
        shop.finishing or standard_steps(),
        areas,
        holds,
        round_over=brief.round_over,
        hours_between=shop.oil.hours,
        cure_days=shop.oil.cure_days,
        held=held,
    )


def _marked(one: Lies) -> list[str]:
    """Return what is said of marks where food lies."""
    return [
        f"{what} on the eating face: it holds food and is hard to clean; the underside is"
        " the usual place"
        for placed, what in ((one.engraving, "engraving"), (one.printed, "print"))
        if placed and placed.face.name == "eating"
    ]

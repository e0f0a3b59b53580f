"""The worksheet as data: one page a board, to hang at the bench; HTML and PDF are written from it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely

from shapes.geometry.curve import bounds
from shapes.timber.off_cut import PROUD, SUNK
from shapes.timber.solid import rounds
from shapes.workshop.cautions import CAUTIONS, FIRST
from shapes.workshop.cutting import LEFT, OVER, SKIM_STEP, SKIN, SPARE, Cut
from shapes.workshop.frame import SANDED, sheet_thickness
from shapes.workshop.job import Job, Placed, to_make
from shapes.workshop.tabs import LONG, THICK

INSET, DEEP = (
    9.0,
    3.0,
)  # mm: screw from the blank's edges; its head below what is skimmed; our choice
FEWEST = 3  # screws that hold a blank
PAGE_EDGE = 5.0  # mm of page round an area


@dataclass(frozen=True, slots=True)
class Group:
    """A part of the sheet: steps with tick boxes, rows of what and how much, and cautions."""

    title: str
    steps: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    head: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """A worksheet: title, the line under it, its groups in order, and the last line."""

    title: str
    under: str
    groups: tuple[Group, ...] = field(default=())
    foot: str = FIRST


def mm(value: float) -> str:
    """A length, one digit where it needs one."""
    return f"{value:.1f}".rstrip("0").rstrip(".")


def clock(minutes: float) -> str:
    """Minutes as a maker says them."""
    whole = math.ceil(minutes - 1e-9)
    return f"{whole} min" if whole < 90 else f"{whole // 60} h {whole % 60:02d} min"


def worksheet(job: Job, place: int | None = None) -> Sheet:
    """Lay a job out as steps, in the order they are done."""
    b, s, e = job.report.board, job.report.subject, job.estimate
    hold = "no handle" if b.handle == "none" else b.handle.replace("-", " ")
    under = (
        f"{b.brief.species}, {hold}; {mm(s.box[0])} x {mm(s.box[1])} x {mm(b.brief.thickness)} mm finished;"
        f" {s.mass:.2f} kg ({e.mass_band_kg[0]:.2f} to {e.mass_band_kg[1]:.2f});"
        f" make {to_make(job.asked.quantity)} for {job.asked.quantity}"
    )
    groups = [_blank(job), *_skim(job), _cut(job), _free(job), _finish(job)]
    groups += [_mark(job.engraving, job, "engrave")] if job.engraving else []
    groups += [_mark(job.printed, job, "print")] if job.printed else []
    groups += [_last(job), _materials(job)]
    title = f"{place}  {job.name}" if place else job.name
    return Sheet(title, under, tuple(groups))


def _blank(job: Job) -> Group:
    if job.off_cut:
        return Group(
            "1  Blank",
            (
                f"This board lies on the off-cut {job.off_cut} with others: fix, skim and cut that piece whole, by the cut.dxf, setting-out.dxf and placement picture of its folder. What follows holds for each of them.",
            ),
            cautions=(*CAUTIONS["router"], CAUTIONS["dust"][0]),
        )
    l, w, t = job.estimate.blank_mm  # noqa: E741
    source = job.asked.timber_source or "________________"
    deep = (job.plan.skim.first[-1] if job.plan.skim else 0.0) + DEEP
    at = fixings(job)
    hold = f"Screw it to the spoil sheet on the {len(at)} crosses of the picture: {SUNK:g} mm clear of the cutter, heads {mm(deep)} mm below the face. No clamps while you skim."  # fmt: skip
    if len(at) < FEWEST:
        hold = f"The corners leave no room for screws {SUNK:g} mm clear of the cutter: take a longer blank, or battens at its ends {PROUD:g} mm from the cutter's centre."
    return Group(
        "1  Blank",
        (
            f"Take {job.report.board.brief.species}, known solid timber, dry (6 to 10 %), at least {mm(l)} x {mm(w)} x {mm(t)} mm, grain along the {mm(l)}; no knot, shake or sloping grain where the hand takes it. Source: {source}",
            "Search it for metal. Lay it hollow side down, wedge what rocks.",
            hold,
        ),
        cautions=(*CAUTIONS["router"], CAUTIONS["dust"][0]),
    )


def fixings(job: Job) -> list[tuple[float, float]]:
    """Corners of the blank where a sunk screw keeps its distance from the cutter, mm from the datum."""
    l, w, _ = job.estimate.blank_mm  # noqa: E741
    x, y = l / 2 - INSET, w / 2 - INSET
    ring = job.report.outline.wood.exterior
    need = job.plan.cutter.true + LEFT + SUNK
    corners = [(-x, -y), (x, -y), (x, y), (-x, y)]
    return [c for c in corners if ring.distance(shapely.Point(c)) >= need]


def _skim(job: Job) -> list[Group]:
    skim = job.plan.skim
    if skim is None:
        return []
    each = ", then ".join(f"{mm(d)} mm" for d in skim.first)
    wide = mm(SKIM_STEP * skim.cutter.true)
    steps = [
        f"Skim the whole first face with the {skim.cutter.called}, {skim.rpm:.0f} rpm, {skim.feed:.0f} mm/min, rows {wide} mm apart, to {each} below its highest place.",
        "Turn over on the long edge, screw it down as before. Skim the second face to the same depths. Not clean: take another blank.",
        "The face now up is the eating face. Pencil the board's number and UNDERSIDE on the other.",
        f"Measure in four places: greatest ________, smallest ________ mm (planned {mm(job.plan.thickness)}); over 0.3 apart, skim again.",
    ]
    if skim.rest:
        steps.insert(1, "Over 5 mm comes off in all: let it rest a day, look for cup, then go on.")
    return [Group(f"2  Skim both faces ({clock(skim.minutes)})", tuple(steps))]


def _cut(job: Job) -> Group:
    p = job.plan
    if p.z_from == "top":
        deep = (
            f"smallest thickness - {SKIN:g}"
            if p.hold == "skin"
            else f"greatest thickness + {OVER:g}"
        )
        down = f"z 0 on the top face; last depth = {deep} = ________ mm (planned {mm(p.depth)})"
    else:
        low = SKIN if p.hold == "skin" else -OVER
        down = f"z 0 on the spoil sheet, the top face at the greatest thickness; last z {low:g}, whatever the thickness"  # fmt: skip
    steps = [
        f"Draw both diagonals on the face: where they cross is x 0, y 0; x along the grain. Load cut.dxf: its lines are the finished board. {down[0].upper()}{down[1:]}.",
        f"{p.cutter.called}, {mm(p.cutter.true)} mm across, cutting length {mm(p.thickness + SPARE)} or more: outside EDGE, inside OPENING. {p.feeds.rpm:.0f} rpm, {p.feeds.feed:.0f} mm/min, finishing pass {p.feeds.full_depth:.0f}, down {job.shop.machine.plunge:.0f}.",
        f"Openings first, the edge last, anticlockwise round the edge and clockwise in openings. Every pass leaves {LEFT:g} mm; then one finishing pass at full depth.",
    ]
    if p.tabs:
        at = ", ".join(f"({t.x:.0f}, {t.y:.0f})" for t in p.tabs)
        steps.append(
            f"{len(p.tabs)} tabs at x, y {at}, as in setting-out.dxf (TAB): {LONG:g} mm of wood long; every pass, the finishing one too, lifts there to {THICK:g} mm above the underside. Should the handle chatter, leave a skin (--hold skin)."
        )
    steps += [f"Red: fibres lift. {a[0].upper()}{a[1:]}." for a in job.lifted.router()]
    rows = [_row(c) for c in p.cuts]
    head = ("cut", "held by", "passes to z, mm, as planned", "length", "time")
    return Group("3  Cut", tuple(steps), tuple(rows), head, CAUTIONS["router"][2:])


def _row(cut: Cut) -> tuple[str, ...]:
    depths = ", ".join(f"{z.z:.1f}" for z in cut.passes[:-1])
    return (cut.what, cut.held, f"{depths}; finish {cut.passes[-1].z:.1f}", f"{cut.length / 1000:.1f} m", clock(cut.minutes))  # fmt: skip


def _free(job: Job) -> Group:
    brief = job.report.board.brief
    bit = job.shop.round_over(brief.round_over, brief.guide_bearing)
    steps = [d.text for d in job.steps if d.stage == "free"]
    if brief.round_over > 0:
        speed = f", at most {bit.rpm:.0f} rpm" if bit.rpm else ""
        steps.append(f"Trimmer, bit from above, bearing {mm(bit.bearing)} mm{speed}. On either face, as you look down on it: anticlockwise round the edge, clockwise in openings, always.")  # fmt: skip
        advice = job.lifted.trimmer()
        steps += [f"Red, eating face up, and amber, underside up: {a}." for a in advice]
        for opening in job.report.outline.openings:
            if not rounds(opening, brief.guide_bearing):
                x0, y0, x1, y1 = bounds(opening)
                steps.append(f"The hole of {mm(min(x1 - x0, y1 - y0))} mm is too narrow for the bit: ease both its rims with a countersink.")  # fmt: skip
    if job.engraving or job.printed:
        steps.append(f"In all, sanding may take {SANDED:g} mm off the edge: the frame is made for that.")  # fmt: skip
    return Group("4  Free it, edge, round-over", tuple(steps), cautions=CAUTIONS["trimmer"])


def _finish(job: Job) -> Group:
    steps = []
    for done in (d for d in job.steps if d.stage != "free"):
        text = done.text
        if done.coat:
            text += f" ({job.oil[done.coat - 1]:.0f} ml)"
        if done.wait_hours >= 24:
            text += f": {done.wait_hours / 24:.0f} days"
        elif done.wait_hours:
            text += f"; wait {done.wait_hours:g} h"
        steps.append(text)
    return Group(
        "5  Sand and oil, in this order",
        tuple(steps),
        cautions=(*CAUTIONS["oil"], *CAUTIONS["dust"]),
    )


def _mark(placed: Placed, job: Job, verb: str) -> Group:
    face, brief = placed.face, job.report.board.brief
    x, y = placed.datum
    end = face.suffix
    up = "underside" if face.under else "eating face"
    x0, y0, _, _ = job.frame(face).wood.bounds
    high = f", capitals {placed.mark.capital:.1f} mm" if placed.mark.capital else ""
    state = "sanded" if verb == "engrave" else "oiled, cured"
    thick = mm(sheet_thickness(brief.round_over))
    steps = [
        f"Once a batch: cut frame{end}.dxf from a sheet {thick} mm thick or more, but under the board's; EDGE outside, OPENING inside the line. Fix it on the bed as drawn.",
        f"Lay the {state} board in, {up} up{', turned over on its long edge' if face.under else ''}. Zero on the middle of the area, {mm(placed.area.length)} x {mm(placed.area.width)} mm{high}: x {x - x0:.1f}, y {y - y0:.1f} from the frame's lower left corner, or x {x:.1f}, y {y:.1f} from its middle (setting-out{end or '-EATING-FACE'}.dxf).",
    ]
    if verb == "engrave":
        steps.append(f"Focus on the board's face. Fill the letters; try power and speed on a skimmed scrap first: power ____ speed ____. Run engrave{end}.dxf or .svg.")  # fmt: skip
    else:
        w, h = page_of(placed)
        steps.append(f"Head height from the board's face. Pages are {w:.1f} x {h:.1f} mm, their middle is the zero. Run print-white{end}, print-colour{end}, print-clear{end}, each cured; tape test after a day.")  # fmt: skip
    title = ("Engrave: " if verb == "engrave" else "Print: ") + placed.mark.says
    return Group(
        title, tuple(steps), cautions=CAUTIONS["laser" if verb == "engrave" else "printer"]
    )


def page_of(placed: Placed) -> tuple[float, float]:
    """Page of an area, mm: its datum is the middle."""
    corners = placed.area.corners - np.array(placed.datum)
    w, h = 2 * (np.abs(corners).max(axis=0) + PAGE_EDGE)
    return float(w), float(h)


def _last(job: Job) -> Group:
    cured, brief = job.cured, job.report.board.brief
    days = f"{job.shop.oil.cure_days:g} days"
    when = f"not before {cured.isoformat()}" if cured else "not before ______________"
    oiled = job.asked.oiled.isoformat() if job.asked.oiled else "______________"
    hold = "held as it will be carried" if brief.load else "held by its handle"
    return Group(
        "Last",
        (
            f"Last coat on {oiled}; {days} to full cure: food and dispatch {when}. Oil batch: {job.asked.oil_batch or '__________'}",
            f"Weigh it: ________ kg (planned {job.report.subject.mass:.2f}). Load test, {hold}, a hand's breadth over something soft: {brief.load * brief.jerk:g} kg at the far end for a minute. Any creak: scrap it.",
            "Write each board's dates into record.csv. Pack it with its care card.",
        ),
        cautions=CAUTIONS["handle"],
    )


def _materials(job: Job) -> Group:
    e, a = job.estimate, job.areas
    (first, second), costs = job.oil, job.costs
    rows = [
        (
            "timber",
            f"{e.blank_m3 * 1000:.2f} l ({e.board_feet:.2f} board feet)",
            _money(costs.timber),
        ),
        (job.shop.oil.name, f"{first:.0f} + {second:.0f} ml", _money(costs.finish)),
        (
            "machine",
            f"{clock(job.machine_minutes)}, loading and turning in it",
            _money(costs.machine),
        ),
        ("bench", clock(job.bench_minutes), _money(costs.bench)),
        ("sum", "without margin and tax, one board", _money(costs.total or None)),
        (
            "areas, m2",
            f"faces {a.faces:.3f}, edge {a.edge:.3f}, round-over {a.round_over:.3f}, of these end grain {a.end_grain:.3f}",
            "",
        ),
        ("length of cut", f"{job.plan.length / 1000:.1f} m, skims apart", ""),
    ]
    return Group("Materials, time, cost", rows=tuple(rows), head=("what", "how much", "cost"))


def _money(value: float | None) -> str:
    return "" if value is None else f"{value:.2f}"


CARE: Sequence[str] = (
    "For serving, not for chopping or carving.",
    "Wash by hand with a little soap, dry at once, let it stand on its edge.",
    "Never in a dishwasher, in standing water, on a stove or in an oven.",
    "When it looks dry, rub in a little food-safe oil without nuts and let it cure.",
    "Dropped, cracked or with a loose handle: do not carry anything on it.",
)

"""The worksheet as data: one page a board, to hang at the bench; HTML and PDF are written from it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from shapes.workshop.cautions import CAUTIONS, FIRST
from shapes.workshop.cutting import LEFT, OVER, SKIN, SPARE, Cut, rim_speed
from shapes.workshop.frame import sheet_thickness
from shapes.workshop.job import Job, Placed, to_make
from shapes.workshop.tabs import LONG, THICK


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
    l, w, t = job.estimate.blank_mm  # noqa: E741
    source = job.asked.timber_source or "________________"
    return Group(
        "1  Blank",
        (
            f"Take {job.report.board.brief.species}, known solid timber, {mm(l)} x {mm(w)} mm, {mm(t)} thick, grain along the {mm(l)}. Source: {source}",
            "Draw both diagonals: where they cross is the datum of every file, x along the grain.",
            "Fix it on the spoil sheet outside the dashed line: sunk screws 10 mm from the path, clamps 40 mm from it.",
        ),
        cautions=CAUTIONS["router"],
    )


def _skim(job: Job) -> list[Group]:
    skim = job.plan.skim
    if skim is None:
        return []
    each = ", ".join(mm(d) for d in skim.first)
    steps = [
        f"Skim the first face with the {skim.cutter.called}, {skim.rpm:.0f} rpm, {skim.feed:.0f} mm/min, passes to {each} mm below its highest place.",
        "Turn over on the long edge. Skim the second face with passes to the same depths.",
    ]
    if skim.rest:
        steps.insert(1, "Over 5 mm comes off in all: let it rest a day, look for cup, then go on.")
    steps.append(f"Measure the thickness in four places. Smallest: ________ mm (planned {mm(job.plan.thickness)})")  # fmt: skip
    return [Group("2  Skim both faces", tuple(steps))]


def _cut(job: Job) -> Group:
    p = job.plan
    datum = "the top face" if p.z_from == "top" else "the spoil sheet"
    by_skin = p.hold == "skin"
    deep = f"measured thickness - {SKIN:g}" if by_skin else f"measured thickness + {OVER:g}"
    end = mm(p.depth)
    steps = [
        f"Load cut.dxf. Zero x and y on the crossed diagonals, z on {datum}. Last depth = {deep} = ________ mm (planned {end}).",
        f"{p.cutter.called}: {mm(p.cutter.true)} mm, {p.cutter.edges} edges, cutting length {mm(p.thickness + SPARE)} or more; {p.feeds.rpm:.0f} rpm ({rim_speed(p.cutter.true, p.feeds.rpm):.1f} m/s), {p.feeds.chip:.3f} mm an edge, {p.feeds.feed:.0f} mm/min; finishing pass {p.feeds.full_depth:.0f}; down {job.shop.machine.plunge:.0f}.",
        f"Openings first, the edge last. Every pass leaves {LEFT:g} mm; then one finishing pass at full depth.",
    ]
    if p.tabs:
        at = ", ".join(f"({t.x:.0f}, {t.y:.0f})" for t in p.tabs)
        steps.append(f"{len(p.tabs)} tabs on the edge, {LONG:g} long and {THICK:g} thick, at x, y: {at}.")  # fmt: skip
    advice = [a for a in job.lifted.advice() if a.startswith("router")]
    steps += [f"Red on the picture: fibres lift there. {a[0].upper()}{a[1:]}." for a in advice]
    rows = [_row(c) for c in p.cuts]
    head = ("cut", "held by", "passes to z, mm", "length", "time")
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
        steps.append(f"Trimmer, bit from above{speed}: anticlockwise round the edge, clockwise in openings, always; bearing {mm(bit.bearing)} mm.")  # fmt: skip
    advice = [a.removeprefix("trimmer: ") for a in job.lifted.advice() if a.startswith("trimmer")]
    steps += [f"Where the picture is red: {a}." for a in advice]
    return Group("4  Free it, edge, round-over", tuple(steps), cautions=(*CAUTIONS["trimmer"], *CAUTIONS["dust"]))  # fmt: skip


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
    return Group("5  Sand and oil, in this order", tuple(steps), cautions=CAUTIONS["oil"])


def _mark(placed: Placed, job: Job, verb: str) -> Group:
    face = placed.face
    x, y = placed.datum
    end = face.suffix
    files = f"{verb}{end}.dxf or .svg" if verb == "engrave" else f"print-white{end}, print-colour{end}, print-clear{end}"  # fmt: skip
    high = f", capitals {placed.mark.capital:.1f} mm" if placed.mark.capital else ""
    steps = (
        f"Fix frame{end}.dxf, cut from a sheet {mm(sheet_thickness(job.report.board.brief.round_over))} mm thick or more, on the bed; lay the sanded board in, {'underside' if face.under else 'eating face'} up.",
        f"Zero at x {x:.1f}, y {y:.1f} mm from the frame's middle: the middle of the area, {mm(placed.area.length)} x {mm(placed.area.width)} mm{high}.",
        f"Run {files}.",
    )
    which = "laser" if verb == "engrave" else "printer"
    return Group("Engrave: " + placed.mark.says if verb == "engrave" else "Print: " + placed.mark.says, steps, cautions=CAUTIONS[which])  # fmt: skip


def _last(job: Job) -> Group:
    cured = job.cured
    days = f"{job.shop.oil.cure_days:g} days"
    when = f"not before {cured.isoformat()}" if cured else "not before ______________"
    oiled = job.asked.oiled.isoformat() if job.asked.oiled else "______________"
    return Group(
        "Last",
        (
            f"Last coat on {oiled}; {days} to full cure: food and dispatch {when}. Oil batch: {job.asked.oil_batch or '__________'}",
            f"Weigh it: ________ kg (planned {job.report.subject.mass:.2f}). Load-test the handle over something soft.",
            "Pack it with its care card.",
        ),
        cautions=CAUTIONS["handle"],
    )


def _materials(job: Job) -> Group:
    e, a = job.estimate, job.areas
    first, second = job.oil
    rows = [
        (
            "timber",
            f"{e.blank_m3 * 1000:.2f} l ({e.board_feet:.2f} board feet)",
            _money(e.timber_cost),
        ),
        (job.shop.oil.name, f"{first:.0f} + {second:.0f} ml", _money(_oil_cost(job))),
        (
            "machine",
            clock(job.plan.minutes),
            _money(_rate(job.shop.rates.machine, job.plan.minutes)),
        ),
        ("bench", clock(job.bench_minutes), _money(_rate(job.shop.rates.bench, job.bench_minutes))),
        (
            "areas, m2",
            f"faces {a.faces:.3f}, edge {a.edge:.3f}, round-over {a.round_over:.3f}, of these end grain {a.end_grain:.3f}",
            "",
        ),
        ("length of cut", f"{job.plan.length / 1000:.1f} m, skims apart", ""),
    ]
    return Group("Materials, time, cost", rows=tuple(rows), head=("what", "how much", "cost"))


def _oil_cost(job: Job) -> float | None:
    price = job.shop.oil.price_per_litre
    return None if price is None else price * sum(job.oil) / 1000


def _rate(rate: float | None, minutes: float) -> float | None:
    return None if rate is None else rate * minutes / 60


def _money(value: float | None) -> str:
    return "" if value is None else f"{value:.2f}"


CARE: Sequence[str] = (
    "For serving, not for chopping or carving.",
    "Wash by hand with a little soap, dry at once, let it stand on its edge.",
    "Never in a dishwasher, in standing water, on a stove or in an oven.",
    "When it looks dry, rub in a little food-safe oil without nuts and let it cure.",
    "Dropped, cracked or with a loose handle: do not carry anything on it.",
)

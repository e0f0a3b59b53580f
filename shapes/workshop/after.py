"""The worksheet after the cut: boards are freed, rounded over, oiled and marked; what comes last."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from shapes.timber.lumber import board_feet
from shapes.timber.solid import box_of, rounds
from shapes.workshop.cautions import CAUTIONS
from shapes.workshop.frame import SANDED, sheet_thickness
from shapes.workshop.job import Job, Placed
from shapes.workshop.set_up import SetUp
from shapes.workshop.words import BLANK, Group, clock, exact, mass_of, mm

PAGE_EDGE = 5.0  # mm of page round an area


def whose(made: SetUp, job: Job) -> str:
    """Which board a line is of, where there are several."""
    return f"Board {job.number}: " if len(made.jobs) > 1 else ""


def whose_all(made: SetUp, jobs: Sequence[Job]) -> str:
    """Which boards a line is of, where it is not of all."""
    return (
        "" if len(jobs) == len(made.jobs) else f"Board {', '.join(str(j.number) for j in jobs)}: "
    )


def upper_face(made: SetUp) -> str:
    """What the upper face is called."""
    return "eating face" if made.for_food else "upper face"


def freeing(made: SetUp) -> Group:
    """Steps that free the boards, ease their edges and round them over."""
    texts: dict[str, list[Job]] = {}
    for job in made.jobs:
        for done in (d for d in job.steps if d.stage == "free"):
            texts.setdefault(done.text, []).append(job)
        brief = job.report.board.brief
        if brief.round_over > 0:
            bit = made.shop.round_over(brief.round_over, brief.guide_bearing)
            speed = f", at most {bit.rpm:.0f} rpm" if bit.rpm else ""
            trim = (
                f"Trimmer, bit from above, bearing {exact(bit.bearing)} mm{speed}. On either face,"
                " as you look down on it: anticlockwise round the edge, clockwise in openings,"
                " always."
            )
            texts.setdefault(trim, []).append(job)
    steps = [whose_all(made, jobs) + text for text, jobs in texts.items()]
    steps.insert(
        1,
        "Free now: pencil its number and UNDERSIDE on the face that lay down; the one that was up"
        f" is the {upper_face(made)}.",
    )
    if any(j.report.board.brief.round_over > 0 for j in made.jobs):
        for job in made.jobs:
            if made.kept(job):
                steps.append(
                    f"{whose(made, job)}Not along the natural edge: a bearing does not run true on"
                    " it. Ease it by hand to a like round. In a frame the board is held by its"
                    " other sides."
                )
        advice = dict.fromkeys(a for j in made.jobs for a in j.lifted.trimmer())
        steps += [f"Red, {upper_face(made)} up, and amber, underside up: {a}." for a in advice]
        for job in made.jobs:
            for opening in job.report.outline.openings:
                if not rounds(opening, job.report.board.brief.guide_bearing):
                    steps.append(
                        f"{whose(made, job)}The hole of {mm(box_of(opening)[0])} mm is too narrow for"
                        " the bit: ease both its rims with a countersink."
                    )
    if any(j.engraving or j.printed for j in made.jobs):
        steps.append(
            f"In all, sanding may take {SANDED:g} mm off the edge: the frame is made for that."
        )
    return Group("4  Free it, edge, round-over", tuple(steps), cautions=CAUTIONS["trimmer"])


def finishing(made: SetUp) -> Group:
    """Steps of sanding and oiling, in their order."""
    steps = []
    each = " in all" if len(made.jobs) > 1 else ""
    for done in (d for d in made.jobs[0].steps if d.stage != "free"):
        text = done.text if made.for_food else done.text.replace("food or ", "")
        if done.coat:
            text += f" ({made.oil[done.coat - 1]:.0f} ml{each})"
        if done.wait_hours >= 24:
            text += f": {done.wait_hours / 24:.0f} days"
        elif done.wait_hours:
            text += f"; wait {done.wait_hours:g} h"
        steps.append(text)
    return Group(
        "5  Sand and oil, in this order",
        tuple(steps),
        cautions=(*CAUTIONS["oil"][: 2 if made.for_food else 1], *CAUTIONS["dust"]),
    )


def marking(placed: Placed, job: Job, verb: str) -> Group:
    """Steps that engrave or print one area of a board."""
    face, brief = placed.face, job.report.board.brief
    x, y = placed.datum
    end = face.suffix
    up = "underside" if face.under else "eating face"
    fx, fy = job.from_corner(placed)
    high = f", capitals {placed.mark.capital:.1f} mm" if placed.mark.capital else ""
    thick = mm(sheet_thickness(brief.round_over))
    steps = [
        (
            f"Once a batch: cut frame{end}.dxf from a sheet {thick} mm thick or more, but under the"
            " board's; EDGE outside, OPENING inside the line. Fix it on the bed as drawn."
        ),
        (
            f"Lay the sanded board in, {up}"
            f" up{', turned over on its long edge' if face.under else ''}. Zero on the middle of"
            f" the area, {mm(placed.area.length)} x {mm(placed.area.width)} mm{high}: x {fx:.1f}, y"
            f" {fy:.1f} from the frame's lower left corner, or x {x:.1f}, y {y:.1f} from its middle"
            f" (setting-out{end or '-EATING-FACE'}.dxf)."
        ),
    ]
    if verb == "engrave":
        steps.append(
            "Focus on the board's face. Fill the letters; try power and speed on a skimmed scrap"
            f" first: power ____ speed ____. {_runs(placed, end)}"
        )
    else:
        w, h = page_of(placed)
        steps.append(
            f"Head height from the board's face. Pages are {w:.1f} x {h:.1f} mm, their middle is"
            f" the zero. Bare wood, or as the ink's maker says: run print-white{end},"
            f" print-colour{end}, print-clear{end}, each cured; tape test after a day, then oil."
        )
    title = ("Engrave: " if verb == "engrave" else "Print: ") + placed.mark.says
    title += f" ({job.name})" if job.stock.piece else ""
    return Group(
        title, tuple(steps), cautions=CAUTIONS["laser" if verb == "engrave" else "printer"]
    )


def _runs(placed: Placed, end: str) -> str:
    """Which files the laser runs."""
    if not placed.each:
        return f"Run engrave{end}.dxf or .svg."
    names = ", ".join(f"{k:02d} {n}" for k, (n, _) in enumerate(placed.each, start=1))
    return f"One file a board, engrave{end}-NN-name.dxf or .svg: {names}."


def page_of(placed: Placed) -> tuple[float, float]:
    """Page of an area, mm: its datum is the middle."""
    corners = placed.area.corners - np.array(placed.datum)
    w, h = 2 * (np.abs(corners).max(axis=0) + PAGE_EDGE)
    return float(w), float(h)


def last(made: SetUp) -> Group:
    """Steps before a board leaves: dates, weight, load test."""
    job = made.jobs[0]
    cured, brief = job.cured, job.report.board.brief
    days = f"{made.shop.oil.cure_days:g} days"
    when = f"not before {cured.isoformat()}" if cured else "not before ______________"
    oiled = made.asked.oiled.isoformat() if made.asked.oiled else "______________"
    hold = "held as it will be carried" if brief.load else "held by its handle"
    food = "food and dispatch" if made.for_food else "dispatch, never for food,"
    weigh = "; ".join(
        f"{whose(made, j)}________ (planned {mass_of(made, j.mass)})" for j in made.jobs
    )
    tests = dict.fromkeys(j.proof_load for j in made.jobs)
    return Group(
        "Last",
        (
            (
                f"Last coat on {oiled}; {days} to full cure: {food} {when}. Oil batch:"
                f" {made.asked.oil_batch or '__________'}"
            ),
            (
                f"Weigh it: {weigh}. Load test, {hold}, a hand's breadth over something soft:"
                f" {', '.join(f'{v:g}' for v in tests)} kg at the far end for a minute. Any creak:"
                " scrap it."
            ),
            "Write each board's dates into record.csv. Pack it with its care card.",
        ),
        cautions=CAUTIONS["handle"],
    )


def materials(made: SetUp) -> Group:
    """Timber, oil, time and cost of a set-up."""
    a = made.areas
    (first, second), costs = made.oil, made.costs
    minutes = (
        f"{clock(made.machine_minutes)} at the machine, of these {clock(made.cutting_minutes)}"
        " cutting; the rest loading and turning"
    )
    each = "one board" if len(made.jobs) == 1 else f"all {len(made.jobs)} boards"
    rows = [
        (
            "timber",
            f"{made.volume_m3 * 1000:.2f} l ({board_feet(made.volume_m3 * 1e9):.2f} board feet)",
            _money(costs.timber),
        ),
        (made.shop.oil.name, f"{first:.0f} + {second:.0f} ml", _money(costs.finish)),
        ("machine", minutes if made.known else BLANK, _money(costs.machine)),
        ("bench", clock(made.bench_minutes), _money(costs.bench)),
        (
            "sum",
            (
                "without spoil, set-up, mark-up and tax,"
                f" {each}{_apart(made)}{'' if None not in costs else ', as far as prices are stated'}"
            ),
            _money(costs.total),
        ),
        (
            "areas, m2",
            (
                f"faces {a.faces:.3f}, edge {a.edge:.3f}, round-over {a.round_over:.3f}, of these"
                f" end grain {a.end_grain:.3f}"
            ),
            "",
        ),
        ("length of cut", f"{made.length / 1000:.1f} m, skims apart", ""),
    ]
    return Group("Materials, time, cost", rows=tuple(rows), head=("what", "how much", "cost"))


def _apart(made: SetUp) -> str:
    """Whose time is not priced."""
    marks = [
        ("laser", any(j.engraving for j in made.jobs)),
        ("printer", any(j.printed for j in made.jobs)),
    ]
    names = [n for n, there in marks if there]
    return f", {' and '.join(names)} apart" if names else ""


def _money(value: float | None) -> str:
    return BLANK if value is None else f"{value:.2f}"

"""The worksheet as data: one a stock, to hang at the bench; HTML and PDF are written from it.

What it says is worked out in job.py, stock.py and cutting.py; here it is only put into words.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from shapes.handles import called
from shapes.timber.lumber import board_feet
from shapes.timber.off_cut import PROUD, SUNK
from shapes.timber.solid import box_of, rounds
from shapes.workshop.cautions import CAUTIONS
from shapes.workshop.cutting import LEFT, OVER, SKIM_STEP, SKIN, Cut
from shapes.workshop.frame import SANDED, sheet_thickness
from shapes.workshop.job import Job, Placed
from shapes.workshop.price import to_make
from shapes.workshop.set_up import SetUp
from shapes.workshop.stock import FEWEST
from shapes.workshop.words import BLANK, Group, Worksheet, clock, exact, mass_of, mm, place, size_of

PAGE_EDGE = 5.0  # mm of page round an area
SKIMS = 12.0  # mm: a narrower cutter skims no face in reasonable time; our choice


def worksheet(made: SetUp, number: int | None = None) -> Worksheet:
    """Lay a set-up out as steps, in the order they are done."""
    groups = [_piece(made) if made.stock.piece else _blank(made), *_skim(made), _cut(made)]
    groups += [_free(made), _finish(made)]
    for job in made.jobs:
        groups += [_mark(job.engraving, job, "engrave")] if job.engraving else []
        groups += [_mark(job.printed, job, "print")] if job.printed else []
    groups += [_last(made), _materials(made)]
    title = f"{number}  {made.name}" if number else made.name
    return Worksheet(title, _under(made), tuple(groups), alarms=alarms(made))


def alarms(made: SetUp) -> tuple[str, ...]:
    """What stands in red above everything: failing checks, timber unfit for food, tools that are not there."""
    found = []
    if not made.for_food:
        found.append(f"NOT FOR FOOD{_origin(made)}: no serving board, not sold as one")
        if made.stock.piece and made.stock.piece.origin in ("painted", "treated", "unknown"):
            found.append("Old paint and treated wood may hold lead or poison: have it tested before any machine raises its dust")  # fmt: skip
    for job in made.jobs:
        found += [f"{job.name} FAILS {f.check}: {f.message}" for f in job.report.failing]  # fmt: skip
    return (*found, *lacking(made))


def _origin(made: SetUp) -> str:
    piece = made.stock.piece
    return f", origin '{piece.origin}'" if piece and not piece.fit_for_food else ""


def lacking(made: SetUp) -> list[str]:
    """Tools that a stated workshop does not list."""
    shop, found = made.shop, []
    for brief in dict.fromkeys(j.report.board.brief for j in made.jobs):
        bit = shop.round_over(brief.round_over, brief.guide_bearing)
        if "cutters" in shop.stated and not shop.has(shop.cutter(brief.cutter)):
            found.append(f"the workshop lists no cutter of {brief.cutter:g} mm")
        if shop.stated and brief.round_over > 0 and not shop.has(bit):
            found.append(f"the workshop lists no round-over bit of {brief.round_over:g} mm")
    if made.skim and shop.cutters and made.skim.cutter.true < SKIMS:
        found.append(f"the workshop lists no cutter wide enough to skim with ({SKIMS:g} mm or more)")  # fmt: skip
    if shop.stated and "laser" not in shop.stated and any(j.engraving for j in made.jobs):
        found.append("the workshop lists no laser")
    return list(dict.fromkeys(found))


def _under(made: SetUp) -> str:
    """The line under the title: what comes out of it."""
    if made.stock.piece is None:
        job = made.jobs[0]
        b, s, e = job.report.board, job.report.subject, job.estimate
        hold = called(b.handle)
        return (
            f"{b.brief.species}, {hold}; {size_of(made, (*s.box, b.brief.thickness))} finished;"
            f" {mass_of(made, job.mass)} ({mass_of(made, e.mass_band_kg[0])} to {mass_of(made, e.mass_band_kg[1])});"
            f" make {to_make(job.asked.quantity)} for {job.asked.quantity}"
        )
    boards = "; ".join(
        f"{j.number} {j.name}, {size_of(made, j.own_box)}{', less its natural edge' if made.kept(j) else ''}, {mass_of(made, j.mass)}"
        for j in made.jobs
    )
    return f"{made.stock.piece.species}, boards {size_of(made, (made.jobs[0].report.board.brief.thickness,))} finished: {boards}"


_FLAT = "Search it for metal. Drill the holes for the screws right through from the face you measured, then lay that face down for step 2; wedge what rocks: it may not move or spring."
_METAL = (
    "Search it for metal. Lay it hollow side down, wedge what rocks: it may not move or spring."
)


def _screws(made: SetUp, none: str) -> str:
    """How the wood is held."""
    deep = exact(made.head_depth)
    added = ", ".join(place(x, y) for x, y in made.held.screws)
    if made.stock.fixings:
        at = ", ".join(f"{f.name} {place(x, y)}" for f, (x, y) in made.stock.fixings)
        more = f" Add screws at {added}." if added else ""
        few = (
            "" if made.held.enough else f" FEWER THAN {FEWEST} HOLD IT: add clamps before you cut."
        )
        return f"Held as you stated: {at}.{more}{few} Heads of screws {deep} mm below the face; no clamp in the way of the skim cutter."
    if not made.held.enough:
        return none
    return f"Screw it to the spoilboard at the crosses of the picture, x, y {added}: {SUNK:g} mm clear of the cutter, pilot holes first (end grain splits), heads {deep} mm below the face. No clamps while you skim."


def _blank(made: SetUp) -> Group:
    job = made.jobs[0]
    l, w, t = made.stock.size  # noqa: E741
    source = made.asked.timber_source or "________________"
    none = f"The corners leave no room for screws {SUNK:g} mm clear of the cutter: take a longer blank, or battens at its ends {PROUD:g} mm from the cutter's centre."
    return Group(
        "1  Blank",
        (
            f"Take {job.report.board.brief.species}, known solid timber, dry (6 to 10 %), at least {size_of(made, (l, w, t))}, grain along its length; no knot, shake or sloping grain where the hand takes it. Source: {source}",
            _METAL,
            _screws(made, none),
        ),
        cautions=(*CAUTIONS["router"], CAUTIONS["dust"][0]),
    )


def _piece(made: SetUp) -> Group:
    stock = made.stock
    piece = stock.piece
    assert piece is not None
    l, w, t = stock.size  # noqa: E741
    x, y = stock.datum
    source = made.jobs[0].source or "________________"
    marks = ", ".join(name for name, _ in stock.defects) or "none stated"
    steps = [
        f"Take {piece.name}: {piece.species}, {piece.origin}, {exact(t)} mm thick as found, its box {mm(l)} x {mm(w)} mm. Defects: {marks}. Source: {source}",
        f"x 0, y 0 of every file and of this sheet is the point ({exact(x)}, {exact(y)}) as you measured the piece: mark it on the face you measured, with a line along x, and again after skimming.",
        _FLAT if made.skim else _METAL,
        _screws(made, f"No waste of it takes a screw {SUNK:g} mm clear of the cutter: hold it by battens or clamps {PROUD:g} mm from the cutter's centre."),
    ]  # fmt: skip
    if (sawn := piece.sawn) is not None:
        steps.insert(1, f"It is slice {sawn.which} of {sawn.of}, counted from the face you measured: saw {sawn.name}, {exact(sawn.thickness)} mm thick, into {sawn.of} on the bandsaw, kerf {exact(sawn.kerf)} mm; on each slice mark the face that looked up and the line along x. Let them rest a day or more, air on both faces.")  # fmt: skip
    steps += [f"The waste round ({x:.0f}, {y:.0f}) has room for no screw and comes loose when it is cut: hold it with double-sided tape, or clear it to chips." for x, y in made.held.loose]  # fmt: skip
    for job in made.jobs:
        for (ax, ay), (bx, by), long in made.kept(job):
            steps.append(f"Board {job.number} keeps the natural edge, green, from ({ax:.0f}, {ay:.0f}) to ({bx:.0f}, {by:.0f}), {long:.0f} mm: nothing is cut there, the cutter runs beside the wood. Bark off. Where the cut runs out at either end, ease the corner by hand with knife and file along the edge, then sand 120.")  # fmt: skip
    return Group("1  The piece", tuple(steps), cautions=(*CAUTIONS["router"], CAUTIONS["dust"][0]))


def _skim(made: SetUp) -> list[Group]:
    skim = made.skim
    if skim is None:
        return []
    each = ", then ".join(f"{exact(d)} mm" for d in skim.before)
    if made.shop.has(skim.cutter):
        tool = f"{skim.cutter.called}, {skim.rpm:.0f} rpm, {skim.feed:.0f} mm/min, rows {mm(skim.row)} mm apart"  # fmt: skip
    else:
        tool = f"widest flat cutter you have, {BLANK} mm; rpm {BLANK}, feed {BLANK}; rows {SKIM_STEP * 100:.0f} % of it apart"
    first = "first face" if made.stock.piece is None else "underside first: the face you measured lies down, the screws go through the same holes. Skim the whole of it"  # fmt: skip
    steps = [
        f"{'Skim the whole' if made.stock.piece is None else 'Skim the'} {first} with the {tool}, to {each} below its highest place.",
        f"Turn over on the long edge, screw it down as before. Skim the second face to the same depths. {'Not clean: take another blank.' if made.stock.piece is None else 'The face you measured is up again, as in the picture. Not clean: take a little more off this face and less off the other; where that is not enough, plan thinner boards.'}",
    ]
    if skim.rest:
        steps.append(f"{exact(skim.off)} mm comes off in all: take it off the machine and let it rest a day or more, air on both faces; look for cup. Then the last skims: the first face again, to {exact(made.thickness_rested)} mm thick, turn, the second to {exact(made.thickness)}{'' if made.stock.piece is None else '; the face you measured must be up before you go on'}.")  # fmt: skip
    steps.append(f"Measure in four places: greatest ________, smallest ________ mm (planned {exact(made.thickness)}); over 0.3 apart, skim again. The face that is up is the {_upper(made)}.")  # fmt: skip
    return [Group(f"2  Skim both faces{_time(made, skim.minutes)}", tuple(steps))]


def _time(made: SetUp, minutes: float) -> str:
    """Minutes at a machine that the workshop states; nothing where its feeds are not known."""
    return f" ({clock(minutes)})" if made.known else ""


def _cut(made: SetUp) -> Group:
    job = made.jobs[0]
    p = job.plan
    if p.z_from == "top":
        deep = (
            f"smallest thickness - {SKIN:g}"
            if p.hold == "skin"
            else f"greatest thickness + {OVER:g}"
        )
        down = f"z 0 on the top face; last depth = {deep} = ________ mm (planned {exact(p.depth)})"
    else:
        down = f"z 0 on the spoilboard, the top face at the greatest thickness; last z {p.last_z:g}, whatever the thickness"  # fmt: skip
    zero = "Draw both diagonals on the face: where they cross is x 0, y 0; x along the grain."
    if made.stock.piece is not None:
        zero = "Set x 0, y 0 on the mark, x along your line."
    length = f"cutting length {exact(p.cutting_length)} or more"
    if made.shop.has(p.cutter):
        tool = f"{p.cutter.called}, {exact(p.cutter.true)} mm across, {length}: outside EDGE, inside OPENING. {p.feeds.rpm:.0f} rpm, {p.feeds.feed:.0f} mm/min, finishing pass {p.feeds.full_depth:.0f}, down {made.shop.machine.plunge:.0f}."
    else:
        tool = f"A cutter of {exact(p.cutter.diameter)} mm, measured {BLANK}, {length}: outside EDGE, inside OPENING. By its maker's table: rpm {BLANK}, feed {BLANK}, finishing pass {BLANK}, down {BLANK}."
    steps = [
        f"{zero} Load cut.dxf: its lines are the finished board{'' if len(made.jobs) == 1 else 's'}. {down[0].upper()}{down[1:]}.",
        tool,
        "Edge: down-cut spiral, the face stays clean (a compression spiral only where its first pass goes deeper than its up-cut part); openings: up-cut, it lifts the chips out. Enter on a ramp of 3 degrees at most along the line, in a small opening in a helix: never straight down.",
        f"Openings first, the edge last, anticlockwise round the edge and clockwise in openings. Every pass leaves {LEFT:g} mm; then one finishing pass at full depth.",
    ]
    for one in made.jobs:
        if one.plan.tabs:
            at = ", ".join(place(t.x, t.y) for t in one.tabs)
            steps.append(
                f"{_of(made, one)}{len(one.tabs)} tabs at x, y {at}, as in setting-out.dxf (TAB): {one.tabs[0].long:g} mm of wood long; every pass, the finishing one too, lifts there to {one.plan.tab_thick:g} mm above the underside, z {one.plan.tab_z:g} as planned. Should it chatter, leave a skin instead."
            )
        steps += [f"{_of(made, one)}Red: fibres lift. {a[0].upper()}{a[1:]}." for a in one.lifted.router()]  # fmt: skip
    rows = [_row(made, j, c) for j in made.jobs for c in j.plan.cuts]
    head = ("cut", "held by", "passes to z, mm, as planned", "length", "time")
    return Group("3  Cut", tuple(steps), tuple(rows), head, CAUTIONS["router"][2:])


def _of(made: SetUp, job: Job) -> str:
    """Which board a line is of, where there are several."""
    return f"Board {job.number}: " if len(made.jobs) > 1 else ""


def _whose(made: SetUp, jobs: Sequence[Job]) -> str:
    """Which boards a line is of, where it is not of all."""
    return (
        "" if len(jobs) == len(made.jobs) else f"Board {', '.join(str(j.number) for j in jobs)}: "
    )


def _row(made: SetUp, job: Job, cut: Cut) -> tuple[str, ...]:
    depths = ", ".join(exact(z.z) for z in cut.passes[:-1])
    what = f"{job.number} {cut.what}" if len(made.jobs) > 1 else cut.what
    time = clock(cut.minutes) if made.known else ""
    return (what, cut.held, f"{depths}; finish {exact(cut.passes[-1].z)}", f"{cut.length / 1000:.1f} m", time)  # fmt: skip


def _upper(made: SetUp) -> str:
    """What the upper face is called."""
    return "eating face" if made.for_food else "upper face"


def _free(made: SetUp) -> Group:
    texts: dict[str, list[Job]] = {}
    for job in made.jobs:
        for done in (d for d in job.steps if d.stage == "free"):
            texts.setdefault(done.text, []).append(job)
        brief = job.report.board.brief
        if brief.round_over > 0:
            bit = made.shop.round_over(brief.round_over, brief.guide_bearing)
            speed = f", at most {bit.rpm:.0f} rpm" if bit.rpm else ""
            trim = f"Trimmer, bit from above, bearing {exact(bit.bearing)} mm{speed}. On either face, as you look down on it: anticlockwise round the edge, clockwise in openings, always."  # fmt: skip
            texts.setdefault(trim, []).append(job)
    steps = [_whose(made, jobs) + text for text, jobs in texts.items()]
    steps.insert(1, f"Free now: pencil its number and UNDERSIDE on the face that lay down; the one that was up is the {_upper(made)}.")  # fmt: skip
    if any(j.report.board.brief.round_over > 0 for j in made.jobs):
        for job in made.jobs:
            if made.kept(job):
                steps.append(f"{_of(made, job)}Not along the natural edge: a bearing does not run true on it. Ease it by hand to a like round. In a frame the board is held by its other sides.")  # fmt: skip
        advice = dict.fromkeys(a for j in made.jobs for a in j.lifted.trimmer())
        steps += [f"Red, {_upper(made)} up, and amber, underside up: {a}." for a in advice]
        for job in made.jobs:
            for opening in job.report.outline.openings:
                if not rounds(opening, job.report.board.brief.guide_bearing):
                    steps.append(f"{_of(made, job)}The hole of {mm(box_of(opening)[0])} mm is too narrow for the bit: ease both its rims with a countersink.")  # fmt: skip
    if any(j.engraving or j.printed for j in made.jobs):
        steps.append(f"In all, sanding may take {SANDED:g} mm off the edge: the frame is made for that.")  # fmt: skip
    return Group("4  Free it, edge, round-over", tuple(steps), cautions=CAUTIONS["trimmer"])


def _finish(made: SetUp) -> Group:
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


def _mark(placed: Placed, job: Job, verb: str) -> Group:
    face, brief = placed.face, job.report.board.brief
    x, y = placed.datum
    end = face.suffix
    up = "underside" if face.under else "eating face"
    fx, fy = job.from_corner(placed)
    high = f", capitals {placed.mark.capital:.1f} mm" if placed.mark.capital else ""
    thick = mm(sheet_thickness(brief.round_over))
    steps = [
        f"Once a batch: cut frame{end}.dxf from a sheet {thick} mm thick or more, but under the board's; EDGE outside, OPENING inside the line. Fix it on the bed as drawn.",
        f"Lay the sanded board in, {up} up{', turned over on its long edge' if face.under else ''}. Zero on the middle of the area, {mm(placed.area.length)} x {mm(placed.area.width)} mm{high}: x {fx:.1f}, y {fy:.1f} from the frame's lower left corner, or x {x:.1f}, y {y:.1f} from its middle (setting-out{end or '-EATING-FACE'}.dxf).",
    ]
    if verb == "engrave":
        steps.append(f"Focus on the board's face. Fill the letters; try power and speed on a skimmed scrap first: power ____ speed ____. {_runs(placed, end)}")  # fmt: skip
    else:
        w, h = page_of(placed)
        steps.append(f"Head height from the board's face. Pages are {w:.1f} x {h:.1f} mm, their middle is the zero. Bare wood, or as the ink's maker says: run print-white{end}, print-colour{end}, print-clear{end}, each cured; tape test after a day, then oil.")  # fmt: skip
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


def _last(made: SetUp) -> Group:
    job = made.jobs[0]
    cured, brief = job.cured, job.report.board.brief
    days = f"{made.shop.oil.cure_days:g} days"
    when = f"not before {cured.isoformat()}" if cured else "not before ______________"
    oiled = made.asked.oiled.isoformat() if made.asked.oiled else "______________"
    hold = "held as it will be carried" if brief.load else "held by its handle"
    food = "food and dispatch" if made.for_food else "dispatch, never for food,"
    weigh = "; ".join(
        f"{_of(made, j)}________ (planned {mass_of(made, j.mass)})" for j in made.jobs
    )
    tests = dict.fromkeys(j.proof_load for j in made.jobs)
    return Group(
        "Last",
        (
            f"Last coat on {oiled}; {days} to full cure: {food} {when}. Oil batch: {made.asked.oil_batch or '__________'}",
            f"Weigh it: {weigh}. Load test, {hold}, a hand's breadth over something soft: {', '.join(f'{v:g}' for v in tests)} kg at the far end for a minute. Any creak: scrap it.",
            "Write each board's dates into record.csv. Pack it with its care card.",
        ),
        cautions=CAUTIONS["handle"],
    )


def _materials(made: SetUp) -> Group:
    a = made.areas
    (first, second), costs = made.oil, made.costs
    minutes = f"{clock(made.machine_minutes)} at the machine, of these {clock(made.cutting_minutes)} cutting; the rest loading and turning"  # fmt: skip
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
        ("sum", f"without spoil, set-up, mark-up and tax, {each}{_apart(made)}{'' if None not in costs else ', as far as prices are stated'}", _money(costs.total)),
        (
            "areas, m2",
            f"faces {a.faces:.3f}, edge {a.edge:.3f}, round-over {a.round_over:.3f}, of these end grain {a.end_grain:.3f}",
            "",
        ),
        ("length of cut", f"{made.length / 1000:.1f} m, skims apart", ""),
    ]  # fmt: skip
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

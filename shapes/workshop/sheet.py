"""The worksheet as data: one a stock, to hang at the bench; HTML and PDF are written from it.

What it says is worked out in job.py, stock.py and cutting.py; here it is only put into words.
"""

from __future__ import annotations

from shapes.handles import called
from shapes.timber.off_cut import PROUD, SUNK
from shapes.workshop.after import (
    finishing,
    freeing,
    last,
    marking,
    materials,
    upper_face,
    whose,
)
from shapes.workshop.cautions import CAUTIONS
from shapes.workshop.job import Job
from shapes.workshop.plan import LEFT, OVERCUT, SKIM_STEP, SKIN, Cut, Plan
from shapes.workshop.price import to_make
from shapes.workshop.set_up import SetUp
from shapes.workshop.stock import FEWEST
from shapes.workshop.words import (
    BLANK,
    Group,
    Worksheet,
    clock,
    exact,
    in_own,
    mass_of,
    mm,
    place,
    size_of,
)

SKIMS = 12.0  # mm: a narrower cutter skims no face in reasonable time; our choice


def worksheet(made: SetUp, number: int | None = None) -> Worksheet:
    """Lay a set-up out as steps, in the order they are done."""
    groups = [_piece(made) if made.stock.piece else _blank(made), *_skim(made), _cut(made)]
    groups += [freeing(made), finishing(made)]
    for job in made.jobs:
        groups += [marking(job.engraving, job, "engrave")] if job.engraving else []
        groups += [marking(job.printed, job, "print")] if job.printed else []
    groups += [last(made), materials(made)]
    title = f"{number}  {made.name}" if number else made.name
    sheet = Worksheet(title, _under(made), tuple(groups), alarms=alarms(made))
    return in_own(sheet, made)


def alarms(made: SetUp) -> tuple[str, ...]:
    """What stands in red above everything.

    Failing checks, timber unfit for food, tools that are not there.
    """
    found = []
    if not made.for_food:
        found.append(f"NOT FOR FOOD{_origin(made)}: no serving board, not sold as one")
        if made.stock.piece and made.stock.piece.origin in ("painted", "treated", "unknown"):
            found.append(
                "Old paint and treated wood may hold lead or poison: have it tested before any"
                " machine raises its dust"
            )
    for job in made.jobs:
        found += [f"{job.name} FAILS {f.check}: {f.message}" for f in job.report.failing]
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
        found.append(
            f"the workshop lists no cutter wide enough to skim with ({SKIMS:g} mm or more)"
        )
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
            f" {mass_of(made, job.mass)} ({mass_of(made, e.mass_band_kg[0])} to"
            f" {mass_of(made, e.mass_band_kg[1])}); make {to_make(job.asked.quantity)} for"
            f" {job.asked.quantity}"
        )
    boards = "; ".join(
        f"{j.number} {j.name},"
        f" {size_of(made, j.own_box)}{', less its natural edge' if made.kept(j) else ''},"
        f" {mass_of(made, j.mass)}"
        for j in made.jobs
    )
    return (
        f"{made.stock.piece.species}, boards"
        f" {size_of(made, (made.jobs[0].report.board.brief.thickness,))} finished: {boards}"
    )


_FLAT = (
    "Search it for metal. Drill the holes for the screws right through from the face you measured,"
    " then lay that face down for step 2; wedge what rocks: it may not move or spring."
)
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
        return (
            f"Held as you stated: {at}.{more}{few} Heads of screws {deep} mm below the face; no"
            " clamp in the way of the skim cutter."
        )
    if not made.held.enough:
        return none
    return (
        f"Screw it to the spoilboard at the crosses of the picture, x, y {added}: {SUNK:g} mm clear"
        f" of the cutter, pilot holes first (end grain splits), heads {deep} mm below the face. No"
        " clamps while you skim."
    )


def _blank(made: SetUp) -> Group:
    job = made.jobs[0]
    l, w, t = made.stock.size  # noqa: E741
    source = made.asked.timber_source or "________________"
    none = (
        f"The corners leave no room for screws {SUNK:g} mm clear of the cutter: take a longer"
        f" blank, or battens at its ends {PROUD:g} mm from the cutter's centre."
    )
    return Group(
        "1  Blank",
        (
            (
                f"Take {job.report.board.brief.species}, known solid timber, dry (6 to 10 %), at"
                f" least {size_of(made, (l, w, t))}, grain along its length; no knot, shake or"
                f" sloping grain where the hand takes it. Source: {source}"
            ),
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
        (
            f"Take {piece.name}: {piece.species}, {piece.origin}, {exact(t)} mm thick as found, its"
            f" box {mm(l)} x {mm(w)} mm. Defects: {marks}. Source: {source}"
        ),
        (
            f"x 0, y 0 of every file and of this sheet is the point ({exact(x)}, {exact(y)}) as you"
            " measured the piece: mark it on the face you measured, with a line along x, and again"
            " after skimming."
        ),
        _FLAT if made.skim else _METAL,
        _screws(
            made,
            f"No waste of it takes a screw {SUNK:g} mm clear of the cutter: hold it by battens or"
            f" clamps {PROUD:g} mm from the cutter's centre.",
        ),
    ]
    if (sawn := piece.sawn) is not None:
        steps.insert(
            1,
            f"It is slice {sawn.which} of {sawn.of}, counted from the face you measured: saw"
            f" {sawn.name}, {exact(sawn.thickness)} mm thick, into {sawn.of} on the bandsaw, kerf"
            f" {exact(sawn.kerf)} mm; on each slice mark the face that looked up and the line along"
            " x. Let them rest a day or more, air on both faces.",
        )
    steps += [
        f"The waste round ({x:.0f}, {y:.0f}) has room for no screw and comes loose when it is cut:"
        " hold it with double-sided tape, or clear it to chips."
        for x, y in made.held.loose
    ]
    for job in made.jobs:
        for (ax, ay), (bx, by), long in made.kept(job):
            steps.append(
                f"Board {job.number} keeps the natural edge, green, from ({ax:.0f}, {ay:.0f}) to"
                f" ({bx:.0f}, {by:.0f}), {long:.0f} mm: nothing is cut there, the cutter runs"
                " beside the wood. Bark off. Where the cut runs out at either end, ease the corner"
                " by hand with knife and file along the edge, then sand 120."
            )
    return Group("1  The piece", tuple(steps), cautions=(*CAUTIONS["router"], CAUTIONS["dust"][0]))


def _skim(made: SetUp) -> list[Group]:
    skim = made.skim
    if skim is None:
        return []
    each = ", then ".join(f"{exact(d)} mm" for d in skim.before)
    if made.shop.has(skim.cutter):
        tool = (
            f"{skim.cutter.called}, {skim.rpm:.0f} rpm, {skim.feed:.0f} mm/min, rows {mm(skim.row)}"
            " mm apart"
        )
    else:
        tool = (
            f"widest flat cutter you have, {BLANK} mm; rpm {BLANK}, feed {BLANK}; rows"
            f" {SKIM_STEP * 100:.0f} % of it apart"
        )
    first = (
        "first face"
        if made.stock.piece is None
        else (
            "underside first: the face you measured lies down, the screws go through the same"
            " holes. Skim the whole of it"
        )
    )
    if made.stock.piece is None:
        unclean, before = "Not clean: take another blank.", ""
    else:
        unclean = (
            "The face you measured is up again, as in the picture. Not clean: take a little more"
            " off this face and less off the other; where that is not enough, plan thinner boards."
        )
        before = "; the face you measured must be up before you go on"
    steps = [
        (
            f"{'Skim the whole' if made.stock.piece is None else 'Skim the'} {first} with the"
            f" {tool}, to {each} below its highest place."
        ),
        (
            "Turn over on the long edge, screw it down as before. Skim the second face to the same"
            f" depths. {unclean}"
        ),
    ]
    if skim.rest:
        steps.append(
            f"{exact(skim.off)} mm comes off in all: take it off the machine and let it rest a day"
            " or more, air on both faces; look for cup. Then the last skims: the first face again,"
            f" to {exact(made.thickness_rested)} mm thick, turn, the second to"
            f" {exact(made.thickness)}{before}."
        )
    steps.append(
        "Measure in four places: greatest ________, smallest ________ mm (planned"
        f" {exact(made.thickness)}); over 0.3 apart, skim again. The face that is up is the"
        f" {upper_face(made)}."
    )
    return [Group(f"2  Skim both faces{_time(made, skim.minutes)}", tuple(steps))]


def _time(made: SetUp, minutes: float) -> str:
    """Minutes at a machine that the workshop states; nothing where its feeds are not known."""
    return f" ({clock(minutes)})" if made.known else ""


def _last_depth(p: Plan) -> str:
    """Where z is set, and how deep the last pass goes."""
    if p.z_from != "top":
        return (
            f"Z 0 on the spoilboard, the top face at the greatest thickness; last z {p.last_z:g},"
            " whatever the thickness"
        )
    deep = (
        f"smallest thickness - {SKIN:g}"
        if p.hold == "skin"
        else f"greatest thickness + {OVERCUT:g}"
    )
    return f"Z 0 on the top face; last depth = {deep} = {BLANK} mm (planned {exact(p.depth)})"


def _tool(made: SetUp) -> str:
    """The cutter, and how fast it goes: by the workshop's table, or to be filled in."""
    p = made.jobs[0].plan
    length = f"cutting length {exact(p.cutting_length)} or more"
    if made.shop.has(p.cutter):
        return (
            f"{p.cutter.called}, {exact(p.cutter.true)} mm across, {length}: outside EDGE, inside"
            f" OPENING. {p.feeds.rpm:.0f} rpm, {p.feeds.feed:.0f} mm/min, finishing pass"
            f" {p.feeds.full_depth:.0f}, down {made.shop.machine.plunge:.0f}."
        )
    return (
        f"A cutter of {exact(p.cutter.diameter)} mm, measured {BLANK}, {length}: outside EDGE,"
        f" inside OPENING. By its maker's table: rpm {BLANK}, feed {BLANK}, finishing pass"
        f" {BLANK}, down {BLANK}."
    )


def _cut(made: SetUp) -> Group:
    zero = "Draw both diagonals on the face: where they cross is x 0, y 0; x along the grain."
    if made.stock.piece is not None:
        zero = "Set x 0, y 0 on the mark, x along your line."
    steps = [
        (
            f"{zero} Load cut.dxf: its lines are the finished"
            f" board{'' if len(made.jobs) == 1 else 's'}. {_last_depth(made.jobs[0].plan)}."
        ),
        _tool(made),
        (
            "Edge: down-cut spiral, the face stays clean (a compression spiral only where its first"
            " pass goes deeper than its up-cut part); openings: up-cut, it lifts the chips out."
            " Enter on a ramp of 3 degrees at most along the line, in a small opening in a helix:"
            " never straight down."
        ),
        (
            "Openings first, the edge last, anticlockwise round the edge and clockwise in"
            f" openings. Every pass leaves {LEFT:g} mm; then one finishing pass at full depth."
        ),
    ]
    for one in made.jobs:
        if one.plan.tabs:
            at = ", ".join(place(t.x, t.y) for t in one.tabs)
            steps.append(
                f"{whose(made, one)}{len(one.tabs)} tabs at x, y {at}, as in setting-out.dxf (TAB):"
                f" {one.tabs[0].long:g} mm of wood long; every pass, the finishing one too, lifts"
                f" there to {one.plan.tab_thick:g} mm above the underside, z {one.plan.tab_z:g} as"
                " planned. Should it chatter, leave a skin instead."
            )
        steps += [
            f"{whose(made, one)}Red: fibres lift. {a[0].upper()}{a[1:]}."
            for a in one.lifted.router()
        ]
    rows = [_row(made, j, c) for j in made.jobs for c in j.plan.cuts]
    head = ("cut", "held by", "passes to z, mm, as planned", "length", "time")
    return Group("3  Cut", tuple(steps), tuple(rows), head, CAUTIONS["router"][2:])


def _row(made: SetUp, job: Job, cut: Cut) -> tuple[str, ...]:
    depths = ", ".join(exact(z.z) for z in cut.passes[:-1])
    what = f"{job.number} {cut.what}" if len(made.jobs) > 1 else cut.what
    time = clock(cut.minutes) if made.known else ""
    return (
        what,
        cut.held,
        f"{depths}; finish {exact(cut.passes[-1].z)}",
        f"{cut.length / 1000:.1f} m",
        time,
    )

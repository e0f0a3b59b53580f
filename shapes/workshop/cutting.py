"""The cutting plan of one board: skims, openings, edge; passes, feeds, tabs, lengths and times.

Nothing is ever cut free unheld: small openings go wholly to chips, larger ones keep two tabs, the
board keeps its tabs or a skin.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from shapes.checks.subject import Subject
from shapes.errors import InputError, Problem
from shapes.geometry.curve import Array, flatten
from shapes.workshop.feeds import SHARE, Feeds, feeds
from shapes.workshop.fitness import notes, problems
from shapes.workshop.paths import CHORD_ERROR, around, centre_path
from shapes.workshop.plan import (
    APPROACH,
    LEFT,
    SKIM_STEP,
    SKIN,
    Cut,
    Pass,
    Plan,
    Skim,
    as_set,
    depth_of,
    top_of,
)
from shapes.workshop.shop import Cutter, Machine
from shapes.workshop.tabs import Around, length_of, tabs_in_opening, tabs_on_edge, thickness_of

DEPTH = 0.5  # of the diameter, one pass: half to be gentle, common practice
CLEARED = 60.0  # mm: openings up to this across go to chips (design)
STEP_OVER = 0.45  # of the diameter, when an area is cleared; our choice
SKIM = 1.0  # mm one skim takes off; our choice
SLIVER = 10.0  # mm: a slug narrower than this is cut to chips; our choice
REST = 5.0  # mm taken off in all, above which a blank rests a day; common practice
AFTER = 0.5  # mm of each face that is left until it has rested; our choice


def cutting_plan(
    s: Subject,
    cutter: Cutter,
    machine: Machine,
    *,
    blank: tuple[float, float, float],
    skimmer: Cutter | None = None,
    thickness: float | None = None,
    hold: str = "either",
    z_from: str = "top",
    share: float = SHARE,
    own_blank: bool = True,
    around: Around | None = None,
    where: str = "board",
) -> Plan:
    """Plan the cutting of one board from its blank (length, width, thickness as found), mm.

    ``thickness`` is as measured after skimming, else the finished one; ``hold`` is tabs, skin, or
    either (tabs where they find a place). ``own_blank`` is False where it lies on a larger piece,
    which is skimmed as a whole; ``around`` says what tabs keep clear of there. Raises InputError
    with every problem: a cutter too short, a hollow it does not reach, a blank too large or too
    small, tabs that find no place.
    """
    t = thickness if thickness is not None else s.limits.thickness
    against = problems(s, cutter, machine, blank, t, where, own_blank=own_blank)
    if against:
        raise InputError(*against)
    long = length_of(s.limits.density)
    tabs = tabs_on_edge(s.outline.edge, s.grain, s.discs, around, long) if hold != "skin" else []
    if hold == "tabs" and not tabs:
        raise InputError(
            Problem(
                where,
                "has no three stretches of edge fit for a tab: outward, along the grain, off the"
                " neck, by held waste",
                "",
                "hold it by a skin: --hold skin",
            )
        )
    hold = "tabs" if tabs else "skin"
    depth, top = depth_of(t, tabs=hold == "tabs"), top_of(z_from, t)
    speeds = feeds(cutter, machine, depth, share, LEFT)
    count = len(s.outline.openings)
    cuts = [
        _opening(s, i, f"opening {i}" if count > 1 else "opening", t, hold, cutter, speeds, top)
        for i in range(1, count + 1)
    ]
    held = f"{len(tabs)} tabs" if tabs else f"a skin of {SKIN:g} mm"
    ring = flatten(s.outline.edge, CHORD_ERROR)
    cuts.append(
        Cut("edge", held, _profile(ring, depth, cutter, speeds, edge=True, z=top), tuple(tabs))
    )
    off = blank[2] - t
    return Plan(
        cutter,
        t,
        thickness is not None,
        z_from,
        hold,
        speeds,
        skim_plan(skimmer or cutter, machine, blank, off, share) if own_blank and off > 0 else None,
        tuple(cuts),
        tuple(notes(cutter, machine, t, speeds)),
        thickness_of(s.limits.density),
    )


def _levels(depth: float, cutter: Cutter) -> list[float]:
    """Depths of equal passes, none over half the diameter."""
    count = max(1, math.ceil(depth / (DEPTH * cutter.true) - 1e-9))
    return [depth * k / count for k in range(1, count + 1)]


def _profile(
    ring: Array, depth: float, cutter: Cutter, f: Feeds, *, edge: bool, z: float
) -> tuple[Pass, ...]:
    """Roughing passes that leave LEFT, then one finishing pass at full depth.

    Where the roughing does not get in, as in a bay hardly wider than the cutter, every pass runs on
    the line: nothing is ever cut full width at full depth.
    """
    radius = cutter.true / 2
    rough, fine = (centre_path(ring, r, edge=edge) for r in (radius + LEFT, radius))
    if not _beside(fine, rough):
        return tuple(Pass(as_set(z - d), f.feed, around(fine)) for d in _levels(depth, cutter))
    passes = [Pass(as_set(z - d), f.feed, around(rough)) for d in _levels(depth, cutter)]
    return (*passes, Pass(as_set(z - depth), f.full_depth, around(fine)))


def _beside(fine: Sequence[Array], rough: Sequence[Array]) -> bool:
    """Whether the roughing runs beside the whole finishing path."""
    if not rough:
        return False
    lines = shapely.union_all([shapely.LinearRing(r) for r in rough])
    shapely.prepare(lines)
    return bool(shapely.dwithin(lines, shapely.points(np.concatenate(fine)), 3 * LEFT).all())


def _opening(
    s: Subject, loop: int, what: str, t: float, hold: str, cutter: Cutter, f: Feeds, z: float
) -> Cut:
    """Clear a small or slim opening to chips; keep two tabs in a large one, or a skin."""
    curve = s.outline.curves[loop]
    ring = flatten(curve, CHORD_ERROR)
    x0, y0, x1, y1 = shapely.bounds(shapely.Polygon(ring))
    slug = shapely.buffer(shapely.Polygon(ring), -(cutter.true + LEFT) - SLIVER / 2)
    if max(x1 - x0, y1 - y0) <= CLEARED or shapely.is_empty(slug):
        depth = depth_of(t, tabs=hold == "tabs")
        made = _profile(ring, depth, cutter, f, edge=False, z=z)
        inner, more = cutter.true / 2 + LEFT + STEP_OVER * cutter.true, 0.0
        while rings := centre_path(ring, inner, edge=False):
            more += around(rings)
            inner += STEP_OVER * cutter.true
        levels = len(_levels(depth, cutter))
        cleared = [replace(p, length=p.length + more) for p in made[:levels]]
        return Cut(what, "cleared to chips", (*cleared, *made[levels:]))
    tabs = (
        tabs_in_opening(curve, s.grain, s.discs, loop, length_of(s.limits.density))
        if hold == "tabs"
        else []
    )
    depth = depth_of(t, tabs=bool(tabs))
    held = "two tabs" if tabs else f"a skin of {SKIN:g} mm"
    return Cut(what, held, _profile(ring, depth, cutter, f, edge=False, z=z), tuple(tabs))


def skim_plan(
    cutter: Cutter, machine: Machine, blank: tuple[float, float, float], off: float, share: float
) -> Skim:
    """Take the same off both faces, ``off`` mm in all, in rows along the length of the blank."""
    each, rest = off / 2, off > REST
    rough = each - (AFTER if rest else 0.0)
    count = max(1, math.ceil(rough / SKIM - 1e-9))
    depths = tuple(as_set(rough * k / count) for k in range(1, count + 1))
    if rest:
        depths, count = (*depths, as_set(each)), count + 1
    f = feeds(cutter, machine, SKIM, share)
    rows = math.ceil((blank[1] + cutter.true) / (SKIM_STEP * cutter.true))
    length = rows * (blank[0] + cutter.true) * 2 * count
    minutes = length / f.feed + 2 * count * APPROACH
    return Skim(depths, depths, cutter, f.rpm, f.feed, length, minutes, rest)

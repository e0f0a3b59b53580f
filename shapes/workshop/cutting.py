"""The cutting plan of one board: skims, openings, edge; passes, feeds, tabs, lengths and times.

Nothing is ever cut free unheld: small openings go wholly to chips, larger ones keep two tabs, the
board keeps its tabs or a skin.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from shapes.checks.subject import Subject
from shapes.errors import InputError, Problem
from shapes.geometry.curve import Array, flatten
from shapes.units import at_least, at_most
from shapes.workshop.feeds import LEAST_CHIP, SHARE, Feeds, feeds
from shapes.workshop.paths import CHORD_ERROR, around, centre_path
from shapes.workshop.shop import Cutter, Machine
from shapes.workshop.tabs import (
    THICK,
    Around,
    Tab,
    length_of,
    tabs_in_opening,
    tabs_on_edge,
    thickness_of,
)

OVERCUT = 0.3  # mm that the last pass goes below the measured thickness (design)
LEFT = 0.4  # mm left on the edge for the finishing pass (design)
SKIN = 0.5  # mm left as a floor (design)
CUTTING_LENGTH_ALLOWANCE = (
    2.0  # mm that a cutter's cutting length is more than the thickness (design)
)
DEPTH = 0.5  # of the diameter, one pass: half to be gentle, common practice
CLEARED = 60.0  # mm: openings up to this across go to chips (design)
STEP_OVER = 0.45  # of the diameter, when an area is cleared; our choice
SKIM, SKIM_STEP = 1.0, 0.6  # mm one skim takes off; share of the diameter between rows; our choice
DEEP_FROM = 4.0  # cutters deep: from there on the table above it no longer holds; our choice
HOLD = 5.0  # mm of blank that stay beyond the cutter all round; our choice
SLIVER = 10.0  # mm: a slug narrower than this is cut to chips; our choice
APPROACH = 0.15  # minutes for each loop: coming, going down, going up; our choice
REST = 5.0  # mm taken off in all, above which a blank rests a day; common practice
AFTER = 0.5  # mm of each face that is left until it has rested; our choice
FINEST_Z = 0.05  # mm: heights are set no finer than this at a router; our choice


@dataclass(frozen=True, slots=True)
class Pass:
    """One pass round a loop: z from the datum, mm; feed, mm a minute; length cut, mm."""

    z: float
    feed: float
    length: float


@dataclass(frozen=True, slots=True)
class Cut:
    """A loop that is cut: what, how it is held, its passes and tabs."""

    what: str
    held: str
    passes: tuple[Pass, ...]
    tabs: tuple[Tab, ...] = ()

    @property
    def length(self) -> float:
        """Length cut, mm."""
        return sum(p.length for p in self.passes)

    @property
    def minutes(self) -> float:
        """Time for it, plunges apart."""
        return APPROACH + sum(p.length / p.feed for p in self.passes)


@dataclass(frozen=True, slots=True)
class Skim:
    """Skimming: depth of each pass on the first face and on the second, mm; minutes for both.

    With ``rest`` the last pass of each face waits until the wood has rested.
    """

    first: tuple[float, ...]
    second: tuple[float, ...]
    cutter: Cutter
    rpm: float
    feed: float
    length: float
    minutes: float
    rest: bool

    @property
    def before(self) -> tuple[float, ...]:
        """Passes of each face before the wood rests; all of them where it need not."""
        return self.first[:-1] if self.rest else self.first

    @property
    def row(self) -> float:
        """Distance of its rows, mm."""
        return SKIM_STEP * self.cutter.true

    @property
    def off(self) -> float:
        """What comes off in all, mm."""
        return self.first[-1] + self.second[-1]


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """The cutting plan; thickness as measured or as planned, z counted from ``z_from``."""

    cutter: Cutter
    thickness: float
    measured: bool
    z_from: str
    hold: str
    feeds: Feeds
    skim: Skim | None
    cuts: tuple[Cut, ...]
    notes: tuple[str, ...]
    tab_thick: float = THICK

    @property
    def depth(self) -> float:
        """Depth of the last pass, mm."""
        return _depth(self.thickness, tabs=self.hold == "tabs")

    @property
    def last_z(self) -> float:
        """Height of the last pass, mm from the datum of z."""
        return self.cuts[-1].passes[-1].z

    @property
    def tab_z(self) -> float:
        """Height of the tops of tabs, mm from the datum of z."""
        return _set(_z(self.z_from, self.thickness) - self.thickness + self.tab_thick)

    @property
    def cutting_length(self) -> float:
        """Least length that the cutter has to cut, mm."""
        return self.thickness + CUTTING_LENGTH_ALLOWANCE

    @property
    def length(self) -> float:
        """Length of cut of the profile passes, mm."""
        return sum(c.length for c in self.cuts)

    @property
    def minutes(self) -> float:
        """Machine time without setting up."""
        return sum(c.minutes for c in self.cuts) + (self.skim.minutes if self.skim else 0.0)

    @property
    def tabs(self) -> tuple[Tab, ...]:
        """Tabs of the openings, then those of the edge."""
        return tuple(t for c in self.cuts for t in c.tabs)


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
    problems = _problems(s, cutter, machine, blank, t, where, own_blank=own_blank)
    if problems:
        raise InputError(*problems)
    long = length_of(s.limits.density)
    tabs = tabs_on_edge(s.outline.edge, s.grain, s.discs, around, long) if hold != "skin" else []
    if hold == "either":
        hold = "tabs" if tabs else "skin"
    depth = _depth(t, tabs=hold == "tabs")
    speeds = feeds(cutter, machine, depth, share, LEFT)
    cuts = [
        _opening(
            s,
            i,
            f"opening {i}" if len(s.outline.openings) > 1 else "opening",
            t,
            hold,
            cutter,
            speeds,
            _z(z_from, t),
        )
        for i in range(1, len(s.outline.openings) + 1)
    ]
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
    held = f"{len(tabs)} tabs" if tabs else f"a skin of {SKIN:g} mm"
    edge = _profile(
        flatten(s.outline.edge, CHORD_ERROR), depth, cutter, speeds, edge=True, z=_z(z_from, t)
    )
    cuts.append(Cut("edge", held, edge, tuple(tabs)))
    found = blank[2]
    skim = (
        skim_plan(skimmer or cutter, machine, blank, found - t, share)
        if own_blank and found > t
        else None
    )
    return Plan(
        cutter,
        t,
        thickness is not None,
        z_from,
        hold,
        speeds,
        skim,
        tuple(cuts),
        tuple(_notes(cutter, machine, t, speeds)),
        thickness_of(s.limits.density),
    )


def _depth(thickness: float, *, tabs: bool) -> float:
    """Depth of the last pass: through, or down to a skin."""
    return thickness + OVERCUT if tabs else thickness - SKIN


def _z(z_from: str, thickness: float) -> float:
    """Height of the top face over the datum of z."""
    return 0.0 if z_from == "top" else thickness


def _problems(
    s: Subject,
    cutter: Cutter,
    machine: Machine,
    blank: tuple[float, float, float],
    t: float,
    where: str,
    *,
    own_blank: bool,
) -> list[Problem]:
    found = []
    if cutter.cutting_length is not None and cutter.cutting_length < t + CUTTING_LENGTH_ALLOWANCE:
        found.append(
            Problem(
                cutter.called,
                f"cuts {cutter.cutting_length:g} mm deep and the board is {t:g} mm thick",
                f"at least {t + CUTTING_LENGTH_ALLOWANCE:g} mm",
                "take a longer cutter or a thinner board",
            )
        )
    largest = s.largest_cutter
    if largest is not None and cutter.true > largest:
        found.append(
            Problem(
                where,
                f"has a hollow that a {cutter.true:g} mm cutter does not reach",
                f"up to {at_most(largest)} mm",
                "take a smaller cutter, or ease the edge with shapes repair",
            )
        )
    wood = "its blank" if own_blank else "the piece it lies on"
    long, wide = max(blank[:2]), min(blank[:2])
    if long > max(machine.length, machine.width) or wide > min(machine.length, machine.width):
        found.append(
            Problem(
                where,
                f"{wood} is {long:.0f} x {wide:.0f} mm",
                f"the table takes {machine.length:g} x {machine.width:g} mm",
            )
        )
    need = blank[2] + t + CUTTING_LENGTH_ALLOWANCE
    if need > machine.height:
        found.append(
            Problem(
                where,
                f"{wood} is {blank[2]:g} mm thick and the cutter stands out {t + CUTTING_LENGTH_ALLOWANCE:g} mm",
                f"{machine.height:g} mm under the collet, not {need:g}",
            )
        )
    if blank[2] < t:
        found.append(
            Problem(
                where,
                f"{wood} is {blank[2]:g} mm thick and the board {t:g} mm",
                f"allowed up to {blank[2]:g} mm",
            )
        )
    left = min((blank[0] - s.box[0]) / 2, (blank[1] - s.box[1]) / 2)
    room = cutter.true + LEFT + HOLD
    if own_blank and left < room - 1e-6:
        found.append(
            Problem(
                where,
                f"its blank leaves {at_most(left)} mm all round, and a {cutter.true:g} mm cutter"
                " would cut it loose",
                f"at least {at_least(room)} mm",
                "raise the brief's allowance, or take a smaller cutter",
            )
        )
    return found


def _levels(depth: float, cutter: Cutter) -> list[float]:
    """Depths of equal passes, none over half the diameter."""
    count = max(1, math.ceil(depth / (DEPTH * cutter.true) - 1e-9))
    return [depth * k / count for k in range(1, count + 1)]


def _set(z: float) -> float:
    """Height as it is set at the machine."""
    return round(round(z / FINEST_Z) * FINEST_Z, 2)


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
        return tuple(Pass(_set(z - d), f.feed, around(fine)) for d in _levels(depth, cutter))
    passes = [Pass(_set(z - d), f.feed, around(rough)) for d in _levels(depth, cutter)]
    return (*passes, Pass(_set(z - depth), f.full_depth, around(fine)))


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
        depth = _depth(t, tabs=hold == "tabs")
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
    depth = _depth(t, tabs=bool(tabs))
    held = "two tabs" if tabs else f"a skin of {SKIN:g} mm"
    return Cut(what, held, _profile(ring, depth, cutter, f, edge=False, z=z), tuple(tabs))


def skim_plan(
    cutter: Cutter, machine: Machine, blank: tuple[float, float, float], off: float, share: float
) -> Skim:
    """Take the same off both faces, ``off`` mm in all, in rows along the length of the blank."""
    each, rest = off / 2, off > REST
    rough = each - (AFTER if rest else 0.0)
    count = max(1, math.ceil(rough / SKIM - 1e-9))
    depths = tuple(_set(rough * k / count) for k in range(1, count + 1))
    if rest:
        depths, count = (*depths, _set(each)), count + 1
    f = feeds(cutter, machine, SKIM, share)
    rows = math.ceil((blank[1] + cutter.true) / (SKIM_STEP * cutter.true))
    length = rows * (blank[0] + cutter.true) * 2 * count
    minutes = length / f.feed + 2 * count * APPROACH
    return Skim(depths, depths, cutter, f.rpm, f.feed, length, minutes, rest)


def _notes(cutter: Cutter, machine: Machine, t: float, f: Feeds) -> list[str]:
    """What the maker ought to know besides."""
    found = []
    need = t + CUTTING_LENGTH_ALLOWANCE
    if cutter.cutting_length is None:
        found.append(
            f"the {cutter.called}'s cutting length is not known: it has to be {need:g} mm or more"
        )
    elif cutter.cutting_length > 2 * need:
        found.append(
            f"the {cutter.called} cuts {cutter.cutting_length:g} mm and {need:g} would do: a"
            " shorter one bends less"
        )
    if cutter.measured is None:
        found.append(
            f"the {cutter.called} is taken as {cutter.diameter:g} mm: measure a slot it cuts"
        )
    if t / cutter.true > DEEP_FROM:
        found.append(
            f"the finishing pass is {t / cutter.true:.1f} cutters deep, beyond the trade's table:"
            " listen, and go slower where it sings"
        )
    if f.real_chip < LEAST_CHIP - 1e-9:
        found.append(
            f"the finishing pass cuts chips of {f.real_chip:.3f} mm, under {LEAST_CHIP:g}: the"
            f" machine feeds no faster than {machine.feed:g} mm/min at {f.rpm:.0f} rpm; maple and"
            " cherry burn: turn the spindle slower"
        )
    return found

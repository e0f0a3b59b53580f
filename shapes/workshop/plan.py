"""The cutting plan of a board as values: skims, cuts, passes, and heights at the machine."""

from __future__ import annotations

from dataclasses import dataclass

from shapes.workshop.feeds import Feeds
from shapes.workshop.shop import Cutter
from shapes.workshop.tabs import THICK, Tab

LEFT = 0.4  # mm left on the edge for the finishing pass (design)
OVERCUT = 0.3  # mm that the last pass goes below the measured thickness (design)
SKIN = 0.5  # mm left as a floor (design)
CUTTING_LENGTH_ALLOWANCE = (
    2.0  # mm that a cutter's cutting length is more than the thickness (design)
)
SKIM_STEP = 0.6  # share of the diameter between rows of a skim; our choice
APPROACH = 0.15  # minutes for each loop: coming, going down, going up; our choice
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
        return depth_of(self.thickness, tabs=self.hold == "tabs")

    @property
    def last_z(self) -> float:
        """Height of the last pass, mm from the datum of z."""
        return self.cuts[-1].passes[-1].z

    @property
    def tab_z(self) -> float:
        """Height of the tops of tabs, mm from the datum of z."""
        return as_set(top_of(self.z_from, self.thickness) - self.thickness + self.tab_thick)

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


def depth_of(thickness: float, *, tabs: bool) -> float:
    """Depth of the last pass: through, or down to a skin."""
    return thickness + OVERCUT if tabs else thickness - SKIN


def top_of(z_from: str, thickness: float) -> float:
    """Height of the top face over the datum of z."""
    return 0.0 if z_from == "top" else thickness


def as_set(z: float) -> float:
    """Height as it is set at the machine."""
    return round(round(z / FINEST_Z) * FINEST_Z, 2)

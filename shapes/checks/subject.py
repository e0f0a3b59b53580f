"""A board under check: its outline, the limits set for it, and measures taken once when asked."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from shapes.geometry import hull, measures
from shapes.geometry.curve import Array, Curve, evaluate, flatten, pair, transform
from shapes.geometry.curve import bounds as curve_bounds
from shapes.geometry.outline import Outline
from shapes.geometry.overlap import Likeness, likeness
from shapes.geometry.row import Row
from shapes.geometry.trace import hollow_turning
from shapes.handles import is_neck
from shapes.reach.discs import Discs, discs
from shapes.reach.reach import Uncut, largest_cutter, uncut
from shapes.reach.rolling import Rolling, largest_by_rolling, rolling, uncut_by_rolling
from shapes.reach.width import Narrowest, narrowest
from shapes.timber.density import BAND
from shapes.timber.solid import Loops, Solid, solid
from shapes.timber.strength import DIVISOR, SHEAR_SHARE
from shapes.tolerances import TOLERANCES

FINE, ROUGH = (1.5, 4.5), (4.0, 12.0)  # mm between the samples of the tangent discs
AGREE = 0.02  # mm of diameter within which two ways to reach agree
HOLLOW_ALLOWANCE = (
    0.05  # a hollow is at least 5 % larger than the cutter: facts, common practice 5 to 10 %
)


@dataclass(frozen=True, slots=True)
class Limits:
    """What a board is held to; mm, kg, kg/m3; None where nothing is asked."""

    thickness: float = 20.0
    density: float = 616.0
    band: float = BAND
    length: float | None = None
    width: float | None = None
    cutter: float = 6.0
    round_over: float = 6.0
    guide_bearing: float = 12.7
    max_mass: float | None = None
    least_inside_radius: float | None = None
    neck_width: float | None = None
    bending: float | None = None  # MPa, clear wood along the grain; None where none is known
    shear: float | None = None
    load: float = 2.0  # kg of food on the board; our choice
    jerk: float = 2.0  # factor for a jerk; our choice
    divisor: float = DIVISOR
    asymmetry: bool = False
    looks: bool = False  # whether the line of somebody's own outline is judged
    generated: bool = False

    @property
    def shear_strength(self) -> float:
        """Shear strength, MPa.

        Where none is known the least share of the bending strength of the woods that have both.
        """
        if self.shear is not None:
            return self.shear
        return SHEAR_SHARE * (self.bending or 0.0)


@dataclass(frozen=True, slots=True)
class Hollow:
    """A hollow of the edge: depth and length, mm, under the bridge over it; its deepest point."""

    depth: float
    length: float
    place: tuple[float, float]


class Subject:
    """One outline with its limits; every measure is taken at most once.

    ``rough`` measures with wider samples and unpolished extremes: enough to screen by.
    """

    def __init__(
        self,
        outline: Outline,
        limits: Limits,
        *,
        handle: str | None = None,
        grips: tuple[tuple[float, float, float], ...] = (),
        row: Row | None = None,
        moved: float = 0.0,
        grain: float = 0.0,
        rough: bool = False,
        drawn: Outline | None = None,
    ) -> None:
        """Keep what is given; nothing is measured yet.

        ``drawn``: the same with all its facets. ``row``: the stretches that it was drawn from;
        ``moved``: how far their lengths had to give.
        """
        self.outline = outline
        self.limits = limits
        self.handle = handle
        self.grips = grips
        self.row = row
        self.moved = moved
        self.grain = grain
        self.rough = rough
        self.drawn = drawn or outline

    @cached_property
    def section(self) -> measures.Section:
        """Area, centroid, second moments of the wood."""
        return measures.section(self.outline.curves)

    @cached_property
    def box(self) -> tuple[float, float]:
        """Length along the grain and width across it, mm."""
        edge = self.outline.edge
        x0, y0, x1, y1 = curve_bounds(transform(edge, -self.grain) if self.grain else edge)
        return x1 - x0, y1 - y0

    @cached_property
    def discs(self) -> Discs:
        """Tangent discs at samples of the outline."""
        return discs(self.outline, *(ROUGH if self.rough else FINE))

    @cached_property
    def cornered(self) -> bool:
        """Whether a loop has a corner or is a polyline: then reach is found by rolling."""
        return any(
            (np.abs(measures.kinks(c)) > measures.KINK).any()
            or np.isfinite(measures.kink_radii(c)).any()
            for c in self.outline.curves
        )

    @cached_property
    def rolling(self) -> Rolling:
        """The outline ready for a cutter to be rolled round it."""
        return rolling(self.outline, self.discs)

    @cached_property
    def largest_cutter(self) -> float | None:
        """Diameter, mm, of the largest cutter that will do; None where 60 mm does.

        By tangent discs on a smooth edge, by rolling on one with corners. On an outline that we did
        not draw both are asked, and where they disagree the smaller counts.
        """
        if self.cornered:
            return largest_by_rolling(self.rolling)
        found = largest_cutter(self.discs)
        if self.limits.generated:
            return found
        other = largest_by_rolling(self.rolling)
        known = [d for d in (found, other) if d is not None]
        return (
            min(known)
            if known and (found is None or other is None or abs(found - other) > AGREE)
            else found
        )

    def uncut(self, cutter: float) -> tuple[Uncut, ...]:
        """Stretches that a cutter leaves, deepest first."""
        if self.cornered or not self.limits.generated:
            return uncut_by_rolling(self.rolling, cutter)
        return tuple(u for u in uncut(self.discs, cutter) if u.depth > TOLERANCES.uncut)

    @cached_property
    def narrowest(self) -> Narrowest:
        """Where the wood is narrowest."""
        return narrowest(self.discs)

    @cached_property
    def extremes(self) -> tuple[Array, Array]:
        """Places and curvatures of the curvature extremes of the edge."""
        return measures.extremes(self.outline.edge, rough=self.rough)

    @cached_property
    def radii(self) -> tuple[float, float]:
        """Least inside and outside radius over the edge and the openings, mm."""
        both = [self.edge_radii, *self.opening_radii]
        return min(b[0] for b in both), min(b[1] for b in both)

    @cached_property
    def opening_radii(self) -> list[tuple[float, float]]:
        """Least inside and outside radius of each opening, mm."""
        return [measures.least_radii(c) for c in self.drawn.openings]

    @cached_property
    def shaped_radius(self) -> float:
        """Least inside radius of the edge and of openings that are no round hole, mm."""
        shaped = [c for c in self.drawn.openings if not is_round(c)]
        holes = [measures.least_radii(c)[0] for c in shaped]
        return min([self.edge_radii[0], *holes])

    @cached_property
    def edge_radii(self) -> tuple[float, float]:
        """Least inside and outside radius of the edge alone, mm."""
        if self.drawn is not self.outline:
            return measures.least_radii(self.drawn.edge)
        return measures.radii_from(self.outline.edge, self.extremes[1])

    @cached_property
    def kinked(self) -> bool:
        """Whether the edge has a corner."""
        return bool((np.abs(measures.kinks(self.outline.edge)) > measures.KINK).any())

    @cached_property
    def fairness(self) -> tuple[float | None, float | None, float | None]:
        """Bending, variation, and variation without the grips; None where there is a corner."""
        edge = self.outline.edge
        if self.kinked:
            return None, None, None
        bending, whole = measures.fairness(edge)
        if measures.curvature_jumps(edge):
            return bending, None, None
        skip = self._grip_stretches()
        rest = measures.fairness(edge, skip)[1] if len(skip) else whole
        return bending, whole, rest

    def _grip_stretches(self) -> Array:
        """Stretches of the edge within the hand's reach of a neck's grip, as pairs of places."""
        if not is_neck(self.handle):
            return np.empty((0, 2))
        x, y, angle = self.grips[0]
        m = len(self.outline.edge)
        s = (np.arange(m)[:, None] + np.arange(4) / 4).ravel()
        p = evaluate(self.outline.edge, s)[0] - np.array([x, y])
        u = p[:, 0] * math.cos(angle) + p[:, 1] * math.sin(angle)
        far = float(np.sign(u[np.abs(u).argmax()]))
        near = u * -far >= GRIP_BACK
        edges = np.flatnonzero(near != np.roll(near, 1))
        if len(edges) != 2:
            return np.empty((0, 2))
        a, b = (int(e) for e in edges)
        start, stop = (s[a], s[b - 1]) if near[a] else (s[b], s[a - 1])
        return np.array([[start, stop]])

    @cached_property
    def turning(self) -> measures.Turning:
        """How the edge turns, hollow and in all."""
        return measures.turning(self.outline.edge)

    @cached_property
    def meant_hollow(self) -> float:
        """Turning in the hollows that its row states, ramps and all, radians."""
        return hollow_turning(self.row) if self.row else 0.0

    @property
    def necked(self) -> bool:
        """Whether hollows are where a neck or a tongue joins the body.

        Its row states a deep one.
        """
        deep = [s for s in self.row.stretches if s.turn < -NECK_TURN] if self.row else []
        return is_neck(self.handle) or len(deep) > 0

    @cached_property
    def perimeter(self) -> float:
        """Length of the edge, mm."""
        return measures.length(self.outline.edge, 1e-6 if self.rough else 1e-9)

    @cached_property
    def ring(self) -> Array:
        """The edge as a polygon within 0.05 mm."""
        return flatten(self.outline.edge, 0.05)

    @cached_property
    def hollows(self) -> list[Hollow]:
        """Every hollow of the edge under its convex hull, the deepest first."""
        if self.edge_radii[0] == math.inf:
            return []
        found = []
        for run, depth, span in hull.hollows(self.ring):
            deep = int(depth.argmax())
            found.append(Hollow(float(depth[deep]), span, pair(self.ring[run[deep]])))
        return sorted(found, key=lambda h: -h.depth)

    @cached_property
    def likeness(self) -> Likeness:
        """The board's likeness, for comparing."""
        return likeness(self.ring)

    @cached_property
    def solid(self) -> Solid:
        """The board as a solid."""
        limits = self.limits
        return solid(
            self.outline,
            limits.thickness,
            limits.round_over,
            limits.guide_bearing,
            self.narrowest.width,
            self.loops,
        )

    @cached_property
    def loops(self) -> Loops:
        """Length and least outside radius of the edge and each opening, for the solid."""
        lengths = [self.perimeter, *(measures.length(c) for c in self.outline.openings)]
        return lengths, [self.edge_radii[1], *(r[1] for r in self.opening_radii)]

    @cached_property
    def square_edged(self) -> float:
        """Mass in kg before rounding over: never less than the board's."""
        return self.section.area * self.limits.thickness * 1e-9 * self.limits.density

    @cached_property
    def mass(self) -> float:
        """Mass in kg."""
        return self.solid.volume * 1e-9 * self.limits.density


def is_round(curve: Curve) -> bool:
    """Whether a loop is a round hole to 0.01 mm: it is bored to a size, so no radius is asked."""
    p = curve.segments[:, (0, 1, 3)].reshape(-1, 2)[::3]
    away = np.hypot(*(p - (p.max(axis=0) + p.min(axis=0)) / 2).T)
    return bool(np.ptp(away) < 0.01)


def round_hole(curve: Curve) -> tuple[Array, float]:
    """Middle (2,) and radius, mm, of a loop that is round."""
    ring = flatten(curve)
    low, high = ring.min(axis=0), ring.max(axis=0)
    return (low + high) / 2, float(high[0] - low[0]) / 2


NECK_TURN = math.radians(40.0)  # a stretch that turns back further joins a neck; our choice
GRIP_BACK = -25.0  # mm: the grip's stretch starts this far behind its middle


def log(value: float) -> float:
    """Return log10, for judging what spans decades."""
    return math.log10(max(value, 1e-12))

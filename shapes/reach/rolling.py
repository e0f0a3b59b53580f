"""Reach by rolling the cutter round the wood: an offset of the outline is where its centre may go.

The second way to reach, for outlines with corners and facets, where Newton on tangents has nothing
to hold on to. Depth of wood left = distance from the edge to the nearest allowed centre, less the
radius. GEOS makes the offset; the largest cutter is polished on the curves themselves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
import shapely

from shapes.geometry.curve import Array, Ints, cyclic_runs, flatten, pair
from shapes.geometry.outline import Outline
from shapes.reach.closing import quarter_segments
from shapes.reach.discs import Discs, resting
from shapes.reach.reach import Uncut
from shapes.reach.reach import kind_of as _kind
from shapes.tolerances import TOLERANCES

CHORD_ERROR = 0.0005  # mm: chord error of the polygons
_LOOKED_AT = 60  # stretches whose deepest place is looked for between the samples
_MOST_SIDES = 50_000  # of an offset, about: beyond that its arcs are drawn with longer sides, up to
_COARSE = 0.01  # mm of chord error: a fifth of what counts as wood left
_LINES = 8  # offsets that are kept at a time
_NEAR = 1.02  # samples whose disc is hardly larger than the cutter are looked at as well


class SidedLine:
    """A line of many sides, and how far points are from it."""

    def __init__(self, shape: shapely.Geometry) -> None:
        """Sort its sides into a tree."""
        self.shape = shape
        p, part = shapely.get_coordinates(shapely.get_parts(shape), return_index=True)
        same = part[1:] == part[:-1]
        self._tree = shapely.STRtree(shapely.linestrings(np.stack([p[:-1], p[1:]], axis=1)[same]))

    def away(self, points: Array) -> Array:
        """Distance of points (n, 2) from it."""
        _, away = self._tree.query_nearest(
            shapely.points(points), return_distance=True, all_matches=False
        )
        return np.asarray(away)


@dataclass(frozen=True, slots=True, eq=False)
class Rolling:
    """An outline made ready: its discs, and the wood as a polygon within FINE."""

    discs: Discs
    wood: shapely.Polygon
    lines: dict[float, SidedLine] = field(
        default_factory=dict
    )  # by radius, those that were asked for

    def line(self, radius: float) -> SidedLine:
        """Return the line on which the centre of a cutter of this radius runs."""
        if radius not in self.lines:
            if len(self.lines) >= _LINES:
                self.lines.clear()
            self.lines[radius] = SidedLine(_centres(self.wood, radius))
        return self.lines[radius]

    def depths(self, cutter: float) -> tuple[Ints, Array]:
        """Samples that may be out of reach and the wood left there, mm; inf where none gets in."""
        d, radius = self.discs, cutter / 2
        k = np.flatnonzero(d.outer < radius * _NEAR)
        if not len(k):
            return k, np.empty(0)
        line = self.line(radius)
        depth = line.away(d.p[k]) - radius
        for loop in np.unique(d.loop[k]):
            if loop and not self._enters(int(loop), line.shape):
                depth[d.loop[k] == loop] = np.inf
        return k, np.maximum(depth, 0.0)

    def _enters(self, loop: int, edge: shapely.Geometry) -> bool:
        """Whether a centre is left anywhere in an opening."""
        opening = shapely.Polygon(self.wood.interiors[loop - 1])
        return bool(shapely.intersects(opening, edge))


def rolling(value: Outline, d: Discs) -> Rolling:
    """Make an outline ready."""
    rings = [flatten(c, CHORD_ERROR) for c in value.curves]
    wood = shapely.Polygon(rings[0], rings[1:])
    return Rolling(d, wood)


def _centres(wood: shapely.Polygon, radius: float) -> shapely.Geometry:
    """The line on which the centre of a cutter runs round the wood."""
    sides = quarter_segments(radius, CHORD_ERROR)
    arcs = _quarters(wood)
    if sides * arcs > _MOST_SIDES:
        sides = max(int(_MOST_SIDES / arcs), quarter_segments(radius, _COARSE))
    return shapely.boundary(shapely.buffer(wood, radius, quad_segs=sides))


def _quarters(wood: shapely.Polygon) -> float:
    """Quarters of a circle that the outer corners turn by in all."""
    total = 0.0
    for ring in (wood.exterior, *wood.interiors):
        way = np.diff(shapely.get_coordinates(ring), axis=0)
        ahead = np.roll(way, -1, axis=0)
        cross = way[:, 0] * ahead[:, 1] - way[:, 1] * ahead[:, 0]
        turn = np.arctan2(cross, (way * ahead).sum(axis=1))
        left = shapely.is_ccw(ring) == (ring is wood.exterior)
        total += float(np.maximum(turn if left else -turn, 0.0).sum())
    return total / (math.pi / 2)


def uncut_by_rolling(r: Rolling, cutter: float) -> tuple[Uncut, ...]:
    """Stretches where more than 0.05 mm of wood is left, deepest first.

    Of many the depth of all but the deepest ones is that of a sample: a little less than the truth.
    """
    d = r.discs
    k, depth = r.depths(cutter)
    if not len(k):
        return ()
    left = np.zeros(len(d.s))
    left[k] = depth
    found: list[tuple[float, int, int, Ints, Ints]] = []
    for loop in range(int(d.loop.max()) + 1):
        own = np.flatnonzero(d.loop == loop)
        over = left[own] > TOLERANCES.uncut
        if not over.any():
            continue
        for run in cyclic_runs(over):
            deep = int(own[run[left[own[run]].argmax()]])
            found.append((float(left[deep]), deep, loop, own, run))
    found.sort(key=lambda f: -f[0])
    made = []
    for i, (most, deep, loop, own, run) in enumerate(found):
        place = d.p[deep]
        if math.isfinite(most) and i < _LOOKED_AT:
            place, most = _deepest(r, own, deep, cutter / 2)
        made.append(Uncut(pair(place), most, loop, _kind(d, own, run, most)))
    return tuple(sorted(made, key=lambda u: -u.depth))


def _deepest(r: Rolling, own: Ints, deep: int, radius: float) -> tuple[Array, float]:
    """Look between the deepest sample and its neighbours."""
    d = r.discs
    line = r.line(radius)
    i = int(np.searchsorted(own, deep))
    before, after = d.s[own[i - 1]], d.s[own[(i + 1) % len(own)]]
    count = int(d.chain.count[d.loop[deep]])
    low, high = d.s[deep] - (d.s[deep] - before) % count, d.s[deep] + (after - d.s[deep]) % count
    for _ in range(2):
        places = np.linspace(low, high, 17)
        p = d.chain.at(d.chain.wrap(places, np.full(17, d.loop[deep])))[0]
        depth = line.away(p) - radius
        best = int(depth.argmax())
        low, high = places[max(best - 1, 0)], places[min(best + 1, 16)]
    return p[best], float(max(depth[best], 0.0))


def largest_by_rolling(r: Rolling) -> float | None:
    """Diameter, mm, of the largest cutter that leaves at most 0.05 mm; None where 60 mm does.

    Bracketed to 0.01 mm by offsets, then polished on the curves: error below 0.02 mm.
    """
    high = TOLERANCES.cutter_limit
    f_high, deepest = _excess(r, high)
    if f_high <= 0:
        return None
    low, f_low = 0.0, -TOLERANCES.uncut
    for turn in range(40):
        share = f_low / (f_low - f_high)
        share = 0.5 if turn % 3 == 2 else min(max(share, 0.02), 0.98)
        middle = low + share * (high - low)
        f, at = _excess(r, middle)
        if f > 0:
            high, f_high, deepest = middle, f, at
        else:
            low, f_low = middle, f
        if high - low < _BRACKET or abs(f) < _SURE:
            break
    rough = middle if abs(f) < _SURE else (low + high) / 2
    return _polished(r, rough, deepest)


_BRACKET, _SURE = 0.01, 2e-4  # mm of diameter; mm of depth: below the error of the offsets


def _excess(r: Rolling, diameter: float) -> tuple[float, int]:
    k, depth = r.depths(diameter)
    if not len(k):
        return -TOLERANCES.uncut, 0
    worst = int(depth.argmax())
    return min(float(depth[worst]) - TOLERANCES.uncut, 1.0), int(k[worst])


def _polished(r: Rolling, rough: float, deepest: int) -> float:
    """Solve depth = 0.05 mm for the disc that seals the deepest place, on the curves themselves."""
    d = r.discs
    p = d.p[deepest]
    radius = rough / 2
    line = shapely.shortest_line(r.line(radius).shape, shapely.Point(p))
    centre = np.asarray(shapely.get_coordinates(line)[0])
    sides = _contacts(d, centre, radius)
    if sides is None:
        return rough
    i, j = sides

    def excess(value: float, c: Array) -> tuple[float, Array, bool]:
        s, t = d.s[[i]], d.s[[j]]
        _, _, at, miss = resting(d, s, t, (d.loop[[i]], d.loop[[j]]), c[None], value)
        return float(np.hypot(*(p - at[0]))) - value - TOLERANCES.uncut, at[0], miss[0] < 1e-8

    a, (fa, ca, good) = radius, excess(radius, centre)
    b = radius * 1.001
    fb, cb, also = excess(b, ca)
    for _ in range(12):
        if not (good and also) or fb == fa:
            return rough
        following = b - fb * (b - a) / (fb - fa)
        a, fa = b, fb
        b = following
        fb, cb, good = excess(b, cb)
        if abs(b - a) < 1e-7:
            break
    return 2 * b if good and abs(2 * b - rough) < _TRUST * max(1.0, rough / 10) else rough


_TRUST = 0.15  # mm of diameter by which polishing may move what the offsets found


def _contacts(d: Discs, centre: Array, radius: float) -> tuple[int, int] | None:
    """The two samples that a disc rests on: nearest, and nearest of those well away from it."""
    e = d.p - centre
    away = np.hypot(e[:, 0], e[:, 1])
    i = int(away.argmin())
    direction = e / np.maximum(away, 1e-9)[:, None]
    apart = direction @ direction[i]
    gap = np.abs(d.s - d.s[i])
    count = d.chain.count[d.loop[i]]
    along = np.where(d.loop == d.loop[i], np.minimum(gap, count - gap), np.inf)
    # Away by angle, and not merely the next sample on the same side.
    other = np.where((apart < math.cos(0.02)) & (along > 1e-9), away, np.inf)
    local = (other <= np.roll(other, 1)) & (other <= np.roll(other, -1))
    j = int(np.where(local, other, np.inf).argmin())
    if not np.isfinite(other[j]) or away[j] > radius * 1.2 + 1.0:
        return None
    return i, j

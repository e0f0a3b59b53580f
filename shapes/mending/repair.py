"""The smallest change that lets a cutter of a given radius run round an outline.

What is wanted is made as a polygon first: crossings resolved, openings too small filled or opened,
hollows closed by a disc, thin wood thickened. Then each loop is put together again from the
stretches of its own curve that still lie on that polygon, split exactly, and from smooth new
stretches where they do not.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
import shapely

from shapes.errors import OutlineError
from shapes.geometry.curve import Array, Curve, Ints, cyclic_runs, evaluate, pair, reverse
from shapes.geometry.measures import KINK, kinks
from shapes.geometry.outline import Outline, outline, shoelace
from shapes.mending.crossings import CannotRepairError
from shapes.mending.loops import Loops
from shapes.mending.stretch import CHORD_ERROR, between, fine_ring, nearest, smooth, through_path
from shapes.reach.closing import quarter_segments
from shapes.reach.discs import discs

ON_CURVE = 0.003  # mm: a vertex this near to a curve lies on it
_RUN_OUT = 1.0  # of the radius: how far a new stretch runs out along the old curve at each end
_WIDTH = 0.8  # of the radius: over how much of it the heading is averaged
_KNOTS = 0.25  # of the radius between the knots of a new stretch


@dataclass(frozen=True, slots=True)
class RepairLimits:
    """What a repair is to make possible; mm."""

    cutter: float  # radius that inside corners of the edge and of openings are eased to
    bearing: float = 0.0  # the same for the edge and openings wide enough for the guide bearing
    bearing_room: float = math.inf  # openings narrower than this need no bearing
    narrow: float = 0.0  # least width of the wood; 0 leaves it as it is


@dataclass(slots=True)
class Repaired:
    """A mended outline, and what was done to it."""

    outline: Outline
    moved: float = 0.0  # mm, how far the edge moved at most
    gained: float = 0.0  # mm2 of wood more
    lost: float = 0.0  # mm2 of wood less
    notes: list[str] = field(default_factory=list)
    stretches: list[Array] = field(default_factory=list)  # the new stretches, as polylines


def repaired(value: Loops, wanted: RepairLimits, slack: float = 1.02) -> Repaired:
    """Mend a board whose loops cross nowhere. Raises CannotRepairError with the reason.

    ``slack`` enlarges the radii that are aimed at, for another try.
    """
    notes: list[str] = []
    edge, holes = value.edge, list(value.openings)
    if shoelace(fine_ring(edge)[1]) < 0:
        edge = reverse(edge)
    holes = [c if shoelace(fine_ring(c)[1]) < 0 else reverse(c) for c in holes]
    before = shapely.Polygon(fine_ring(edge)[1])
    radius = max(wanted.cutter, wanted.bearing) * slack
    thick = _thickened(edge, holes, wanted.narrow, notes) if wanted.narrow else shapely.Polygon()
    target = shapely.union(before, thick) if not thick.is_empty else before
    target = _largest(_closed(target, radius))
    made: list[Array] = []
    new_edge = _rebuilt(edge, _way(target, 1.0), radius, made)
    moved = _apart(edge, new_edge)
    openings: list[Curve] = []
    for hole in holes:
        ring = shapely.Polygon(fine_ring(hole)[1])
        own = (
            max(wanted.cutter, wanted.bearing if _width(ring) >= wanted.bearing_room else 0.0)
            * slack
        )
        kept = shapely.difference(ring, thick) if not thick.is_empty else ring
        for part in _opened(kept, own, notes):
            openings.append(_rebuilt(hole, _way(part, -1.0), own, made))
            moved = max(moved, _apart(hole, openings[-1]))
    try:
        result = outline(new_edge, openings)
    except OutlineError as error:
        raise CannotRepairError(f"easing it makes {error.what} at {_at(error.place)}") from None
    return _accounted(value, result, moved, notes, made)


def _way(polygon: shapely.Polygon, sign: float) -> Array:
    """Vertices of the outer ring of a polygon, anticlockwise for +1."""
    ring = np.asarray(polygon.exterior.coords)[:-1]
    return ring if shoelace(ring) * sign > 0 else ring[::-1]


def _at(place: tuple[float, float] | None) -> str:
    return f"({place[0]:.1f}, {place[1]:.1f}) mm" if place else "some place"


def _disc(polygon: shapely.Geometry, by: float) -> shapely.Geometry:
    return shapely.buffer(polygon, by, quad_segs=quarter_segments(abs(by), CHORD_ERROR))


def _closed(polygon: shapely.Geometry, radius: float) -> shapely.Geometry:
    return _disc(_disc(polygon, radius), -radius)


def _largest(value: shapely.Geometry) -> shapely.Polygon:
    parts = [p for p in shapely.get_parts(value) if isinstance(p, shapely.Polygon)]
    return max(parts, key=lambda p: p.area)


def _width(ring: shapely.Polygon) -> float:
    """Shorter side of the upright box, as the round-over check takes it."""
    x0, y0, x1, y1 = ring.bounds
    return float(min(x1 - x0, y1 - y0))


def _opened(ring: shapely.Polygon, radius: float, notes: list[str]) -> list[shapely.Polygon]:
    """What is left of an opening, or made of it, so that a disc runs all round it within."""
    found = [
        p
        for p in shapely.get_parts(_disc(_disc(ring, -radius), radius))
        if isinstance(p, shapely.Polygon) and p.area > math.pi * radius * radius * 0.9
    ]
    if found:
        if len(found) > 1:
            notes.append(f"an opening is parted in {len(found)}: the cutter does not pass between")
        return found
    # Too small: open it as far as the disc asks for, or fill it, whichever changes less.
    centre = shapely.maximum_inscribed_circle(ring, tolerance=0.01)
    inner = shapely.length(centre)
    wider = _disc(ring, max(radius - inner, 0.0) + 0.05)
    wider = _disc(_disc(wider, -radius), radius)
    at = _at(pair(np.asarray(shapely.get_coordinates(centre)[0])))
    if wider.is_empty or wider.area - ring.area >= ring.area:
        notes.append(
            f"an opening of {ring.area:.1f} mm2 at {at} is filled: the cutter does not get in"
        )
        return []
    notes.append(f"an opening at {at} is widened to let the cutter in")
    return [_largest(wider)]


def _thickened(edge: Curve, holes: list[Curve], width: float, notes: list[str]) -> shapely.Geometry:
    """Wood to be added where there is less than ``width`` between two sides.

    Discs along its middle.
    """
    try:
        d = discs(outline(edge, holes))
    except OutlineError as error:
        raise CannotRepairError(f"it cannot be thickened: {error}") from None
    facing = (d.cosine <= math.cos(math.radians(150.0))) & (d.inner > 0) & np.isfinite(d.inner)
    thin = facing & (2 * d.inner < width)
    added = []
    for loop in range(int(d.loop.max()) + 1):
        own = np.flatnonzero(d.loop == loop)
        for run in cyclic_runs(thin[own]) if thin[own].any() else []:
            k = own[run]
            centres = d.p[k] + d.inner[k][:, None] * d.n[k]
            line = shapely.LineString(centres) if len(k) > 1 else shapely.Point(centres[0])
            added.append(_disc(line, width / 2 * 1.01))
    if added:
        least = 2 * float(d.inner[thin].min())
        notes.append(f"wood only {least:.1f} mm wide is thickened to {width:g} mm")
    return shapely.union_all(added) if added else shapely.Polygon()


def _rebuilt(curve: Curve, ring: Array, radius: float, made: list[Array]) -> Curve:
    """Put a loop together.

    Its own stretches where ``ring`` lies on it, smooth new ones elsewhere.
    """
    s, p = fine_ring(curve)
    line = shapely.LinearRing(p)
    shapely.prepare(line)
    off = shapely.distance(line, shapely.points(ring))
    fresh = off > ON_CURVE
    if not fresh.any():
        return curve
    if fresh.all():
        path = smooth(ring, radius * _WIDTH, closed=True)
        made.append(np.concatenate([path, path[:1]]))
        return Curve(through_path(path, radius * _KNOTS))
    runs = cyclic_runs(fresh)
    # Where a new stretch leaves the old curve and where it is back on it.
    before = np.array([(r[0] - 1) % len(ring) for r in runs])
    after = np.array([(r[-1] + 1) % len(ring) for r in runs])
    m = len(curve)
    leave = nearest(curve, s, p, ring[before])
    back = nearest(curve, s, p, ring[after])
    joined = _merged(curve, ring, runs, leave, back, radius)
    chain: list[Array] = []
    for i, (path, low, high) in enumerate(joined):
        following = joined[(i + 1) % len(joined)][1]
        begin, end = evaluate(curve, np.array([low, high]) % m)[0]
        path = np.concatenate([begin[None], path, end[None]])
        soft = smooth(path, radius * _WIDTH)
        tangents = _tangents(curve, low, high, soft)
        new = through_path(soft, radius * _KNOTS, *tangents)
        new[0, 0], new[-1, 3] = begin, end
        made.append(soft)
        chain += [new, between(curve, high, following)]
    return Curve(_sealed(np.concatenate(chain)))


def _sealed(chain: Array) -> Array:
    """Let each segment end exactly where the next begins."""
    chain = chain.copy()
    chain[:, 3] = np.roll(chain[:, 0], -1, axis=0)
    return chain


def _tangents(curve: Curve, low: float, high: float, soft: Array) -> tuple[Array, Array]:
    """Unit tangents at the ends of a new stretch: the old curve's, or at a corner its own."""
    m = len(curve)
    jump = kinks(curve)

    def unit(v: Array) -> Array:
        return np.asarray(v / max(float(np.hypot(v[0], v[1])), 1e-12))

    def corner(s: float) -> bool:
        i = round(s)
        return abs(s - i) < 1e-9 and abs(float(jump[i % m])) > KINK

    first = (
        unit(soft[1] - soft[0])
        if corner(low)
        else unit(evaluate(curve, np.array((low - 1e-9) % m), 1)[1])
    )
    last = (
        unit(soft[-1] - soft[-2])
        if corner(high)
        else unit(evaluate(curve, np.array((high + 1e-9) % m), 1)[1])
    )
    return first, last


def _merged(
    curve: Curve, ring: Array, runs: list[Ints], leave: Array, back: Array, radius: float
) -> list[tuple[Array, float, float]]:
    """New stretches with what they run out over of the old curve: path, first and last place.

    Stretches with too little of the old curve between them are made one.
    """
    m, count = len(curve), len(runs)
    kept = [_length(curve, back[i], leave[(i + 1) % count]) for i in range(count)]
    together = [k < 2 * _LEAST_KEPT * radius for k in kept]  # with the one after it
    if all(together):
        together[int(np.argmax(kept))] = False
    groups: list[list[int]] = []
    begin = next(i for i in range(count) if not together[i - 1])
    for k in range(count):
        i = (begin + k) % count
        if together[i - 1] and groups:
            groups[-1].append(i)
        else:
            groups.append([i])
    found = []
    for group in groups:
        first, last = group[0], group[-1]
        room_before, room_after = kept[(first - 1) % count], kept[last]
        if count == 1 or len(groups) == 1:
            room_before = room_after = kept[last]
        low = _run_out(curve, leave[first], -min(_RUN_OUT * radius, room_before * 0.45))
        high = _run_out(curve, back[last], min(_RUN_OUT * radius, room_after * 0.45))
        path = [_dense(curve, low, leave[first])]
        for j, i in enumerate(group):
            path.append(ring[runs[i]])
            stop = leave[group[j + 1]] if j + 1 < len(group) else high
            path.append(_dense(curve, back[i], stop))
        found.append((np.concatenate(path), low % m, high % m))
    return found


_LEAST_KEPT = (
    0.5  # of the radius: less of the old curve than this between new stretches is not kept
)


def _length(curve: Curve, start: float, stop: float) -> float:
    p = evaluate(curve, _steps(curve, start, stop, 24))[0]
    return float(np.hypot(*np.diff(p, axis=0).T).sum())


def _steps(curve: Curve, start: float, stop: float, each: int) -> Array:
    m = len(curve)
    span = (stop - start) % m
    return np.mod(np.linspace(start, start + span, max(2, int(each * max(span, 0.2)) + 2)), m)


def _dense(curve: Curve, start: float, stop: float) -> Array:
    """Points strictly between two places of the old curve."""
    p = evaluate(curve, _steps(curve, start, stop, 60))[0]
    return np.asarray(p[1:-1])


def _run_out(curve: Curve, s: float, by: float) -> float:
    """Place ``by`` mm further along the curve (back where negative), not past a corner."""
    m = len(curve)
    sign = 1.0 if by > 0 else -1.0
    jump = kinks(curve)
    left, at = abs(by), float(s)
    for _ in range(10_000):
        edge = math.floor(at + 1e-9) + 1.0 if sign > 0 else math.ceil(at - 1e-9) - 1.0
        p = evaluate(curve, np.mod(np.linspace(at, edge, 33), m))[0]
        if abs(edge - round(edge)) < 1e-12:
            # The end of a segment belongs to it, not to the next.
            i = int(edge - 1) % m if sign > 0 else int(edge) % m
            p[-1] = curve.segments[i, 3 if sign > 0 else 0]
        run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(p, axis=0).T))])
        if run[-1] >= left:
            return float(at + (edge - at) * np.interp(left, run, np.linspace(0, 1, 33)))
        left -= float(run[-1])
        at = edge
        if abs(float(jump[round(edge) % m])) > KINK:
            return at
    return at


def _accounted(
    value: Loops, result: Outline, moved: float, notes: list[str], made: list[Array]
) -> Repaired:
    """Say how much wood came and went."""

    def wood(curves: tuple[Curve, ...]) -> shapely.Geometry:
        whole = shapely.make_valid(shapely.Polygon(fine_ring(curves[0])[1]))
        for c in curves[1:]:
            whole = shapely.difference(whole, shapely.make_valid(shapely.Polygon(fine_ring(c)[1])))
        return whole

    old, new = wood((value.edge, *value.openings)), wood(result.curves)
    gained = float(shapely.area(shapely.difference(new, old)))
    lost = float(shapely.area(shapely.difference(old, new)))
    return Repaired(result, moved, gained, lost, notes, made)


def _apart(one: Curve, other: Curve) -> float:
    """Greatest distance of either curve from the other, mm."""
    if one is other:
        return 0.0
    p, q = fine_ring(one)[1], fine_ring(other)[1]

    def furthest(points: Array, line: Array) -> float:
        ring = shapely.LinearRing(line)
        shapely.prepare(ring)
        return float(shapely.distance(ring, shapely.points(points)).max())

    return max(furthest(p, q), furthest(q, p))

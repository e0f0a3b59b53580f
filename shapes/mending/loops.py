"""Loose pieces of a drawing joined to closed loops, and loops sorted into edges and openings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from scipy.spatial import cKDTree

from shapes.errors import OutlineError
from shapes.geometry.curve import Array, Curve, bounds, flatten, pair
from shapes.geometry.outline import shoelace
from shapes.mending.pieces import lines_between
from shapes.tolerances import TOLERANCES


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """An open or closed run of cubics, ``segments`` (k, 4, 2) in mm, as a drawing holds it."""

    segments: Array
    closed: bool = False  # closed by its own word, whatever its ends say


@dataclass(slots=True)
class Joined:
    """Closed loops, and what was done or left on the way to them."""

    loops: list[Curve] = field(default_factory=list)
    empty: int = 0  # pieces of no length
    doubles: int = 0  # pieces and loops drawn twice
    gaps: list[float] = field(default_factory=list)  # mm, gaps that were closed
    open_ends: list[tuple[tuple[float, float], float]] = field(default_factory=list)
    # of lines left open: an end, and the distance to the nearest other end


@dataclass(frozen=True, slots=True, eq=False)
class Loops:
    """One board as drawn: its edge and its openings, not yet held to any convention."""

    edge: Curve
    openings: tuple[Curve, ...] = ()


MEET = 200  # ends of lines at one place; an outline has two
SILENT = 0.01  # mm: gaps up to this are rounding in the drawing and are closed without a word


def join(pieces: Iterable[Piece], gap: float) -> Joined:
    """Join pieces whose ends lie within ``gap`` mm to loops.

    Each end is given to its nearest free neighbour, of equals to the one that runs straightest on.
    Ends that meet are moved to the middle between them, their handles with them. Pieces of no
    length and pieces drawn twice are dropped. Raises OutlineError where a coordinate is not a
    number.
    """
    result = Joined()
    loose: list[Array] = []
    for piece in pieces:
        b = _moving(piece.segments)
        if not len(b):
            result.empty += 1
            continue
        ends = float(np.hypot(*(b[-1, 3] - b[0, 0])))
        span = float(np.ptp(b.reshape(-1, 2), axis=0).max())
        if ends <= TOLERANCES.closed and span > 0:
            result.loops.append(_closed(b))
        elif piece.closed:
            result.loops.append(_closed(np.concatenate([b, lines_between(b[-1:, 3], b[:1, 0])])))
        else:
            loose.append(b)
    loose = _without_doubles(loose, result)
    if loose:
        _chain(loose, gap, result)
    result.loops = _different(result)
    return result


def _moving(segments: Array) -> Array:
    """Leave out segments of no length. Raises OutlineError where a number is none."""
    if not np.isfinite(segments).all() or np.abs(segments).max(initial=0.0) > 1e6:
        raise OutlineError("a coordinate is not a number below 1 000 000 mm")
    legs = np.abs(segments[:, 1:] - segments[:, :1]).max(axis=(1, 2))
    return _regular(segments[legs > 1e-9])


_NUDGE = 1e-6  # of the way to the next handle: moves the curve by less than half of that


def _regular(b: Array) -> Array:
    """Give cubics that stand still at an end a direction there.

    A straight one is travelled evenly.
    """
    b = b.copy()
    first = np.abs(b[:, 1] - b[:, 0]).max(axis=1) < 1e-9
    last = np.abs(b[:, 3] - b[:, 2]).max(axis=1) < 1e-9
    both = first & last
    b[both] = lines_between(b[both, 0], b[both, 3])
    i, j = first & ~both, last & ~both
    b[i, 1] += _NUDGE * (b[i, 2] - b[i, 0])
    b[j, 2] += _NUDGE * (b[j, 1] - b[j, 3])
    return b


def _closed(b: Array) -> Curve:
    b = b.copy()
    b[-1, 2] += b[0, 0] - b[-1, 3]
    b[-1, 3] = b[0, 0]
    following = b[1:, 0].copy()
    b[:-1, 3] = following
    return Curve(b)


def _without_doubles(loose: list[Array], result: Joined) -> list[Array]:
    """Drop pieces drawn twice, in either direction."""
    seen, kept = set(), []
    for b in loose:
        a, z, middle = b[0, 0], b[-1, 3], b.reshape(-1, 2).mean(axis=0)
        ends = sorted([tuple(np.round(a, 4)), tuple(np.round(z, 4))])
        key = (*ends, tuple(np.round(middle, 3)))
        if key in seen:
            result.doubles += 1
            continue
        seen.add(key)
        kept.append(b)
    return kept


def _chain(loose: list[Array], gap: float, result: Joined) -> None:
    """Match ends, then follow the chains."""
    ends = np.array([p for b in loose for p in (b[0, 0], b[-1, 3])])
    out = np.array([d for b in loose for d in (_leaves(b), -_leaves(b[::-1, ::-1]))])
    out[1::2] *= -1  # directions in which one leaves the piece backwards at both its ends
    tree = cKDTree(ends)
    near = tree.query_ball_point(ends, max(gap, TOLERANCES.closed), return_length=True)
    if near.max() > MEET:
        raise OutlineError(f"{near.max()} lines end", pair(ends[int(near.argmax())]))
    pairs = tree.query_pairs(max(gap, TOLERANCES.closed), output_type="ndarray")
    size = np.array([np.ptp(b.reshape(-1, 2), axis=0).max() for b in loose])
    own = pairs[:, 0] // 2 == pairs[:, 1] // 2
    pairs = pairs[~own | (size[pairs[:, 0] // 2] > 2 * gap)]
    apart = np.hypot(*(ends[pairs[:, 0]] - ends[pairs[:, 1]]).T)
    bend = (out[pairs[:, 0]] * out[pairs[:, 1]]).sum(axis=1)  # -1 where the line runs straight on
    mate = np.full(len(ends), -1)
    for k in np.lexsort((bend, np.round(apart, 6))):
        i, j = pairs[k]
        if mate[i] < 0 and mate[j] < 0:
            mate[i], mate[j] = j, i
    done = np.zeros(len(loose), dtype=bool)
    # Open chains first, from their free ends; what is left then goes round.
    for start in [*np.flatnonzero(mate < 0).tolist(), *range(0, len(ends), 2)]:
        if done[start // 2]:
            continue
        chain, end = [], start
        while end >= 0 and not done[end // 2]:
            b = loose[end // 2]
            chain.append(b if end % 2 == 0 else b[::-1, ::-1])
            done[end // 2] = True
            far = end ^ 1
            end = int(mate[far])
        if mate[start] < 0:
            distance = tree.query(ends[far], k=min(2, len(ends)))[0]
            nearest = float(np.atleast_1d(distance)[-1])
            round_trip = float(np.hypot(*(ends[far] - ends[start])))
            result.open_ends.append((pair(ends[far]), min(nearest, round_trip)))
            continue
        result.loops.append(_meet(chain, result))


def _leaves(b: Array) -> Array:
    """Unit direction in which a run of cubics leaves its first point."""
    for k in (1, 2, 3):
        d = b[0, k] - b[0, 0]
        size = float(np.hypot(d[0], d[1]))
        if size > 1e-9:
            return np.asarray(d / size)
    return np.zeros(2)


def _meet(chain: list[Array], result: Joined) -> Curve:
    """Bring the ends of a round of pieces together, handles moved along."""
    parts = [b.copy() for b in chain]
    for i, after in enumerate(parts):
        before = parts[i - 1]
        off = after[0, 0] - before[-1, 3]
        size = float(np.hypot(off[0], off[1]))
        if size > SILENT:
            result.gaps.append(size)
        before[-1, 2:] += off / 2
        after[0, :2] -= off / 2
        before[-1, 3] = after[0, 0]
    return Curve(np.concatenate(parts))


def _different(result: Joined) -> list[Curve]:
    """Drop loops drawn twice: same box, same area, same middle."""
    seen, kept = set(), []
    for c in result.loops:
        ring = flatten(c, 0.05)
        middle = c.segments[:, (0, 1, 2)].reshape(-1, 2)
        key = (
            *np.round(bounds(c), 2).tolist(),
            round(abs(shoelace(ring)), 0),
            *np.round((middle.min(axis=0) + middle.max(axis=0)) / 2, 1).tolist(),
        )
        if key in seen:
            result.doubles += 1
            continue
        seen.add(key)
        kept.append(c)
    return kept


def nest(loops: Sequence[Curve]) -> tuple[list[Loops], list[Curve]]:
    """Sort loops into boards, and loops that enclose nothing.

    A loop in an even number of others is an edge, one in an odd number an opening of the edge
    next outside it; an island in an opening is a board of its own. The largest board comes first.
    """
    rings = [flatten(c, TOLERANCES.flatten) for c in loops]
    areas = np.array([abs(shoelace(r)) for r in rings])
    for i in np.flatnonzero(areas <= NOTHING):  # lobes of a crossing may cancel each other
        areas[i] = (
            shapely.area(shapely.make_valid(shapely.Polygon(rings[int(i)])))
            if len(rings[int(i)]) > 2
            else 0.0
        )
    empty = [loops[int(i)] for i in np.flatnonzero(areas <= NOTHING)]
    order = [int(i) for i in np.argsort(-areas, kind="stable") if areas[i] > NOTHING]
    polygons = [shapely.Polygon(rings[i]) for i in order]
    within: list[list[int]] = [[] for _ in order]
    if polygons:
        firsts = shapely.points([rings[i][0] for i in order])
        tree = shapely.STRtree(polygons)
        for point, polygon in tree.query(firsts).T.tolist():
            if polygon < point and _inside(rings[order[polygon]], rings[order[point]]):
                within[point].append(polygon)
    boards: dict[int, list[Curve]] = {}
    for k, outer in enumerate(within):
        if len(outer) % 2 == 0:
            boards[k] = []
        else:
            boards[max(outer)].append(loops[order[k]])  # the smallest loop round it
    return [Loops(loops[order[k]], tuple(holes)) for k, holes in boards.items()], empty


NOTHING = 1e-3  # mm2: loops that enclose less enclose nothing


def _inside(outer: Array, inner: Array) -> bool:
    """Whether most of a loop lies within another (even-odd), by up to 9 of its points."""
    some = inner[:: max(1, len(inner) // 9)]
    a, b = outer, np.roll(outer, -1, axis=0)
    x, y = some[:, :1], some[:, 1:]
    straddles = (a[:, 1] > y) != (b[:, 1] > y)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        at = a[:, 0] + (y - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0])
    odd = (straddles & (x < at)).sum(axis=1) % 2 == 1
    return bool(odd.mean() > 0.5)

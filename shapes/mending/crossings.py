"""Loops that cross themselves or each other, brought to boards that do not.

What is wood is settled on polygons: edges together, openings taken away. Each ring of that is then
followed along the curves it came from, split exactly where they cross.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from shapes.geometry.curve import Array, Curve, Ints, cross, evaluate, pair, reverse
from shapes.geometry.outline import shoelace
from shapes.mending.loops import Loops, nest
from shapes.mending.stretch import between, fine_ring

LOBE = 0.1  # of the largest part: a lobe beyond a crossing up to this is a slip and goes
_SLIVER = 0.01  # mm2: what is smaller is rounding
_NEAR = 0.05  # mm by which ends that ought to meet may miss each other


class CannotRepairError(ValueError):
    """What cannot be repaired; its text is the reason."""


def crossing(boards: Sequence[Loops]) -> tuple[float, float] | None:
    """A place where two loops of a drawing cross or touch each other; None where none do."""
    lines = [shapely.LinearRing(fine_ring(c)[1]) for b in boards for c in (b.edge, *b.openings)]
    tree = shapely.STRtree(lines)
    for i, j in tree.query(lines, predicate="intersects").T.tolist():
        if i < j:
            shared = shapely.get_coordinates(shapely.intersection(lines[i], lines[j]))
            return pair(shared[0]) if len(shared) else pair(shapely.get_coordinates(lines[i])[0])
    return None


def resolved(boards: Sequence[Loops]) -> tuple[list[Loops], list[str]]:
    """Boards whose loops neither cross themselves nor each other, and what was done.

    The same boards where nothing crosses. Raises CannotRepairError where it is not clear what is
    meant.
    """
    notes: list[str] = []
    edges = [_turned(b.edge, 1.0) for b in boards]
    holes = [_turned(c, -1.0) for b in boards for c in b.openings]
    sound = all(shapely.Polygon(fine_ring(c)[1]).is_valid for c in edges + holes)
    if sound and crossing(boards) is None:
        return list(boards), notes
    wood = shapely.union_all([_region(c, "the edge", notes) for c in edges])
    if holes:
        wood = shapely.difference(
            wood, shapely.union_all([_region(c, "an opening", notes) for c in holes])
        )
    parts = [
        p for p in shapely.get_parts(wood) if isinstance(p, shapely.Polygon) and p.area > _SLIVER
    ]
    if not parts:
        raise CannotRepairError("it encloses nothing")
    if len(parts) != len(boards):
        notes.append(f"outlines that crossed are joined: {len(boards)} became {len(parts)}")
    elif sound:
        notes.append("loops that crossed are parted")
    source = _Source([*edges, *holes])
    loops: list[Curve] = []
    for part in parts:
        for ring, sign in ((part.exterior, 1.0), *((r, -1.0) for r in part.interiors)):
            if abs(shapely.Polygon(ring).area) <= _SLIVER:
                continue
            vertices = np.asarray(ring.coords)[:-1]
            if shoelace(vertices) * sign < 0:
                vertices = vertices[::-1]
            loops.append(source.along(vertices))
    return nest(loops)[0], notes


def _turned(curve: Curve, sign: float) -> Curve:
    return curve if shoelace(fine_ring(curve)[1]) * sign > 0 else reverse(curve)


def _region(curve: Curve, what: str, notes: list[str]) -> shapely.Geometry:
    """What a loop encloses, its slips beyond crossings taken off."""
    polygon = shapely.Polygon(fine_ring(curve)[1])
    if polygon.is_valid:
        return polygon
    whole = shapely.make_valid(polygon, method="structure", keep_collapsed=False)
    parts = sorted(
        (p for p in shapely.get_parts(whole) if isinstance(p, shapely.Polygon)),
        key=lambda p: -p.area,
    )
    if not parts or parts[0].area <= _SLIVER:
        raise CannotRepairError(f"{what} encloses nothing")
    if len(parts) > 1 and parts[1].area > LOBE * parts[0].area:
        raise CannotRepairError(
            f"{what} crosses itself and parts the board in pieces of {parts[0].area / 100:.1f} and"
            f" {parts[1].area / 100:.1f} cm2: which is meant? Mend it where it was drawn"
        )
    gone = sum(p.area for p in parts[1:])
    notes.append(
        f"{what} crossed itself"
        + (f"; {gone:.1f} mm2 beyond the crossing went" if gone > 0.05 else "")
    )
    return parts[0]


class _Source:
    """The curves that rings are followed along."""

    def __init__(self, curves: Sequence[Curve]) -> None:
        """Lay out every side of their polygons."""
        self.curves = curves
        rings = [fine_ring(c) for c in curves]
        self.owner = np.repeat(np.arange(len(curves)), [len(s) for s, _ in rings])
        self.start = np.concatenate([s for s, _ in rings])
        self.index = np.concatenate([np.arange(len(s)) for s, _ in rings])
        self.count = np.array([len(s) for s, _ in rings])
        span = [np.mod(np.roll(s, -1) - s, len(c)) for c, (s, _) in zip(curves, rings, strict=True)]
        self.span = np.concatenate(span)
        sides = np.concatenate([np.stack([p, np.roll(p, -1, axis=0)], axis=1) for _, p in rings])
        self.sides = shapely.linestrings(sides)
        self.tree = shapely.STRtree(self.sides)

    def along(self, ring: Array) -> Curve:
        """Return the curve that follows a ring of pieces of the sides."""
        after = np.roll(ring, -1, axis=0)
        side = self.tree.nearest(shapely.points((ring + after) / 2))
        runs = self._runs(side)
        if not runs:
            return self.curves[int(self.owner[side[0]])]
        spans = []
        for run in runs:
            first, last = side[run[0]], side[run[-1]]
            spans.append(
                (
                    int(self.owner[first]),
                    self._place(first, ring[run[0]]),
                    self._place(last, after[run[-1]]),
                )
            )
        spans = [s for s in spans if self._length(s) > 1e-7]
        n = len(spans)
        for k in range(n):
            (c, a, b), (d, e, _) = spans[k], spans[(k + 1) % n]
            b, e = _meeting(self.curves[c], b, self.curves[d], e)
            spans[k] = (c, a, b)
            following = spans[(k + 1) % n]
            spans[(k + 1) % n] = (following[0], e, following[2] if n > 1 else b)
        parts = [between(self.curves[c], a, b).copy() for c, a, b in spans]
        parts = [part for part in parts if len(part)]
        if not parts:
            raise CannotRepairError("what is left beside its crossings has no length")
        for k, part in enumerate(parts):
            start = parts[(k + 1) % len(parts)][0, 0]
            off = start - part[-1, 3]
            if np.hypot(off[0], off[1]) > _NEAR:
                raise CannotRepairError(
                    "its crossings cannot be told apart: mend it where it was drawn"
                )
            part[-1, 2:] += off
            part[-1, 3] = start
        return Curve(np.concatenate(parts))

    def _runs(self, side: Ints) -> list[Ints]:
        """Indices of the ring's sides in runs along one curve each.

        None where one goes all round.
        """
        step = np.mod(self.index[side] - np.roll(self.index[side], 1), self.count[self.owner[side]])
        goes_on = (self.owner[side] == np.roll(self.owner[side], 1)) & (step <= 1)
        breaks = np.flatnonzero(~goes_on)
        if not len(breaks):
            return []
        order = np.arange(len(side))
        return [
            np.roll(order, -b)[: (breaks[(k + 1) % len(breaks)] - b) % len(side) or len(side)]
            for k, b in enumerate(breaks)
        ]

    def _place(self, side: int, point: Array) -> float:
        share = shapely.line_locate_point(self.sides[side], shapely.Point(point), normalized=True)
        return float(self.start[side] + share * self.span[side])

    def _length(self, span: tuple[int, float, float]) -> float:
        c, a, b = span
        return (b - a) % len(self.curves[c])


def _meeting(one: Curve, s: float, other: Curve, t: float) -> tuple[float, float]:
    """Places near s and t where two curves cross: Newton; as given where it does not settle."""
    a, b = float(s), float(t)
    for _ in range(30):
        p, v = evaluate(one, np.array(a % len(one)), 1)
        q, w = evaluate(other, np.array(b % len(other)), 1)
        f = q - p
        det = float(cross(v, w))
        if abs(det) < 1e-9:
            return s, t
        step_a, step_b = float(cross(f, w)) / det, float(cross(f, v)) / det
        a, b = a + float(np.clip(step_a, -0.3, 0.3)), b + float(np.clip(step_b, -0.3, 0.3))
        if max(abs(step_a), abs(step_b)) < 1e-13:
            break
    if abs(a - s) > 0.5 or abs(b - t) > 0.5 or np.hypot(*(f)) > 1e-6:
        return s, t
    return a % len(one), b % len(other)

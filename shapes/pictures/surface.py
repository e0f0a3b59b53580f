"""The surface of a board as it is seen.

Where each ray of sight meets the wood, and the normal there.

Sight is parallel and a little from the front: the upper face keeps its true shape and size, and
what lies deeper by u is seen u x LEAN lower, so that the edge shows the thickness. A board is what
is cut square through and then rounded over from both faces: at depth u the wood begins ``inset(u)``
inside its outline.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shapes.geometry.curve import (
    Array,
    Curve,
    Flags,
    Ints,
    dot,
    evaluate,
    flatten,
    places,
    steps_apart,
)
from shapes.geometry.outline import Outline, shoelace
from shapes.pictures.screen import Screen, coverage, dragged
from shapes.timber.solid import rounds

LEAN = 0.34  # mm lower on the picture for each mm deeper; our choice
ARRIS = 0.4  # mm: what sanding takes off an edge that is not rounded over; common practice
COUNTERSUNK = 2.0  # mm: how far a hole too narrow for the bit is eased; our choice
_NODES = 7  # depths at which a ray is tried in each round-over
_NEWTON = 2
_FAR = 1e4  # mm: a distance where none is reckoned


def screen_round(
    box: tuple[float, float, float, float], scale: float, ground: float, thickness: float
) -> Screen:
    """Return a screen that shows a board's box with ``ground`` mm all round it."""
    x0, y0, x1, y1 = box
    low = y0 - LEAN * thickness - ground
    columns = math.ceil((x1 - x0 + 2 * ground) * scale)
    rows = math.ceil((y1 + ground - low) * scale)
    spare = (columns / scale - (x1 - x0)) / 2
    return Screen(x0 - spare, y1 + ground, scale, columns, rows)


@dataclass(frozen=True, slots=True)
class Rim:
    """Loops that are eased alike.

    By a quarter-round of ``size`` mm, or a countersink at 45 degrees.
    """

    curves: tuple[Curve, ...]
    size: float
    straight: bool = False

    def inset(self, u: Array, thickness: float) -> Array:
        """How far inside its outline the wood begins at depth ``u``, mm."""
        near = np.clip(self.size - np.minimum(u, thickness - u), 0, self.size)
        if self.straight:
            return near
        return np.asarray(self.size - np.sqrt(np.maximum(self.size**2 - near**2, 0)))

    def normal(self, d: Array, u: Array, thickness: float, pixel: float) -> tuple[Array, Array]:
        """Shares of the outward and the upward way in the normal, ``d`` mm inside at depth ``u``.

        What is sharp, the two edges of a countersink, turns within a ``pixel``, mm.
        """
        low = u > thickness / 2
        up: Array = np.clip(self.size - np.where(low, thickness - u, u), 0, None)
        out: Array = np.clip(self.size - d, 0, None)
        if self.straight:
            turned = np.clip(out / pixel, 0, 1) + 1 - np.clip(up / pixel, 0, 1)
            up, out = np.cos(turned * math.pi / 4), np.sin(turned * math.pi / 4)
        long: Array = np.maximum(np.hypot(up, out), 1e-9)
        return out / long, np.where(low, -up, up) / long


def rims_of(outline: Outline, thickness: float, round_over: float, bearing: float) -> list[Rim]:
    """Return the loops of a board by how they are eased.

    What the bit gets into, and holes by hand.
    """
    size = max(min(round_over, thickness / 2), ARRIS)
    by_bit = [c for c in outline.openings if rounds(c, bearing)]
    by_hand = tuple(c for c in outline.openings if not rounds(c, bearing))
    rims = [Rim((outline.edge, *by_bit), size)]
    if by_hand:
        rims.append(
            Rim(by_hand, min(COUNTERSUNK, size) if round_over > 0 else ARRIS, straight=True)
        )
    return rims


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """What is seen of a board.

    Coverage (rows, columns), and where each covered pixel meets the wood.

    ``at`` are flat indices of covered pixels, ``place`` (n, 3) and ``normal`` (n, 3) what they see,
    mm with z = 0 on the upper face; the first ``flat`` of them see that face.
    """

    screen: Screen
    cover: NDArray[np.float32]
    at: Ints
    place: NDArray[np.float32]
    normal: NDArray[np.float32]
    flat: int


def seen(rims: list[Rim], thickness: float, screen: Screen, lean: float = LEAN) -> Seen:
    """Follow the sight of every pixel to a board whose first loop is its edge."""
    cover = _silhouette(rims, thickness, screen, lean)
    fields = [_Field(rim, screen, max(rim.size, lean * thickness)) for rim in rims]
    level = cover > 0
    for rim, field in zip(rims, fields, strict=True):
        level &= field.d >= rim.size
    flat, curved = np.flatnonzero(level), np.flatnonzero((cover > 0) & ~level)
    x, y = screen.centres()
    px, py = x[curved % screen.columns], y[curved // screen.columns]
    u = _depth(rims, fields, thickness, screen, curved, lean)
    place = np.stack([px, py + lean * u, -u], axis=1)
    normal = _normals(rims, fields, thickness, screen, curved, place)
    every = np.concatenate([flat, curved])
    up = np.zeros((len(flat), 3))
    up[:, 2] = 1
    face = np.stack(
        [x[flat % screen.columns], y[flat // screen.columns], np.zeros(len(flat))], axis=1
    )
    return Seen(
        screen,
        cover,
        every,
        np.concatenate([face, place]).astype(np.float32),
        np.concatenate([up, normal]).astype(np.float32),
        len(flat),
    )


def _silhouette(
    rims: list[Rim], thickness: float, screen: Screen, lean: float
) -> NDArray[np.float32]:
    """Coverage of the whole body.

    The widest section dragged from the first depth it has to the last.
    """
    rings = [[flatten(c) for c in rim.curves] for rim in rims]
    cover = np.ones(screen.shape, dtype=np.float32)
    for i, rim in enumerate(rims):
        # A rounded edge is seen a little before and beyond its widest section.
        more = 0.0 if rim.straight else rim.size * (math.hypot(1, lean) - 1)
        first, last = lean * rim.size - more, lean * (thickness - rim.size) + more
        for loops, hole in (
            ((rings[i][:1], False), (rings[i][1:], True)) if i == 0 else ((rings[i], True),)
        ):
            if loops:
                cover *= _drag(screen, loops, first, max(last, first), hole=hole)
    return cover


def _drag(
    screen: Screen, rings: list[Array], first: float, last: float, *, hole: bool
) -> NDArray[np.float32]:
    start, end = (coverage(screen, rings, low) for low in (first, last))
    if hole:
        start, end = 1 - start, 1 - end
    return np.maximum(dragged(start, int((last - first) * screen.scale)), end)


class _Field:
    """Signed distance to loops, mm, wood positive, within a reach of them.

    What each pixel is nearest to.
    """

    def __init__(self, rim: Rim, screen: Screen, reach: float) -> None:
        """Find the nearest of many points of the loops by handing them on from pixel to pixel."""
        self.rim, self.screen = rim, screen
        counts = [steps_apart(c, 0.7 / screen.scale) for c in rim.curves]
        steps = [places(n) for n in counts]
        made = [evaluate(c, s, 1) for c, s in zip(rim.curves, steps, strict=True)]
        self.owner = np.repeat(np.arange(len(made)), [len(s) for s in steps])
        self.place = np.concatenate(steps)
        points, speed = (np.concatenate(v) for v in zip(*made, strict=True))
        tangent = speed / np.maximum(np.hypot(speed[:, 0], speed[:, 1]), 1e-12)[:, None]
        x = (points[:, 0] - screen.left) * screen.scale - 0.5
        y = (screen.top - points[:, 1]) * screen.scale - 0.5
        columns, rows = screen.columns, screen.rows
        seeds = np.clip(np.rint(y), 0, rows - 1).astype(np.intp) * columns + np.clip(
            np.rint(x), 0, columns - 1
        ).astype(np.intp)
        far = math.ceil(reach * screen.scale) + 2
        near = np.full(rows * columns, -1, dtype=np.int32)
        near[seeds] = np.arange(len(seeds))
        band = np.flatnonzero(_spread((near >= 0).reshape(rows, columns), far)).astype(np.int32)
        # Where nothing is known yet, the last point is asked, which is far from everything.
        px, py = (np.append(v, _FAR).astype(np.float32) for v in (x, y))
        bi, bj = (v.astype(np.float32) for v in np.divmod(band, columns))
        own = near[band]
        best = (px[own] - bj) ** 2 + (py[own] - bi) ** 2
        step = 1 << max(far - 1, 1).bit_length() - 1
        while step:
            for di in (-step, 0, step):
                for dj in (-step, 0, step):
                    if di or dj:
                        other = near.take(band + (di * columns + dj), mode="clip")
                        gap = (px.take(other) - bj) ** 2 + (py.take(other) - bi) ** 2
                        won = gap < best
                        near[band[won]] = other[won]
                        best[won] = gap[won]
            step >>= 1
        self.near = near
        inside = coverage(screen, [flatten(c) for c in rim.curves]).reshape(-1) > 0.5
        if _opens(rim):
            inside = ~inside
        self.d = np.where(inside, _FAR, -_FAR)
        k = near[band]
        v = np.stack([bj - x[k], y[k] - bi], axis=1) / screen.scale
        side = v[:, 1] * tangent[k, 0] - v[:, 0] * tangent[k, 1]  # left of travel is the wood
        along = np.abs(dot(v, tangent[k]))
        beyond = np.maximum(along - 0.7 / screen.scale, 0)
        self.d[band] = np.where(
            inside[band] == (side > 0), side, np.where(inside[band], 1e-3, -1e-3)
        )
        self.d[band] = np.copysign(np.hypot(side, beyond), self.d[band])
        self.d = self.d.reshape(rows, columns)

    def at(self, row: Array, column: Ints) -> Array:
        """Distance at places between rows."""
        i = np.clip(np.floor(row), 0, self.screen.rows - 2).astype(np.intp)
        part = row - i
        flat = self.d.reshape(-1)
        k = i * self.screen.columns + column
        return np.asarray(flat[k] + (flat[k + self.screen.columns] - flat[k]) * part)

    def foot(self, p: Array, row: Array, column: Ints) -> tuple[Array, Array]:
        """Exact signed distance of places ``p`` (n, 2), and the way out of the wood there."""
        i = np.clip(np.rint(row), 0, self.screen.rows - 1).astype(np.intp)
        k = self.near[i * self.screen.columns + column]
        d, out = np.full(len(p), _FAR), np.zeros((len(p), 2))
        for c, curve in enumerate(self.rim.curves):
            mine = np.flatnonzero((k >= 0) & (self.owner[k] == c))
            s, q = self.place[k[mine]], p[mine]
            whole, t = np.floor(s), s - np.floor(s)
            for _ in range(_NEWTON):
                b, v, a = evaluate(curve, whole + np.minimum(t, 1 - 1e-9), 2)
                off = b - q
                bend = dot(v, v) + dot(off, a)
                step = dot(off, v) / np.where(bend > 0, bend, dot(v, v) + 1e-12)
                t = np.clip(t - np.clip(step, -0.5, 0.5), 0, 1 - 1e-9)
            b, v = evaluate(curve, whole + t, 1)
            v /= np.maximum(np.hypot(v[:, 0], v[:, 1]), 1e-12)[:, None]
            off = q - b
            side = off[:, 1] * v[:, 0] - off[:, 0] * v[:, 1]
            d[mine] = np.copysign(np.hypot(off[:, 0], off[:, 1]), side)
            out[mine] = np.stack([v[:, 1], -v[:, 0]], axis=1)
        return d, out


def _opens(rim: Rim) -> bool:
    """Whether all its loops are openings, which run clockwise round what is no wood."""
    return shoelace(flatten(rim.curves[0])) < 0


def _spread(cells: Flags, far: int) -> Flags:
    """Cells within ``far`` rows and columns of a true one."""
    made = cells
    for axis in (0, 1):
        pad = [(far + 1, far) if i == axis else (0, 0) for i in range(2)]
        gone = np.cumsum(np.pad(made, pad), axis=axis, dtype=np.int32)
        n, span = made.shape[axis], 2 * far + 1
        made = np.take(gone, np.arange(span, span + n), axis=axis) > np.take(
            gone, np.arange(n), axis=axis
        )
    return made


def _depth(
    rims: list[Rim], fields: list[_Field], thickness: float, screen: Screen, at: Ints, lean: float
) -> Array:
    """Depth at which the sight of each pixel first meets the wood.

    Where it misses, comes nearest.
    """
    column, row = at % screen.columns, (at // screen.columns).astype(float)

    def above(u: Array) -> Array:
        """How far inside the wood the sight is at depth u: positive in it."""
        rows = row - lean * u * screen.scale
        each = [
            f.at(rows, column) - r.inset(u, thickness) for r, f in zip(rims, fields, strict=True)
        ]
        return np.asarray(np.minimum.reduce(each))

    size = max(r.size for r in rims)
    ease = size * (1 - np.cos(np.linspace(0, math.pi / 2, _NODES)))
    wall = np.linspace(
        size, thickness - size, max(2, math.ceil((thickness - 2 * size) * lean * screen.scale))
    )
    tries = np.concatenate([ease, wall[1:-1], thickness - ease[::-1]])
    found, nearest = np.full(len(at), -1.0), np.zeros(len(at))
    best = np.full(len(at), -np.inf)
    low, high = np.zeros(len(at)), np.zeros(len(at))
    for before, u in zip(np.r_[0.0, tries[:-1]], tries, strict=True):
        open_ = found < 0
        f = above(np.full(len(at), u))
        closer = open_ & (f > best)
        nearest[closer], best[closer] = u, f[closer]
        hit = open_ & (f >= 0)
        low[hit], high[hit], found[hit] = before, u, u
    for _ in range(7):
        middle = (low + high) / 2
        into = above(middle) >= 0
        high, low = np.where(into, middle, high), np.where(into, low, middle)
    return np.where(found < 0, nearest, high)


def _normals(
    rims: list[Rim], fields: list[_Field], thickness: float, screen: Screen, at: Ints, place: Array
) -> Array:
    column = at % screen.columns
    row = (screen.top - place[:, 1]) * screen.scale - 0.5
    u = -place[:, 2]
    normal, least = np.zeros((len(at), 3)), np.full(len(at), np.inf)
    normal[:, 2] = 1
    for rim, field in zip(rims, fields, strict=True):
        d, out = field.foot(place[:, :2], row, column)
        f = d - rim.inset(u, thickness)
        mine = (f < least) & (d < _FAR)
        least = np.minimum(least, f)
        aside, up = rim.normal(d, u, thickness, 1 / screen.scale)
        normal[mine] = np.concatenate([out * aside[:, None], up[:, None]], axis=1)[mine]
    return normal

"""Wood as a solid.

The colour of any place of a log, so that figure runs through a board and over its edge.

A log is rings about a pith that is nearly along the grain. From outside in: a knot bends the grain
round it as a stream bends round a stone; slow noise lets rings waver; the ring that a place lies in
gives early or late wood, and how many pores; pores, fibres and rays are noise drawn out along the
grain. What a pixel is too coarse to show is averaged, not left out. After Liu, Dong, Hasan and
Marschner (ACM TOG 35(6), 2016) and Larsson and others (ACM TOG 41(4), 2022), in the small; sizes
and strengths are our choice by eye.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from shapes.timber.species import Look

Shade = NDArray[np.float32]
Table = tuple[Shade, Shade]
Cells = NDArray[np.int32]
Numbers = NDArray[np.floating]

_RING_STEP = 0.05  # mm of radius a step of the ring table
_BLURS, _WIDEST = 13, 3.0  # ring tables, from sharp to blurred over so many pixels
_SMOOTH, _GRAINY = (64, 64, 32), (64, 1024, 16)  # cells along, across, through
_CELL = 8.0  # cells that smooth noise takes to forget
_SOFT = 1.6  # pixels that a ring is blurred over: no closer lines than an eye or a screen can part
# mm; mm of radius a mm along the face below which a ring fades; share of late wood it fades to.
_ALONG, _FLAT, _MEAN = np.float32(3.0), np.float32(0.05), np.float32(0.22)
_FEATHER = 0.012  # of a ring
_PORE = np.array([0.80, 1.0, 1.12], dtype=np.float32)  # dark is warm: it takes most from blue
_HUE = np.array([0.010, -0.006, -0.028], dtype=np.float32)  # slow changes, yellower to redder
_BEND = 1.4  # a knot bends the grain this much further along it than across; our choice


@cache
def _noise(shape: tuple[int, int, int], cells: float) -> Shade:
    """Periodic noise of variance 1 that forgets itself within some ``cells``.

    The same for everybody.
    """
    white = np.random.default_rng(shape[1]).standard_normal(shape, dtype=np.float32)
    if cells > 0:
        waves = np.fft.rfftn(white)
        for axis, count in enumerate(shape):
            f = np.fft.rfftfreq(count) if axis == 2 else np.fft.fftfreq(count)
            fall = np.exp(-((f * cells) ** 2) * 4.0)
            waves *= fall.reshape([-1 if i == axis else 1 for i in range(3)])
        white = np.fft.irfftn(waves, shape, axes=(0, 1, 2)).astype(np.float32)
    made = np.ascontiguousarray((white - white.mean()) / white.std(), dtype=np.float32)
    made.setflags(write=False)
    return made


def _look_up(tile: Shade, x: Numbers, y: Numbers, z: Numbers) -> Shade:
    """Noise at places in cells: linear between cells, the tile repeated for ever."""
    nx, ny, nz = tile.shape
    flat = tile.reshape(-1)
    # Moved so that a whole part is never negative.
    x, y, z = (np.asarray(v, dtype=np.float32) + np.float32(4096) for v in (x, y, z))
    i, j, k = (v.astype(np.int32) for v in (x, y, z))
    u, v, w = x - i, y - j, z - k
    low, high = (i & (nx - 1)) * (ny * nz), ((i + 1) & (nx - 1)) * (ny * nz)
    near, far = (j & (ny - 1)) * nz, ((j + 1) & (ny - 1)) * nz
    level = len(w) > 0 and float(w[0]) == float(w.min()) == float(w.max()) and k[0] == k[-1]
    if level:  # a face: one slice through the tile does for all of it
        a, b = int(k[0]) & (nz - 1), (int(k[0]) + 1) & (nz - 1)
        flat = (tile[:, :, a] * (1 - w[0]) + tile[:, :, b] * w[0]).reshape(-1)
        low, high, near, far = low // nz, high // nz, near // nz, far // nz
        return _square(flat, low, high, near, far, u, v)
    up, down = k & (nz - 1), (k + 1) & (nz - 1)
    above = _square(flat, low, high, near + up, far + up, u, v)
    below = _square(flat, low, high, near + down, far + down, u, v)
    return above + (below - above) * w


def _square(
    flat: Shade, low: Cells, high: Cells, near: Cells, far: Cells, u: Shade, v: Shade
) -> Shade:
    a, b, c, d = (flat.take(p + q) for p in (low, high) for q in (near, far))
    a += (b - a) * v
    c += (d - c) * v
    a += (c - a) * u
    return a


@dataclass(frozen=True, slots=True)
class Knot:
    """A knot through the thickness: its middle and radius, mm, in the log's plane."""

    x: float
    y: float
    radius: float


@dataclass(frozen=True, slots=True, eq=False)
class Log:
    """A log with its pith at ``pith`` (y, z), mm from the
    board's datum, drifting by ``drift`` a mm of x.

    ``grain`` is the angle of the grain to the board's x axis, radians; ``rings`` the radii at which
    rings begin, mm; ``key`` moves the noise, so that no two logs are alike.
    """

    look: Look
    pith: tuple[float, float]
    drift: tuple[float, float]
    rings: NDArray[np.float64]
    key: tuple[float, float, float]
    tone: float = 1.0  # how light this tree is among its kind
    grain: float = 0.0
    knots: tuple[Knot, ...] = ()

    def places(self, p: Shade) -> tuple[Shade, Shade, Shade]:
        """Turn places (n, 3) of the board into the log's, the grain bent round its knots."""
        x, y, z = p[:, 0], p[:, 1], p[:, 2]
        if self.grain:
            c, s = np.float32(math.cos(self.grain)), np.float32(math.sin(self.grain))
            x, y = c * x + s * y, c * y - s * x
        for knot in self.knots:
            dx, dy = (x - np.float32(knot.x)) / np.float32(_BEND), y - np.float32(knot.y)
            q = np.float32(knot.radius**2) / np.maximum(
                dx * dx + dy * dy, np.float32(knot.radius**2)
            )
            y = np.asarray(y - dy * q, dtype=np.float32)  # a stream round a cylinder
        return x, y, z

    def radius(self, x: Shade, y: Shade, z: Shade) -> Shade:
        """Distance of places from the wavering pith, mm."""
        a, b, c = self.key
        tile = _noise(_SMOOTH, _CELL)
        k = np.float32(_CELL)
        wide = _look_up(tile, x * (k / 280) + a, y * (k / 80) + b, z * (k / 80) + c)
        close = _look_up(tile, x * (k / 70) + b, y * (k / 22) + c, z * (k / 30) + a)
        dy = y - self.pith[0] - self.drift[0] * x
        dz = z - self.pith[1] - self.drift[1] * x
        w = np.float32(self.look.waver)
        return np.asarray(
            np.sqrt(dy * dy + dz * dz) + w * (2.4 * wide + 0.4 * close), dtype=np.float32
        )

    def calm_radius(self, x: Shade, y: Shade, z: Shade) -> Shade:
        """Distance of places from the pith as it would be without a waver, mm."""
        return np.hypot(y - self.pith[0] - self.drift[0] * x, z - self.pith[1] - self.drift[1] * x)

    def _in_knots(self, p: Shade, r: Shade) -> Shade:
        """A knot has rings of its own, closer than the trunk's."""
        c, s = np.float32(math.cos(self.grain)), np.float32(math.sin(self.grain))
        for knot in self.knots:
            x, y = c * p[:, 0] + s * p[:, 1] - knot.x, c * p[:, 1] - s * p[:, 0] - knot.y
            q = np.hypot(x / np.float32(_BEND), y)
            r = np.where(q < knot.radius, 3 * self.look.ring + 2.5 * q, r).astype(np.float32)
        return r

    def colour(
        self, p: Shade, pixel: float, table: Table | None = None, normal: Shade | None = None
    ) -> tuple[Shade, Shade]:
        """Colour (n, 3), linear light, and the lift of the
        fibres (n,) at places (n, 3) of the board.

        ``pixel`` is the side of a pixel in mm: what is finer is averaged. ``table`` is that of the
        pixel, where many are asked one after another; ``normal`` (n, 3) where the surface is not
        level.
        """
        look, (a, b, c) = self.look, self.key
        x, y, z = self.places(np.asarray(p, dtype=np.float32))
        r = self.radius(x, y, z)
        r = plain = self._in_knots(p, r)
        grainy, smooth = _noise(_GRAINY, 0.0), _noise(_SMOOTH, _CELL)
        # On a rounded edge a pixel takes in more than its side: down the slope, depth goes by
        # quickly.
        down = np.zeros(1, dtype=np.float32) if normal is None else _down(normal)
        side = np.float32(pixel) * np.maximum(down, 1)
        # Fibres and pores keep to the grain as it wavers: their place across is taken from the
        # rings.
        swing = r - self.calm_radius(x, y, z)
        across = y - self.drift[0] * x + swing
        fibre = _look_up(grainy, x / 40 + a, across / np.float32(0.8) + b, z / 2 + c)
        fine = _look_up(grainy, x / 13 + b, across / np.float32(0.35) + c, z / 1 + a)
        streaks = 0.75 * fibre * np.minimum(1, 0.8 / side) + 0.6 * fine * np.minimum(1, 0.4 / side)
        # No ring follows the next one quite, and where vessels end it, it ends fibre by fibre.
        own = _look_up(smooth, x * (8 / 80) + c, y * (8 / 36) + b, r * (8 / (1.7 * look.ring)) + a)
        r = r + np.float32(0.13 * look.ring) * own
        if look.pores == "ring":
            r += np.float32(_FEATHER * look.ring) * streaks
        late, vessels = self._ring(y, z, r, table or self.table(pixel), down)
        if normal is None:
            # Where a ring lies almost in the face it would be one broad stroke: it fades to its
            # mean.
            on = self._in_knots(p, self.radius(x + _ALONG, y, z))
            slope = np.hypot((on - plain) / _ALONG, (y - self.pith[0]) / np.maximum(r, 1))
            late = _MEAN + (late - _MEAN) * np.clip(slope / _FLAT, 0.15, 1)
        slow = _look_up(smooth, x * (8 / 260) + c, y * (8 / 60) + a, z * (8 / 50) + b)
        # Years differ: broad bands of light and dark go with the rings, and fade along the grain.
        years = _look_up(smooth, x * (8 / 420) + b, r * (8 / look.years) + c, z * (8 / 300) + a)
        if (
            normal is not None
        ):  # where rings are cut on a slope they crowd: seen from afar they fade there
            up = np.abs(normal[:, 2])
            late = late * (1 - 2.2 * up * (1 - up))
        tone = late * look.contrast + look.streak * years + 0.08 * streaks + 0.12
        bright = self.tone + look.fibre * streaks
        lift = 0.04 * slow + 0.5 * streaks
        if look.rays:
            flecks, broad = self._rays(x, y, z, r, side)
            # Seen broad on the quarter they shine, seen end on in a flat face they are fine and
            # dark.
            bright += look.rays * flecks * (0.8 * broad - 0.5)
            lift += 3.0 * look.rays * flecks * broad
        if look.stripe:
            lift += look.stripe * _look_up(smooth, x * (8 / 400) + b, r * (8 / 11), z * 0 + c)
        vessels = np.maximum(vessels * (1 + 0.2 * slow), 0)
        pores = self._pores(x, across, z, vessels, side)
        pores = look.pore * pores * np.clip(0.8 + 0.3 * fine, 0.3, 1.2)
        if normal is not None:  # cut across they are dots, too small to be seen one by one
            pores *= 0.35 + 0.65 * np.abs(normal[:, 2])
        made = self._mixed(tone, bright, pores, 0.5 * slow + 0.2 * years)
        return made, np.asarray(lift, dtype=np.float32)

    def _mixed(self, tone: Shade, bright: Shade, pores: Shade, cool: Shade) -> Shade:
        """Colour (n, 3) between early and late wood, in light and shade, with pores and cooler
        places.
        """
        early, dark = linear(self.look.early), linear(self.look.late)
        tone = np.clip(tone, 0, 1.1)[:, None]
        made = (early + (dark - early) * tone) * np.clip(bright, 0.1, 2.0)[:, None]
        made *= 1 - pores[:, None] * _PORE
        # On pale wood a cooler tone reads as dirt.
        made *= 1 + cool[:, None] * (_HUE * np.float32(1.2 - early[1]))
        return np.asarray(np.maximum(made, 0.002), dtype=np.float32)

    def _ring(self, y: Shade, z: Shade, r: Shade, table: Table, down: Shade) -> tuple[Shade, Shade]:
        """Share of late wood and density of pores: of the ring that a place lies in."""
        late, pores = table
        count = late.shape[1]
        at = np.clip(r * np.float32(1 / _RING_STEP), 0, count - 2)
        i = at.astype(np.int32)
        # How far the radius goes by from pixel to pixel: little where a ring lies flat in the face.
        step = (np.abs(y - self.pith[0]) + np.abs(z - self.pith[1]) * down) / np.maximum(r, 1)
        level = np.clip(step * (_SOFT * (_BLURS - 1) / _WIDEST) + np.float32(0.5), 0, _BLURS - 1)
        i += level.astype(np.int32) * count
        flat = late.reshape(-1)
        low = flat.take(i)
        low += (flat.take(i + 1) - low) * (at - at.astype(np.int32))
        return low, pores.reshape(-1).take(i)

    def table(self, pixel: float) -> Table:
        """Late wood and pores by radius (blurs, steps), each row blurred over more of a pixel."""
        look = self.look
        r = np.arange(0, self.rings[-1], _RING_STEP)
        i = np.clip(np.searchsorted(self.rings, r, side="right") - 1, 0, len(self.rings) - 2)
        wide = np.diff(self.rings)[i]
        f = (r - self.rings[i]) / wide
        own = 0.45 + 1.1 * _share(i)  # no two summers are alike
        before = 0.45 + 1.1 * _share(np.maximum(i - 1, 0))
        # A year ends over a third of a millimetre or so; what it darkened fades into the next.
        ended = np.exp(-((f * wide / (0.16 + 0.03 * wide)) ** 2))
        line = np.exp(-(((1 - f) / look.line_width) ** 2))
        late = own * np.maximum((1 - look.line) * f**look.power, look.line * line)
        late = np.maximum(late, before * max(look.line, 1 - look.line) * ended)
        if look.pores == "ring":
            pores = 1.25 * np.exp(-((f / 0.26) ** 4)) + 0.05
        elif look.pores == "semi":
            pores = 0.75 - 0.55 * f
        else:
            pores = np.full_like(f, 0.45)
        both = _blurred(np.stack([late, pores]), pixel)
        return both[0], both[1]

    def _pores(self, x: Shade, across: Shade, z: Shade, density: Shade, side: Shade) -> Shade:
        """Share of a pixel that open vessels take: fine, tapering, more or less deep."""
        look, (a, b, c) = self.look, self.key
        wide, long = np.float32(look.vessel), np.float32(look.vessel * 22)
        v = _look_up(_noise(_GRAINY, 0.0), x / long + c, across / wide + a, z / wide + b)
        there = np.clip((v - (1.1 - 0.95 * density)) * 1.5, 0, 1)
        mean = np.float32(0.16) * density * density
        return np.asarray(mean + (there - mean) * np.minimum(1, 1.5 * look.vessel / side))

    def _rays(self, x: Shade, y: Shade, z: Shade, r: Shade, side: Shade) -> tuple[Shade, Shade]:
        """Ribbons from the pith outwards: how much of one is seen, and how broadly, 0 to 1."""
        look, (a, b, c) = self.look, self.key
        turn = np.arctan2(y - self.pith[0], z - self.pith[1]) * np.float32(self.rings[-1] / 2)
        high = np.float32(look.ray_height)
        v = _look_up(
            _noise(_GRAINY, 0.0), x / high + a, turn / np.float32(0.35) + b, r / (1.5 * high) + c
        )
        broad = np.asarray(((y - self.pith[0]) / np.maximum(r, 1)) ** 2, dtype=np.float32)
        shown = np.minimum(1, 0.35 / side + broad)
        return np.asarray(np.clip((v - 0.6) * 1.5, 0, 1) * shown, dtype=np.float32), broad


def _down(normal: Shade) -> Shade:
    """How much depth goes by from pixel to pixel on a slope."""
    up = np.abs(normal[:, 2])
    return np.asarray(np.sqrt(1 - np.minimum(up * up, 1)) / np.maximum(up, 0.34), dtype=np.float32)


def mottled(p: NDArray[np.floating]) -> Shade:
    """Even noise of variance about 1 at places (n, 3), in its own lengths: of a crust, of bark."""
    return _look_up(_noise(_SMOOTH, _CELL), *(p.T * _CELL))


def _share(i: NDArray[np.intp]) -> NDArray[np.float64]:
    """A number in 0..1 that belongs to a whole one."""
    return np.asarray(np.modf(np.abs(np.sin(i * 12.9898 + 4.1) * 43758.5453))[0])


def _blurred(rows: NDArray[np.float64], pixel: float) -> Shade:
    """Means of each row over 0 to ``_WIDEST`` pixels of radius: (rows, blurs, steps)."""
    count = rows.shape[1]
    half = [int(pixel * _WIDEST * k / (_BLURS - 1) / _RING_STEP) // 2 for k in range(_BLURS)]
    most = half[-1] + 1
    gone = np.cumsum(np.pad(rows, ((0, 0), (most, most)), mode="edge"), axis=1)
    made = np.empty((len(rows), _BLURS, count), dtype=np.float32)
    for k, n in enumerate(half):
        after, before = gone[:, most + n :][:, :count], gone[:, most - n - 1 :][:, :count]
        made[:, k] = rows if n < 1 else (after - before) / (2 * n + 1)
    return made


def linear(colour: str) -> Shade:
    """Linear light of #rrggbb, by the square.

    Near enough to sRGB to mix in, and quick both ways.
    """
    return np.array([(int(colour[i : i + 2], 16) / 255) ** 2 for i in (1, 3, 5)], dtype=np.float32)


def log_of(
    look: Look,
    key: str,
    *,
    reach: float,
    thickness: float,
    rings_deg: float | None = None,
    grain: float = 0.0,
    knots: Sequence[Knot] = (),
    middle: float = 0.0,
    toward: int = 0,
) -> Log:
    """Return the log that a board of ``reach`` mm (half its longest side) came from.

    ``key`` (hexadecimal) chooses where in what tree; ``rings_deg`` is how steeply rings stand to
    the face at its middle: 0 flat-sawn, 90 quarter-sawn. A board is laid over the figure as a maker
    would lay it: its axis at ``middle`` mm across the grain, and where ``toward`` is 1 or -1 the
    arches as a rule close toward that end of x.
    """
    random = np.random.default_rng(int(key, 16))
    near, side, turn, wide, *rest = random.random(12).tolist()
    if rings_deg is None:  # most boards are sawn flat
        rings_deg = 5 * turn if near < 0.97 else 14 + 76 * turn
    away = 60 + 110 * wide + (1.2 * rings_deg)
    up = 1 if rest[0] < 0.75 else -1  # the bark's side up as a rule
    angle = math.radians(rings_deg) * (1 if side < 0.5 else -1)
    pith = (
        middle + away * math.sin(angle) + 12 * (rest[1] - 0.5),
        -up * away * math.cos(angle) - thickness / 2,
    )
    # A trunk tapers, which makes cathedrals of flat rings; standing ones would only run askew.
    taper = (0.08 + 0.05 * rest[3]) * min(max(1 - (rings_deg - 16) / 14, 0.12), 1.0)
    ahead = (toward or 1) * (1 if rest[4] < (0.8 if toward else 0.5) else -1)
    drift = (0.03 * (rest[2] - 0.5), -up * taper * ahead)
    count = int((away + 2.5 * reach + 60) / look.ring) + 4
    steps = random.standard_normal(count)
    slow = np.convolve(steps, np.ones(7) / 7, mode="same") * 1.6
    widths = look.ring * np.exp(0.20 * steps + 0.35 * slow - 0.1)
    return Log(
        look,
        pith,
        drift,
        np.concatenate([[0], np.cumsum(widths)]),
        (64 * rest[5], 64 * rest[6], 64 * rest[7]),
        0.93 + 0.14 * rest[0],
        grain,
        tuple(knots),
    )

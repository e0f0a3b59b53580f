"""The width of the wood: its narrowest place, and the runs where it is a hand's width."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from shapes.geometry.curve import Array, Flags, Ints
from shapes.geometry.discs import Discs, bitangent

APART = math.radians(150.0)  # design section 5: contacts at least this far apart make a width


@dataclass(frozen=True, slots=True)
class Narrowest:
    """The narrowest place: width mm and the centre of its disc."""

    width: float
    place: tuple[float, float]


def narrowest(d: Discs) -> Narrowest:
    """Return the least diameter over discs in the wood with contacts 150 degrees apart or more.

    Where there is no such disc, the largest disc in the wood. Polished to 0.01 mm on smooth edges.
    """
    cosine, limit = d.cosine, math.cos(APART)
    opposed = np.flatnonzero(cosine <= limit + 0.03)
    order = opposed[np.argsort(d.inner[opposed], kind="stable")]
    strict = order[cosine[order] <= limit]
    largest = int(np.where(np.isfinite(d.inner), d.inner, -1).argmax())
    i = int(strict[0]) if len(strict) else largest
    best, place = float(d.inner[i]), d.p[i] + d.inner[i] * d.n[i]
    ceiling = best if len(strict) else -math.inf
    for k in order[:_TRIES]:
        wanted = None if cosine[k] < math.cos((APART + math.pi) / 2) else limit
        s, _, r, settled = bitangent(d, int(k), int(d.inner_at[k]), wanted)
        if settled and r < max(best, ceiling) and abs(r - d.inner[k]) < 0.05 * d.inner[k]:
            best, place, ceiling = r, _centre(d, s, r), r
    return Narrowest(2 * best, (float(place[0]), float(place[1])))


_TRIES = 4  # samples polished: the least ones lie side by side in the narrowest place


def _centre(d: Discs, s: float, r: float) -> Array:
    p, v, _ = d.chain.at(np.array([s]))
    return np.asarray(p[0] + r * np.array([-v[0, 1], v[0, 0]]) / np.hypot(*v[0]))


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of wood of one width class: its length along the middle, width and direction."""

    length: float  # mm along the disc centres
    least: float  # least width, mm
    most: float  # greatest width, mm
    angle: float  # radians from the x axis, in [0, pi/2]
    middle: tuple[float, float]
    start: tuple[float, float]  # first and last disc centre
    stop: tuple[float, float]


def runs(
    d: Discs, low: float, high: float, between: str = "edge", apart: float = 120.0
) -> list[Run]:
    """Runs along which the wood is ``low`` to ``high`` mm wide, the longest first.

    ``between``: "edge" for wood with the edge on both sides, "bar" for wood between an opening
    and the edge. Contacts at least ``apart`` degrees apart count: a rounded end is no run.
    """
    other = d.loop[d.inner_at]
    sides = (d.loop == 0) & (other == 0) if between == "edge" else (d.loop > 0) & (other == 0)
    width = 2 * np.where(np.isfinite(d.inner), d.inner, 1e6)
    facing = d.cosine <= math.cos(math.radians(apart))
    fits = sides & facing & (width >= low - 1e-6) & (width <= high + 1e-6)
    found = []
    for loop in range(int(d.loop.max()) + 1):
        own = np.flatnonzero(d.loop == loop)
        found += [_run(d, own[k], width) for k in _cyclic(fits[own])]
    return sorted((r for r in found if r), key=lambda r: -r.length)


def _run(d: Discs, index: Ints, width: Array) -> Run | None:
    if len(index) < 2:
        return None
    c = d.p[index] + d.inner[index][:, None] * d.n[index]
    span = float(np.hypot(*np.diff(c, axis=0).T).sum())
    direction = c[-1] - c[0]
    middle = c[len(c) // 2]
    angle = math.atan2(abs(float(direction[1])), abs(float(direction[0])))
    return Run(span, float(width[index].min()), float(width[index].max()), angle, _xy(middle), _xy(c[0]), _xy(c[-1]))  # fmt: skip


def _cyclic(flags: Flags) -> list[Ints]:
    if flags.all():
        return [np.arange(len(flags))]
    start = int(np.flatnonzero(~flags)[0])
    order = (np.arange(len(flags)) + start) % len(flags)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags[order].astype(int), [0]])))
    return [order[a:b] for a, b in zip(edges[::2], edges[1::2], strict=True)]


def _xy(p: Array) -> tuple[float, float]:
    return float(p[0]), float(p[1])

"""The width of the wood: its narrowest place, and the runs where it is a hand's width."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from shapes.geometry.curve import Array, Flags, Ints, cyclic_runs, pair
from shapes.reach.discs import Discs, exact, neighbours

CONTACT_ANGLE = math.radians(
    150.0
)  # design section 5: contacts at least this far apart make a width


@dataclass(frozen=True, slots=True)
class Narrowest:
    """The narrowest place: width mm and the centre of its disc."""

    width: float
    place: tuple[float, float]


def narrowest(d: Discs) -> Narrowest:
    """Return the least diameter over discs in the wood with contacts 150 degrees apart or more.

    Where there is no such disc, the largest disc in the wood. Every sample's disc is made exact;
    then the most promising stretches between samples are cut up again and again, which finds the
    waist, the place where the angle passes 150 degrees and the disc of three contacts alike.
    Good to 0.01 mm on smooth edges.
    """
    smooth = (d.inner > 0) & np.isfinite(d.inner)
    r, cosine = np.where(d.inner > 0, d.inner, 0.0), d.cosine
    centre = d.p + np.where(np.isfinite(r), r, 0.0)[:, None] * d.n
    facing = smooth & (cosine <= _LIMIT + 3 * _NEAR)
    wanted_at_all = bool((cosine[facing] <= _LIMIT).any())
    if wanted_at_all:
        facing &= r <= r[facing & (cosine <= _LIMIT)].min() + _MORE
    else:
        facing = smooth
    k = np.flatnonzero(facing)
    if len(k) > _EXACT:  # the narrowest of very many, as on polylines
        k = k[np.argsort(r[k] if wanted_at_all else -r[k], kind="stable")[:_EXACT]]
    r[k], centre[k], exact_cosine = exact(d, d.s[k], d.turned[k], d.loop[k])
    cosine = np.where(smooth, 1.0, cosine)
    cosine[k] = exact_cosine
    after = neighbours(d.loop)[1]
    low, loop = d.s, d.loop
    # The last sample's stretch runs past the end of its loop to the first.
    high = np.where(d.s[after] < d.s, d.s[after] + d.chain.count[d.loop], d.s[after])
    turned = np.stack([d.turned, d.turned[after]], axis=1)
    valid = cosine <= _LIMIT
    wanted = bool(valid.any())
    best, place = _pick(r, centre, valid, wanted)
    ends_r = np.stack([r, r[after]], axis=1)
    ends_c = np.minimum(cosine, cosine[after])
    slack = 0.25 * float(np.abs(np.diff(r[np.isfinite(r)])).max(initial=1.0)) + 1.0
    for _ in range(_ROUNDS):
        keep = _promising(ends_r, ends_c, (best if wanted else -best) + slack, wanted=wanted)
        if not len(keep):
            break
        share = np.linspace(0, 1, _CUTS + 1)
        at = low[keep, None] + (high - low)[keep, None] * share
        ring = np.repeat(loop[keep], _CUTS + 1)
        angle = turned[keep, :1] + (turned[keep, 1:] - turned[keep, :1]) * share
        s = d.chain.wrap(at.ravel(), ring)
        r, centre, cosine = exact(d, s, angle.ravel(), ring)
        valid = cosine <= _LIMIT
        if not wanted and valid.any():
            wanted, best = True, math.inf
        found, where = _pick(r, centre, valid, wanted)
        if (found < best) if wanted else (found > best):
            best, place = found, where
        grid_r, grid_c = r.reshape(at.shape), cosine.reshape(at.shape)
        low, high, loop = at[:, :-1].ravel(), at[:, 1:].ravel(), np.repeat(loop[keep], _CUTS)
        turned = np.stack([angle[:, :-1].ravel(), angle[:, 1:].ravel()], axis=1)
        ends_r = np.stack([grid_r[:, :-1].ravel(), grid_r[:, 1:].ravel()], axis=1)
        ends_c = np.minimum(grid_c[:, :-1], grid_c[:, 1:]).ravel()
        slack /= _CUTS / 2
    return Narrowest(2 * best, pair(place))


def _promising(ends_r: Array, ends_c: Array, most: float, *, wanted: bool) -> Ints:
    """Return stretches that may hold a better disc than is known, by those at their ends.

    Some with a valid end, and a few that may be valid only between their ends. ``most``: what their
    score may be; ``wanted``: whether a valid disc is known, so that the least counts and not the
    largest.
    """
    score = ends_r.min(axis=1) if wanted else -ends_r.max(axis=1)
    score = np.where(score <= most, score, np.inf)
    sure = ends_c <= (_LIMIT if wanted else 2.0)
    between = ~sure & (ends_c <= _LIMIT + _NEAR)
    return np.concatenate(
        [
            _least(np.where(sure, score, np.inf), _STRETCHES),
            _least(np.where(between, score, np.inf), _STRETCHES // 3),
        ]
    )


_LIMIT = math.cos(CONTACT_ANGLE)
_NEAR = 0.1  # of cosine: stretches whose ends come this near to 150 degrees may pass it between
_MORE = 20.0  # mm of radius over the least sample within which discs are made exact
_EXACT = 300  # discs made exact at first
_ROUNDS, _CUTS, _STRETCHES = 5, 6, 6


def _least(score: Array, count: int) -> Ints:
    """Indices of the least finite scores, at most ``count``."""
    order = np.argsort(score, kind="stable")[:count]
    return np.asarray(order[np.isfinite(score[order])])


def _pick(r: Array, centre: Array, valid: Flags, wanted: bool) -> tuple[float, Array]:
    """The least valid disc; where none is valid, the largest disc."""
    score = np.where(valid, r, np.inf) if wanted else np.where(np.isfinite(r), -r, np.inf)
    k = int(score.argmin())
    return float(score[k] if wanted else -score[k]), centre[k]


@dataclass(frozen=True, slots=True)
class WidthRun:
    """A stretch of wood of one width class: its length along the middle, width and direction."""

    length: float  # mm along the disc centres
    least: float  # least width, mm
    most: float  # greatest width, mm
    angle: float  # radians from the x axis, in [0, pi)
    middle: tuple[float, float]


def runs(
    d: Discs, low: float, high: float, between: str = "edge", apart: float = 120.0
) -> list[WidthRun]:
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
        found += [_run(d, own[k], width) for k in cyclic_runs(fits[own])]
    return sorted((r for r in found if r), key=lambda r: -r.length)


def _run(d: Discs, index: Ints, width: Array) -> WidthRun | None:
    if len(index) < 2:
        return None
    c = d.p[index] + d.inner[index][:, None] * d.n[index]
    span = float(np.hypot(*np.diff(c, axis=0).T).sum())
    direction = c[-1] - c[0]
    angle = math.atan2(float(direction[1]), float(direction[0])) % math.pi
    least, most = float(width[index].min()), float(width[index].max())
    return WidthRun(span, least, most, angle, pair(c[len(c) // 2]))

"""What a round cutter reaches: the wood it leaves, where, and the largest cutter that will do."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from shapes.geometry.curve import Array, Ints, cyclic_runs, dot, pair
from shapes.reach.discs import Discs, frame, touching
from shapes.tolerances import TOLERANCES

_SAMPLES_AGAIN = 33  # places looked at again round the deepest sample


@dataclass(frozen=True, slots=True)
class Uncut:
    """One stretch of edge that the cutter does not reach."""

    place: tuple[float, float]  # the deepest point
    depth: float  # mm of wood left there; inf where the cutter does not enter at all
    loop: int
    kind: str  # CORNER, INLET or OPENING


CORNER, INLET, OPENING = "corner", "inlet", "opening"
_FACING = math.cos(math.radians(140.0))  # sides that face each other make an inlet; our choice


def kind_of(d: Discs, own: Ints, run: Ints, depth: float) -> str:
    """Tell a tight inside corner from a narrow inlet from an opening the cutter does not enter."""
    if not math.isfinite(depth):
        return OPENING
    ends = np.array([own[run[0] - 1], own[(run[-1] + 1) % len(own)]])
    some = np.concatenate([ends, own[run[:: max(1, len(run) // 40)]]])
    n = d.n[some]
    return INLET if float(dot(n[:, None], n[None]).min()) < _FACING else CORNER


@dataclass(frozen=True, slots=True, eq=False)
class _Run:
    """Samples of a loop that a cutter does not reach, one after the other, those reached round it."""

    loop: int
    own: Ints  # samples of the loop
    at: Ints  # places in ``own`` of the run

    @property
    def ends(self) -> tuple[int, int]:
        """First and last sample of the run."""
        return int(self.own[self.at[0]]), int(self.own[self.at[-1]])

    @property
    def outside(self) -> tuple[int, int]:
        """The samples before and after it."""
        return int(self.own[self.at[0] - 1]), int(self.own[(self.at[-1] + 1) % len(self.own)])


def uncut(d: Discs, cutter: float) -> tuple[Uncut, ...]:
    """Stretches that a cutter of diameter ``cutter`` leaves, deepest first."""
    radius = cutter / 2
    found, runs = list[Uncut](), list[_Run]()
    for loop in range(int(d.loop.max()) + 1):
        own = np.flatnonzero(d.loop == loop)
        short = d.outer[own] < radius
        if short.all():
            deep = own[d.outer[own].argmin()]
            found.append(Uncut(pair(d.p[deep]), math.inf, loop, OPENING))
        elif short.any():
            runs += [_Run(loop, own, run) for run in cyclic_runs(short)]
    if runs:
        found += [
            _deepest(d, run, radius, at, discs)
            for run, at, discs in zip(runs, *_seals(d, runs, radius), strict=True)
        ]
    return tuple(sorted(found, key=lambda u: -u.depth))


def _seals(d: Discs, runs: list[_Run], radius: float) -> tuple[Array, Array]:
    """Discs that seal both ends of each run: where they touch (k, 2), and centres (k, 2, 2)."""
    near = np.array([r.ends for r in runs])
    ends = np.array([r.outside for r in runs])
    loop = np.array([r.loop for r in runs])
    # Start from where the radius passes the wanted one between two samples.
    far = np.where(np.isfinite(d.outer[ends]), d.outer[ends], 4 * radius)
    share = (radius - d.outer[near]) / np.maximum(far - d.outer[near], 1e-12)
    count = d.chain.count[loop][:, None]
    gap = d.s[ends] - d.s[near]
    gap = gap - count * np.round(gap / count)
    start = d.chain.wrap(d.s[near] + share * gap, d.loop[near])
    # The seal touches either the other end of the run or what the reached neighbour touches; each
    # disc found may seal either end by either of its contacts.
    twice = np.concatenate([near, near], axis=1)
    other = np.concatenate([near[:, ::-1], d.outer_at[ends]], axis=1)
    begin = np.concatenate([start, start], axis=1)
    flat = touching(d, twice.ravel(), other.ravel(), -radius, begin.ravel())
    s, t, miss = (v.reshape(begin.shape) for v in (flat[0], flat[1], flat[3]))
    centre = flat[2].reshape(*begin.shape, 2)
    mouth = np.hypot(*np.diff(d.chain.at(start)[0], axis=1)[:, 0].T)
    # A disc that fell together with its own contact is no seal.
    across = d.chain.at(s)[0] - d.chain.at(t)[0]
    apart = np.hypot(across[..., 0], across[..., 1])
    bad = (miss > 1e-7) | (apart < 0.3 * np.minimum(mouth, radius)[:, None])
    contacts = np.concatenate([s, t], axis=1)
    moved = np.abs(contacts[:, None] - start[:, :, None])
    moved = np.minimum(moved, count[..., None] - moved)
    far_off = moved > (np.abs(gap) * 1.5 + 0.02)[..., None]
    moved = np.where(far_off | np.concatenate([bad, bad], axis=1)[:, None], np.inf, moved)
    pick = moved.argmin(axis=2)
    good = np.isfinite(moved.min(axis=2))
    row = np.arange(len(runs))[:, None]
    p, _, normal, _ = frame(d.chain, start)
    sealed = np.where(good[..., None], centre[row, pick % begin.shape[1]], p - radius * normal)
    return np.where(good, contacts[row, pick], start), sealed


def _deepest(d: Discs, run: _Run, radius: float, at: Array, centre: Array) -> Uncut:
    """Depth of wood left in one run of unreached samples, from the discs that seal its ends."""
    count, first = d.chain.count[run.loop], d.s[run.ends[0]]
    # Ends as steps along the loop from the first unreached sample: an end may not pass the other.
    ends_at = at - first
    ends_at = ends_at - count * np.round(ends_at / count)
    steps = np.mod(d.s[run.own[run.at]] - first, count)
    low = min(float(ends_at[0]), 0.0)
    high = float(ends_at[1]) + (count if ends_at[1] < 0 and steps[-1] > count / 2 else 0)
    high = max(high, float(steps[-1]))
    places = first + np.concatenate([steps, np.linspace(low, high, 9)])
    for _ in range(3):
        p = d.chain.at(d.chain.wrap(places, np.full(len(places), run.loop)))[0]
        away = p[:, None] - centre[None]
        depth = np.sqrt(dot(away, away)).min(axis=1) - radius
        best = int(depth.argmax())
        order = np.sort(places)
        k = int(np.searchsorted(order, places[best]))
        places = np.linspace(
            order[max(k - 1, 0)], order[min(k + 1, len(order) - 1)], _SAMPLES_AGAIN
        )
    most = float(max(depth[best], 0.0))
    return Uncut(pair(p[best]), most, run.loop, kind_of(d, run.own, run.at, most))


def largest_cutter(d: Discs) -> float | None:
    """Diameter, mm, of the largest cutter that leaves at most 0.05 mm of wood anywhere.

    None where a 60 mm cutter still does. Depth never falls as the cutter grows, so the root is
    bracketed, then closed in on by regula falsi with halving; error below 0.01 mm.
    """
    high = TOLERANCES.cutter_limit

    def excess(diameter: float) -> float:
        stretches = uncut(d, diameter)
        return min((stretches[0].depth if stretches else 0.0) - TOLERANCES.uncut, 1.0)

    f_high = excess(high)
    if f_high <= 0:
        return None
    low, f_low = 2 * float(d.outer.min()), -TOLERANCES.uncut
    for turn in range(60):
        share = f_low / (f_low - f_high)
        share = 0.5 if turn % 3 == 2 else min(max(share, 0.05), 0.95)
        middle = low + share * (high - low)
        f = excess(middle)
        if f > 0:
            high, f_high = middle, f
        else:
            low, f_low = middle, f
        if high - low < 1e-3:
            break
    return (low + high) / 2

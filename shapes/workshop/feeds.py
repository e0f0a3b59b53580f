"""Speed and feeds of a cutter, from the trade's chip loads.

Starting points, never above its mark.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from shapes.errors import InputError, Problem
from shapes.workshop.shop import Cutter, Machine

RIM_SPEED = 40.0  # m/s at the rim, of a cutter without a mark; our choice
RPM = 18000.0  # unless the cutter or the machine says less; our choice
SHARE = 0.5  # of the chip loads below: those are for industrial machines; our choice
# Hardwood, solid-carbide spiral, mm an edge at a depth of one diameter: tooling trade tables
# (secondary).
CHIP = ((3.175, 0.05, 0.10), (6.35, 0.13, 0.18), (9.525, 0.33, 0.38), (12.7, 0.43, 0.48))
LEAST_CHIP = 0.02  # mm: a thinner chip rubs and burns; common practice
DEPTH_FACTORS = (
    (1.0, 1.0),
    (2.0, 0.75),
    (3.0, 0.5),
)  # depth in diameters, share of the feed: same source


@dataclass(frozen=True, slots=True)
class Feeds:
    """Speed and feeds of a cutter: rpm, chip load mm an edge, feed and full-depth feed mm a minute.

    ``full_depth`` is of the finishing pass; ``real_chip`` is the thickest that its chips get, mm.
    """

    rpm: float
    chip: float
    feed: float
    full_depth: float
    real_chip: float


def chip_load(diameter: float, share: float = SHARE) -> float:
    """Chip load, mm an edge: the middle of the trade's table, by diameter, times ``share``."""
    middle = [(low + high) / 2 for _, low, high in CHIP]
    sizes = [d for d, _, _ in CHIP]
    if diameter < sizes[0]:
        return share * middle[0] * diameter / sizes[0]
    return share * float(np.interp(diameter, sizes, middle))


def feed_rate(edges: int, chip: float, rpm: float) -> float:
    """Feed, mm a minute: edges x chip load x rpm."""
    return edges * chip * rpm


def thinning(engaged: float, diameter: float) -> float:
    """Thickest chip over chip load where a cutter is engaged by less than its radius.

    An edge leaves the wood at an angle a with cos a = 1 - 2 e/D: the chip is there f sin a thick
    (geometry of milling, any handbook).
    """
    share = min(engaged / diameter, 0.5)
    return 2 * math.sqrt(share * (1 - share))


def rim_speed(diameter: float, rpm: float) -> float:
    """Speed of the cutter's rim, m/s: pi D n / 60000."""
    return math.pi * diameter * rpm / 60000


def feeds(
    cutter: Cutter, machine: Machine, depth: float, share: float = SHARE, left: float | None = None
) -> Feeds:
    """Return speed and feeds; never above the rpm marked on the cutter. Raises InputError.

    ``left``: mm of wood that the finishing pass takes at full depth; it is fed so that its chips
    are LEAST_CHIP thick at least, as far as the machine goes. None: full width, no finishing pass.
    """
    marked = cutter.rpm or 60000 * RIM_SPEED / (math.pi * cutter.true)
    most = min(marked, machine.most_rpm)
    if most < machine.least_rpm:
        says = (
            f"is marked {cutter.rpm:g} rpm"
            if cutter.rpm
            else f"has no rpm marked, so {marked:.0f} at most"
        )
        raise InputError(
            Problem(
                cutter.called,
                f"{says} and the spindle turns {machine.least_rpm:g} at least",
                "",
                "use another cutter: never run one above its mark",
            )
        )
    rpm = min(max(RPM, machine.least_rpm), most)
    feed = min(feed_rate(cutter.edges, chip_load(cutter.true, share), rpm), machine.feed)
    chip = feed / (cutter.edges * rpm)
    share_deep = float(np.interp(depth / cutter.true, *np.array(DEPTH_FACTORS).T))
    thin = 1.0 if left is None else thinning(left, cutter.true)
    finish = max(feed * share_deep, feed_rate(cutter.edges, LEAST_CHIP / thin, rpm))
    finish = min(finish, machine.feed)
    return Feeds(rpm, chip, feed, finish, thin * finish / (cutter.edges * rpm))

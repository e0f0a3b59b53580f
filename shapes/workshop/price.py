"""Prices of a batch: costs of every board made, spoilt ones counted, mark-up and tax.

Set-up once.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shapes.workshop.job import Costs, Job, at_rate
from shapes.workshop.shop import Workshop

SPOIL = 0.10  # of the boards: spoilt ones are counted in every cost (design)


@dataclass(frozen=True, slots=True)
class PriceLine:
    """One line of the price table: a board and its quantity.

    Money is None where a rate is not known.

    There is a price where every part of the cost is known, and none where one is not.
    """

    name: str
    quantity: int
    to_make: int
    machine_minutes: float
    bench_minutes: float
    timber: float | None
    machine: float | None
    bench: float | None
    finish: float | None
    margin: float | None
    tax: float | None

    @property
    def cost(self) -> float | None:
        """What is known of the cost; None where nothing is."""
        known = [v for v in (self.timber, self.machine, self.bench, self.finish) if v is not None]
        return sum(known) if known else None

    @property
    def price(self) -> float | None:
        """Cost, margin and tax."""
        if self.cost is None or self.margin is None or self.tax is None:
            return None
        return self.cost + self.margin + self.tax


@dataclass(frozen=True, slots=True)
class Batch:
    """Prices of a batch; set-up is counted once, over all."""

    lines: tuple[PriceLine, ...]
    set_up: PriceLine
    unknown: tuple[str, ...]

    @property
    def total(self) -> float | None:
        """Price of all boards; None where one of them has none."""
        prices = [p.price for p in self.every if p.price is not None]
        return sum(prices) if len(prices) == len(self.every) else None

    @property
    def every(self) -> tuple[PriceLine, ...]:
        """Lines with the set-up."""
        return (*self.lines, self.set_up)


def to_make(quantity: int) -> int:
    """Boards to make: a tenth more, to the nearest whole one; a single board is made once."""
    return math.floor(quantity * (1 + SPOIL) + 0.5)


def batch_of(jobs: Sequence[Job]) -> Batch:
    """Price jobs: a tenth more of everything for spoil, set-up once.

    The timber of a board on a piece is what the piece's account says, no more: there is no second
    one.
    """
    lines = []
    shop = jobs[0].shop
    for job in jobs:
        q = job.asked.quantity
        made = q * (1 + SPOIL)
        machine, bench = job.machine_minutes * made, job.bench_minutes * made
        costs = job.costs.times(made)
        if job.line is not None:
            costs = costs._replace(timber=job.costs.timber)
        lines.append(_price(job.name, q, to_make(q), machine, bench, costs, shop))
    once = Costs(0.0, at_rate(shop.rates.machine, shop.rates.set_up), 0.0, 0.0).times(1)
    set_up = _price("set-up, once", 1, 1, shop.rates.set_up, 0.0, once, shop)
    unknown = [
        name
        for name, gone in (
            ("timber", any(p.timber is None for p in lines)),
            ("machine time", shop.rates.machine is None),
            ("bench time", shop.rates.bench is None),
            ("finish", shop.oil.price_per_litre is None),
            ("laser time", any(j.engraving for j in jobs)),
            ("printer time and ink", any(j.printed for j in jobs)),
        )
        if gone
    ]
    return Batch(tuple(lines), set_up, tuple(unknown))


def _price(
    name: str,
    quantity: int,
    made: int,
    machine: float,
    bench: float,
    costs: Costs,
    shop: Workshop,
) -> PriceLine:
    margin = tax = None
    total = costs.total
    if total is not None and None not in costs:
        margin = round(total * shop.markup_share + 1e-9, 2)
        tax = round((total + margin) * shop.tax / 100 + 1e-9, 2)
    return PriceLine(name, quantity, made, machine, bench, *costs, margin, tax)

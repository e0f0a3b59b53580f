"""Forms: each file draws one family of bodies from a few parameters and some noise."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from shapes.forms import (
    bean,
    crescent,
    driftwood,
    drop,
    fan,
    flint,
    gourd,
    leaf,
    lobed,
    raft,
    river,
    sail,
    slab,
    stone,
    wing,
)
from shapes.geometry.body import Body
from shapes.geometry.curve import Array

NOISE = 24  # normal numbers that a form may use


@dataclass(frozen=True, slots=True)
class Form:
    """A family of bodies: its parameters, its drawing and what it is in one line."""

    kind: Any
    draw: Callable[[Any, Array], Body]

    @property
    def says(self) -> str:
        """One line for the list of forms."""
        return str(self.kind.__doc__)


FORMS: dict[str, Form] = {
    "stone": Form(stone.Stone, stone.draw),
    "driftwood": Form(driftwood.Driftwood, driftwood.draw),
    "leaf": Form(leaf.Leaf, leaf.draw),
    "gourd": Form(gourd.Gourd, gourd.draw),
    "bean": Form(bean.Bean, bean.draw),
    "crescent": Form(crescent.Crescent, crescent.draw),
    "wing": Form(wing.Wing, wing.draw),
    "flint": Form(flint.Flint, flint.draw),
    "lobed": Form(lobed.Lobed, lobed.draw),
    "drop": Form(drop.Drop, drop.draw),
    "slab": Form(slab.Slab, slab.draw),
    "fan": Form(fan.Fan, fan.draw),
    "sail": Form(sail.Sail, sail.draw),
    "raft": Form(raft.Raft, raft.draw),
    "river": Form(river.River, river.draw),
}

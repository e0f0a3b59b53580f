"""Density of wood at a moisture content.

rho = 1000 G (1 + M/100), G on the volume at M: Wood Handbook ch. 4 (FPL-GTR-190, 2010).
G at M from basic G: G / (1 - 0.265 a G), a = (30 - M) / 30 below fibre saturation: same chapter,
from memory.
"""

from __future__ import annotations

from shapes.timber.species import Species

SATURATION = 30.0  # %, fibre saturation taken by the Wood Handbook's rules
MOISTURE = (4.0, 25.0)  # %, range asked for; a board indoors has 6 to 12
DENSITIES = (200.0, 1400.0)  # kg/m3: what a weighed piece may come to and be wood; from memory
BAND = 0.10  # wood varies by about 10 % within a species: common practice


def gravity_at(basic: float, moisture: float) -> float:
    """Specific gravity on the volume at ``moisture`` %, from the basic one."""
    a = max(SATURATION - moisture, 0.0) / SATURATION
    return basic / (1 - 0.265 * a * basic)


def basic_from(gravity: float, moisture: float) -> float:
    """Undo gravity_at."""
    a = max(SATURATION - moisture, 0.0) / SATURATION
    return gravity / (1 + 0.265 * a * gravity)


def density(species: Species, moisture: float = 12.0) -> float:
    """Density in kg/m3 at ``moisture`` %."""
    if species.specific_gravity is not None:
        at_twelve = species.specific_gravity
    elif species.basic_gravity is not None:
        at_twelve = gravity_at(species.basic_gravity, 12.0)
    elif species.density_kg_m3 is not None:
        at_twelve = species.density_kg_m3 / 1120.0
    else:
        raise ValueError(f"species '{species.name}' has no density")
    g = gravity_at(basic_from(at_twelve, 12.0), moisture)
    return 1000.0 * g * (1 + moisture / 100)

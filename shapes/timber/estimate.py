"""What a board needs: blank, timber, oil and money."""

from __future__ import annotations

from dataclasses import dataclass

from shapes.timber.solid import Solid
from shapes.timber.surface import Areas, oil_ml
from shapes.units import MM3_PER_BOARD_FOOT


@dataclass(frozen=True, slots=True)
class Allowances:
    """Wood added to a board to make its blank, mm; our choice."""

    side: float = 15.0  # each side: cutter, skin and clamping
    thickness: float = 4.0  # both faces together, skimmed flat


@dataclass(frozen=True, slots=True)
class Estimate:
    """Figures of one board; lengths mm, areas m2, volumes m3, mass kg.

    Cost in the brief's money.
    """

    blank_mm: tuple[float, float, float]
    blank_m3: float
    board_feet: float
    board_m3: float
    yield_share: float
    density_kg_m3: float
    mass_kg: float
    mass_band_kg: tuple[float, float]
    finished_area_m2: float
    oil_ml: float
    timber_cost: float | None


def estimate(
    box: tuple[float, float],
    thickness: float,
    body: Solid,
    areas: Areas,
    density_kg_m3: float,
    band: float,
    allowances: Allowances,
    price_per_m3: float | None,
) -> Estimate:
    """Work the figures of a board out from its box (length, width), solid and areas.

    Oil of a usual tin.
    """
    blank = (
        box[0] + 2 * allowances.side,
        box[1] + 2 * allowances.side,
        thickness + allowances.thickness,
    )
    volume = blank[0] * blank[1] * blank[2]
    mass = body.volume * 1e-9 * density_kg_m3
    return Estimate(
        blank_mm=blank,
        blank_m3=volume * 1e-9,
        board_feet=volume / MM3_PER_BOARD_FOOT,
        board_m3=body.volume * 1e-9,
        yield_share=body.volume / volume,
        density_kg_m3=density_kg_m3,
        mass_kg=mass,
        mass_band_kg=(mass * (1 - band), mass * (1 + band)),
        finished_area_m2=areas.total,
        oil_ml=sum(oil_ml(areas)),
        timber_cost=None if price_per_m3 is None else volume * 1e-9 * price_per_m3,
    )

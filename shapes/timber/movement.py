"""Wood moves across its grain as it takes up moisture and gives it off.

Wood Handbook ch. 13 (FPL-GTR-190, 2010). Real boards are rarely cut quite flat or quite on the
quarter: the method makes too much of the width and too little of the thickness, the same chapter
says.
"""

from __future__ import annotations

LINEAR = (6.0, 14.0)  # %, where Equation 13-2 holds
SATURATION = 30.0  # %, above which nothing moves


def change(size: float, coefficient: float, before: float, after: float) -> float:
    """Change of a size across the grain, mm, between two moisture contents in %; negative shrinks.

    Equation 13-2, D C (M2 - M1), from 6 to 14 %; outside, Equation 13-3 (from memory),
    D (M2 - M1) / (3000/S - 30 + M1), with 3000/S = 1/C + 20.
    """
    first, last = min(before, SATURATION), min(after, SATURATION)
    if all(LINEAR[0] <= m <= LINEAR[1] for m in (first, last)):
        return size * coefficient * (last - first)
    return size * (last - first) / (1 / coefficient - 10 + first)


def coefficient_of(shrinkage: float) -> float:
    """Coefficient from total shrinkage S in %: S / (3000 - 20 S), Equation 13-3 at 10 %."""
    return shrinkage / (3000 - 20 * shrinkage)


def cup(width: float, radial: float, tangential: float, change_of: float, rings: float) -> float:
    """How far a flat-sawn board of ``width`` mm cups, mm, over ``change_of`` % of moisture.

    Our own derivation: where radii change by e_r and rings by e_t, an angle t about the heart
    becomes t (1 + e_t - e_r). A line ``rings`` mm from the heart, r = rings/cos t, then drops by
    rings (e_t - e_r) t^2, so its rise is width^2/4 (e_t - e_r)/rings. Free of restraint: the most
    it would be.
    """
    return width**2 / 4 * abs((tangential - radial) * change_of) / rings

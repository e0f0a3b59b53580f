"""How much a part of a board bears: wood at an angle to its grain, and sections with round-overs.

An estimate on clear straight wood. Clear-wood averages are not design values: they are divided.
"""

from __future__ import annotations

import math

import numpy as np

from shapes.geometry.curve import Array

# Hankinson-type formula for bending: Wood Handbook ch. 5 gives n from 1.5 to 2 and Q/P from 0.04 to
# 0.10 (from memory). These two fit its slope-of-grain table (from memory as well) to its rounding.
POWER, RATIO = 1.79, 0.064
DIVISOR = 3.0  # our choice: wood varies, hands jerk, boards age
GRAVITY = 9.81  # m/s2
SHEAR_SHARE = (
    0.093  # of the bending strength: the least of our woods with both values, black walnut
)


def across_grain(angle: Array | float) -> Array:
    """Share of the strength along the grain that is left at ``angle`` (radians) to it.

    N / P = Q / (P sin^n a + Q cos^n a) with n = 1.79 and Q/P = 0.064.
    """
    a = np.abs(np.asarray(angle, dtype=float))
    return np.asarray(RATIO / (np.sin(a) ** POWER + RATIO * np.abs(np.cos(a)) ** POWER))


def to_grain(angle: Array | float, grain: Array | float) -> Array:
    """Angle between two undirected lines, radians, 0 to pi / 2."""
    off = np.mod(np.asarray(angle, dtype=float) - grain, np.pi)
    return np.asarray(np.minimum(off, np.pi - off))


def section_modulus(
    width: Array | float, depth: float, round_over: float, pieces: Array | float = 1
) -> Array:
    """Section modulus, mm3, of a rectangle bent over its ``depth``, corners rounded, in mm.

    ``width`` is that of all pieces side by side; each has four corners. The spandrel cut from a
    corner has area r^2 (1 - pi/4) and second moment r^4 (1 - 5 pi/16) about the face.
    """
    r = min(round_over, depth / 2)
    area = r * r * (1 - math.pi / 4)
    if area > 0:
        middle = r * (10 - 3 * math.pi) / (3 * (4 - math.pi))
        own = r**4 * (1 - 5 * math.pi / 16) - area * middle**2
        corner = own + area * (depth / 2 - middle) ** 2
    else:
        corner = 0.0
    whole = np.asarray(width, dtype=float) * depth**3 / 12 - 4 * np.asarray(pieces) * corner
    return np.asarray(np.maximum(whole, 1e-9) / (depth / 2))


def twist_stress(torque: Array | float, width: Array | float, depth: float) -> Array:
    """Greatest shear stress, MPa, of a rectangle twisted by ``torque`` N mm.

    T (3 + 1.8 b/a) / (a b^2), a the longer side: a handbook approximation, from memory, within 4 %.
    """
    w = np.asarray(width, dtype=float)
    a, b = np.maximum(w, depth), np.maximum(np.minimum(w, depth), 1e-6)
    return np.asarray(np.asarray(torque) * (3 + 1.8 * b / a) / (a * b * b))


def twisting_strength(shear: float, bending: float, angle: Array | float) -> Array:
    """Shear stress, MPa, that a bar twisted at ``angle`` (radians) to the grain bears.

    Along the grain that is the shear strength; the stress also pulls at 45 degrees to the bar, and
    where that runs across the grain the wood splits first, ``eased``.
    """
    off = np.abs(np.asarray(angle, dtype=float))
    pulls = to_grain(off, -math.pi / 4)
    return np.asarray(np.minimum(bending * across_grain(pulls) * eased(off), shear))


EASED = 0.3  # share, fitted on bars and necks at 20, 45 and 70 degrees


def eased(angle: Array | float) -> Array:
    """How much more twist a part at ``angle`` (radians) to the grain bears than its stress says.

    Such a part bends as it is twisted, and its ends take some of that: fitted, up to EASED at half
    way, see the guide for contributors.
    """
    return np.asarray(1 + EASED * np.sin(2 * np.asarray(angle, dtype=float)) ** 2)


def face_factor(bent: Array, twisted: Array, off: Array, bending: float, shear: float) -> Array:
    """Strength over stress in the face of a part that is bent and twisted at once.

    ``bent`` is the stress along the part, ``twisted`` the shear in its face, positive where it
    pulls to the left of the part's way; ``off`` the angle of the grain to that way, radians, to the
    left as well. Each principal stress is held against the bending strength that is left at its
    angle to the grain, shear along the grain against the shear strength.
    """
    half, size = bent / 2, np.hypot(bent / 2, twisted)
    way = np.arctan2(twisted, half) / 2
    pulls = [
        bending * across_grain(to_grain(at, off)) / np.maximum(np.abs(stress), 1e-12)
        for stress, at in ((half + size, way), (half - size, way + math.pi / 2))
    ]
    slides = np.abs(twisted * np.cos(2 * off) - half * np.sin(2 * off))
    return np.asarray(np.minimum(np.minimum(*pulls), shear / np.maximum(slides, 1e-12)))


def arm_in_hand(arm: Array, reach: Array, hand: float) -> Array:
    """Arm, mm, that the load has about a cut ``arm`` mm before
    it, the grip's middle ``reach`` mm before it.

    The hand presses along ``hand`` mm, evenly but for what turns: a cut within it carries what the
    hand beyond the cut does not yet hold. M = W (e - x) less the moment of the pressure 1/h + 12 e
    s / h^3 from x to h/2.
    """
    h = hand / 2
    x = np.clip(reach - arm, -h, h)
    even = (h - x) ** 2 / (2 * hand)
    turning = 12 * reach / hand**3 * ((h**3 - x**3) / 3 - x * (h * h - x * x) / 2)
    return np.asarray(np.where(arm > reach - h, np.maximum(reach - x - even - turning, 0.0), arm))

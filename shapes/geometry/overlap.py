"""How alike two boards are, and how like its own mirror image one is.

The edge, openings filled, is brought to unit area about its centroid and cut by rings. On each ring
"wood or not" is a function of the angle, whose Fourier coefficients follow exactly from the
crossings of the edge; the overlap for every turn of one board against another is then one inverse
FFT. What matters in the end is measured again by GEOS.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from shapes.geometry.curve import Array
from shapes.tolerances import TOLERANCES

RINGS, ORDERS = 24, 36
_TURNS = 256
_REACH = 2.4  # the outermost ring, against the radius of the disc of the same area
_RADII = _REACH * (np.arange(RINGS) + 0.5) / RINGS
_WEIGHTS = 2 * math.pi * _RADII * _REACH / RINGS  # area of each ring
Spectrum = NDArray[np.complex64]


@dataclass(frozen=True, slots=True, eq=False)
class Likeness:
    """What boards are compared by: 6.9 kB of coefficients, and a small polygon for GEOS."""

    spectrum: Spectrum  # (RINGS, ORDERS) coefficients 0..., times the root of the ring's area
    ring: NDArray[np.float32]  # vertices at unit area about the centroid


def likeness(ring: Array) -> Likeness:
    """Take the likeness of a closed polygon (n, 2) that follows the edge."""
    after = np.roll(ring, -1, axis=0)
    c = ring[:, 0] * after[:, 1] - ring[:, 1] * after[:, 0]
    area = float(c.sum()) / 2
    centre = ((ring + after) * c[:, None]).sum(axis=0) / (6 * area)
    p = (ring - centre) * math.sqrt(math.pi / abs(area))
    return Likeness(_spectrum(p), p.astype(np.float32))


def _spectrum(p: Array) -> Spectrum:
    q = np.roll(p, -1, axis=0)
    rp, rq = (np.hypot(v[:, 0], v[:, 1]) for v in (p, q))
    inside = rp[:, None] < _RADII
    out = inside & (rq[:, None] >= _RADII)
    back = ~inside & (rq[:, None] < _RADII)
    k, ring = np.nonzero(out | back)
    d = q[k] - p[k]
    a = (d * d).sum(axis=1)
    b = (p[k] * d).sum(axis=1)
    gap = (p[k] * p[k]).sum(axis=1) - _RADII[ring] ** 2
    root = np.sqrt(np.maximum(b * b - a * gap, 0))
    t = (-b + np.where(out[k, ring], root, -root)) / a
    x = p[k] + t[:, None] * d
    angle = np.arctan2(x[:, 1], x[:, 0])
    # Wood lies left of the edge: anticlockwise round the ring it starts where the edge goes out.
    sign = np.where(out[k, ring], 1.0, -1.0)
    m = np.arange(1, ORDERS)
    powers = np.cumprod(np.repeat(np.exp(-1j * angle)[:, None], len(m), axis=1), axis=1)
    waves = powers * (sign[:, None] / (2j * np.pi * m))
    result = np.zeros((RINGS, ORDERS), dtype=np.complex128)
    np.add.at(result[:, 1:], ring, waves)
    share = np.bincount(ring, weights=-sign * angle / (2 * np.pi), minlength=RINGS)
    crossed = np.bincount(ring, minlength=RINGS) > 0
    # Each share is known up to a whole turn; an uncrossed ring is all wood or none.
    result[:, 0] = np.where(crossed, np.mod(share, 1.0), rp.min() > _RADII)
    return np.asarray(result * np.sqrt(_WEIGHTS)[:, None], dtype=np.complex64)


def _overlaps(product: NDArray[np.complex64]) -> Array:
    """Area shared at each of _TURNS turns, from sums of coefficient products (..., ORDERS)."""
    return np.asarray(np.fft.irfft(product, _TURNS, axis=-1) * _TURNS)


def difference(one: Likeness, many: list[Likeness]) -> Array:
    """Difference (n,) of one board to many over all turns and mirrored.

    Up to 0.03 less than it is, hardly ever more: what lies between the two edges is as fine as the
    waves that the spectrum leaves out. (Of what the spectra share it would be more for like boards,
    by up to 0.04.)
    """
    other = np.stack([m.spectrum for m in many])
    straight = (one.spectrum * np.conj(other)).sum(axis=1)
    flipped = (one.spectrum * other).sum(axis=1)
    shared = np.maximum(_overlaps(straight).max(axis=-1), _overlaps(flipped).max(axis=-1))
    own = _area(one.spectrum[None]) + _area(other)
    return _to_difference(math.pi - np.maximum(own / 2 - shared, 0))


_BLOCK = 8  # rows of a table at a time: their products stay in the cache


def differences(likes: Sequence[Likeness]) -> Array:
    """Differences (n, n) of many boards to each other as ``difference`` gives them.

    0 on the diagonal.
    """
    spectra = np.stack([m.spectrum for m in likes])
    count, own = len(likes), _area(spectra)
    rows = np.ascontiguousarray(spectra.transpose(2, 0, 1))  # (ORDERS, n, RINGS)
    columns = np.ascontiguousarray(spectra.transpose(2, 1, 0))
    table = np.zeros((count, count))
    for a in range(0, count, _BLOCK):
        z = min(a + _BLOCK, count)
        straight, flipped = (
            _overlaps(np.moveaxis(rows[:, a:z] @ other, 0, -1)).max(axis=-1)
            for other in (columns[:, :, a:].conj(), columns[:, :, a:])
        )
        middle = (own[a:z, None] + own[None, a:]) / 2
        far = _to_difference(math.pi - np.maximum(middle - np.maximum(straight, flipped), 0))
        table[a:z, a:] = far
        table[a:, a:z] = far.T
    np.fill_diagonal(table, 0)
    return table


def _area(spectra: NDArray[np.complex64]) -> Array:
    """Area (n,) that each board shares with itself, as far as its spectrum tells."""
    power = (spectra.real**2 + spectra.imag**2).sum(axis=1, dtype=np.float64)
    return np.asarray(2 * power.sum(axis=1) - power[:, 0])


def _to_difference(shared: Array) -> Array:
    shared = np.minimum(shared, math.pi)
    return np.asarray(1 - shared / (2 * math.pi - shared))


def exact_difference(one: Likeness, two: Likeness) -> float:
    """Difference of two boards, measured by GEOS, to 0.003."""
    a, b = one.spectrum, two.spectrum
    best = 0.0
    for flip in (False, True):
        values = _overlaps((a * (b if flip else np.conj(b))).sum(axis=0))
        ring = two.ring * np.array([1, -1], dtype=np.float32) if flip else two.ring
        best = max(best, _search(one.ring, ring, values))
    return float(_to_difference(np.array(best)))


def asymmetry(one: Likeness) -> float:
    """1 - the best overlap with its own mirror image over all axes through the centroid; 0 to 1.

    0 for an ellipse. Found by the spectrum, measured by GEOS to 0.003.
    """
    values = _overlaps((one.spectrum * one.spectrum).sum(axis=0))
    flipped = one.ring * np.array([1, -1], dtype=np.float32)
    return float(_to_difference(np.array(_search(one.ring, flipped, values))))


def quick_asymmetry(one: Likeness) -> float:
    """Asymmetry by the spectrum alone, to about 0.04: enough to screen by."""
    values = _overlaps((one.spectrum * one.spectrum).sum(axis=0))
    return float(_to_difference(np.array(values.max())))


def _search(fixed: NDArray[np.float32], turned: NDArray[np.float32], values: Array) -> float:
    """Largest shared area near the two best turns of the spectrum, by golden section on GEOS."""
    base = shapely.Polygon(fixed)
    shapely.prepare(base)

    def shared(turn: float) -> float:
        c, s = math.cos(turn), math.sin(turn)
        x, y = turned[:, 0], turned[:, 1]
        other = shapely.Polygon(np.stack([c * x - s * y, s * x + c * y], axis=1))
        return float(base.intersection(other).area)

    step = 2 * math.pi / _TURNS
    rises = (values >= np.roll(values, 1)) & (values > np.roll(values, -1))
    rises[values.argmax()] = True  # a round board is as good at every turn
    peaks = np.flatnonzero(rises)
    best = 0.0
    for peak in peaks[np.argsort(-values[peaks], kind="stable")][:2]:
        if values[peak] < values[peaks].max() - 0.05 * math.pi:
            break
        low, high = (peak - 1.2) * step, (peak + 1.2) * step
        g = (math.sqrt(5) - 1) / 2
        a, b = high - g * (high - low), low + g * (high - low)
        fa, fb = shared(a), shared(b)
        while high - low > TOLERANCES.overlap:
            if fa >= fb:
                high, b, fb = b, a, fa
                a = high - g * (high - low)
                fa = shared(a)
            else:
                low, a, fa = a, b, fb
                b = low + g * (high - low)
                fb = shared(b)
        best = max(best, fa, fb)
    return best

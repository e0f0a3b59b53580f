"""Which plank of the rack a board is shown of.

A maker does not take the first plank. Of twelve that a board's recipe names, it is shown of the one
whose figure shows best on it: clear over all of the face, arches all one way, rings that waver
little. The weights were fitted on 216 boards that fresh eyes judged, in six timbers: in walnut the
clearest two fifths were wanted 9 times in 10, the faintest two 3 or 4 times.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon, contains_xy, dwithin, points

from shapes.collection.board import Report
from shapes.files.recipe import digest
from shapes.geometry.curve import Array, Flags, flatten
from shapes.geometry.outline import Outline, bounds
from shapes.pictures.log import Log, Shade, log_of

PLANKS = 12
_STEP = 6.0  # mm between the places at which a plank is looked at, on a board of up to _LARGE mm
_LARGE = 800.0
_PATCH = 45.0  # mm: patches of a face that an eye takes in one by one
_FEWEST = 15  # places that a patch is judged by
# Spread of lightness (natural logarithm) that is enough: within the faintest patches, within the
# middle one, and from patch to patch.
_FAINT, _CLEAR, _BANDS = 0.025, 0.045, 0.1
_WEAK = 0.15  # share of the patches that count as the faintest
_BOTH, _WAVER = 4.0, 1.0  # what figure facing both ways, and a waver of a ring, take off
_BESIDE, _STAIN = 30.0, 4.0  # mm round an opening; what darker wood there takes off
# mm of radius a mm along: below it (rings steeper than some 25 degrees) rings run level and make no
# arches, which counts as much as arches that face both ways by halves; our choice by eye.
_TAPERS, _NONE = 0.03, 0.5
_EVEN = 0.01  # of the length: a middle of mass that lies no further off is in the middle


def plank_of(report: Report) -> str:
    """Return the key (hexadecimal) of the plank that a board is shown of."""
    first = int(digest(report.board), 16)
    keys = [f"{(first + k) % 16**6:06x}" for k in range(PLANKS)]
    places = _places(report.outline)
    if not len(places):
        return keys[0]
    holes = MultiPolygon([Polygon(flatten(c)) for c in report.outline.openings])
    beside = dwithin(holes, points(places[:, :2]), _BESIDE)
    shown = [clearness(log_at(report, key), places, beside) for key in keys]
    return keys[int(np.argmax(shown))]


def log_at(report: Report, key: str) -> Log:
    """Return the log of a key, laid under a board as a maker would lay it.

    The figure's axis runs through the middle of mass; arches as a rule close toward the lighter
    end.
    """
    brief, grain = report.board.brief, report.subject.grain
    x0, y0, x1, y1 = bounds(report.outline)
    heavy = report.subject.section.centroid
    return log_of(
        brief.timber.look,
        key,
        reach=max(x1 - x0, y1 - y0) / 2,
        thickness=brief.thickness,
        rings_deg=brief.rings,
        grain=grain,
        middle=heavy[1] * math.cos(grain) - heavy[0] * math.sin(grain),
        toward=_light_end(heavy[0] - (x0 + x1) / 2, x1 - x0),
    )


def clearness(log: Log, places: Shade, beside: Flags) -> float:
    """Return how well a log's figure shows at places (n, 3) of a face: more is better.

    ``beside`` (n,) are those that lie at an opening, where what is dark looks like a stain.
    """
    x, y, z = log.places(places)
    radius = log.radius(x, y, z)
    ahead = log.radius(x + np.float32(_STEP / 4), y, z) - radius
    tapers = abs(log.drift[1]) > _TAPERS
    both = min(np.mean(ahead > 0), np.mean(ahead < 0)) if tapers else _NONE
    waver = np.std(radius - log.calm_radius(x, y, z)) / log.look.ring
    calm = -_BOTH * both - _WAVER * waver
    if log.look.pores == "ring":  # its lines are bold enough on any plank
        return float(calm)
    colour, _ = log.colour(places, _STEP)
    light = 0.5 * np.log(colour.mean(axis=1))
    within, between = _spread(places, light)
    stain = max(float(light.mean() - light[beside].mean()), 0.0) if beside.any() else 0.0
    faint, middle = np.quantile(within, [_WEAK, 0.5])
    return float(
        calm
        + min(faint / _FAINT, 1.0)
        + 0.5 * min(middle / _CLEAR, 1.0)
        + min(between / _BANDS, 1.0)
        - _STAIN * stain
    )


def _spread(places: Shade, light: NDArray[np.floating]) -> tuple[Array, float]:
    """Standard deviation of lightness in each patch, and of the patches' means."""
    column, row = ((places[:, i] - places[:, i].min()) // _PATCH for i in (0, 1))
    _, patch, count = np.unique(column * 1000 + row, return_inverse=True, return_counts=True)
    mean = np.bincount(patch, light) / count
    square = np.bincount(patch, (light - mean[patch]) ** 2) / count
    enough = count >= min(_FEWEST, count.max())
    return np.sqrt(square[enough]), float(mean[enough].std())


def _places(outline: Outline) -> Shade:
    """Places of the upper face, inside the edge and outside openings."""
    x0, y0, x1, y1 = bounds(outline)
    step = _STEP * max(1.0, max(x1 - x0, y1 - y0) / _LARGE)
    at = (np.arange(a + step / 2, b, step) for a, b in ((x0, x1), (y0, y1)))
    x, y = (v.ravel() for v in np.meshgrid(*at))
    face = Polygon(flatten(outline.edge), [flatten(c) for c in outline.openings])
    inside = contains_xy(face, x, y)
    flat = np.stack([x[inside], y[inside], np.zeros(inside.sum())], axis=1)
    return np.asarray(flat, dtype=np.float32)


def _light_end(off: float, length: float) -> int:
    """Say which end of x is the lighter: 1, -1, or 0 where the middle of mass lies in the middle."""
    if abs(off) < _EVEN * length:
        return 0
    return -1 if off > 0 else 1

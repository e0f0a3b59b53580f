"""Light on a board.

The sun from one side, the sky, the oil's sheen, the fibres' own, and the shadow.

The fibres under the finish throw light back along a cone about themselves (Marschner, Westin,
Arbree and Moon, ACM TOG 24(3), 2005); here it is a soft band that brightens and dims as the fibres
rise and fall.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from shapes.pictures.screen import Screen, dragged, moved
from shapes.pictures.surface import LEAN

Shade = NDArray[np.float32]

GROUND: Shade = np.array([250, 247, 241], dtype=np.float32) / np.float32(
    255
)  # the paper of the sheets
_SUN = np.array([-0.48, 0.52, 0.71]) / math.sqrt(0.48**2 + 0.52**2 + 0.71**2)
_SIGHT = np.array([0.0, -LEAN, 1.0]) / math.hypot(LEAN, 1.0)
_HALF = (_SUN + _SIGHT) / np.linalg.norm(_SUN + _SIGHT)
# Red, green and blue of the sun, the sky and what the ground and the wood itself throw back.
_DIRECT, _SKY, _BOUNCE = (
    np.array(v, dtype=np.float32)
    for v in ((0.66, 0.64, 0.60), (0.45, 0.45, 0.46), (0.46, 0.41, 0.36))
)
_ROUND = 0.30  # a broad window lights what turns this far from it
_FALL = 0.03  # light is so much stronger at the window's side of a board, and weaker at the other
_FIBRE, _WIDE = 0.085, 0.5  # strength and half width of the fibres' band
_SHEEN, _TIGHT = 0.16, 22.0  # strength and exponent of the oil's
_END = 0.26  # end grain drinks oil and is darker by this


def lit(
    colour: Shade,
    lift: Shade,
    normal: Shade,
    side: Shade | float = 0.0,
    *,
    finished: float | Shade = 1.0,
    grain: float | None = 0.0,
) -> Shade:
    """Colour (n, 3) of oiled wood in the light, linear.

    ``side`` runs from 1 on the window's side of a board to -1 on the other; ``finished`` 0 is bare
    wood from the saw; ``grain`` is the angle of the grain to the x axis, radians: what faces along
    it is end grain and darker; None where there is none.
    """
    polish = np.asarray(finished, dtype=np.float32)
    facing = normal @ _SUN.astype(np.float32)
    sun = np.clip((facing + _ROUND) / (1 + _ROUND), 0, None)
    up = normal[:, 2]
    light = sun[:, None] * _DIRECT + (0.5 + 0.5 * up)[:, None] * _SKY
    below = (0.4 + 0.6 * np.clip(-normal[:, 1], 0, None)) * (1 - up)
    light += below[:, None] * _BOUNCE
    # The half-way direction lies across the fibres when they run level: lift tilts them out of it.
    off = _HALF[0] * 0.6 + 0.55 * lift + 0.1 * side
    band = _FIBRE * np.exp(-((off / _WIDE) ** 2)) * sun * polish
    shine = np.clip(normal @ _HALF.astype(np.float32), 0, None) ** np.float32(_TIGHT)
    shine *= np.clip(0.7 + 0.5 * lift, 0.1, 1.6)  # fibre by fibre
    dark = np.ones(1, dtype=np.float32)
    if grain is not None:
        along = normal @ np.array([math.cos(grain), math.sin(grain), 0], dtype=np.float32)
        dark = 1 - np.float32(_END) * along**2 * (1 - normal[:, 2] ** 2)
    near = dark * (1 + np.float32(_FALL) * np.asarray(side, dtype=np.float32))
    made = colour * (light + (1.6 * band)[:, None]) * near[:, None]
    made += (polish * _SHEEN * 0.5 * shine + 0.12 * band * np.sqrt(colour[:, 1]))[:, None]
    return np.asarray(made, dtype=np.float32)


def shadow(screen: Screen, cover: Shade, thickness: float) -> Shade:
    """Share of light (rows, columns) that is kept from the ground about a board lying on it."""
    rows, columns = cover.shape
    # It is soft, so every other pixel does.
    even = np.pad(cover, ((0, rows % 2), (0, columns % 2)), mode="edge")
    half: Shade = np.asarray(
        (even[::2, ::2] + even[1::2, ::2] + even[::2, 1::2] + even[1::2, 1::2]) / 4,
        dtype=np.float32,
    )
    scale = screen.scale / 2
    far = thickness * scale * 0.55
    down, right = round(0.62 * far), round(0.66 * far)
    soft = moved(_blur(dragged(half, down, right), 0.8 * scale + 0.2 * far), right // 3, right // 3)
    # Where it stands the ground is darkest; towards the light it hides its own shadow.
    step = max(1, round(1.1 * scale))
    near = moved(_blur(half, 0.8 * scale), step, step)
    kept = _doubled(_doubled(0.34 * soft + 0.30 * near, 0), 1)
    return np.asarray(kept[:rows, :columns], dtype=np.float32)


def _doubled(cells: Shade, axis: int) -> Shade:
    """Twice as many cells along an axis, linear between the old ones."""
    n = cells.shape[axis]
    before = np.take(cells, np.maximum(np.arange(n) - 1, 0), axis=axis)
    after = np.take(cells, np.minimum(np.arange(n) + 1, n - 1), axis=axis)
    pair = np.stack([0.25 * before + 0.75 * cells, 0.75 * cells + 0.25 * after], axis=axis + 1)
    shape = list(cells.shape)
    shape[axis] *= 2
    return np.asarray(pair.reshape(shape))


def _blur(cells: Shade, width: float) -> Shade:
    """Three running means, near enough to a Gaussian of that half width."""
    n = max(1, round(width))
    made = cells
    for axis in (0, 1):
        count, span = made.shape[axis], 2 * n + 1
        for _ in range(3):
            pad = [(n + 1, n) if i == axis else (0, 0) for i in range(2)]
            gone = np.cumsum(np.pad(made, pad), axis=axis, dtype=np.float32)
            low, high = (
                gone[a : a + count] if axis == 0 else gone[:, a : a + count] for a in (0, span)
            )
            made = (high - low) / np.float32(span)
    return made


def on_ground(colour: Shade, cover: Shade, kept: Shade, ground: Shade = GROUND) -> Shade:
    """Lay light colours (rows, columns, 3) by their coverage on a ground in their shadow.

    A ground is a tone, or what lies there already in linear light.
    """
    linear = (ground * ground)[None, None] if ground.ndim == 1 else ground
    below = linear * (1 - 0.75 * np.clip(kept, 0, 1))[..., None]
    return np.asarray(colour * cover[..., None] + below * (1 - cover[..., None]), dtype=np.float32)


def as_bytes(linear: Shade) -> NDArray[np.uint8]:
    """Linear light to 0..255."""
    return np.asarray(np.sqrt(np.clip(linear, 0, 1)) * 255 + 0.5, dtype=np.uint8)

"""The finished board: wood, rounded edge and light, as an array of pixels.

The same board, brief and version give the same pixels, in any process and on any number of threads.
"""

from __future__ import annotations

import base64
import io
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, TypeVar

import numpy as np
from numpy.typing import NDArray

from shapes.collection.board import Report
from shapes.geometry.curve import Array, flatten
from shapes.geometry.outline import Outline, bounds, flip_of, turned_over
from shapes.pictures.light import as_bytes, lit, on_ground, shadow
from shapes.pictures.log import Log, linear
from shapes.pictures.plank import log_at, plank_of
from shapes.pictures.screen import Screen, coverage
from shapes.pictures.surface import LEAN, Seen, rims_of, screen_round, seen

if TYPE_CHECKING:  # the bench stands on more of scipy than a sheet has need to wait for
    from shapes.workshop.job import Placed

THREADS = 2  # numpy lets go of Python's lock; more gains nothing on arrays of this size
_BATCH = 1 << 16  # pixels at a time: they stay in the processor's nearest memory
GROUND = 16.0  # mm of ground round a board
BURNT = (0.055, 0.028, 0.016)  # linear light of wood under a laser; our choice by eye
Pixels = NDArray[np.uint8]
T = TypeVar("T")
R = TypeVar("R")


@dataclass(frozen=True, slots=True, eq=False)
class Marked:
    """A mark on the face that is seen.

    Its rings, and its ink as linear light, or None where it is burnt.

    One that goes ``through`` the wood is seen on its edges too, and tints it: the figure stays.
    """

    rings: list[Array]
    ink: tuple[float, float, float] | None
    through: bool = False


@dataclass(frozen=True, eq=False)
class Body:
    """A board as a thing.

    Its outline as it lies, how it is eased, the log it is of, and its marks.
    """

    outline: Outline
    thickness: float
    round_over: float
    bearing: float
    log: Log
    marks: tuple[Marked, ...] = ()
    turned: tuple[float, float] | None = None  # signs of x and y, where the underside is up
    finished: float = 1.0  # 0 for bare wood

    def screen(self, scale: float, ground: float = GROUND) -> Screen:
        """Return the screen that shows it with ``ground`` mm round it, ``scale`` pixels a mm."""
        return screen_round(bounds(self.outline), scale, ground, self.thickness)

    def seen(self, screen: Screen, lean: float = LEAN) -> Seen:
        """Return what each pixel of a screen sees of it."""
        rims = rims_of(self.outline, self.thickness, self.round_over, self.bearing)
        return seen(rims, self.thickness, screen, lean)

    def light(self, on: Seen) -> NDArray[np.float32]:
        """Linear light (rows x columns, 3) of every covered pixel."""
        made = np.zeros((on.cover.size, 3), dtype=np.float32)
        x0, y0, x1, y1 = bounds(self.outline)
        x, y, reach = (
            np.float32(v) for v in ((x0 + x1) / 2, (y0 + y1) / 2, (x1 - x0 + y1 - y0) / 2)
        )
        grain = self.log.grain * (1 if self.turned is None else self.turned[0] * self.turned[1])
        pixel = 1 / on.screen.scale
        table = self.log.table(pixel)
        flip = np.array([1, 1, 1] if self.turned is None else [*self.turned, -1], dtype=np.float32)
        lift = np.array([0, 0, 0 if self.turned is None else -self.thickness], dtype=np.float32)
        marks = [(coverage(on.screen, m.rings).reshape(-1), m) for m in self.marks]
        ends = [*range(0, on.flat, _BATCH), *range(on.flat, len(on.at), _BATCH), len(on.at)]
        for start, end in pairwise(ends):
            part = slice(start, end)
            at = on.at[part]
            normal = on.normal[part] if start >= on.flat else None
            colour, rise = self.log.colour(on.place[part] * flip + lift, pixel, table, normal)
            polish = np.full(len(at), self.finished, dtype=np.float32)
            for share, mark in marks:
                if start >= on.flat and not mark.through:
                    continue
                there = share[at][:, None]
                ink = np.array(BURNT if mark.ink is None else mark.ink, dtype=np.float32)
                if mark.through:
                    colour = colour * (1 - there + there * ink)
                    continue
                colour = colour * (1 - 0.95 * there) + ink * there
                rise = rise + 3 * there[:, 0]
                polish *= 1 - 0.8 * there[:, 0]
            place = on.place[part]
            side = np.asarray(((place[:, 1] - y) - (place[:, 0] - x)) / reach, dtype=np.float32)
            made[at] = lit(colour, rise, on.normal[part], side, finished=polish, grain=grain)
        return made


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """A board's pixels (rows, columns, 3) in linear light,
    its coverage, and the shadow it throws.
    """

    screen: Screen
    light: NDArray[np.float32]
    cover: NDArray[np.float32]
    kept: NDArray[np.float32]

    @property
    def pixels(self) -> Pixels:
        """On the ground, 0..255."""
        return as_bytes(on_ground(self.light, self.cover, self.kept))

    @property
    def cut_out(self) -> Pixels:
        """Without a ground, (rows, columns, 4): the shadow is black that lets the page through."""
        dark = 1 - np.sqrt(1 - 0.75 * np.clip(self.kept, 0, 1))
        alpha = self.cover + dark * (1 - self.cover)
        share = np.where(alpha > 0, self.cover / np.maximum(alpha, 1e-6), 0)[..., None]
        return np.concatenate(
            [as_bytes(self.light * share**2), (alpha * 255 + 0.5).astype(np.uint8)[..., None]],
            axis=2,
        )


def picture(body: Body, screen: Screen, lean: float = LEAN) -> Picture:
    """Return what a screen shows of a board."""
    on = body.seen(screen, lean)
    return Picture(
        screen,
        body.light(on).reshape(*screen.shape, 3),
        on.cover,
        shadow(screen, on.cover, body.thickness),
    )


def body_of(
    report: Report, marks: Sequence[Marked] = (), *, under: bool = False, log: str = ""
) -> Body:
    """Return a board as a thing, its upper face or its
    underside up, of a log of its own, or of one named.
    """
    brief = report.board.brief
    cut_of = log_at(report, log or plank_of(report))
    body = Body(
        report.outline, brief.thickness, brief.round_over, brief.guide_bearing, cut_of, tuple(marks)
    )
    if not under:
        return body
    x, y = flip_of(report.outline).tolist()
    return replace(body, outline=turned_over(report.outline), turned=(x, y))


def drawn_marks(placed: Sequence[Placed | None], ink: str, *, under: bool) -> list[Marked]:
    """Return the marks on one face, as that face lies."""
    r, g, b = linear(ink).tolist()
    made = []
    for mark, colour in zip(placed, (None, (r, g, b)), strict=True):
        if mark is not None and mark.face.under == under:
            made.append(Marked([flatten(c) for c in mark.mark.curves], colour))
    return made


def at_once(run: Callable[[T], R], each: Sequence[T]) -> list[R]:
    """Run for each, on two threads."""
    with ThreadPoolExecutor(THREADS) as pool:
        return list(pool.map(run, each))


def wide(body: Body, pixels: int) -> Picture:
    """Return a picture ``pixels`` wide."""
    x0, _, x1, _ = bounds(body.outline)
    screen = body.screen(pixels / (x1 - x0 + 2 * GROUND))
    spare = (screen.columns - pixels) / 2
    return picture(body, replace(screen, columns=pixels, left=screen.left + spare / screen.scale))


def png_of(pixels: Pixels) -> bytes:
    """Return pixels (rows, columns, 3 or 4) as a PNG."""
    return _encoded(pixels, "PNG", compress_level=3)


def jpeg_of(pixels: Pixels, quality: int = 88) -> bytes:
    """Return pixels (rows, columns, 3) as a JPEG."""
    return _encoded(pixels, "JPEG", quality=quality, subsampling=0)


def data_of(jpeg: bytes) -> str:
    """Return a JPEG as an address that holds it."""
    return "data:image/jpeg;base64," + base64.b64encode(jpeg).decode()


def _encoded(pixels: Pixels, kind: str, **how: int) -> bytes:
    from PIL import Image

    held = io.BytesIO()
    Image.fromarray(pixels).save(held, kind, **how)
    return held.getvalue()

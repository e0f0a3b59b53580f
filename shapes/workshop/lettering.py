"""Lettering and artwork.

Set in lines or along the edge, sized to an area, checked for a laser's spot.

A font gives runs of letters one em high; here they are placed, welded where they touch, and judged.
All curves stay what the font or the drawing has: placed, never fitted.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import shapely

from shapes.errors import InputError, Problem
from shapes.geometry.curve import Array, Curve, flatten, turn
from shapes.geometry.rectangle import Rectangle
from shapes.mending.crossings import CannotRepairError, crossing, resolved
from shapes.mending.loops import Loops, nest
from shapes.reach.closing import quarter_segments
from shapes.workshop.face import Face

LEGIBLE = 4.0  # mm, height of a capital letter (design)
LEADING = 1.35  # line to line, in ems of the font's own height; our choice
CHORD_ERROR = 0.002  # mm
LEVEL = 0.3  # a stretch that leans by a radian counts as bent by this; our choice
TAIL = 3.0  # spot radii by which something fine has to run on, so that corners over 30 degrees pass


@dataclass(frozen=True, slots=True, eq=False)
class Letter:
    """One letter of a run: its loops in ems, its place on the baseline and its advance, in ems."""

    loops: tuple[Curve, ...]
    at: tuple[float, float]
    advance: float


class Typeface(Protocol):
    """A font: its name, the height of a capital in ems, and runs of letters."""

    @property
    def name(self) -> str:
        """What it is called."""

    @property
    def capital(self) -> float:
        """Height of a capital, in ems."""

    def run(self, text: str) -> list[Letter]:
        """Letters of a line, kerned. Raises InputError for a letter the font lacks."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class Mark:
    """What is engraved or printed: boards of loops in the face's coordinates, and where it lies."""

    loops: tuple[Loops, ...]
    area: Rectangle
    capital: float | None  # mm, height of a capital letter; None for artwork
    says: str
    notes: tuple[str, ...] = ()

    @property
    def curves(self) -> list[Curve]:
        """Every loop."""
        return [c for b in self.loops for c in (b.edge, *b.openings)]

    @property
    def filled(self) -> shapely.Geometry:
        """What is burnt or printed, as polygons."""
        return _filled(self.loops)


def set_lines(font: Typeface, text: str) -> list[Curve]:
    """Set lines of text, centred, in ems round (0, 0). Raises InputError for what cannot be set."""
    lines = [line.strip() for line in text.replace("\\n", "\n").split("\n")]
    if not any(lines):
        raise InputError(Problem("--text", "says nothing"))
    made: list[Curve] = []
    for row, line in enumerate(lines):
        letters = font.run(line)
        width = letters[-1].at[0] + letters[-1].advance if letters else 0.0
        for letter in letters:
            shift = np.array([letter.at[0] - width / 2, letter.at[1] - row * LEADING])
            made += [Curve(c.segments + shift) for c in letter.loops]
    if not made:
        raise InputError(Problem("--text", f"{text!r} leaves no mark"))
    return _centred(made)


def _centred(curves: Sequence[Curve]) -> list[Curve]:
    p = np.concatenate([flatten(c, 0.001) for c in curves])
    middle = (p.min(axis=0) + p.max(axis=0)) / 2
    return [Curve(c.segments - middle) for c in curves]


def size_of(curves: Sequence[Curve]) -> tuple[float, float]:
    """Length and width of the box of curves."""
    p = np.concatenate([flatten(c, 0.001) for c in curves])
    length, width = p.max(axis=0) - p.min(axis=0)
    return float(length), float(width)


def placed(curves: Sequence[Curve], area: Rectangle, scale: float) -> list[Curve]:
    """Bring curves round (0, 0) into an area."""
    return [
        Curve(turn(c.segments * scale, area.angle) + np.array([area.x, area.y])) for c in curves
    ]


def lettered(
    font: Typeface,
    curves: Sequence[Curve],
    area: Rectangle,
    text: str,
    height: float | None = None,
    where: str = "board",
) -> Mark:
    """Place set text in an area at the largest size that fits, or with capitals ``height`` mm high.

    Raises InputError where it cannot be read or does not fit, and says the largest that would.
    """
    length, width = size_of(curves)
    scale = min(area.length / length, area.width / width)
    most = scale * font.capital
    if height is not None and height > most * (1 + 1e-9):
        raise InputError(
            Problem(
                where,
                f"letters {height:g} mm high do not fit",
                f"up to {most:.1f} mm",
                "shorter text, more lines, or another face",
            )
        )
    if height is None and most < LEGIBLE:
        raise InputError(
            Problem(
                where,
                f"takes the text with capitals {most:.1f} mm high at most, too small to read",
                f"at least {LEGIBLE:g} mm",
                "shorter text, more lines (\\n), another face, or say --letter-height",
            )
        )
    if height is not None:
        scale = height / font.capital
    return Mark(_welded(placed(curves, area, scale)), area, scale * font.capital, text)


def drawn(curves: Sequence[Curve], area: Rectangle, name: str) -> Mark:
    """Place artwork in an area at the largest size that fits."""
    centred = _centred(curves)
    length, width = size_of(centred)
    scale = min(area.length / length, area.width / width)
    return Mark(_welded(placed(centred, area, scale)), area, None, name)


def along_edge(
    font: Typeface, text: str, face: Face, offset: float, height: float, where: str = "board"
) -> Mark:
    """Set one line along the edge of a face, ``offset`` mm clear of it, on the straightest
    stretch that reads upright.

    Raises InputError where no stretch is long enough, and says the largest letters that would fit.
    """
    made = _curved(font, text, face, offset, height)
    if made is None:
        low, high = 0.5, height
        for _ in range(12):
            middle = (low + high) / 2
            low, high = (
                (middle, high) if _curved(font, text, face, offset, middle) else (low, middle)
            )
        raise InputError(
            Problem(
                where,
                f"text with capitals {height:g} mm high finds no stretch of edge",
                f"up to {low:.1f} mm",
                "shorter text or smaller letters",
            )
        )
    return made


def _curved(font: Typeface, text: str, face: Face, offset: float, height: float) -> Mark | None:
    letters, scale = font.run(text), height / font.capital
    long = (letters[-1].at[0] + letters[-1].advance) * scale if letters else 0.0
    room = shapely.buffer(face.outline.wood, -offset, quad_segs=32)
    # Anticlockwise the tops point inwards; clockwise outwards, a capital further in.
    for inset, way in ((offset, 1), (offset + 1.25 * height, -1)):
        ring = max(
            shapely.get_parts(shapely.buffer(face.outline.wood, -inset, quad_segs=32)),
            key=lambda p: p.area,
            default=None,
        )
        if ring is None or shapely.is_empty(ring) or ring.exterior.length < long:
            continue
        line = shapely.get_coordinates(shapely.segmentize(ring.exterior, 1.0))[:-1][::way]
        for start in _straightest(line, long):
            loops = _welded(_on_line(letters, line, start, scale))
            made = _filled(loops)
            if shapely.covers(room, made):
                return Mark(loops, _box_round(made), height, text)
    return None


def _box_round(shape: shapely.Geometry) -> Rectangle:
    """The least box round a shape, at any angle, its length reading upright."""
    box = shapely.minimum_rotated_rectangle(shape)
    a, b, c = shapely.get_coordinates(box)[:3]
    long, wide = (b - a, c - b) if np.hypot(*(b - a)) >= np.hypot(*(c - b)) else (c - b, b - a)
    angle = math.remainder(math.atan2(long[1], long[0]), math.pi)
    middle = box.centroid
    return Rectangle(middle.x, middle.y, angle, float(np.hypot(*long)), float(np.hypot(*wide)))


def _straightest(line: Array, long: float) -> list[int]:
    """Starts of stretches of a ring that read upright, the
    straightest and most level first, some 15 mm apart.
    """
    step = np.roll(line, -1, axis=0) - line
    pieces = np.hypot(*step.T)
    heading = np.unwrap(np.arctan2(step[:, 1], step[:, 0]))
    count = max(2, int(long / pieces.mean()))
    n = len(line)
    found = []
    for start in range(0, n, max(1, int(15 / pieces.mean()))):
        run = heading[(start + np.arange(count)) % n]
        middle = math.remainder(float(np.median(run)), math.tau)
        if abs(middle) <= math.radians(60):
            found.append((float(np.ptp(np.unwrap(run))) + LEVEL * abs(middle), start))
    return [start for _, start in sorted(found)][:12]


def _on_line(letters: Sequence[Letter], line: Array, start: int, scale: float) -> list[Curve]:
    """Set letters on a ring, the middle of each on it, turned with it."""
    path = np.roll(line, -start, axis=0)
    gone = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    made = []
    for letter in letters:
        at = (letter.at[0] + letter.advance / 2) * scale
        x, y = np.interp(at, gone, path[:, 0]), np.interp(at, gone, path[:, 1])
        ahead, behind = (
            [np.interp(at + side * 2.0, gone, path[:, i]) for i in (0, 1)] for side in (1, -1)
        )
        angle = math.atan2(ahead[1] - behind[1], ahead[0] - behind[0])
        for c in letter.loops:
            local = c.segments * scale - (letter.advance / 2 * scale, -letter.at[1] * scale)
            made.append(Curve(turn(local, angle) + np.array([x, y])))
    return made


def _welded(curves: Sequence[Curve]) -> tuple[Loops, ...]:
    """Sort loops into shapes and their counters; letters that touch become one shape."""
    boards, _ = nest(list(curves))
    if crossing(boards) is None:
        return tuple(boards)
    try:
        return tuple(resolved(boards)[0])
    except CannotRepairError as error:
        raise InputError(
            Problem("--text", f"its letters cannot be welded: {error}", "", "another font")
        ) from None


def _filled(loops: Sequence[Loops]) -> shapely.Geometry:
    return shapely.union_all(
        [
            shapely.Polygon(
                flatten(b.edge, CHORD_ERROR), [flatten(c, CHORD_ERROR) for c in b.openings]
            )
            for b in loops
        ]
    )


@dataclass(frozen=True, slots=True)
class Fineness:
    """Finest stroke and gap, mm; None where nothing is finer than was asked."""

    stroke: float | None
    gap: float | None


def fineness(mark: Mark, spot: float) -> Fineness:
    """Return the finest stroke and gap where they are finer than a spot, mm."""
    shape = mark.filled
    around = shapely.difference(shapely.box(*shapely.bounds(shape.buffer(2 * spot))), shape)
    return Fineness(_finest(shape, spot), _finest(around, spot))


def _finest(shape: shapely.Geometry, spot: float) -> float | None:
    if not _fine(shape, spot):
        return None
    low, high = 0.0, spot
    for _ in range(7):
        middle = (low + high) / 2
        low, high = (low, middle) if _fine(shape, middle) else (middle, high)
    return high


def _fine(shape: shapely.Geometry, spot: float) -> bool:
    """Whether anything narrower than a spot runs on for more than TAIL of its radii."""
    r = spot / 2
    quads = quarter_segments(r, 0.002)
    opened = shapely.buffer(shapely.buffer(shape, -r, quad_segs=quads), r * 1.001, quad_segs=quads)
    rest = [
        p for p in shapely.get_parts(shapely.difference(shape, opened)) if p.area > r * r * 0.02
    ]
    if not rest:
        return False
    if shapely.is_empty(opened):
        return True
    close = shapely.segmentize(np.array(rest, dtype=object), spot)
    points = shapely.points(shapely.get_coordinates(close))
    return bool(shapely.distance(points, opened).max() > TAIL * r)

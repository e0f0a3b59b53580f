"""From genes to a board: which form, which handle, their parameters and the noise that disturbs.

Genes are all that a seed decides; the same genes and brief sizes draw the same board.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from shapes.forms import FORMS
from shapes.forms import NOISE as FORM_NOISE
from shapes.forms.settle import settle
from shapes.geometry.body import Body
from shapes.geometry.curve import Array, bounds, pair, spline
from shapes.geometry.outline import Outline
from shapes.handles import HANDLES
from shapes.handles import NOISE as HANDLE_NOISE
from shapes.handles.hand import Needs, Round, Sketch
from shapes.parameters import from_shares, ranges

NOISE = FORM_NOISE + HANDLE_NOISE
CALM = 1.8  # noise is cut at this many standard deviations: no freak control points
NECK = 135.0  # mm of the length that a neck and its shoulders take, about
FILL = (0.955, 0.995)  # share of the stated length or width that a board takes


@dataclass(frozen=True, slots=True)
class Size:
    """The box a board is drawn into, mm, along and across the grain, and what its handle needs."""

    length: float
    width: float
    needs: Needs


@dataclass(frozen=True, slots=True)
class Band:
    """The run of timber that a body is drawn to follow: lower and upper line at even stations, mm.

    ``full`` draws the body out towards both lines: 0 not at all, 1 a point half way to three quarters.
    ``at`` is the pose (x, y, angle) in which the board lies on its off-cut, once that is known.
    """

    length: float
    low: tuple[float, ...]
    high: tuple[float, ...]
    full: float = 0.0
    at: tuple[float, float, float] | None = None

    def scaled(self, by: float) -> Band:
        """Return the same band larger or smaller."""
        low, high = (tuple(v * by for v in line) for line in (self.low, self.high))
        return replace(self, length=self.length * by, low=low, high=high)

    def turned(self) -> Band:
        """Return the band turned by half a turn about the middle of its length, y = 0."""
        low, high = (tuple(-v for v in line[::-1]) for line in (self.high, self.low))
        return replace(self, low=low, high=high)

    def bent(self, body: Body, start: float, scale: float) -> Body:
        """Scale a body along x by ``scale`` and let it follow the band, its left end at the band's.

        ``start``: the body's own left end. What lies between its lowest and highest point comes to
        lie between the lines.
        """
        _, y0, _, y1 = body.box()
        stations = np.linspace(0, self.length, len(self.low))

        def put(p: Array) -> Array:
            x = (p[..., 0] - start) * scale
            low, high = np.interp(x, stations, self.low), np.interp(x, stations, self.high)
            side = 2 * (p[..., 1] - y0) / (y1 - y0) - 1
            side = side * (1 + self.full) / (1 + self.full * np.abs(side))
            share = (1 + side) / 2
            return np.stack([x, low + share * (high - low)], axis=-1)

        head, tail = (pair(put(np.array(e))) for e in (body.head, body.tail))
        return Body(put(body.control), head, tail, body.meant)


@dataclass(frozen=True, slots=True)
class Genes:
    """Everything that decides one board besides its size: shares are 0 to 1 of each range."""

    form: str
    handle: str
    form_shares: tuple[tuple[str, float], ...]
    handle_shares: tuple[tuple[str, float], ...]
    noise: tuple[float, ...]
    flip: tuple[bool, bool]  # up to down, end to end
    fill: float
    band: Band | None = None  # of an off-cut, in place of the box


def random_genes(
    rng: np.random.Generator, form: str, handle: str, length: float, width: float
) -> Genes:
    """Draw genes; the slenderness leans to that of the wood, within the form's own range."""
    kind, hand = FORMS[form].kind, HANDLES[handle].kind
    shares = {n: float(rng.random()) for n in ranges(kind)}
    least = 0.2 if handle.startswith("neck") else 0.6  # a body beside its neck is to be broad
    spread = 1.0 + 0.22 * (shares["slenderness"] - 0.4)
    wanted = slenderness_for(form, handle, length, width / spread)
    shares["slenderness"] = float(np.clip(wanted, least * shares["slenderness"], 1))
    return Genes(
        form,
        handle,
        tuple((n, round(v, 6)) for n, v in shares.items()),
        tuple((n, round(float(rng.random()), 6)) for n in ranges(hand)),
        tuple(np.round(rng.standard_normal(NOISE).clip(-CALM, CALM), 6).tolist()),
        (bool(rng.random() < 0.5), bool(rng.random() < 0.5)),
        round(float(rng.uniform(*FILL)), 6),
    )


def slenderness_for(form: str, handle: str, length: float, width: float) -> float:
    """Share of a form's slenderness at which its body fills a box of mm; may lie outside 0 to 1."""
    about = ranges(FORMS[form].kind)["slenderness"]
    neck = NECK if handle.startswith("neck") else 0.0
    return ((length - neck) / width - about.low) / (about.high - about.low)


def draw(genes: Genes, size: Size) -> Sketch:
    """Draw the board of these genes into a box; its middle is the origin, x along the grain."""
    return drawn(genes, size)[0]


def drawn(genes: Genes, size: Size) -> tuple[Sketch, tuple[float, float]]:
    """Draw a board, and say where its middle lay in the frame of the band it follows."""
    form, handle = FORMS[genes.form], HANDLES[genes.handle]
    noise = np.array(genes.noise)
    body = form.draw(from_shares(form.kind, dict(genes.form_shares)), noise[:FORM_NOISE])
    # A neck grows from the head, the end that the form draws out for it.
    ends = genes.flip[1] and not genes.handle.startswith("neck")
    body = body.flipped(over_x=genes.flip[0], over_y=ends)
    hand = from_shares(handle.kind, dict(genes.handle_shares))
    x0, y0, x1, y1 = body.box()
    outside = NECK if genes.handle.startswith("neck") else 0.0
    band = genes.band.turned() if genes.band and genes.flip[1] else genes.band
    box = size.length * genes.fill, size.width * genes.fill
    room = (band.length, math.inf) if band else box
    scale = min((room[0] - outside) / (x1 - x0), room[1] / (y1 - y0))
    for _ in range(6):
        sized = band.bent(body, x0, scale) if band else body.mapped(scale)
        sized = replace(sized, control=settle(sized.control, meant=sized.meant))
        sketch = handle.fit(sized, hand, noise[FORM_NOISE:], size.needs)
        about = bounds(spline(sketch.edge))
        over = max(
            (about[2] - about[0] - room[0]) / (x1 - x0), (about[3] - about[1] - room[1]) / (y1 - y0)
        )
        if abs(over) * (x1 - x0) < 0.4:
            break
        scale -= over
    if genes.flip[1]:
        sketch = turned(sketch)
        about = -about[2], -about[3], -about[0], -about[1]
    middle = (about[0] + about[2]) / 2, (about[1] + about[3]) / 2
    back = band.length if band and genes.flip[1] else 0.0  # the turned band ran from -length to 0
    return sketch.moved(-middle[0], -middle[1]).rounded(), (middle[0] + back, middle[1])


def turned(sketch: Sketch) -> Sketch:
    """Turn a sketch by half a turn, so that handles lie at the left as often as at the right."""
    return Sketch(
        -sketch.edge,
        tuple(
            -o if isinstance(o, np.ndarray) else Round(-o.x, -o.y, o.radius)
            for o in sketch.openings
        ),
        tuple((-x, -y, a) for x, y, a in sketch.grip),
    )


def outline_of(sketch: Sketch) -> Outline:
    """Make the outline of a sketch. Raises OutlineError where it crosses itself."""
    edge, *openings = sketch.curves()
    return Outline(edge, tuple(openings))

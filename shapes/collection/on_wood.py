"""Boards drawn for an off-cut: bodies that follow its outline and dodge its defects.

Every candidate takes a stretch of one of the piece's corridors, on a turn that the grain allows;
where a defect may lie in an opening, some are drawn over it so that the opening swallows it.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from shapes.collection.board import Board
from shapes.collection.brief import Brief
from shapes.collection.draw import NECK, Band, Genes, drawn, random_genes, slenderness_for
from shapes.collection.left import grainwise
from shapes.collection.place import SPARE, TRUE, Bed, range_of, settled
from shapes.collection.pool import form_and_handle
from shapes.collection.shape import WITHIN, grown, known_pose, shape_of, shapes_of, turns_of
from shapes.errors import CannotMeetError, OutlineError
from shapes.geometry.corridor import Corridor, bulging, corridors
from shapes.geometry.curve import Array, Flags, bounds, pair, turn
from shapes.geometry.measures import section
from shapes.geometry.pose import Pose, settle
from shapes.handles import HANDLES
from shapes.timber.off_cut import OffCut, Rules

_TURNS = np.radians([0.0, -3.5, 3.5, -7.0, 7.0])  # of the board to the grain
_FULLEST = 1.6  # how far bodies are drawn out towards the lines of their band, at most
_FULL = 0.74  # share of its band that a board fills, about
_STATIONS = 13  # of a band
_INSET = 1.0  # mm that a band keeps from the rules' own line: a spline swings out a little
_RUNS = 3  # corridors that one candidate chooses from
_LOOKS = 6  # starts along a corridor that one candidate chooses from
_EVEN = np.linspace(0, 1, _LOOKS)
_SWALLOW = 0.5  # share of candidates with an opening that are drawn over a defect
_DENT, _CALM = 22.0, 6.0  # mm deep that a dent in a band may be, for forms that bend and others
_BENDING = ("bean", "crescent", "driftwood", "gourd", "lobed", "river")
_DODGES = 4  # times that a band is drawn in
_SPREAD = 45.0  # mm along the band over which it is drawn in
_LEAST = 55.0  # mm: narrower is no band
_GROWN = 1.6  # times that a board may grow once it is chosen, at most
_SHRUNK = 0.85  # times that it may shrink to be fuller
_FULLER = (0.0, 0.7)  # by which it may be drawn out further to its band then
_LOST = 40.0  # mm: a board that lies this far wrong is not worth settling
_OPEN = ("opening", "two-openings", "thumb-hole")


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """A corridor of the piece, in a frame turned by ``angle``.

    ``over``: openings are to swallow what lies at these points, (x, y) of that frame.
    """

    angle: float
    corridor: Corridor
    over: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class OnWood:
    """Genes for boards that fit an off-cut."""

    brief: Brief
    piece: OffCut
    rules: Rules = field(init=False)
    runs: tuple[Run, ...] = field(init=False)
    swallowing: tuple[Run, ...] = field(init=False)
    bed: Bed = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Work out the corridors once."""
        rules = Rules(self.piece, self.brief.cutter)
        turns = [t for t in _TURNS.tolist() if abs(t) <= WITHIN]
        openable = [d for d in self.piece.defects if "opening" in d.may_lie_in and "body" not in d.may_lie_in]  # fmt: skip
        without = Rules(
            replace(self.piece, defects=tuple(d for d in self.piece.defects if d not in openable)),
            self.brief.cutter,
        )
        points = tuple((p.x, p.y) for p in (d.shape.centroid for d in openable))
        object.__setattr__(self, "rules", rules)
        object.__setattr__(self, "bed", Bed(rules))
        runs = _runs(rules, self.piece.grain, turns, ())
        if not runs:
            raise CannotMeetError(
                (
                    f"off-cut '{self.piece.name}': no stretch of it is 100 mm long and 40 mm wide"
                    " clear of its edge, defects and fixings: take a larger piece or a thinner cutter",
                )
            )
        object.__setattr__(self, "runs", runs)
        object.__setattr__(
            self,
            "swallowing",
            _runs(without, self.piece.grain, turns, points) if openable else (),
        )

    def genes(self, k: int, rng: np.random.Generator) -> Genes:
        """Take a form in turn, one of its handles, and a stretch of the piece; say where it lies."""
        form, handle = form_and_handle(self.brief, k, rng)
        genes = random_genes(rng, form, handle, self.brief.length, self.brief.width)
        draws = rng.random(_RUNS * (_LOOKS + 1) + 3)
        if handle in _OPEN and self.swallowing and rng.random() < _SWALLOW:
            over = self._over(genes, draws)
            if over is not None:
                return over
        some = [self.runs[int(u * len(self.runs))] for u in draws[:_RUNS]]
        found = [
            (self._stretch(genes, r.corridor, draws[_RUNS + i * _LOOKS :]), r)
            for i, r in enumerate(some)
        ]
        if not any(_room(band) for (band, _), _ in found):  # then every corridor, and short ones
            found = [
                (self._stretch(genes, r.corridor, np.append(np.roll(_EVEN, i), draws[-3:])), r)
                for i, r in enumerate(self.runs)
            ]
        (band, start), run = max(found, key=lambda f: _room(f[0][0]))
        return self._dodged(_slender(genes, band), run, start)

    def _most(self) -> float:
        """Area, mm2, of the largest board that is light enough."""
        return self.brief.max_mass / (self.brief.thickness * self.brief.density * 1e-9)

    def _stretch(
        self, genes: Genes, corridor: Corridor, draws: Array, near: float | None = None
    ) -> tuple[Band, float]:
        """Choose a stretch: long rather than short, roomy rather than tight, near a place if asked."""
        brief = self.brief
        least = HANDLES[genes.handle].room[0]
        longest = min(brief.length, corridor.length)
        best: tuple[float, Corridor] | None = None
        for look, (u, v) in enumerate(zip(draws[:_LOOKS], np.roll(draws[:_LOOKS], 1), strict=True)):
            shorter = 0.35 if look < _LOOKS / 2 else 0.6
            length = max(longest * (1 - shorter * float(v) ** 2), min(least, longest))
            spare = corridor.length - length
            start = float(corridor.x[0] + spare * u)
            if near is not None:
                start = float(np.clip(near, corridor.x[0], corridor.x[0] + spare))
            part = self._calm(corridor.cut(start, length), genes)
            body = _body(part, genes)
            tall = np.minimum(part.high - part.low, brief.width)[body]
            # A stretch that is pinched, or runs to a point, makes a poor board.
            worth = (
                float(tall.sum()) * min(1.0, max(float(tall.min() / tall.mean()), 0.01) / 0.65) ** 2
            )
            if best is None or worth > best[0]:
                best = worth, part
        assert best is not None
        part = best[1]
        length = part.length
        narrow = min(brief.width, self._most() / (_FULL * length))
        stations = np.linspace(part.x[0], part.x[-1], _STATIONS)
        low, high = (
            np.interp(stations, part.x, line) for line in (part.low + _INSET, part.high - _INSET)
        )
        if float(np.mean(high - low)) > narrow or float(high.max() - low.min()) > brief.width:
            # More height than a board may have: take a part of it, lower or higher.
            share = min(
                narrow / float(np.mean(high - low)), brief.width / float(high.max() - low.min())
            )
            gap = (high - low) * (1 - share)
            low, high = low + gap * draws[-3], high - gap * (1 - draws[-3])
        full = round(_FULLEST * float(draws[-1]) ** 0.5, 4)
        band = Band(round(length, 3), _rounded(low), _rounded(high), full)
        return band, float(part.x[0])

    def _calm(self, part: Corridor, genes: Genes) -> Corridor:
        """Take the dents out of a stretch: a body without hollows of its own fills shallow ones."""
        dent = _DENT if genes.form in _BENDING else _CALM
        body = _body(part, genes)
        low, high = part.low.copy(), part.high.copy()
        high[body] = bulging(part.x[body], high[body], dent)
        low[body] = -bulging(part.x[body], -low[body], dent)
        return Corridor(part.x, low, high)

    def _over(self, genes: Genes, draws: Array) -> Genes | None:
        """Draw so that an opening comes to lie over a defect: moved along until it does, or None."""
        run = self.swallowing[int(draws[0] * len(self.swallowing))]
        at = run.over[int(draws[1] * len(run.over))]
        band, start = self._stretch(genes, run.corridor, draws)
        for _ in range(2):
            made = _slender(genes, band)
            sketch, middle = drawn(made, self.brief.size())
            curves = sketch.curves()[1:]
            if not curves:
                return None
            spots = [c.segments[:, 0].mean(axis=0) + middle for c in curves]
            x = min((float(s[0]) for s in spots), key=lambda v: abs(start + v - at[0]))
            band, start = self._stretch(genes, run.corridor, draws, at[0] - x)
        if not _room(band):
            return None
        made = self._dodged(_slender(genes, band), run, start)
        try:
            board = Board(self.brief, made, drawn(made, self.brief.size())[0])
            return made if self.fits(board) else None
        except OutlineError:
            return None

    def _dodged(self, genes: Genes, run: Run, start: float) -> Genes:
        """Draw the band in where the board drawn in it would lie wrong, until it does no more.

        A body never follows a band to the millimetre: shallow hollows are filled, handles grow.
        """
        if genes.band is None or not _room(genes.band):
            raise OutlineError("no stretch of the piece is wide enough")
        for _ in range(_DODGES):
            sketch, middle = drawn(genes, self.brief.size())
            pose = _pose(middle, run, start)
            band, genes = genes.band, _lying(genes, pose)
            try:
                shape = shape_of(Board(self.brief, genes, sketch))
            except OutlineError:
                return genes
            low, high = np.array(band.low), np.array(band.high)
            centre = (low + high) / 2
            at = np.linspace(0, band.length, len(low))
            worst = 0.0
            for points, region in self.bed.parts(shape):
                depth, way = region.depth(pose.of(points))
                wrong = depth < _INSET / 2
                worst = min(worst, float(depth.min()))
                if not wrong.any():
                    continue
                # In the band's frame: where along it, and whether the way out is up or down.
                p, up = points[wrong] + middle, turn(way[wrong], -run.angle)[:, 1]
                need = 1.2 * (_INSET - depth[wrong])
                above = p[:, 1] > np.interp(p[:, 0], at, centre)
                raises = np.where(np.abs(up) > 0.5, up > 0, ~above)
                near = np.exp(-(((at[:, None] - p[None, :, 0]) / _SPREAD) ** 2)) * need
                low += np.max(near * raises, axis=1, initial=0.0)
                high -= np.max(near * ~raises, axis=1, initial=0.0)
            if worst >= 0 or (high - low).min() < _LEAST:
                return genes
            genes = replace(genes, band=replace(band, low=_rounded(low), high=_rounded(high)))
        return _lying(genes, _pose(drawn(genes, self.brief.size())[1], run, start))

    def fits(self, board: Board) -> bool:
        """Whether a board lies on the piece where it was drawn for, or settles close by."""
        return self._where(board) is not None

    def finish(self, board: Board) -> tuple[Board, ...]:
        """Return the board as large as it can lie there, its handle unchanged, and as it was drawn."""
        pose = self._where(board)
        band = board.genes.band
        assert pose is not None
        assert band is not None
        found: list[tuple[float, Board]] = []
        brief = self.brief
        x0, y0, x1, y1 = bounds(board.sketch.curves()[0])
        room = max(min(brief.length / (x1 - x0), brief.width / (y1 - y0), _GROWN), 1.0)
        turns = turns_of(board, self.piece.grain, WITHIN)
        for more in _FULLER:
            genes = replace(board.genes, band=replace(band, full=round(band.full + more, 4)))
            fuller = grown(replace(board, genes=genes), 1.0)
            held = settled(self.bed, shapes_of(fuller), pose, 1.0, (_SHRUNK, room), turns)
            if held is None:
                continue
            made = replace(grown(fuller, held[0]), brief=brief)
            found.append((section((made.sketch.curves()[0],)).area, _found_at(made, held[1])))
        found.sort(key=lambda f: -f[0])
        return (*(b for _, b in found), _found_at(board, pose))

    def _where(self, board: Board) -> Pose | None:
        """Return the pose in which a board lies on the piece, settled from where it was drawn."""
        drawn_at = known_pose(board)
        assert drawn_at is not None
        turns = range_of(drawn_at.angle, turns_of(board, self.piece.grain, WITHIN))
        pose = replace(drawn_at, angle=float(np.clip(drawn_at.angle, *turns)))
        shape = shape_of(board)
        parts = self.bed.parts(shape)
        depth = min(float(region.depth(pose.of(points))[0].min()) for points, region in parts)
        if depth < SPARE:
            if depth < -_LOST:
                return None
            pose = settle(
                lambda _: parts, pose, 1.0, scales=(1.0, 1.0), turns=turns, spare=SPARE
            ).pose
        outline, handle = shape.lying(pose)
        if self.bed.breaks(outline):
            return None
        short = max(c.asked - c.there for c in self.bed.allows(outline, handle))
        return pose if short <= TRUE else None


def _body(part: Corridor, genes: Genes) -> Flags:
    """Stations of a stretch that the body takes; a neck takes the rest."""
    if not genes.handle.startswith("neck"):
        return np.ones(len(part.x), dtype=bool)
    off = part.x - part.x[0]
    return np.asarray(off >= NECK if genes.flip[1] else off <= part.length - NECK)


def _pose(middle: tuple[float, float], run: Run, start: float) -> Pose:
    """Return the pose on the piece of a board whose middle lies there in its band."""
    x, y = turn(np.array([start + middle[0], middle[1]]), run.angle)
    return Pose(float(x), float(y), run.angle)


def _lying(genes: Genes, pose: Pose) -> Genes:
    """Write down where a board lies."""
    assert genes.band is not None
    return replace(genes, band=replace(genes.band, at=(pose.x, pose.y, pose.angle)))


def _found_at(board: Board, pose: Pose) -> Board:
    """Write down where a board lies as its recipe keeps it, so that it is found there again."""
    rounded = Pose(round(pose.x, 6), round(pose.y, 6), round(pose.angle, 9))
    return replace(board, genes=_lying(board.genes, rounded))


def _slender(genes: Genes, band: Band) -> Genes:
    """Return genes that follow a band, the form as slender as the band is."""
    wide = float(np.mean(np.array(band.high) - np.array(band.low)))
    shares = dict(genes.form_shares)
    shares["slenderness"] = round(
        float(np.clip(slenderness_for(genes.form, genes.handle, band.length, wide), 0, 1)), 6
    )
    return replace(genes, form_shares=tuple(shares.items()), band=band)


def _room(band: Band) -> float:
    """Area of a band, mm2; nothing where it is too narrow for a body."""
    tall = np.array(band.high) - np.array(band.low)
    return float(tall.mean()) * band.length if tall.min() >= _LEAST else 0.0


def _rounded(line: Array) -> tuple[float, ...]:
    return tuple(round(float(v), 3) for v in line)


def _runs(
    rules: Rules, grain: float, turns: list[float], points: tuple[tuple[float, float], ...]
) -> tuple[Run, ...]:
    """Corridors at every turn."""
    runs = []
    for turn_by in turns:
        angle = grain + turn_by
        region = grainwise(rules.room, angle)
        over = tuple(pair(turn(np.array(p), -angle)) for p in points)
        runs += [Run(angle, corridor, over) for corridor in corridors(region)]
    return tuple(runs)

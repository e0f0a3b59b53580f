"""Boards drawn for an off-cut: their box is a stretch of its free wood, clear of its defects.

Every candidate takes a stretch of one of the piece's corridors, on a turn that the grain allows;
its length and width are the solver's box, and it is then settled where it lies. Where a defect may
lie in an opening, some are moved over it so that the opening swallows it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely

from shapes.collection.board import Board
from shapes.collection.brief import Brief
from shapes.collection.draw import Genes, Size, closed, draw, random_genes
from shapes.collection.pool import Candidate, form_and_handle
from shapes.errors import CannotMeetError, OutlineError
from shapes.forms import FORMS
from shapes.geometry.curve import Array, pair, turn
from shapes.geometry.measures import section
from shapes.geometry.pose import Pose, settle
from shapes.handles import HANDLES
from shapes.placing.bed import Bed
from shapes.placing.corridor import Corridor, corridors
from shapes.placing.left import grainwise
from shapes.placing.natural import NaturalEdge, along, edges_of, together
from shapes.placing.place import CLEARANCE_SLACK, TRUE, range_of, tried
from shapes.placing.shape import WITHIN, grown, known_pose, shape_of, shapes_of, turns_of
from shapes.timber.off_cut import OffCut, Rules

_TURNS = np.radians([0.0, -3.5, 3.5, -7.0, 7.0])  # of the board to the grain
_FULL = 0.74  # share of its box that a board fills, about
_RUNS = 3  # corridors that one candidate chooses from
_LOOKS = 6  # starts along a corridor that one candidate chooses from
_SWALLOW = 0.5  # share of candidates with an opening that are drawn over a defect
_TALL = (0.80, 1.06)  # of the mean height of its stretch that a board is drawn wide
_PINCH = 1.3  # times the least height of its stretch that it is wide at most
_SHORTER = (
    0.35  # of the greatest box that a board along a natural edge is shorter and narrower at most
)
# mm that a board may be longer than the natural edge at its side, for the turns of its ends
_ENDS = 60.0
_NARROWEST = 55.0  # mm: narrower is no board
_TRINKET = 0.5  # of the longest that stands: shorter ones beside it are no boards; our choice
_GROWN = 1.6  # times that a board may grow once it is chosen, at most
_SHRUNK = 0.85  # times that it may shrink
_LOST = 45.0  # mm: a board that lies this far wrong is not worth settling
_OFF, _ARM = 1.0, 150.0  # mm that a board may be moved off its natural edge; mm to its end, about


@dataclass(frozen=True, slots=True, eq=False)
class TurnedCorridor:
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
    runs: tuple[TurnedCorridor, ...] = field(init=False)
    swallowing: tuple[TurnedCorridor, ...] = field(init=False)
    edges: tuple[NaturalEdge, ...] = field(init=False)
    bed: Bed = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Work out the corridors once."""
        rules = Rules(self.piece, self.brief.cutter)
        turns = [t for t in _TURNS.tolist() if abs(t) <= WITHIN]
        openable = [
            d
            for d in self.piece.defects
            if "opening" in d.may_lie_in and "body" not in d.may_lie_in
        ]
        without = Rules(
            replace(self.piece, defects=tuple(d for d in self.piece.defects if d not in openable)),
            self.brief.cutter,
        )
        points = tuple((p.x, p.y) for p in (d.shape.centroid for d in openable))
        object.__setattr__(self, "rules", rules)
        object.__setattr__(self, "bed", Bed(rules))
        object.__setattr__(self, "edges", edges_of(rules) if self.piece.keep else ())
        runs = _runs(rules, self.piece.grain, turns, ())
        if not runs:
            raise CannotMeetError(
                (
                    (
                        f"off-cut '{self.piece.name}': no stretch of it is 100 mm long and 40 mm"
                        " wide clear of its edge, defects and fixings: take a larger piece or a"
                        " thinner cutter"
                    ),
                )
            )
        object.__setattr__(self, "runs", runs)
        object.__setattr__(
            self,
            "swallowing",
            _runs(without, self.piece.grain, turns, points) if openable else (),
        )

    def genes(self, k: int, rng: np.random.Generator) -> Genes:
        """Take a form in turn, one of its handles, and a stretch of the piece; say where it lies.

        Raises OutlineError where no stretch is wide enough.
        """
        form, handle = form_and_handle(self.brief, k, rng)
        draws = rng.random(_RUNS * (_LOOKS + 1) + 3)
        if HANDLES[handle].swallows and self.swallowing and rng.random() < _SWALLOW:
            over = self._over(form, handle, draws, rng)
            if over is not None:
                return over
        if self.edges and FORMS[form].natural:
            sizes = np.array([e.length for e in self.edges])
            edge = self.edges[int(rng.choice(len(sizes), p=sizes**2 / (sizes**2).sum()))]
            size = Size(*self._longest(draws, edge), self.brief.size().needs, roomy=True)
            made = self._drawn(rng, form, handle, size)
            return along(made, edge, self.bed.room, self.piece.grain, WITHIN, rng)
        some = [self.runs[int(u * len(self.runs))] for u in draws[:_RUNS]]
        least = HANDLES[handle].room[0]
        boxes = [
            (self._stretch(least, r.corridor, draws[_RUNS + i * _LOOKS :], r.angle), r)
            for i, r in enumerate(some)
        ]
        box, run = max(boxes, key=lambda f: f[0].area)
        if box.wide < _NARROWEST:
            raise OutlineError("no stretch of the piece is wide enough")
        size = Size(box.long, box.wide, self.brief.size().needs, roomy=True)
        made = self._drawn(rng, form, handle, size)
        return replace(made, at=_at(box.middle, run.angle))

    def _drawn(self, rng: np.random.Generator, form: str, handle: str, size: Size) -> Genes:
        """Draw genes; a board that comes out small has a smaller hole: a large one is too much.

        And a large one has no hole for a cord where it may have one for a hand.
        """
        before = rng.bit_generator.state
        made = random_genes(rng, form, handle, size)
        long, allowed = made.row.box[0], self.brief.allowed
        least, other = HANDLES[handle].small
        if long < least and (form, other) in allowed:
            return self._drawn(rng, form, other, size)
        for larger, about in HANDLES.items() if HANDLES[handle].carried else ():
            if about.small[1] == handle and long >= about.small[0] and (form, larger) in allowed:
                rng.bit_generator.state = before  # the same box again
                return random_genes(rng, form, larger, size)
        return made

    def _most(self) -> float:
        """Area, mm2, of the largest board that is light enough."""
        return self.brief.max_mass / (self.brief.thickness * self.brief.density * 1e-9)

    def _longest(self, draws: Array, edge: NaturalEdge) -> tuple[float, float]:
        """Choose a length and width for a board along a natural edge.

        As long as may be, and as light as it must.
        """
        x0, y0, x1, y1 = grainwise(self.bed.room, self.piece.grain).bounds
        most = min(self.brief.length, x1 - x0, edge.length + _ENDS)
        long = most * (1 - _SHORTER * float(draws[-1]) ** 2)
        wide = min(self.brief.width, y1 - y0, self._most() / (_FULL * long))
        return long, wide * (1 - _SHORTER * float(draws[-2]))

    def _side(self, part: Corridor, angle: float) -> int:
        """On which side of a stretch a natural edge lies that is to be kept.

        1 above, -1 below, 0 none.
        """
        if not self.piece.keep:
            return 0
        edge = grainwise(self.rules.free_natural, angle)
        if edge.is_empty:
            return 0
        x = float(part.x[len(part.x) // 2])
        k = len(part.x) // 2
        away = [edge.distance(shapely.Point(x, float(v[k]))) for v in (part.low, part.high)]
        return 0 if min(away) > 2 * self.rules.over else (1 if away[1] < away[0] else -1)

    def _stretch(self, least: float, corridor: Corridor, draws: Array, angle: float) -> _Box:
        """Choose a stretch: long rather than short, roomy rather than tight."""
        brief = self.brief
        longest = min(brief.length, corridor.length)
        best = _Box(0.0, 0.0, (0.0, 0.0))
        for look, (u, v) in enumerate(zip(draws[:_LOOKS], np.roll(draws[:_LOOKS], 1), strict=True)):
            shorter = 0.35 if look < _LOOKS / 2 else 0.6
            length = max(longest * (1 - shorter * float(v) ** 2), min(least, longest))
            part = corridor.cut(float(corridor.x[0] + (corridor.length - length) * u), length)
            tall = part.high - part.low
            share = _TALL[0] + (_TALL[1] - _TALL[0]) * float(draws[-1])
            wide = min(
                share * float(tall.mean()),
                _PINCH * float(tall.min()),
                brief.width,
                self._most() / (_FULL * length),
            )
            room = max(float(tall.min()) - wide, 0.0)
            side = self._side(part, angle)
            spare = room * (0.5 * side if side else float(draws[-2]) - 0.5)
            middle = (
                float(part.x[0] + part.x[-1]) / 2,
                float(np.mean(part.low + part.high)) / 2 + spare,
            )
            found = _Box(length, wide, middle)
            if found.area > best.area:
                best = found
        return best

    def _over(self, form: str, handle: str, draws: Array, rng: np.random.Generator) -> Genes | None:
        """Draw so that an opening comes to lie over a defect, or None where that does not fit."""
        run = self.swallowing[int(draws[0] * len(self.swallowing))]
        at = run.over[int(draws[1] * len(run.over))]
        box = self._stretch(HANDLES[handle].room[0], run.corridor, draws, run.angle)
        if box.wide < _NARROWEST:
            return None
        made = random_genes(
            rng, form, handle, Size(box.long, box.wide, self.brief.size().needs, roomy=True)
        )
        genes = closed([made])[0]
        if genes is None:
            return None
        try:
            sketch = draw(genes)
        except OutlineError:
            return None
        spots = [c.segments[:, 0].mean(axis=0) for c in sketch.curves()[1:]]
        for spot in spots:
            there = _at((at[0] - float(spot[0]), at[1] - float(spot[1])), run.angle)
            board = Board(self.brief, sketch, form, handle, genes, at=there)
            try:
                if self.fits(board):
                    return replace(made, at=there)
            except OutlineError:
                return None
        return None

    def fits(self, board: Board) -> bool:
        """Whether a board lies on the piece where it was drawn for, or settles close by."""
        return self._where(board) is not None

    def kept(self, board: Board) -> float:
        """Length of natural edge, mm, that a board takes for its own where it was drawn."""
        return self.rules.kept(self._lying(board)) if known_pose(board) else 0.0

    def finish(self, board: Board) -> tuple[Board, ...]:
        """Return the board as large as it can lie there, its
        handle unchanged, and as it was drawn.
        """
        pose = self._where(board)
        assert pose is not None
        brief = self.brief
        assert board.genes is not None
        if board.natural:
            return (_found_at(board, pose),)
        long, wide = board.genes.row.box
        room = max(min(brief.length / long, brief.width / wide, _GROWN), 1.0)
        turns = turns_of(board, self.piece.grain, WITHIN)
        held = tried(self.bed, shapes_of(board), pose, 1.0, (_SHRUNK, room), turns, 1.0)
        found: list[tuple[float, Board]] = [(_area(board), _found_at(board, pose))]
        if held is not None and held.holds:
            try:
                made = replace(grown(board, held.scale), brief=brief)
                found.insert(0, (_area(made), _found_at(made, held.pose)))
            except OutlineError:
                pass
        found.sort(key=lambda f: -f[0])
        return tuple(b for _, b in found)

    def among(self, candidates: Sequence[Candidate], count: int) -> list[Candidate]:
        """Leave out those that are trinkets beside the longest, if enough remain to choose from."""
        longest = max((c.length for c in candidates), default=0.0)
        boards = [c for c in candidates if c.length >= _TRINKET * longest]
        return boards if len(boards) >= 2 * count else list(candidates)

    def first(
        self, boards: Callable[[], list[Board]], stays: Sequence[Board], most: int
    ) -> list[int]:
        """Choose the boards that together keep most of a natural edge that is to be kept."""
        if not self.edges:
            return []
        there = [self._lying(b) for b in stays if known_pose(b)]
        lying = [self._lying(b) for b in boards()]
        free = [
            i for i, f in enumerate(lying) if all(f.distance(t) >= self.rules.apart for t in there)
        ]
        return [free[i] for i in together([lying[i] for i in free], self.rules, most)]

    def _lying(self, board: Board) -> shapely.Polygon:
        """Return a board's outline, filled, where it was drawn."""
        pose = known_pose(board)
        assert pose is not None
        return shapely.Polygon(shape_of(board).lying(pose)[0].wood.exterior)

    def _where(self, board: Board) -> Pose | None:
        """Return the pose in which a board lies on the piece, settled from where it was drawn."""
        drawn_at = known_pose(board)
        assert drawn_at is not None
        turns = range_of(drawn_at.angle, turns_of(board, self.piece.grain, WITHIN))
        pose = replace(drawn_at, angle=float(np.clip(drawn_at.angle, *turns)))
        shape = shape_of(board)
        parts = self.bed.parts(shape)
        depth = min(float(region.depth(pose.of(points))[0].min()) for points, region in parts)
        if depth < CLEARANCE_SLACK:
            if depth < -_LOST:
                return None
            found = settle(
                lambda _: parts, pose, 1.0, scales=(1.0, 1.0), turns=turns, spare=CLEARANCE_SLACK
            ).pose
            if board.natural and _moved(pose, found) > _OFF:
                return None
            pose = found
        outline, handle = shape.lying(pose)
        if self.bed.breaks(outline):
            return None
        short = max(c.asked - c.there for c in self.bed.allows(outline, handle))
        return pose if short <= TRUE else None


def _moved(a: Pose, b: Pose) -> float:
    """How far a pose was moved, mm, a turn counted at arm's length."""
    return math.hypot(b.x - a.x, b.y - a.y) + _ARM * abs(
        math.remainder(b.angle - a.angle, math.tau)
    )


@dataclass(frozen=True, slots=True)
class _Box:
    """A stretch of free wood, mm, and its middle in the frame of its corridor."""

    long: float
    wide: float
    middle: tuple[float, float]

    @property
    def area(self) -> float:
        """Area, mm2; pinched or pointed stretches are narrow and count little."""
        return self.long * self.wide


def _area(board: Board) -> float:
    return section((board.sketch.curves()[0],)).area


def _at(middle: tuple[float, float], angle: float) -> tuple[float, float, float]:
    """Return the pose on the piece of a board whose middle lies there in a frame turned so."""
    x, y = turn(np.array(middle), angle)
    return float(x), float(y), angle


def _found_at(board: Board, pose: Pose) -> Board:
    """Write down where a board lies as its recipe keeps it, so that it is found there again."""
    return replace(board, at=(round(pose.x, 6), round(pose.y, 6), round(pose.angle, 9)))


def _runs(
    rules: Rules, grain: float, turns: list[float], points: tuple[tuple[float, float], ...]
) -> tuple[TurnedCorridor, ...]:
    """Corridors at every turn."""
    runs = []
    for turn_by in turns:
        angle = grain + turn_by
        region = grainwise(rules.room, angle)
        over = tuple(pair(turn(np.array(p), -angle)) for p in points)
        runs += [TurnedCorridor(angle, corridor, over) for corridor in corridors(region)]
    return tuple(runs)

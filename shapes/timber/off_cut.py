"""An off-cut: a piece of timber of any outline, its grain, what is wrong in it, what holds it down.

Coordinates are the maker's own, mm, x along the edge they measured from.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import shapely
from shapely import affinity

from shapes.timber.density import density
from shapes.timber.species import Species, find_species
from shapes.units import MM3_PER_BOARD_FOOT

EDGE_MARGIN = 5.0  # mm of wood left between the kerf and the piece's edge; our choice
SUNK, PROUD = 10.0, 40.0  # mm from the kerf; from the cutter's centre (collet nut): common practice
OVER_NATURAL = 8.0  # mm that a board may run over a natural edge, which then is its own; our choice
KEEP_OVER = (
    20.0  # mm of the same where the natural edge is to be kept: a live edge waves; our choice
)
BETWEEN = 8.0  # mm between boards, beside the cutter's own width; our choice
KEPT_SHARE = 0.6  # share of the free natural edge that is then to become boards' edges (design)
HAND_OVER = (
    4.0  # mm of the same for the wood round a hand's opening, whose rim stays RIM; our choice
)
OPENING_RIM = 15.0  # mm that openings keep from a natural edge; our choice
CHECK_SIDE = 5.0  # mm beside a check; our choice
_QUADS = 24  # arcs of a zone err by at most 0.1 % of its radius; they are drawn round it


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of defect: its clearance in mm, and which parts of a board may hold it."""

    clearance: float
    may_lie_in: tuple[str, ...]


PARTS = ("opening", "body", "handle")
# Clearances of knot, check and metal are common practice; the others and all places are our choice.
KINDS: dict[str, Kind] = {
    "knot": Kind(5.0, ("opening",)),  # a knot, sound or loose
    "check": Kind(25.0, ()),  # a split; the clearance is beyond its visible ends along the grain
    "hole": Kind(3.0, ("opening",)),  # a screw hole, a worm hole
    "pith": Kind(5.0, ("opening",)),  # the heart of the tree: it splits; never in a neck
    "bark": Kind(5.0, ("opening",)),  # bark grown into the wood
    "rot": Kind(25.0, ()),  # soft or rotten wood
    "sapwood": Kind(0.0, PARTS),  # sapwood: a matter of looks
    "stain": Kind(0.0, ("opening", "body")),  # a stain
    "metal": Kind(25.0, ()),  # a nail or screw left in the wood: the cutter keeps clear of it too
    "glue line": Kind(0.0, PARTS),  # a sound joint between two pieces
}
ORIGINS = ("known solid timber", "unknown", "painted", "treated", "sheet")
PRICES = ("piece", "m3", "board foot")


@dataclass(frozen=True, slots=True)
class Defect:
    """One defect: where it is, what it keeps clear, and which parts of a board may hold it."""

    name: str  # as the maker counts them: knot 1, knot 2
    kind: str
    shape: shapely.Polygon
    clearance: float
    may_lie_in: tuple[str, ...] = ()

    def extent(self, grain: float) -> shapely.Geometry:
        """Return what is kept clear of: a check runs on beyond its ends along the grain."""
        if self.kind != "check":
            return self.shape
        along = math.cos(grain) * self.clearance, math.sin(grain) * self.clearance
        ends = [affinity.translate(self.shape, s * along[0], s * along[1]) for s in (-1, 1)]
        parts = [shapely.convex_hull(shapely.union_all([self.shape, end])) for end in ends]
        return shapely.union_all(parts)

    @property
    def around(self) -> float:
        """Clearance all round the extent, mm."""
        return CHECK_SIDE if self.kind == "check" else self.clearance


@dataclass(frozen=True, slots=True)
class Fixing:
    """A screw or clamp that holds the piece: its middle and diameter, mm; sunk or proud."""

    name: str
    at: tuple[float, float]
    diameter: float
    proud: bool

    @property
    def shape(self) -> shapely.Polygon:
        """Its outline."""
        return zone(shapely.Point(self.at), self.diameter / 2)

    def distance(self, cutter: float) -> float:
        """Distance, mm, that a board's edge keeps from it."""
        return PROUD + cutter / 2 if self.proud else SUNK + cutter


@dataclass(frozen=True, slots=True)
class Price:
    """What the piece cost: an amount in the maker's own money, per piece, m3 or board foot."""

    amount: float
    per: str

    def of(self, volume: float) -> float:
        """Price of a piece of ``volume`` mm3."""
        share = {"piece": 1.0, "m3": volume * 1e-9, "board foot": volume / MM3_PER_BOARD_FOOT}
        return self.amount * share[self.per]


@dataclass(frozen=True, slots=True)
class Sawn:
    """A slice of a piece: which one from the face that was measured, of how many; the piece.

    The kerf, mm.
    """

    which: int
    of: int
    name: str
    thickness: float
    kerf: float


@dataclass(frozen=True, slots=True, eq=False)
class OffCut:
    """A piece of timber as the maker wrote it down; lengths mm, mass kg, grain in radians."""

    name: str
    outline: shapely.Polygon
    thickness: float  # as found
    species: str
    wanted: float | None = None  # finished thickness
    moisture: float = 8.0
    mass: float | None = None
    grain: float = 0.0
    natural: shapely.Geometry | None = None  # stretches of the outline that may be kept
    defects: tuple[Defect, ...] = ()
    fixings: tuple[Fixing, ...] = ()
    origin: str = ORIGINS[0]
    price: Price | None = None
    margin: float = EDGE_MARGIN
    mark: tuple[float, float] | None = None  # a point marked on the wood, for the datum
    corner: tuple[float, float] = (0.0, 0.0)
    rings: float | None = None  # degrees from the face, seen on the end
    sawn: Sawn | None = None  # of a slice: what it is sawn from
    source: str = ""  # where it is from, for the record
    keep: bool = False  # whether its natural edge is to be kept, not only may be

    @property
    def timber(self) -> Species:
        """The species."""
        return find_species(self.species)

    @property
    def volume(self) -> float:
        """Volume as found, mm3."""
        return float(self.outline.area * self.thickness)

    @property
    def density(self) -> float:
        """Density in kg/m3: of the piece itself if it was weighed."""
        if self.mass is not None:
            return self.mass / (self.volume * 1e-9)
        return density(self.timber, self.moisture)

    @property
    def fit_for_food(self) -> bool:
        """Whether it is known to be solid timber, untreated."""
        return self.origin == ORIGINS[0]

    @property
    def centre(self) -> tuple[float, float]:
        """Middle of the piece's box."""
        x0, y0, x1, y1 = self.outline.bounds
        return (x0 + x1) / 2, (y0 + y1) / 2


def stands(piece: OffCut) -> float:
    """How high a piece stands on a bandsaw's table at least, mm: on its long edge."""
    box = shapely.get_coordinates(shapely.minimum_rotated_rectangle(piece.outline))
    return float(min(math.dist(box[0], box[1]), math.dist(box[1], box[2])))


@dataclass(frozen=True, slots=True)
class Keep:
    """One thing that a part of the board keeps a distance from: its edge, wood, rim or handle."""

    name: str
    part: str
    shape: shapely.Geometry
    distance: float


class Rules:
    """Where a board may lie on an off-cut when cut with a cutter of ``cutter`` mm.

    A board may run over a natural edge by up to OVER, or KEEP_OVER where it is to be kept: there
    the cutter runs beside the wood, nothing is cut and the natural edge becomes the board's own.
    Handles lie within the piece (round an opening to HAND_OVER), and openings keep RIM from a
    natural edge. Distances count from the board's own edge: the kerf and the margin lie between it
    and the piece's edge, a defect in the waste, a fixing. A defect in an opening keeps its
    clearance alone.
    """

    def __init__(self, piece: OffCut, cutter: float) -> None:
        """Keep the piece and work out what to keep clear of."""
        self.piece = piece
        self.cutter = cutter
        ring = piece.outline.boundary
        cut = ring if piece.natural is None else shapely.difference(ring, piece.natural)
        kerf = cutter + piece.margin
        self.keeps = [Keep("the edge of the piece", "edge", cut, kerf)] if not cut.is_empty else []
        if piece.natural is not None:
            self.keeps.append(Keep("the natural edge", "rim", piece.natural, OPENING_RIM))
        for d in piece.defects:
            extent = d.extent(piece.grain)
            parts = set(PARTS) - set(d.may_lie_in)
            if "body" in parts:
                self.keeps.append(Keep(d.name, "edge", extent, cutter + d.around))
                if "opening" not in parts:
                    self.keeps.append(Keep(d.name, "wood", extent, d.around))
            elif "handle" in parts:
                self.keeps.append(Keep(d.name, "handle", extent, d.around))
        for f in piece.fixings:
            self.keeps.append(Keep(f.name, "edge", f.shape, f.distance(cutter)))

    @cached_property
    def solid(self) -> list[Keep]:
        """What an edge keeps from and no opening may hold either."""
        in_openings = {k.name for k in self.keeps if k.part == "wood"}
        return [k for k in self.keeps if k.part == "edge" and k.name not in in_openings]

    def zone_of(self, part: str) -> shapely.Geometry:
        """Return the region that a part (edge, wood, rim, handle) may not enter."""
        zones = [zone(k.shape, k.distance) for k in self.keeps if k.part == part]
        return shapely.union_all(zones) if zones else shapely.Polygon()

    @cached_property
    def room(self) -> shapely.Geometry:
        """The region that the whole of a board's edge lies in."""
        return shapely.difference(self.container, self.zone_of("edge"))

    @cached_property
    def container(self) -> shapely.Geometry:
        """The piece, and what a board may run over a natural edge."""
        return self._beyond_natural(self.over)

    def _beyond_natural(self, far: float) -> shapely.Geometry:
        """Return the piece, and what lies within ``far`` mm of its natural edge."""
        piece = self.piece
        if piece.natural is None:
            return piece.outline
        over = shapely.buffer(piece.natural, far, quad_segs=_QUADS)
        return shapely.union(piece.outline, over)

    @property
    def apart(self) -> float:
        """Distance, mm, between the edges of two boards, at least."""
        return self.cutter + BETWEEN

    @property
    def over(self) -> float:
        """Distance, mm, that a board may run over a natural edge."""
        return KEEP_OVER if self.piece.keep else OVER_NATURAL

    def grasp(self, *, rims: bool) -> shapely.Geometry:
        """Return the region that a handle lies in.

        One with openings may run HAND_OVER over a natural edge.
        """
        return self._over_by_a_hand if rims else self.piece.outline

    @cached_property
    def _over_by_a_hand(self) -> shapely.Geometry:
        return self._beyond_natural(HAND_OVER)

    @cached_property
    def free_natural(self) -> shapely.Geometry:
        """The natural edge that boards may keep.

        It ends where cut edges are kept from, and beside what leaves no RIM of wood along it: a
        defect or fixing, or a defect that may lie in an opening but has no room for one.
        """
        if self.piece.natural is None:
            return shapely.MultiLineString()
        lines = [zone(k.shape, k.distance) for k in self.solid if k.shape.area == 0]
        beside = [k for k in self.keeps if k.part == "wood"]
        beside += [k for k in self.solid if k.shape.area > 0]
        shut = [*lines, *(zone(k.shape, k.distance + OPENING_RIM) for k in beside)]
        return shapely.difference(self.piece.natural, shapely.union_all(shut))

    @cached_property
    def rim_zone(self) -> shapely.Geometry:
        """The region that the rim of no opening may enter."""
        return shapely.union(self.zone_of("rim"), self.wood_zone)

    def kept(self, filled: shapely.Polygon) -> float:
        """Length of natural edge, mm, that a board takes for its own."""
        if self.piece.natural is None:
            return 0.0
        return float(shapely.intersection(self.piece.natural, filled).length)

    @cached_property
    def wood_zone(self) -> shapely.Geometry:
        """The region that the wood may not enter."""
        return self.zone_of("wood")

    @cached_property
    def handle_zone(self) -> shapely.Geometry:
        """The region that no handle may enter."""
        return self.zone_of("handle")

    @cached_property
    def shut(self) -> shapely.Geometry:
        """What may lie in no part of a board, not even an opening: extents without clearances."""
        shapes = [k.shape for k in self.solid if k.shape.area > 0]
        return shapely.union_all(shapes) if shapes else shapely.Polygon()


def zone(shape: shapely.Geometry, distance: float) -> shapely.Geometry:
    """Everything nearer than ``distance`` mm to a shape; arcs are drawn round, never inside."""
    if distance <= 0:
        return shape if shape.area > 0 else shapely.Polygon()
    return shapely.buffer(shape, distance / math.cos(math.pi / (4 * _QUADS)), quad_segs=_QUADS)

"""The timber account of one off-cut: where every part of it goes, what it costs, how it will move.

Volumes add up to the piece as found: boards, what is skimmed off the faces, the kerf, openings,
rounded edges, and what is left. The price adds up likewise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

import shapely

from shapes.checks.weight import thickness_for
from shapes.collection.board import Report
from shapes.geometry.curve import bounds, transform
from shapes.placing.left import grainwise, rectangle_left
from shapes.placing.place import Placement
from shapes.timber.lumber import board_feet, tally
from shapes.timber.movement import change, cup
from shapes.timber.off_cut import Rules, stands, zone
from shapes.timber.thickness import Saw, Way, ways

KILN_DRY = 8.0  # % moisture that is meant by kiln-dry: 6 to 8, common practice
DAMP = 12.0  # % in a damp season indoors; our choice
RINGS = 100.0  # mm from the heart, for cupping; our choice
WORTH_KEEPING = (200.0, 80.0)  # mm: a rectangle at least this large is worth keeping; our choice


@dataclass(frozen=True, slots=True)
class AccountLine:
    """One board in the account; volumes m3, masses kg, lengths mm."""

    number: int
    name: str
    board_m3: float
    mass_kg: float
    kiln_dry_kg: float
    cost: float | None
    width_mm: float
    moves_flat_mm: float
    moves_quarter_mm: float
    opening_moves_mm: float | None
    cup_mm: float
    ways: tuple[Way, ...]
    thickness_for_limit_mm: float | None


@dataclass(frozen=True, slots=True)
class Account:
    """Where an off-cut's timber and price go; volumes m3, masses kg."""

    off_cut: str
    species: str
    density_kg_m3: float
    gross_m3: float
    board_feet: float
    board_feet_tally: float
    mass_found_kg: float
    thickness_mm: tuple[float, float]  # found, wanted
    lines: tuple[AccountLine, ...]
    boards_m3: float
    skimmed_m3: float
    kerf_m3: float
    openings_m3: float
    rounded_m3: float
    left_m3: float
    yield_share: float
    left_mm: tuple[float, float] | None  # largest rectangle left, along and across the grain
    left_at: tuple[tuple[float, float], ...]  # its corners on the piece
    left_kept: bool  # whether it is worth keeping
    price: float | None
    price_left: float | None
    moisture: tuple[float, float]
    sawn_from_mm: float | None  # of a slice: thickness of the piece that it is sawn from

    @property
    def chips_m3(self) -> float:
        """What the machines turn to chips."""
        return self.skimmed_m3 + self.kerf_m3 + self.openings_m3 + self.rounded_m3

    def as_json(self) -> dict[str, Any]:
        """Return plain values."""
        return {**asdict(self), "chips_m3": self.chips_m3}


def account(
    rules: Rules,
    placed: Sequence[tuple[int, Placement, Report]],
    *,
    saw: Saw | None = None,
    moisture: tuple[float | None, float] = (None, DAMP),
) -> Account:
    """Draw up the account of an off-cut with (number, placement, report) on it.

    ``moisture``: % before (the piece's own if None) and after, for how the boards will move.
    """
    piece = rules.piece
    wanted = placed[0][2].board.brief.thickness if placed else (piece.wanted or piece.thickness)
    # Where a board keeps a natural edge it ends there: its wood is what lies on the piece.
    whole = [shapely.Polygon(p.outline.wood.exterior) for _, p, _ in placed]
    filled = [shapely.intersection(w, piece.outline) for w in whole]
    woods = [shapely.intersection(p.outline.wood, piece.outline).area for _, p, _ in placed]
    kerf = _around(filled, rules)
    openings = sum(f.area - w for f, w in zip(filled, woods, strict=True))
    shares = [w / p.outline.wood.area for w, (_, p, _) in zip(woods, placed, strict=True)]
    boards = sum(r.subject.solid.volume * s for s, (_, _, r) in zip(shares, placed, strict=True))
    wood = sum(woods) * wanted
    rest = (piece.outline.area - sum(f.area for f in filled) - kerf) * wanted
    left = rectangle_left(rules, filled, WORTH_KEEPING)
    price = piece.price.of(piece.volume) if piece.price else None
    keeps = left is not None and left[0] >= WORTH_KEEPING[0] and left[1] >= WORTH_KEEPING[1]
    price_left = None
    if price is not None:
        price_left = price * left[0] * left[1] / piece.outline.area if keeps and left else 0.0
    x0, y0, x1, y1 = grainwise(piece.outline, piece.grain).bounds
    before, after = moisture[0] if moisture[0] is not None else piece.moisture, moisture[1]
    lines = tuple(
        _line(
            rules, number, report, fill.area, share, filled, price, price_left, (before, after), saw
        )
        for (number, _, report), fill, share in zip(placed, filled, shares, strict=True)
    )
    return Account(
        off_cut=piece.name,
        species=piece.species,
        density_kg_m3=piece.density,
        gross_m3=piece.volume * 1e-9,
        board_feet=board_feet(piece.volume),
        board_feet_tally=tally(x1 - x0, y1 - y0, piece.thickness),
        mass_found_kg=piece.volume * 1e-9 * piece.density,
        thickness_mm=(piece.thickness, wanted),
        lines=lines,
        boards_m3=boards * 1e-9,
        skimmed_m3=piece.outline.area * (piece.thickness - wanted) * 1e-9,
        kerf_m3=kerf * wanted * 1e-9,
        openings_m3=openings * wanted * 1e-9,
        rounded_m3=(wood - boards) * 1e-9,
        left_m3=rest * 1e-9,
        yield_share=boards / piece.volume,
        left_mm=(left[0], left[1]) if left else None,
        left_at=left[2] if left else (),
        left_kept=keeps,
        price=price,
        price_left=price_left,
        moisture=(before, after),
        sawn_from_mm=None if piece.sawn is None else piece.sawn.thickness,
    )


def _around(filled: Sequence[shapely.Polygon], rules: Rules) -> float:
    """Area of the kerf round the boards, mm2, within the piece."""
    if not filled:
        return 0.0
    swept = shapely.union_all([zone(f, rules.cutter) for f in filled])
    inside = shapely.intersection(swept, rules.piece.outline)
    return float(inside.area - shapely.union_all(filled).area)


def _line(
    rules: Rules,
    number: int,
    report: Report,
    area: float,
    share: float,
    filled: Sequence[shapely.Polygon],
    price: float | None,
    price_left: float | None,
    moisture: tuple[float, float],
    saw: Saw | None,
) -> AccountLine:
    piece, s, board = rules.piece, report.subject, report.board
    timber = piece.timber
    radial, tangential = timber.radial or 0.0, timber.tangential or 0.0
    # The wood moves across its own grain, which a turned board does not have along x.
    _, y0, _, y1 = bounds(transform(s.outline.edge, -s.grain))
    across = y1 - y0
    holes = [bounds(transform(c, -s.grain)) for c in s.outline.openings]
    widest = max((b[3] - b[1] for b in holes), default=None)
    limit = board.brief.max_mass
    cost = None
    if price is not None and price_left is not None:
        cost = (price - price_left) * area / sum(f.area for f in filled)
    return AccountLine(
        number=number,
        name=board.name or board.form,
        board_m3=s.solid.volume * share * 1e-9,
        mass_kg=s.mass * share,
        kiln_dry_kg=s.mass * share * (100 + KILN_DRY) / (100 + piece.moisture),
        cost=cost,
        width_mm=across,
        moves_flat_mm=change(across, tangential, *moisture),
        moves_quarter_mm=change(across, radial, *moisture),
        opening_moves_mm=None if widest is None else change(widest, tangential, *moisture),
        cup_mm=cup(across, radial, tangential, moisture[1] - moisture[0], RINGS),
        ways=tuple(
            ways(
                piece.thickness,
                board.brief.thickness,
                s.section.area * share,
                piece.density,
                s.mass * share,
                saw,
                stands(piece),
            )
        ),
        thickness_for_limit_mm=thickness_for(s, limit),
    )

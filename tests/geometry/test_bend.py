"""A row changed by hand: what is asked holds, by measures of our own outline and of GEOS.

The rest stays.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from made_boards import drawn_at_random

from shapes.collection.draw import Genes, draw, outline_of
from shapes.collection.edit import boxed, cornered, handed, necked, pulled, stated
from shapes.collection.hold import frame_of, parts_of
from shapes.errors import InputError, OutlineError
from shapes.geometry.bend import Pull, bent
from shapes.geometry.curve import flatten
from shapes.geometry.outline import bounds
from shapes.geometry.row import solve
from shapes.handles.hand import Round


def edge_of(genes: Genes) -> shapely.LinearRing:
    return shapely.LinearRing(flatten(draw(genes).curves()[0], 0.001))


def hole_of(genes: Genes) -> Round:
    (hole,) = draw(genes).openings
    assert isinstance(hole, Round)
    return hole


@pytest.fixture(
    scope="module",
    params=[
        ("willow", "cord-hole"),
        ("bell", "thumb-hole"),
        ("paddle", "neck"),
        ("slab", "opening"),
    ],
)
def genes(request: pytest.FixtureRequest) -> Genes:
    form, handle = request.param
    return drawn_at_random(form, handle, seed=7)


@pytest.mark.parametrize("by", [3.7, -4.3])
def test_a_pulled_point_comes_where_it_was_pulled(genes: Genes, by: float) -> None:
    followed = 0
    for part in parts_of(genes):
        to = (part.at[0] + by * part.out[0], part.at[1] + by * part.out[1])
        try:
            made = pulled(genes, part.at, to)
        except OutlineError:
            continue  # a tip that the hand holds may have nowhere to go
        asked = np.array(part.at) + made.share * (np.array(to) - np.array(part.at))
        seen = shapely.Point(*(asked + np.array(made.shift)))
        # Samples of the edge stand 1 mm apart, so the point that was taken lies within half of
        # that.
        assert edge_of(made.genes).distance(seen) < 0.1, part.name
        followed += made.share == 1
    assert followed >= len(parts_of(genes)) - 3


def test_what_lies_far_from_a_pull_stays(genes: Genes) -> None:
    part = parts_of(genes)[0]
    made = pulled(genes, part.at, (part.at[0] + 2.9 * part.out[0], part.at[1] + 2.9 * part.out[1]))
    before, after = parts_of(genes), parts_of(made.genes)
    moves = [
        math.dist(np.array(b.at) - made.shift, a.at) for a, b in zip(before, after, strict=True)
    ]
    far = [
        m
        for m, p in zip(moves, before, strict=True)
        if math.dist(p.at, part.at) > 0.45 * genes.row.box[0]
    ]
    assert len(far) >= 2
    assert max(far) < 1.0
    assert max(moves) > 2.5


def test_a_board_that_was_bent_is_drawn_from_its_row_alone(genes: Genes) -> None:
    part = parts_of(genes)[1]
    made = pulled(
        genes, part.at, (part.at[0] - 3.1 * part.out[0], part.at[1] - 3.1 * part.out[1])
    ).genes
    assert sum(s.turn for s in made.row.stretches) == pytest.approx(2 * math.pi, abs=1e-5)
    (closed,) = solve([made.row])
    assert closed.error < 1e-6
    assert closed.moved < 2e-3  # closing it again changes next to nothing
    x0, y0, x1, y1 = bounds(outline_of(draw(made)))
    assert (x1 - x0, y1 - y0) == pytest.approx(made.row.box, abs=0.02)
    assert (x0 + x1, y0 + y1) == pytest.approx((0, 0), abs=1e-4)


def test_pulled_there_and_back_it_is_nearly_as_it_was(genes: Genes) -> None:
    part = parts_of(genes)[2]
    out = (part.at[0] + 2.3 * part.out[0], part.at[1] + 2.3 * part.out[1])
    made = pulled(genes, part.at, out)
    start = (out[0] + made.shift[0], out[1] + made.shift[1])
    back = pulled(made.genes, start, (part.at[0] + made.shift[0], part.at[1] + made.shift[1]))
    was, now = shapely.Polygon(edge_of(genes)), shapely.Polygon(edge_of(back.genes))
    off = np.array(made.shift) + np.array(back.shift)
    now = shapely.affinity.translate(now, -off[0], -off[1])
    assert was.symmetric_difference(now).area / was.area < 0.01


def test_a_stated_radius_is_the_edges_own() -> None:
    genes = drawn_at_random("bell", "cord-hole", seed=5)
    part = next(p for p in parts_of(genes) if p.radius and not p.held and p.turn > 40)
    assert part.radius is not None
    made = stated(genes, part.name, radius=part.radius * 1.17).genes
    frame = frame_of(made)
    i = [s.name for s in made.row.stretches].index(part.name)
    middle = frame.traced.middle(i)
    # A circle through three points of the core, by its chords: no curvature of ours.
    a, b, c = frame.traced.at(np.array([middle - 3, middle, middle + 3]))[0]
    cross = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    radius = math.dist(a, b) * math.dist(b, c) * math.dist(a, c) / (2 * cross)
    assert radius == pytest.approx(part.radius * 1.17, rel=0.01)
    turned = next(p for p in parts_of(made) if p.name == part.name)
    assert turned.turn == pytest.approx(part.turn, abs=0.01)


def test_a_stated_turn_and_length_hold() -> None:
    genes = drawn_at_random("willow", "cord-hole", seed=3)
    side = next(p for p in parts_of(genes) if p.radius is None and not p.held)
    made = stated(genes, side.name, turn=side.turn + 5.3).genes
    assert next(p for p in parts_of(made) if p.name == side.name).turn == pytest.approx(
        side.turn + 5.3, abs=0.01
    )
    made = stated(genes, side.name, length=side.length - 17.7).genes
    assert next(p for p in parts_of(made) if p.name == side.name).length == pytest.approx(
        side.length - 17.7, abs=0.1
    )


def test_a_neck_gets_the_width_and_the_length_that_were_stated() -> None:
    genes = drawn_at_random("paddle", "neck", seed=2)
    made = necked(genes, wide=41.3).genes
    x, y, angle = draw(made).grip[0]
    wood = shapely.Polygon(edge_of(made))
    across = np.array([-math.sin(angle), math.cos(angle)]) * 200
    cut = shapely.LineString([np.array([x, y]) - across, np.array([x, y]) + across]).intersection(
        wood
    )
    assert cut.length == pytest.approx(41.3, abs=0.6)
    longer = necked(genes, long=131.0).genes
    sides = [p.length for p in parts_of(longer) if p.name in ("neck low", "neck top")]
    assert sides == pytest.approx([131.0, 131.0], abs=0.2)


def test_a_hole_keeps_an_even_rim_as_it_grows_and_moves() -> None:
    genes = drawn_at_random("drop", "cord-hole", seed=4)
    for name, value in (("across", 23.3), ("rim", 18.9), ("along", 6.1)):
        made = handed(genes, name, value).genes
        hole = hole_of(made)
        rim = edge_of(made).distance(shapely.Point(hole.x, hole.y)) - hole.radius
        assert rim == pytest.approx(dict(made.hand)["rim"], abs=0.35), name
        if name == "across":
            assert 2 * hole.radius == pytest.approx(23.3, abs=1e-3)
        if name == "along":
            was = hole_of(genes)
            assert math.dist((was.x, was.y), (hole.x, hole.y)) > 2


def test_a_slot_moved_along_keeps_its_bar() -> None:
    genes = drawn_at_random("slab", "opening", seed=9)

    def bars(g: Genes) -> list[float]:
        return [
            edge_of(g).distance(shapely.LinearRing(flatten(c, 0.001))) for c in draw(g).curves()[1:]
        ]

    moved = handed(genes, "along", 4.7).genes
    assert bars(moved) == pytest.approx(bars(genes), abs=0.5)
    one, other = (draw(g).curves()[1] for g in (genes, moved))
    assert flatten(one).mean(axis=0) != pytest.approx(flatten(other).mean(axis=0), abs=2)


def test_a_box_that_was_asked_for_is_reached() -> None:
    made = boxed(drawn_at_random("willow", "cord-hole", seed=3), length=363.0).genes
    x0, _, x1, _ = bounds(outline_of(draw(made)))
    assert x1 - x0 == pytest.approx(363.0, abs=0.03)


def test_what_cannot_be_is_said() -> None:
    genes = drawn_at_random("willow", "cord-hole", seed=3)
    with pytest.raises(InputError, match="none of that name"):
        stated(genes, "brim", radius=20)
    with pytest.raises(InputError, match="no such size"):
        handed(genes, "bar", 0.5)
    with pytest.raises(InputError, match="out of range"):
        handed(genes, "across", 95.0)
    with pytest.raises(OutlineError, match="nothing left to give"):
        bent(genes.row, [Pull(10.0, (9000.0, 9000.0))])


@pytest.mark.parametrize("by", [4.3, -3.7])
@pytest.mark.parametrize("name", ["near tip", "near sweep"])
def test_a_corner_is_made_rounder_or_sharper_in_its_place(name: str, by: float) -> None:
    """Pulled inwards it gets rounder, and wood goes; its sides stay where they were, by GEOS."""
    genes = drawn_at_random("willow", "cord-hole", seed=3)
    part = next(p for p in parts_of(genes) if p.name == name)
    assert part.radius is not None
    made = cornered(genes, name, (part.at[0] - by * part.out[0], part.at[1] - by * part.out[1]))
    now = next(p for p in parts_of(made.genes) if p.name == name)
    assert now.radius is not None
    assert (now.radius - part.radius) * by > 0
    assert now.turn == pytest.approx(part.turn, abs=0.01)
    was = shapely.Polygon(edge_of(genes))
    new = shapely.affinity.translate(
        shapely.Polygon(edge_of(made.genes)), -made.shift[0], -made.shift[1]
    )
    near = shapely.Point(*part.at).buffer(25)
    assert (was.intersection(near).area - new.intersection(near).area) * by > 0
    deep = (np.array(now.at) - made.shift - part.at) @ np.array(part.out)
    assert deep == pytest.approx(-by, rel=0.6)
    # Further off the edge moves by a millimetre or two: sides are bowed, so they are not quite the
    # tangents.
    far = shapely.Point(*part.at).buffer(0.4 * genes.row.box[0])
    other = shapely.difference(shapely.symmetric_difference(was, new), far)
    assert other.area < 2.0 * was.length / 2


def test_what_the_hand_needs_is_kept_by_a_pull_elsewhere() -> None:
    genes = drawn_at_random("bell", "thumb-hole", seed=7)
    tip = next(p for p in parts_of(genes) if p.name == genes.beside[0])
    side = next(p for p in parts_of(genes) if p.name.endswith("side"))
    made = pulled(genes, side.at, (side.at[0] + 5.3 * side.out[0], side.at[1] + 5.3 * side.out[1]))
    now = next(p for p in parts_of(made.genes) if p.name == tip.name)
    assert tip.held
    assert tip.radius is not None
    assert now.radius == pytest.approx(tip.radius, abs=0.01)
    assert now.turn != pytest.approx(tip.turn, abs=0.01)

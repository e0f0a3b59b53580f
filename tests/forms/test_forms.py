"""Every form and handle: tables that close, sound outlines, hands as asked, enough that pass."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
import shapely
import shapely.affinity

from shapes.checks import first_failure
from shapes.collection.board import drawn_from, subject_of
from shapes.collection.brief import Brief
from shapes.collection.draw import closed, draw, outline_of, random_genes, resized, suits
from shapes.collection.pool import generator
from shapes.errors import OutlineError
from shapes.forms import FORMS
from shapes.geometry.curve import bounds, flatten, spline
from shapes.geometry.trace import trace
from shapes.handles import HANDLES
from shapes.handles.hand import THUMB_RIM, Round

DRAWS = 60  # of each pair; by hand 500
PAIRS = [(f, h) for f in FORMS for h in HANDLES if suits(h, f)]


def brief_for(handle: str) -> Brief:
    """The default brief, or a tray's where the handle needs more room."""
    if handle == "two-openings":
        return Brief(length=540.0, width=330.0, thickness=18.0, max_mass=3.0)
    return Brief()


def test_there_are_twenty_families_or_more_and_every_handle_is_used() -> None:
    assert len(FORMS) >= 20
    assert {h for _, h in PAIRS} == set(HANDLES)
    assert sum(f.free for f in FORMS.values()) >= 10


@pytest.mark.parametrize("name", sorted(FORMS))
def test_a_form_is_a_short_table_whose_turns_make_one_round(name: str) -> None:
    form = FORMS[name]
    assert 5 <= len(form.parts) <= 12
    names = [p.name for p in form.parts]
    assert len(set(names)) == len(names)
    for part in form.parts:
        assert part.turn[0] <= part.turn[1]
        assert 0 < part.size[0] <= part.size[1]
    # What a table misses of 360 degrees is spread: tables are to miss little (a taper adds its
    # own).
    if not any(p.taper for p in form.parts):
        means: dict[str, float] = {"": 0.0}
        for part in form.parts:
            means[part.name] = sum(part.turn) / 2 - means[part.against]
        assert abs(sum(means.values()) - 360) <= 16
    named = {
        *form.bars,
        *form.hollows,
        *(form.ends or ()),
        *(form.level or ()),
        form.tip or names[0],
    }
    assert named <= set(names)
    assert all(p.turn[1] < 0 for p in form.parts if p.name in form.hollows)


@pytest.mark.parametrize(("form", "handle"), PAIRS)
def test_a_seed_draws_the_same_board_again_and_within_its_box(form: str, handle: str) -> None:
    brief = brief_for(handle)
    seen = 0
    many, again = (
        [random_genes(generator(4, k, 0), form, handle, brief.size()) for k in range(30)]
        for _ in (0, 1)
    )
    assert many == again
    for genes in closed(many):
        if seen == 4:
            break
        if genes is None:
            continue
        assert math.fsum(s.turn for s in genes.row.stretches) == pytest.approx(
            2 * math.pi, abs=1e-9
        )
        try:
            a, b = draw(genes), draw(genes)
        except OutlineError:
            continue
        seen += 1
        assert (a.edge == b.edge).all()
        assert np.abs(a.edge - np.round(a.edge, 6)).max() == 0
        x0, y0, x1, y1 = bounds(spline(a.edge))
        assert (x0 + x1, y0 + y1) == pytest.approx((0, 0), abs=1e-5)
        assert x1 - x0 == pytest.approx(genes.row.box[0], abs=0.02)
        assert y1 - y0 == pytest.approx(genes.row.box[1], abs=0.02)
        assert x1 - x0 <= brief.length + 0.02
        assert y1 - y0 <= brief.width + 0.02
    assert seen >= 3, seen


def test_a_mirrored_board_is_the_same_board() -> None:
    many = [
        random_genes(generator(9, k, 0), "comma", "thumb-hole", Brief().size()) for k in range(9)
    ]
    genes = next(g for g in closed(many) if g is not None)
    plain = outline_of(draw(replace(genes, flip=(False, False)))).wood
    for flip, sign in (
        ((True, False), (1, -1)),
        ((False, True), (-1, 1)),
        ((True, True), (-1, -1)),
    ):
        other = outline_of(draw(replace(genes, flip=flip))).wood
        same = shapely.affinity.scale(plain, *sign, origin=(0, 0))
        assert shapely.symmetric_difference(same, other).area < 1.0


def test_the_hole_of_a_tip_has_an_even_rim() -> None:
    """The wood round the hole, measured by GEOS each 10 degrees over 100 degrees of the tip."""
    for form in ("comma", "shell", "drop", "petal", "tongue", "quarter", "willow"):
        for k in range(20):
            genes = closed([random_genes(generator(7, k, 0), form, "thumb-hole", Brief().size())])[
                0
            ]
            if genes is None:
                continue
            sketch = draw(genes)
            hole = sketch.openings[0]
            assert isinstance(hole, Round)
            ring = shapely.LinearRing(flatten(spline(sketch.edge), 0.01))
            rim = ring.distance(shapely.Point(hole.x, hole.y)) - hole.radius
            assert THUMB_RIM[0] - 0.1 <= rim <= THUMB_RIM[1] + 0.1
            assert rim == pytest.approx(dict(genes.hand)["rim"], abs=2.0)


def test_a_ring_lies_in_broad_tips_alone_with_an_even_rim() -> None:
    forms = {f for f, h in PAIRS if h == "ring"}
    assert forms == {"drop", "mussel"}
    low, high = HANDLES["ring"].rims[1] if HANDLES["ring"].rims else (0.0, 0.0)
    for form in sorted(forms):
        genes = next(
            g
            for g in closed(
                [
                    random_genes(generator(4, k, 0), form, "ring", Brief(length=600).size())
                    for k in range(20)
                ]
            )
            if g
        )
        sketch = draw(genes)
        (hole,) = sketch.openings
        assert isinstance(hole, Round)
        rim = shapely.distance(
            shapely.LinearRing(flatten(spline(sketch.edge), 0.01)), shapely.Point(hole.x, hole.y)
        )
        assert low <= rim - hole.radius <= high
        assert 60 <= 2 * hole.radius <= 68


def test_a_satchel_is_held_in_the_middle_of_its_length() -> None:
    """By GEOS: the opening's middle within a millimetre of the box's, and beside the upper side."""
    brief = Brief(length=600, width=300, max_mass=6.0)
    many = [random_genes(generator(6, k, 0), "satchel", "opening", brief.size()) for k in range(12)]
    drawn = [draw(g) for g in closed(many) if g is not None]
    assert len(drawn) >= 6
    for sketch in drawn:
        (opening,) = (shapely.Polygon(flatten(c)) for c in sketch.curves()[1:])
        x0, _, x1, y1 = bounds(spline(sketch.edge))
        assert opening.centroid.x == pytest.approx((x0 + x1) / 2, abs=1.0)
        assert y1 - opening.bounds[3] < 45


def test_a_pear_and_a_scoop_rest_on_their_first_side() -> None:
    """Turned half round their bodies hang; both ends may lie on either side."""
    for form in ("pear", "scoop"):
        flips = {
            random_genes(generator(6, k, 0), form, "thumb-hole", Brief(length=600).size()).flip
            for k in range(30)
        }
        assert flips == {(False, False), (False, True)}


def test_a_larger_box_leaves_the_hand_its_size() -> None:
    many = [random_genes(generator(2, k, 0), "sweep", "neck", Brief().size()) for k in range(9)]
    genes = next(g for g in closed(many) if g is not None)
    larger = resized(genes, (genes.row.box[0] * 1.2, genes.row.box[1] * 1.2))
    for a, b in zip(genes.row.stretches, larger.row.stretches, strict=True):
        assert a.turn == pytest.approx(b.turn, abs=1e-6)
        if not a.give:
            assert a.length == pytest.approx(b.length, abs=1e-2)
    assert larger.row.stretches[4].length > genes.row.stretches[4].length


@pytest.mark.slow
@pytest.mark.parametrize(("form", "handle"), PAIRS)
def test_raw_draws_of_a_pair_cross_nothing_and_enough_pass(form: str, handle: str) -> None:
    """Of rows that close, none crosses itself, none is lumpy, and enough pass every check."""
    brief = brief_for(handle)
    many = [
        random_genes(generator(seed, 0, 0), form, handle, brief.size()) for seed in range(DRAWS)
    ]
    failed = Counter[str]()
    for genes in closed(many):
        if genes is None:
            failed["stretches"] += 1
            continue
        try:
            board = drawn_from(brief, genes, draw(genes))
            failed[first_failure(subject_of(board, rough=True)) or "passes"] += 1
        except OutlineError:
            failed["outline"] += 1
    print(f"{form} {handle}: {dict(failed)}")
    drawn = DRAWS - failed["stretches"]
    assert failed["passes"] >= 0.05 * DRAWS
    if handle not in ("opening", "two-openings"):
        assert failed["outline"] <= 0.02 * drawn


def test_what_is_to_be_level_is_level() -> None:
    """A resting edge within a degree of the grain, in its middle.

    One to four degrees look like a slip.
    """
    for form, part in (
        ("mussel", "level flank"),
        ("turned", "base"),
        ("tray", "base"),
        ("pill", "base"),
    ):
        handle = "two-openings" if form == "tray" else "thumb-hole"
        many = [
            random_genes(generator(k, 1, 0), form, handle, brief_for(handle).size())
            for k in range(20)
        ]
        found = [g for g in closed(many) if g is not None]
        assert len(found) >= 10, form
        for genes in found:
            drawn = trace(genes.row, 6.0)
            i = [s.name for s in genes.row.stretches].index(part)
            heading = float(drawn.at(np.array([drawn.middle(i)]))[1][0])
            assert abs(math.degrees(math.remainder(heading, math.pi))) <= 1.0, form


def test_a_pair_of_openings_is_upright_level_and_alike() -> None:
    brief = brief_for("two-openings")
    many = [
        random_genes(generator(k, 2, 0), "tray", "two-openings", brief.size()) for k in range(90)
    ]
    seen = 0
    for genes in closed(many):
        if genes is None:
            continue
        try:
            sketch = draw(genes)
        except OutlineError:
            continue
        seen += 1
        boxes = [shapely.Polygon(flatten(c, 0.05)) for c in sketch.curves()[1:]]
        (ax0, ay0, ax1, ay1), (bx0, by0, bx1, by1) = (b.bounds for b in boxes)
        assert (ay0 + ay1) / 2 == pytest.approx(0, abs=2.5)  # the ends bow by two degrees
        assert (by0 + by1) / 2 == pytest.approx(0, abs=2.5)
        assert boxes[0].area == pytest.approx(boxes[1].area, rel=0.01)
        for x0, x1 in ((ax0, ax1), (bx0, bx1)):  # upright: hardly wider than high across
            assert x1 - x0 <= dict(genes.hand)["height"] + 5.0
    assert seen >= 10


@pytest.mark.parametrize("form", ["willow", "turned", "tray", "plank", "pebble", "ribbon"])
def test_alike_when_turned_half_round_is_quite_alike(form: str) -> None:
    """Turned by 180 degrees about its middle a board covers itself.

    No side is steeper than its partner.
    """
    handle = "two-openings" if form == "tray" else "none"
    many = [
        random_genes(generator(6, k, 0), form, handle, brief_for(handle).size()) for k in range(9)
    ]
    seen = 0
    for genes in closed(many):
        if genes is None:
            continue
        edge = shapely.Polygon(flatten(spline(draw(replace(genes, handle="none")).edge), 0.01))
        other = shapely.affinity.rotate(edge, 180, origin=(0, 0))
        assert edge.symmetric_difference(other).area <= 5e-4 * edge.area
        seen += 1
    assert seen >= 3


def test_a_leaf_is_drawn_rising_alone() -> None:
    """Its upper half lies to the right of its lower half.

    A form that may lie either way does both.
    """
    lean: dict[str, set[bool]] = {"willow": set(), "turned": set()}
    for form, found in lean.items():
        many = [random_genes(generator(3, k, 0), form, "none", Brief().size()) for k in range(24)]
        for genes in closed(many):
            if genes is not None:
                edge = shapely.Polygon(flatten(spline(draw(genes).edge), 0.05))
                upper = edge.intersection(shapely.box(-900, 0, 900, 900))
                found.add(upper.centroid.x > edge.centroid.x)
    assert lean == {"willow": {True}, "turned": {True, False}}

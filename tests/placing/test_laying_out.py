"""Boards on several pieces: the scarce places first, patience, and what fits beside what lies."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from made_boards import a_box
from made_off_cuts import off_cut, timber

from shapes.placing.bed import Bed
from shapes.placing.fill import Filler
from shapes.placing.ground import Wanted
from shapes.placing.lay_out import lay_out
from shapes.placing.patience import Patience
from shapes.placing.place import Misfit, Placement, place_one
from shapes.processes import one_by_one
from shapes.timber.off_cut import Defect, OffCut, Rules


def test_a_board_that_fits_on_one_piece_alone_has_it_before_a_larger_one_that_has_a_choice() -> (
    None
):
    """Only together do the two hold both.

    The larger board would take the long piece and leave the long board.
    """
    long, wide = a_box(300, 60, "long"), a_box(230, 90, "wide")
    made = lay_out([Wanted(wide), Wanted(long)], [timber(330, 120), timber(260, 120)], 6.0)
    assert made.left == ()
    on = [[p.board.name for _, p, _ in c.placed] for c in made.covered]
    assert on == [["long"], ["wide"]]


def test_the_urgent_go_before_the_scarce() -> None:
    long, wide = a_box(300, 60, "long"), a_box(230, 90, "wide")
    made = lay_out(
        [Wanted(wide, 2, 1), Wanted(long, 1, 2)], [timber(330, 120), timber(260, 120)], 6.0
    )
    assert made.left == (1,)
    assert made.crowded == [1]


@pytest.mark.parametrize(("slack", "fits"), [(0.05, True), (-0.4, False)])
def test_a_bar_fits_where_it_must_lie_askew(slack: float, fits: bool) -> None:
    """A bar l x w turned by a lies in l cos a + w sin a by l
    sin a + w cos a, and at no less a turn.
    """
    long, wide, angle = 400.0, 20.0, math.radians(10.0)
    size = (
        long * math.cos(angle) + wide * math.sin(angle) + slack + 22,
        long * math.sin(angle) + wide * math.cos(angle) + slack + 22,
    )
    assert size[0] - 22 < long
    found = place_one(a_box(long, wide), Bed(Rules(timber(*size), 6.0)), within=math.radians(10))
    if fits:
        assert isinstance(found, Placement)
        assert abs(math.sin(found.pose.angle)) == pytest.approx(math.sin(angle), abs=1e-3)
    else:
        assert isinstance(found, Misfit)
        assert found.lacks == pytest.approx(-slack / 2, abs=0.05)


def test_no_board_is_laid_round_a_hole_of_the_piece() -> None:
    """The hole's rim touches no edge of a board that lies all round it.

    There is no wood there all the same.
    """
    hole = shapely.Point(150, 75).buffer(12)
    piece = OffCut(
        "p",
        shapely.Polygon(shapely.box(0, 0, 300, 150).exterior, [hole.exterior]),
        30.0,
        "black walnut",
    )
    assert isinstance(place_one(a_box(260, 110), Bed(Rules(piece, 6.0)), within=0.0), Misfit)
    small = place_one(a_box(100, 110), Bed(Rules(piece, 6.0)), within=0.0)
    assert isinstance(small, Placement)
    assert small.outline.wood.distance(hole) >= 11 - 0.01


def test_patience_ends_with_the_best_that_was_found() -> None:
    boards = [Wanted(a_box(w, 60 + w / 4, f"b{w}")) for w in range(110, 150, 10)]
    pieces = [timber(310, 210), timber(280, 180)]
    calm, hurried = (lay_out(boards, pieces, 6.0, patience=p) for p in (math.inf, 0.0))
    assert not calm.hurried
    assert hurried.hurried
    # What lacks is not measured any more, but what fits nowhere is told from what was crowded out.
    late = lay_out([*boards[:1], Wanted(a_box(500, 300, "huge"))], pieces, 6.0, patience=0.0)
    assert late.why(1) == "huge fits on no off-cut"
    assert sum(len(c.placed) for c in hurried.covered) >= 1
    assert sum(len(c.placed) for c in calm.covered) >= sum(len(c.placed) for c in hurried.covered)
    assert not Patience().over()


def test_what_fits_nowhere_is_told_with_the_piece_where_least_lacks() -> None:
    made = lay_out([Wanted(a_box(300, 80, "long"))], [timber(230, 110), timber(310, 110)], 6.0)
    where, misfit = made.lacks[0]
    assert (made.left, made.crowded) == ((0,), [])
    assert misfit.lacks == pytest.approx(6.0, abs=0.05)
    assert misfit.name == "the edge of the piece"
    assert misfit.largest == pytest.approx(288 / 300, rel=0.007)
    assert where == "p"


def test_two_boxes_that_fill_a_piece_but_for_a_millimetre() -> None:
    """Cells are two millimetres wide; with a tenth too little for both there is one."""
    for spare, count in ((0.1, 2), (-0.1, 1)):
        piece = timber(22 + 14 + 2 * 75 + spare, 22 + 45 + 1.0)
        filler = Filler(Rules(piece, 6.0), [Wanted(a_box(75, 45, "one"), 2)], within=0.0)
        assert len(filler.lay([0, 0])) == count


def test_a_piece_all_of_which_is_shut_takes_nothing_and_says_so() -> None:
    rot = Defect("rot 1", "rot", shapely.box(0, 0, 300, 200), 5.0)
    piece = replace(timber(300, 200), defects=(rot,))
    found = place_one(a_box(100, 60), Bed(Rules(piece, 6.0)))
    assert isinstance(found, Misfit)
    assert not np.isfinite(found.lacks)
    assert found.largest is None


def test_the_number_of_processes_changes_nothing() -> None:
    """Crowded, so that searches are begun at once; and one that fits nowhere, so that what it lacks
    is measured on both pieces.
    """
    boards = [Wanted(a_box(w, 60 + w / 4, f"b{w}")) for w in range(110, 150, 10)]
    boards.append(Wanted(a_box(265, 60, "long")))
    pieces = [timber(250, 120), timber(160, 130)]
    told: list[list[str]] = [[], []]
    alone, helped = (
        lay_out(boards, pieces, 6.0, jobs=jobs, tell=told[jobs - 1].append) for jobs in (1, 2)
    )
    assert told[0] == told[1]
    assert (alone.left, alone.lacks) == (helped.left, helped.lacks)
    assert [[(n, p.pose) for n, p, _ in c.placed] for c in alone.covered] == [
        [(n, p.pose) for n, p, _ in c.placed] for c in helped.covered
    ]
    assert sum(len(c.placed) for c in alone.covered) == 2


def test_each_search_has_a_seed_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever was drawn before, and whichever process it is made by."""
    monkeypatch.setattr(Filler, "_fill", lambda self, items, patience: [self.rng.random()])
    filler = Filler(Rules(timber(250, 120), 6.0), [Wanted(a_box(110, 60, "a"))])
    for count in (1, 9):  # with room, and crowded
        filler.rng.random()
        found: list[object] = list(filler._searches([0] * count, 7, Patience(), one_by_one))
        assert found == [[np.random.Generator(np.random.PCG64DXSM(k)).random()] for k in (7, 8, 9)]


@pytest.mark.parametrize("seed", range(3))
def test_a_bed_that_is_taken_step_by_step_is_the_one_that_is_taken_at_once(seed: int) -> None:
    """What was worked out of the empty one, or of fewer boards, is not taken for what is left."""
    rules = Rules(off_cut(seed), 6.0)
    x0, y0, x1, y1 = rules.room.bounds
    far = x1 - x0
    first = shapely.box(x0, y0, x0 + 0.3 * far, y1)
    second = shapely.Point(x0 + 0.6 * far, (y0 + y1) / 2).buffer(30)
    bed = Bed(rules)
    grid = bed.grid
    x, y = np.meshgrid(
        grid.x + np.arange(grid.columns) * grid.step, grid.y + np.arange(grid.rows) * grid.step
    )
    shut = np.fft.irfft2(bed.forbidden[0], grid.shape) > 0.5
    assert not shut[shapely.contains_xy(rules.room, x, y)].any()
    assert shut[~shapely.contains_xy(rules.container, x, y)].all()
    for taken, more in ((first, first), (shapely.union(first, second), second)):
        _ = bed.largest, bed.forbidden, bed._islands
        bed, own = bed.taking(more), Bed(rules, taken)
        assert bed.largest == pytest.approx(own.largest)
        assert bed.largest < Bed(rules).largest
        for a, b in zip(bed.forbidden, own.forbidden, strict=True):
            assert a == pytest.approx(b, abs=1e-3 * float(np.abs(b).max()))
        assert [n for n, _ in bed._islands] == [n for n, _ in own._islands]
        for (_, here), (_, there) in zip(bed._islands, own._islands, strict=True):
            assert here == pytest.approx(there)
        # By cells: what is taken is closed, beside it the wood is as it was.
        closed = np.fft.irfft2(bed.forbidden[0], bed.grid.shape) > 0.5
        rows, columns = np.nonzero(
            closed != (np.fft.irfft2(Bed(rules).forbidden[0], bed.grid.shape) > 0.5)
        )
        at = np.stack(
            [bed.grid.x + columns * bed.grid.step, bed.grid.y + rows * bed.grid.step], axis=1
        )
        assert len(at) > 50
        assert shapely.contains_xy(taken, *at.T).all()

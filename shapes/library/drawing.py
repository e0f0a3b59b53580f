"""Draw boards: a collection for a brief or for a piece, relatives of a board, a set of sizes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shapes.collection.board import Board, Report
from shapes.collection.brief import Brief
from shapes.collection.generate import Collection
from shapes.collection.generate import generate as draw_and_choose
from shapes.collection.pool import POOL, AtRandom, Prefer, Source
from shapes.errors import OPTION, InputError, Problem, did_you_mean, in_range
from shapes.folders.collection import named
from shapes.handles import HANDLES
from shapes.library.settings import sound, with_settings

if TYPE_CHECKING:
    from shapes.timber.off_cut import OffCut

MOST_BOARDS, MOST_POOL, MOST_SEED = 99, 1_000_000, 2**63 - 1
SIZES = (2, 5)  # of a set


def source_of(brief: Brief | None, piece: OffCut | None = None) -> Source:
    """Return where boards come from: any wood, or a piece, whose species and thickness count then.

    Without a brief, boards of a piece are as large as it allows. Raises InputError where the piece
    is too thin, CannotMeetError where no stretch of it takes a board.
    """
    if isinstance(brief, (str, Path)):
        raise InputError(Problem("brief", f"'{brief}' is a name", "", "read it first: read_brief"))
    brief = None if brief is None else sound(brief)
    if piece is None:
        return AtRandom(brief or Brief())
    # Here, since placing stands on more of scipy, which a plain brief has no need to wait for.
    from shapes.placing.fitted import brief_on
    from shapes.placing.on_wood import OnWood

    return OnWood(brief_on(piece, brief or Brief(), sized=brief is not None), piece)


def generate(
    source: Brief | Source | None = None,
    count: int | None = None,
    *,
    piece: OffCut | None = None,
    seed: int = 1,
    keep: Sequence[tuple[int, Report]] = (),
    pool: int | None = None,
    fewer: bool = False,
    prefer: Prefer | None = None,
    jobs: int = 1,
    tell: Callable[[int], None] = lambda done: None,
) -> Collection:
    """Draw boards for a brief, check them, and choose
    ``count`` that differ (the brief's own number).

    ``piece``: an off-cut that they are to be cut from. ``seed``: another number, other boards; the
    same, the same boards. ``keep``: (place, report) of boards that stay. ``pool``: candidates to
    draw, 14 for each board as a rule; ``fewer``: take fewer boards where not enough stand the
    checks. ``prefer``: what of a pool goes with what was said of other boards
    (``collection/liked.py``). ``jobs``: processes; ``tell`` hears how many candidates are drawn.

    Raises CannotMeetError, with what to loosen, where too few boards stand; InputError where an
    argument is out of its range.

    >>> made = generate(Brief(length=420, width=210), 2, pool=12)
    >>> [r.passes for r in made.reports]
    [True, True]
    """
    if source is None or isinstance(source, (Brief, str, Path)):
        source = source_of(source, piece)
    elif piece is not None:
        raise InputError(
            Problem("piece", "goes with a brief", "", "state it where the source is made")
        )
    wanted = source.brief.count if count is None else count
    size = POOL * wanted if pool is None else pool
    in_range(wanted, 1, MOST_BOARDS, "count")
    in_range(size, wanted, MOST_POOL, "pool")
    in_range(seed, 0, MOST_SEED, "seed")
    if len(keep) > wanted:
        raise InputError(
            Problem(
                f"{OPTION}: keep",
                f"{len(keep)} boards are kept of {wanted}",
                f"up to {wanted}",
                "keep fewer, or draw more",
            )
        )
    return named(
        draw_and_choose(
            source,
            seed,
            wanted,
            pool_size=size,
            kept=keep,
            jobs=jobs,
            fewer=fewer,
            prefer=prefer,
            tell=tell,
        )
    )


def may_vary(board: Board) -> None:
    """Raise InputError where a board has no stretches, and so no relatives."""
    from shapes.collection.vary import stretches_of

    stretches_of(board)


def vary(
    board: Board,
    count: int = 12,
    how_far: float = 0.35,
    *,
    seed: int = 1,
    length: float | str | None = None,
    width: float | str | None = None,
    thickness: float | str | None = None,
    handle: str | None = None,
    sizes: int | None = None,
    fewer: bool = False,
    jobs: int = 1,
) -> Collection:
    """Draw relatives of a board: the same form and handle, moved by ``how_far``, 0 to 1.

    ``length``, ``width``, ``thickness`` (mm, or text with a unit) and ``handle``: the board itself
    made so first. ``sizes``: a set in so many sizes in place of relatives, its own the largest.

    Raises InputError where the board has no stretches, a handle does not suit it or an argument is
    out of its range; CannotMeetError where too few stand the checks.
    """
    from shapes.collection.vary import in_another_box, in_sizes, near, with_handle

    in_range(count, 1, MOST_BOARDS, "count")
    in_range(how_far, 0, 1, "how_far")
    in_range(seed, 0, MOST_SEED, "seed")
    if sizes is not None:
        in_range(sizes, *SIZES, "sizes")
    may_vary(board)
    if handle is not None and handle not in HANDLES:
        hint = did_you_mean(handle, HANDLES, "known: " + ", ".join(HANDLES), 0.4)
        raise InputError(Problem(f"{OPTION}: handle", f"there is no handle '{handle}'", "", hint))
    own = replace(board.brief, forms=(), handles=(), title=f"Relatives of {board.name}")
    settings: dict[str, Any] = {"length": length, "width": width, "thickness": thickness}
    brief = with_settings(own, settings)
    resized = (length is not None, width is not None)
    parent = in_another_box(board, brief, resized) if any(resized) else replace(board, brief=brief)
    if handle is not None:
        parent = with_handle(parent, handle, seed)
    if sizes is not None:
        return named(in_sizes(parent, sizes, seed), [board.name])
    made = draw_and_choose(near(parent, how_far, resized), seed, count, jobs=jobs, fewer=fewer)
    return named(made, [board.name])

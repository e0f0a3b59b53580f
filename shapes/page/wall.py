"""The wall: every round's boards, what is said of them, and new rounds."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from shapes.collection.brief import Brief, brief_from
from shapes.errors import InputError, Problem
from shapes.folders.bench import Bench
from shapes.folders.choice import ASIDE, KEEP
from shapes.library.drawing import generate, source_of
from shapes.page.answers import told
from shapes.page.liking import learned_of, taste_told
from shapes.page.opened import Opened
from shapes.page.values import Body, a_board, count_of, number, seed_of, whole
from shapes.text_files import read_json


def wall(o: Opened, asked: Body) -> Body:
    """Return every round's boards and what was said of them."""
    bench = o.bench(asked)
    choice = bench.choice()
    orders = dict(choice.orders)
    places = {key: place for place, key in enumerate(orders)}
    rounds = []
    for name, keys in bench.rounds():
        boards = []
        for key in keys:
            try:
                one = told(key, o.boards.report(bench, key))
            except InputError as error:
                one = {"key": key, "name": key, "damaged": str(error)}
            boards.append(
                {
                    **one,
                    "say": choice.opinions.get(key, ""),
                    "order": orders.get(key, 0),
                    "place": places.get(key, len(places)),
                }
            )
        rounds.append({"name": name, "boards": boards})
    return {
        "folder": asked.get("folder", ""),
        "title": bench.folder.name,
        "rounds": rounds,
        "drafts": bench.drafts(),
        "mark": dict(choice.mark),
        "taste": taste_told(o, bench, choice),
    }


def brief(o: Opened, asked: Body) -> Body:
    """Return the brief that a collection was drawn for."""
    return {"brief": _drawn_for(o.bench(asked)).as_table()}


def say(o: Opened, asked: Body) -> Body:
    """Keep a board, set it aside, or say nothing of it."""
    say = str(asked.get("say", ""))
    if say not in (KEEP, ASIDE, ""):
        raise InputError(Problem("say", f"'{say[:20]}' is no opinion", "keep, aside or nothing"))
    bench = o.bench(asked)
    choice = bench.say(str(asked.get("key")), say)
    return {"opinions": choice.opinions, "taste": taste_told(o, bench, choice)}


def order(o: Opened, asked: Body) -> Body:
    """Order so many of a board."""
    count = whole(asked.get("count"), 0, 99, "count")
    return {"orders": dict(o.bench(asked).order(str(asked.get("key")), count).orders)}


def more(o: Opened, asked: Body) -> Body:
    """Draw a round that goes with what was kept and keeps away from what was set aside."""
    from shapes.collection.liked import Likely, liked

    bench = o.bench(asked)
    choice = bench.choice()
    taste = learned_of(o, bench, choice)
    piece = o.piece(choice.piece) if choice.piece in o.pieces() else None
    source = source_of(_drawn_for(bench), piece)
    count, seed = source.brief.count, seed_of(asked)
    away = tuple(
        o.boards.report(bench, k).subject.likeness
        for _, keys in bench.rounds()
        for k in keys
        if choice.opinions.get(k) != KEEP
    )
    prefer = None if taste is None else Likely(taste, away)
    # What follows the wood of a piece is not ranked before it was laid on it.
    if taste is None or piece is not None:
        made = generate(source, count, seed=seed, jobs=o.jobs, fewer=True, prefer=prefer)
    else:
        ranked, size = liked(source, taste, seed, count)
        made = generate(ranked, count, seed=seed, pool=size, jobs=o.jobs, fewer=True, prefer=prefer)
    return _round(o, bench, made)


def between(o: Opened, asked: Body) -> Body:
    """Draw relatives of two boards."""
    from shapes.collection.liked import BetweenTwo, NearBoth
    from shapes.collection.vary import stretches_of

    bench = o.bench(asked)
    given = asked.get("keys")
    keys = [str(k) for k in given][:3] if isinstance(given, list) else []
    if len(keys) != 2 or keys[0] == keys[1]:
        raise InputError(Problem("between", "wants two boards", "", "choose two"))
    one, other = (o.boards.report(bench, k) for k in keys)
    genes = [stretches_of(a_board(r)) for r in (one, other)]
    brief = replace(_drawn_for(bench), forms=(), handles=())
    two = (one.subject.likeness, other.subject.likeness)
    made = generate(
        BetweenTwo(brief, *genes),
        count_of(asked),
        seed=seed_of(asked),
        jobs=o.jobs,
        fewer=True,
        prefer=NearBoth(two),
    )
    return _round(o, bench, made)


def like(o: Opened, asked: Body) -> Body:
    """Draw relatives of one board, as far from it as asked."""
    from shapes.library.drawing import vary

    bench = o.bench(asked)
    how_far = float(number(asked.get("how_far", 0.35), 0.02, 1, "how far"))
    board = a_board(o.boards.report(bench, str(asked.get("key"))))
    made = vary(board, count_of(asked), how_far, seed=seed_of(asked), fewer=True, jobs=o.jobs)
    return _round(o, bench, made)


def _round(o: Opened, bench: Bench, made: Any) -> Body:
    return {"round": bench.add_round(made, o.jobs)}


def _drawn_for(bench: Bench) -> Brief:
    try:
        return brief_from(read_json(bench.folder / "collection.json")["brief"], "brief")
    except (OSError, ValueError, KeyError, TypeError) as error:
        if isinstance(error, InputError):
            raise
        raise InputError(Problem(str(bench.folder), "says no brief")) from None

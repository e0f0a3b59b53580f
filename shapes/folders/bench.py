"""What a maker does with a collection by eye, kept in its folder.

Rounds, opinions, boards under shaping.

Everything lies in ``bench/`` of the collection's folder: ``choice.json`` (what is kept and set
aside, what was struck out of the taste, how many of each are ordered), ``round-2`` and on, which
are collections like any other, ``shaped``, one board's folder each, and ``drafts``, a folder for
each board under shaping: a file for every step, never written again, and ``draft.json``, which of
them count and where one stands. Each action reads what is there, changes its part and writes that
whole, under a lock: two pages and a command see one another's doing, and none overwrites another.
"""

from __future__ import annotations

import contextlib
import re
import secrets
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from itertools import count
from pathlib import Path

from shapes.collection.board import Board, Report, full_report
from shapes.collection.generate import Collection
from shapes.errors import InputError, Problem
from shapes.files.recipe import digest, read_recipe
from shapes.files.safe import write_checked
from shapes.folders import whole
from shapes.folders.choice import KEEP, Choice
from shapes.folders.collection import (
    BENCH,
    folders_in,
    named,
    to_json,
    write_board,
    write_collection,
)
from shapes.folders.draft import DRAFT, Draft, add_step

CHOICE, SHAPED, DRAFTS, ROUND = "choice.json", "shaped", "drafts", "round-"
LOCK = ".lock"
MOST_STEPS = 5000  # of one draft: some 60 MB
MOST_ROUNDS = 500
LOCK_WAIT = 10.0  # s for another page's action to end
_KEY = re.compile(r"(?:[\w.()-]+/){0,2}[\w.()-]+")
_NAME = re.compile(r"[a-z0-9-]{1,80}")


class ChangedError(InputError):
    """What was acted on is no longer what it was: somebody else came first."""


@dataclass(frozen=True, slots=True)
class Bench:
    """A collection's folder as a maker works in it."""

    folder: Path

    @property
    def place(self) -> Path:
        """Where everything of the page lies."""
        return self.folder / BENCH

    def rounds(self) -> list[tuple[str, list[str]]]:
        """Every round with the keys of its boards.

        The collection itself, later rounds, then shaped boards.
        """
        found = [("", _listed(self.folder))]
        for path in sorted(self.place.glob(f"{ROUND}*"), key=_number):
            if (path / "collection.json").is_file():
                name = f"{BENCH}/{path.name}"
                found.append((name, [f"{name}/{n}" for n in _listed(path)]))
        shaped = sorted(p.parent.name for p in self.place.glob(f"{SHAPED}/*/board.toml"))
        if shaped:
            found.append((f"{BENCH}/{SHAPED}", [f"{BENCH}/{SHAPED}/{n}" for n in shaped]))
        return found

    def every_key(self) -> list[str]:
        """Every board's key, in the order of the rounds."""
        return [k for _, keys in self.rounds() for k in keys]

    def board(self, key: str) -> Board:
        """Read a board. Raises InputError for a key that is none of this folder."""
        return read_recipe(self.path(key) / "board.toml")

    def path(self, key: str) -> Path:
        """Return the folder of a board. Raises InputError for a key that is none of this folder."""
        if not _KEY.fullmatch(key) or key not in self.every_key():
            raise InputError(
                Problem(
                    f"board '{key[:80]}'", "is not in this folder", "", "look at the boards anew"
                )
            )
        self._own(self.folder / key / "board.toml")
        return self._own(self.folder / key)

    def made(self, name: str) -> Path:
        """Return where something of the page is to be written, the page's folder made.

        Raises InputError.

        Whatever writes there comes this way: a link may lead it nowhere else.
        """
        self._own(self.place).mkdir(exist_ok=True)
        return self._own(self.place / name)

    def stamp(self) -> tuple[int, ...]:
        """Return what changes whenever boards, choices, drafts or what lies on a piece do."""
        paths = [
            self.folder / "collection.json",
            self.place,
            *sorted(self.place.glob("[!.]*")),
            *sorted(self.place.glob(f"{DRAFTS}/*/{DRAFT}")),
        ]
        return tuple(p.stat().st_mtime_ns for p in paths if p.exists())

    # What was said of boards

    def choice(self) -> Choice:
        """Read what was said; nothing where nothing was.

        A damaged file is refused, never overwritten.
        """
        return Choice.read(self.place / CHOICE)

    def say(self, key: str, opinion: str) -> Choice:
        """Keep a board (one of it is then ordered), set it
        aside, or take that back with an empty word.
        """
        self.path(key)

        def change(was: Choice) -> Choice:
            opinions = {k: v for k, v in was.opinions.items() if k != key}
            orders = dict(was.orders)
            if opinion == KEEP:
                orders.setdefault(key, 1)
            else:
                orders.pop(key, None)
            made = {**opinions, key: opinion} if opinion else opinions
            return replace(was, opinions=made, orders=tuple(orders.items()))

        return self._changed(change)

    def strike(self, word: str, *, out: bool) -> Choice:
        """Strike a belief out of the taste, or let it count again."""

        def change(was: Choice) -> Choice:
            others = tuple(w for w in was.struck if w != word)
            return replace(was, struck=(*others, word) if out else others)

        return self._changed(change)

    def order(self, key: str, count: int) -> Choice:
        """Order so many of a board; none takes it off."""
        self.path(key)

        def change(was: Choice) -> Choice:
            others = tuple(o for o in was.orders if o[0] != key)
            return replace(was, orders=(*others, (key, count)) if count else others)

        return self._changed(change)

    def engrave(self, mark: dict[str, str]) -> Choice:
        """Keep what is to be engraved."""
        return self._changed(lambda was: replace(was, mark=tuple(mark.items())))

    def drawn_for(self, piece: str) -> Choice:
        """Remember the off-cut that the boards were drawn for: later rounds are too."""
        return self._changed(lambda was: replace(was, piece=piece))

    def _changed(self, change: Callable[[Choice], Choice]) -> Choice:
        with self._held():
            made = change(self.choice())
            write_checked(self.made(CHOICE), to_json(made.as_json()))
        return made

    # Rounds

    def add_round(self, made: Collection, jobs: int = 1) -> str:
        """Write a round beside the others; return its name."""
        with self._held():
            taken = [_number(p) for p in self.place.glob(f"{ROUND}*")]
            number = max([1, *taken]) + 1
            if number > MOST_ROUNDS:
                raise InputError(
                    Problem("rounds", f"there are {MOST_ROUNDS}", "", "start a new folder")
                )
            known = [self.board(k).name for k in self.every_key()]
            nameless = tuple(replace(r, board=replace(r.board, name="")) for r in made.reports)
            made = named(replace(made, reports=nameless), [n for n in known if n])
            write_collection(made, self.place / f"{ROUND}{number}", plain=True, jobs=jobs)
        return f"{BENCH}/{ROUND}{number}"

    # Shaping

    def drafts(self) -> list[str]:
        """Names of the boards under shaping."""
        return sorted(p.parent.name for p in self.place.glob(f"{DRAFTS}/*/{DRAFT}"))

    def begin(self, key: str, board: Board | None = None) -> Draft:
        """Begin to shape a board.

        A draft of its own, or the one that was begun and never touched.
        """
        board = board or self.board(key)
        for name in self.drafts():
            with contextlib.suppress(InputError):  # one that is damaged hinders no other
                known = self.draft(name)
                if known.begun == key and len(known.steps) == 1:
                    return known
        words = re.sub(r"[^a-z0-9]+", "-", (board.name or board.form).lower()).strip("-") or "board"
        name = f"{words[:40]}-{secrets.token_hex(3)}"
        with self._held():
            return add_step(self._draft_place(name), key, (), "as it was", board)

    def draft(self, name: str) -> Draft:
        """Read a draft. Raises InputError."""
        return Draft.read(self._draft_place(name))

    def step(self, name: str, at: int, what: str, board: Board) -> Draft:
        """Add a step to a draft that stands ``at``; what was undone after that is left behind.

        Where somebody else has shaped it since, both stay: this one goes on in a draft of its own.
        """
        with self._held():
            was = self.draft(name)
            if len(was.steps) >= MOST_STEPS:
                raise InputError(
                    Problem(
                        "draft", f"has {MOST_STEPS} steps", "", "keep the board and begin from it"
                    )
                )
            if not 0 <= at < len(was.steps):
                raise ChangedError(
                    Problem("draft", "was shaped by somebody else", "", "look at it anew")
                )
            steps = was.steps[: at + 1]
            if at != was.at:
                fork = f"{name[:60]}-{secrets.token_hex(2)}"
                for number, _ in steps:
                    target = self._draft_place(fork) / f"{number}.json"
                    target.parent.mkdir(parents=True, exist_ok=True)
                    write_checked(target, (was.place / f"{number}.json").read_bytes())
                name = fork
            return add_step(self._draft_place(name), was.begun, steps, what, board)

    def stand(self, name: str, at: int) -> Draft:
        """Undo or redo: stand at another step of a draft."""
        with self._held():
            was = self.draft(name)
            made = replace(was, at=min(max(at, 0), len(was.steps) - 1))
            made.write()
        return made

    def keep_draft(self, name: str) -> tuple[str, Report]:
        """Write a draft's board as a board like any other, kept; return its key and its report."""
        draft = self.draft(name)
        known = {self.board(k).name for k in self.every_key()}
        board = draft.board
        if board.name in known:
            board = replace(board, name=_fresh(board.name, known))
        report = full_report(board)
        key = self._write_shaped(report)

        def takes_over(was: Choice) -> Choice:
            # It is made in place of the board that it began as, as often as that was to be.
            many = dict(was.orders).get(draft.begun, 1) or 1
            orders = {key if k == draft.begun else k: n for k, n in was.orders}
            orders[key] = many
            opinions = {k: v for k, v in was.opinions.items() if k != draft.begun or v != KEEP}
            return replace(was, opinions={**opinions, key: KEEP}, orders=tuple(orders.items()))

        self._changed(takes_over)
        return key, report

    def _write_shaped(self, report: Report) -> str:
        board = report.board
        with self._held():
            folder = self.place / SHAPED
            folder.mkdir(parents=True, exist_ok=True)
            named_ = (
                folder / f"{number:02d}-{board.form}-{digest(board)}"
                for number in count(len(list(folder.iterdir())) + 1)
            )
            target = next(path for path in named_ if not path.exists())
            whole.write(target, lambda place: write_board(report, place, None))
        return f"{BENCH}/{SHAPED}/{target.name}"

    def _draft_place(self, name: str) -> Path:
        if not _NAME.fullmatch(name):
            raise InputError(Problem("draft", f"there is none called '{name[:80]}'"))
        return self._own(self.place / DRAFTS / name)

    def _own(self, path: Path) -> Path:
        """Return a path of ours. Raises InputError where a link leads it out of the folder."""
        if not path.resolve().is_relative_to(self.folder.resolve()):
            raise InputError(Problem(str(path), "leads out of the folder", "", "remove the link"))
        return path

    @contextmanager
    def _held(self) -> Iterator[None]:
        """One action at a time, whoever does it."""
        from filelock import FileLock, Timeout

        for name in (SHAPED, DRAFTS):
            self.made(name)
        lock = FileLock(self.made(LOCK))
        try:
            lock.acquire(timeout=LOCK_WAIT)
        except Timeout:
            raise InputError(
                Problem(str(self.place), "another page is writing it", "", "try again")
            ) from None
        try:
            yield
        finally:
            lock.release()


def _listed(folder: Path) -> list[str]:
    """Return the boards' folders that a collection lists and that are there. Raises InputError."""
    try:
        names = folders_in(folder)
    except (OSError, ValueError, KeyError, TypeError):
        raise InputError(
            Problem(str(folder), "holds no collection", "", "name a folder that generate wrote")
        ) from None
    return [n for n in names if _KEY.fullmatch(n) and (folder / n / "board.toml").is_file()]


def _number(path: Path) -> int:
    found = re.fullmatch(rf"{ROUND}(\d{{1,4}})", path.name)
    return int(found[1]) if found else 0


def _fresh(name: str, known: set[str]) -> str:
    k = 2
    while f"{name} {k}" in known:
        k += 1
    return f"{name} {k}"

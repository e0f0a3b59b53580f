"""Settings that a maker writes in TOML: one declaration a file, from which it is read and listed.

A file is a dataclass whose fields say how each is read; cattrs takes the table apart by it and
gathers every problem with its place. A reader takes a plain value and returns what it means, or
raises UnreadableError; the tables of ``shapes list settings`` and the guide come from the same
fields.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import MISSING, dataclass, field, fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from shapes.errors import InputError, Problem, did_you_mean
from shapes.parameters import Range
from shapes.text import NAME, SHOWN_CHARACTERS, plain, shown
from shapes.units import SHOWN_DECIMALS
from shapes.units import length as read_length
from shapes.units import mass as read_mass

T = TypeVar("T")


class UnreadableError(ValueError):
    """A value that is not what it is to be: what is wrong, what is allowed, what to do."""

    def __init__(self, what: str, allowed: str = "", remedy: str = "") -> None:
        """Keep the three."""
        super().__init__(what)
        self.what, self.allowed, self.remedy = what, allowed, remedy


Reads = Callable[[Any], Any]


@dataclass(frozen=True, slots=True)
class Number:
    """A number within a range; a length or mass may be text with a unit.

    ``count`` is a whole one.
    """

    allowed: Range
    kind: str = "length"

    def __call__(self, value: Any) -> float | int:
        """Read it."""
        span = f"allowed {self}"
        try:
            if isinstance(value, str) and self.kind == "length":
                value = read_length(value)
            if isinstance(value, str) and self.allowed.unit == "kg":
                value = read_mass(value)
        except ValueError as error:
            raise UnreadableError(str(error), span) from None
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise UnreadableError(f"must be a number, not {shown(value)}", span, self.allowed.says)
        if not self.allowed.low <= value <= self.allowed.high:  # also catches nan
            figure = f"{value:g}" if isinstance(value, float) or abs(value) < 1e15 else "that"
            raise UnreadableError(f"{figure} is out of range", span, self.allowed.says)
        if self.kind == "count" and value != int(value):
            raise UnreadableError(f"must be a whole number, not {value:g}", span)
        return int(value) if self.kind == "count" else float(value)

    def __str__(self) -> str:
        """Name the range."""
        low, high = (f"{v:.10g}".replace("e+", "e") for v in (self.allowed.low, self.allowed.high))
        return f"{low} to {high} {self.allowed.unit}".rstrip()


@dataclass(frozen=True, slots=True)
class Text:
    """A plain text of ``least``, 0 or 1, to ``most`` characters."""

    most: int = NAME
    least: int = 1

    def __call__(self, value: Any) -> str:
        """Read it."""
        if not isinstance(value, str):
            raise UnreadableError(f"{shown(value)} is no text", "", 'write it as "..."')
        if not value and not self.least:
            return value
        try:
            return plain(value, self.most)
        except ValueError as error:
            raise UnreadableError(
                f"{shown(value)} {error}", f"{self.least} to {self.most} characters"
            ) from None

    def __str__(self) -> str:
        """Name what is taken."""
        return "text"


@dataclass(frozen=True, slots=True)
class YesNo:
    """True or false."""

    def __call__(self, value: Any) -> bool:
        """Read it."""
        if not isinstance(value, bool):
            raise UnreadableError(f"{shown(value)} is neither true nor false")
        return value

    def __str__(self) -> str:
        """Name what is taken."""
        return "true or false"


@dataclass(frozen=True, slots=True)
class Word:
    """One of the words that are known; ``says`` completes a sentence about one that is not."""

    known: tuple[str, ...]
    says: str
    remedy: str = ""

    def __call__(self, value: Any) -> str:
        """Read it."""
        if not isinstance(value, str) or value not in self.known:
            near = (
                did_you_mean(value, self.known, self.remedy)
                if isinstance(value, str)
                else self.remedy
            )
            raise UnreadableError(f"{shown(value)} {self.says}", str(self), near)
        return value

    def __str__(self) -> str:
        """Name the words."""
        return ", ".join(w for w in self.known if w)


@dataclass(frozen=True, slots=True)
class WordList:
    """A list of words that are known, or are by the time one is read; one of them alone will do."""

    known: Collection[str]

    def __call__(self, value: Any) -> tuple[str, ...]:
        """Read it, each word once."""
        rows = [value] if isinstance(value, str) else value
        every = f"known: {self}"
        if not isinstance(rows, list) or not rows:
            raise UnreadableError(f"{shown(value)} is no list of names", "", every)
        wrong = [v for v in rows if not isinstance(v, str) or v not in self.known]
        if wrong:
            raise ExceptionGroup(
                "",
                [
                    UnreadableError(
                        f"unknown name {shown(v)}",
                        "",
                        did_you_mean(v, self.known, every, 0.4) if isinstance(v, str) else every,
                    )
                    for v in wrong
                ],
            )
        return tuple(dict.fromkeys(rows))

    def __str__(self) -> str:
        """Name the words."""
        return ", ".join(self.known)


@dataclass(frozen=True, slots=True)
class Numbers:
    """``count`` numbers in a list, each as ``each`` reads it; ``says`` what they are together."""

    each: Number
    count: int
    says: str

    def __call__(self, value: Any) -> tuple[float, ...]:
        """Read them."""
        if not isinstance(value, list) or len(value) != self.count:
            raise UnreadableError(f"{shown(value)} is not {self.says}", "", "write numbers in mm")
        return tuple(self.each(v) for v in value)

    def __str__(self) -> str:
        """Name what is taken."""
        return self.says


@dataclass(frozen=True, slots=True)
class Many:
    """A list of ``least`` to ``most`` values that ``each`` reads."""

    each: Reads
    least: int
    most: int
    says: str

    def __call__(self, value: Any) -> tuple[Any, ...]:
        """Read them; every one that is wrong is told."""
        if not isinstance(value, list) or not self.least <= len(value) <= self.most:
            raise UnreadableError(f"wants {self.says}", f"{self.least} to {self.most} of them")
        made, wrong = [], []
        for i, one in enumerate(value, start=1):
            try:
                made.append(self.each(one))
            except UnreadableError as error:
                wrong.append(
                    UnreadableError(f"number {i}, {error.what}", error.allowed, error.remedy)
                )
        if wrong:
            raise ExceptionGroup("", wrong)
        return tuple(made)

    def __str__(self) -> str:
        """Name what is taken."""
        return self.says


@dataclass(frozen=True, slots=True)
class Table:
    """A table of its own, read into ``kind``."""

    kind: Any

    def __call__(self, value: Any) -> Any:
        """Read it."""
        known = [f.name for f in fields(self.kind) if "reads" in f.metadata]
        return _converter().structure(a_table(value, known), self.kind)

    def __str__(self) -> str:
        """Name what is taken."""
        return "table"


@dataclass(frozen=True, slots=True)
class Tables:
    """A list of tables, each read into ``kind``."""

    kind: Any
    least: int = 0
    most: int = 200

    def __call__(self, value: Any) -> tuple[Any, ...]:
        """Read them."""
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            raise UnreadableError(
                "is no list of tables", "", "write its name as [[name]] above each"
            )
        if not self.least <= len(value) <= self.most:
            raise UnreadableError(
                f"has {len(value)} tables",
                f"{self.least} to {self.most}",
                "" if value else "leave it out",
            )
        return tuple(_converter().structure(value, list[self.kind]))  # type: ignore[name-defined]

    def __str__(self) -> str:
        """Name what is taken."""
        return "tables"


def a_table(value: Any, known: Sequence[str] = ()) -> dict[str, Any]:
    """Take a table as it is: what is in it is read elsewhere; ``known`` names its settings."""
    if not isinstance(value, dict):
        listed = f": {', '.join(known)}" if known else ""
        raise UnreadableError(
            "is no table", "", f"write its name as [name] above its settings{listed}"
        )
    return value


def setting(
    default: Any, low: float, high: float, says: str, unit: str = "", kind: str = "length"
) -> Any:
    """Declare a dataclass field that is a number; ``kind`` is length, number or count."""
    return declared(default, Number(Range(low, high, says, unit), kind), says)


def declared(default: Any, reads: Reads, says: str) -> Any:
    """Declare a dataclass field that a file may set: how it is read, and what it says."""
    about = {"reads": reads, "says": says}
    if isinstance(default, type) or callable(default):
        return field(default_factory=default, metadata=about)
    return field(metadata=about) if default is MISSING else field(default=default, metadata=about)


KEEP = Word(("keep",), "says nothing of a natural edge", "leave it out where it need not be kept")
UNIT = Word(tuple(SHOWN_DECIMALS), "is no unit to show sizes in")


def with_unit(table: Mapping[str, Any]) -> dict[str, Any]:
    """Return a table in which ``units`` is ``unit``: both are written."""
    return {("unit" if name == "units" else name): value for name, value in table.items()}


@cache
def _converter() -> Any:
    from cattrs import Converter
    from cattrs.gen import make_dict_structure_fn, override

    made = Converter()

    def structure(kind: Any) -> Callable[[Any, Any], Any]:
        hooks: dict[str, Any] = {
            f.name: (
                override(struct_hook=_hook(f.metadata["reads"]))
                if "reads" in f.metadata
                else override(omit=True)
            )
            for f in fields(kind)
        }
        return make_dict_structure_fn(
            kind, made, _cattrs_forbid_extra_keys=not getattr(kind, "OPEN", False), **hooks
        )

    made.register_structure_hook_factory(is_dataclass, structure)
    return made


def _hook(reads: Reads) -> Callable[[Any, Any], Any]:
    return lambda value, _: reads(value)


def read(kind: type[T], table: Mapping[str, Any], where: str) -> T:
    """Make a value of a file's declaration from its table. Raises InputError with every problem."""
    return at(where, Table(kind), dict(table))  # type: ignore[no-any-return]


def at(place: str, reads: Reads, value: Any) -> Any:
    """Read a value that stands at ``place``. Raises InputError with every problem."""
    try:
        return reads(value)
    except Exception as error:
        problems = tuple(_problems(error, place))
        if not problems:
            raise
        raise InputError(*problems) from None


def _problems(error: Exception, where: str) -> Iterator[Problem]:
    """Take apart what cattrs and the readers raise, each with its place."""
    from cattrs import AttributeValidationNote, ForbiddenExtraKeysError, IterableValidationNote

    if isinstance(error, ExceptionGroup):
        for one in error.exceptions:
            place = where
            for note in getattr(one, "__notes__", ()):
                if isinstance(note, AttributeValidationNote):
                    place += f": {note.name}"
                elif isinstance(note, IterableValidationNote):
                    place += f" {int(note.index) + 1}"
            yield from _problems(one, place)
    elif isinstance(error, ForbiddenExtraKeysError):
        known = [f.name for f in fields(error.cl) if "reads" in f.metadata]
        for name in sorted(error.extra_fields):
            hint = did_you_mean(name, known, "settings: " + ", ".join(known))
            yield Problem(f"{where}: {name[:SHOWN_CHARACTERS]}", "is no setting here", "", hint)
    elif isinstance(error, KeyError):
        yield Problem(where, "is missing", "", "it has to be said")
    elif isinstance(error, UnreadableError):
        yield Problem(where, error.what, error.allowed, error.remedy)
    elif isinstance(error, InputError):
        for p in error.problems:
            yield Problem(where, p.what, p.allowed, p.remedy)


def declarations(kind: Any, place: str = "") -> Iterator[tuple[str, str, str | None, str]]:
    """Give every setting of a file.

    Its name, what is allowed, its default as it is written, what it says.
    """
    for f in fields(kind):
        if "reads" not in f.metadata:
            continue
        reads = f.metadata["reads"]
        yield place + f.name, str(reads), _written(f.default), f.metadata["says"]
        if isinstance(reads, Table | Tables):
            mark = "[]" if isinstance(reads, Tables) else ""
            yield from declarations(reads.kind, f"{place}{f.name}{mark}.")


def _written(default: Any) -> str | None:
    """Return a default as it is written in TOML; None where there is none."""
    if default is None or default is MISSING or default in ((), ""):
        return None
    if isinstance(default, bool):
        return str(default).lower()
    return f"{default:g}" if isinstance(default, int | float) else str(default)


def stem(path: Path) -> str:
    """Return a file's name, without its ending, as the name of what is in it. Raises InputError."""
    return at(f"{path}: its name", Text(), path.stem)  # type: ignore[no-any-return]


def numbers_in(text: str, *counts: int) -> tuple[float, ...]:
    """Read finite numbers between commas, as many as one of ``counts``. Raises ValueError.

    >>> numbers_in("40,2.5", 2)
    (40.0, 2.5)
    """
    found = tuple(float(part) for part in text.split(","))
    if len(found) not in counts or not all(math.isfinite(v) for v in found):
        raise ValueError(f"{text!r} is not so many numbers")
    return found

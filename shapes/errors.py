"""The errors of the project: one small tree, each also a builtin.

Checks never raise on a bad board; these are for input that cannot be used.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from shapes.text import SHOWN_CHARACTERS, escaped

# Where a setting that was asked for is wrong, before its name; a command says --NAME in its place.
OPTION = "option"
_LONG = 800  # characters of a part of a message


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong: what, where, what is allowed, what to do."""

    where: str
    what: str
    allowed: str = ""
    remedy: str = ""

    def __str__(self) -> str:
        """One line: where, what, the allowed range, the remedy."""
        parts = [
            p if len(p) <= _LONG else p[:_LONG] + "..."
            for p in (self.where, self.what, self.allowed, self.remedy)
        ]
        tail = "".join(f"; {part}" for part in parts[2:] if part)
        return escaped(f"{parts[0]}: {parts[1]}{tail}")


def did_you_mean(name: str, known: Iterable[str], otherwise: str, likeness: float = 0.5) -> str:
    """Return a remedy for an unknown name: the nearest known one, or what ``otherwise`` says."""
    import difflib

    near = difflib.get_close_matches(name[:SHOWN_CHARACTERS], list(known), 1, likeness)
    return f"did you mean '{near[0]}'?" if near else otherwise


class ShapesError(Exception):
    """Base of every error that this package raises on purpose."""


class InputError(ShapesError, ValueError):
    """The input is wrong or cannot be used; holds every problem found at once."""

    def __init__(self, *problems: Problem) -> None:
        """Keep the problems; the text is one line for each."""
        self.problems = problems
        super().__init__("\n".join(str(problem) for problem in problems))

    def __reduce__(self) -> tuple[type[InputError], tuple[Problem, ...]]:
        """Come back whole from another process."""
        return type(self), self.problems


class RefusedError(InputError):
    """Boards that may not leave the shop: they fail a check, or may not touch food.

    Nothing was written.
    """


class OutlineError(ShapesError, ValueError):
    """A chain of segments that is no outline; ``place`` is where, in mm."""

    def __init__(self, what: str, place: tuple[float, float] | None = None) -> None:
        """Keep the reason and the place."""
        self.what = what
        self.place = place
        at = f" at ({place[0]:.3f}, {place[1]:.3f}) mm" if place else ""
        super().__init__(f"{what}{at}")


class CannotMeetError(ShapesError, RuntimeError):
    """The brief cannot be met; ``lines`` say which limits rejected how many and what to loosen."""

    def __init__(self, lines: tuple[str, ...]) -> None:
        """Keep the lines."""
        self.lines = lines
        super().__init__("\n".join(lines))


def in_range(value: float, low: float, high: float, where: str) -> None:
    """Raise InputError where a value is out of its range."""

    def plain(number: float) -> str:
        return f"{number:.0f}" if abs(number) >= 1e5 else f"{number:g}"

    if not low <= value <= high:
        span = f"allowed {plain(low)} to {plain(high)}"
        raise InputError(Problem(where, f"{plain(value)} is out of range", span))


def is_our_fault(error: BaseException) -> bool:
    """Whether what went wrong while a file was read is a fault of this package, not of the file.

    A value that cannot be is the file's; so is whatever a parser stumbles over. Anything else that is
    raised in our own code, as a name or an argument that is missing, is ours, and is not to be told
    as damage.
    """
    if isinstance(error, ValueError | ArithmeticError | RecursionError | MemoryError):
        return False
    trace = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    if trace is None:
        return False
    return Path(trace.tb_frame.f_code.co_filename).is_relative_to(Path(__file__).parent)

"""What several commands share: reading options, finding presets, printing tables."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable, Iterator, Sequence
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from shapes.errors import OPTION
from shapes.errors import in_range as in_range
from shapes.text import NAME

if TYPE_CHECKING:
    from shapes.collection.board import Report
    from shapes.collection.brief import Brief
    from shapes.collection.generate import Collection
    from shapes.pictures.board import Shown

# Options of drawings, which several commands take alike.
OfBrief = Annotated[
    Path | None,
    typer.Option(help="Thickness, timber, bits and limits from this brief, not the boards' own."),
]
OfGrain = Annotated[
    float, typer.Option(help="Of drawings: angle of the grain to the x axis, degrees.")
]
OfJobs = Annotated[
    int | None, typer.Option(help="Processes to work with.  [one a core, four at most]")
]
OfUnit = Annotated[
    str | None, typer.Option(help="Of drawings: mm, cm, in or px, where a file does not say.")
]
OfLayer = Annotated[
    list[str] | None, typer.Option(help="Of drawings: the layers to take; may be repeated.")
]
OfGap = Annotated[
    str | None, typer.Option(help="Of drawings: ends this near are joined, mm.  [0.1]")
]


OfGrip = Annotated[
    list[str] | None,
    typer.Option(help="Where a hand grips, X,Y or X,Y,DEG in mm; twice for two hands."),
]
OfLoad = Annotated[str | None, typer.Option(help="Food that the handle has to bear, kg.")]
OfFinished = Annotated[
    str | None, typer.Option(help="Another finished thickness.  [the boards' own]")
]
OfAnyway = Annotated[
    bool, typer.Option("--anyway", help="Write a board that fails a check; it says so in red.")
]
OfNotForFood = Annotated[
    bool,
    typer.Option(
        "--not-for-food", help="Use timber that is not fit for food; everything then says so."
    ),
]


class LiveEdge(str, Enum):
    """What is to become of a natural edge."""

    keep = "keep"


OfLiveEdge = Annotated[
    LiveEdge | None,
    typer.Option(help="keep: make the natural edge of a piece the edge of boards."),
]


class Beside(str, Enum):
    """Things of known size."""

    plate = "plate"
    loaf = "loaf"
    hand = "hand"


OfPixels = Annotated[int, typer.Option(help="Width of the finished picture, 200 to 6000.")]
OfTransparent = Annotated[
    bool, typer.Option("--transparent", help="The finished picture without a ground.")
]
OfBeside = Annotated[
    Beside | None, typer.Option(help="Beside it, true to scale: plate (260 mm), loaf or hand.")
]


def shown_as(pixels: int, transparent: bool, beside: Beside | None) -> Shown:
    """Return how a board is shown. Raises InputError."""
    from shapes.pictures.board import RANGE, Shown

    in_range(pixels, *RANGE, "--pixels")
    return Shown(pixels, transparent, None if beside is None else beside.value)


def note(text: str) -> None:
    """Say something on standard error, as a terminal may show it."""
    from shapes.text import escaped

    print(escaped(text), file=sys.stderr)


def plain_text(value: str, option: str, most: int = NAME) -> str:
    """Return the text of an option, which may be left empty.

    Raises InputError where it is not plain.
    """
    from shapes.settings import Text, at

    return str(at(option, Text(most, 0), value))


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Return rows under a head, columns aligned; numbers to the right."""
    every = [list(head), *[list(r) for r in rows]]
    widths = [max(len(r[i]) for r in every) for i in range(len(head))]
    numeric = [all(_is_number(r[i]) for r in rows) if rows else False for i in range(len(head))]
    lines = []
    for row in every:
        cells = [
            c.rjust(w) if n else c.ljust(w) for c, w, n in zip(row, widths, numeric, strict=True)
        ]
        lines.append("  ".join(cells).rstrip())
    return "\n".join(lines if any(head) else lines[1:])


def _is_number(text: str) -> bool:
    return text.replace(".", "", 1).replace("-", "", 1).isdigit() or text == ""


_MAIN = ("length", "width", "thickness", "species", "cutter", "round_over", "max_mass")


def brief_for(path: Path | None, preset: str | None) -> Brief:
    """Read the brief that a command names, or the default one; say what a brief leaves out."""
    from shapes.collection.brief import Brief, brief_from, read_brief
    from shapes.errors import InputError, Problem, did_you_mean
    from shapes.library.presets import briefs
    from shapes.text_files import read_toml

    if path is not None and preset is not None:
        raise InputError(
            Problem("--preset", "goes without a brief of your own", "", "give one of them")
        )
    if path is not None:
        table = read_toml(path)
        brief = brief_from(table, path.name)
        left = [f"{name} {getattr(brief, name)}" for name in _MAIN if name not in table]
        if left:
            note(f"not in {path.name}, so taken: {', '.join(left)}")
        return brief
    if preset is None:
        return Brief()
    known = briefs()
    if preset not in known:
        hint = did_you_mean(preset, known, "known: " + ", ".join(known), 0.4)
        raise InputError(Problem("--preset", f"there is no preset '{preset}'", "", hint))
    return read_brief(known[preset])


def replaced(brief: Brief, options: dict[str, Any]) -> Brief:
    """Return the brief with options of the command in place of its settings."""
    from shapes.library.settings import with_settings

    with as_options():
        return with_settings(brief, numbers(options))


def numbers(options: dict[str, Any]) -> dict[str, Any]:
    """Return options with text that is a plain number as that number."""
    return {name: number_or_text(value) for name, value in options.items()}


@contextlib.contextmanager
def as_options() -> Iterator[None]:
    """Name what is wrong with settings and arguments as they are typed here."""
    from dataclasses import replace

    from shapes.errors import InputError

    try:
        yield
    except InputError as error:
        raise type(error)(*(replace(p, where=_flag(p.where)) for p in error.problems)) from None


def _flag(where: str) -> str:
    """Name an option as it is typed."""
    name = where.removeprefix(f"{OPTION}: ")
    if name == where:
        return where
    return "--" + {"neck_width": "handle-width"}.get(name, name.replace("_", "-"))


def number_or_text(value: Any) -> Any:
    """Text that is a plain number as a number, so that masses and counts may be written so too."""
    if not isinstance(value, str):
        return value
    try:
        return float(value)
    except ValueError:
        return value


def summary(reports: Sequence[Report]) -> str:
    """Return the table of a collection."""
    from shapes.units import figure, mass_said

    rows = []
    unit = reports[0].board.brief.unit if reports else None
    for i, r in enumerate(reports, start=1):
        s, largest = r.subject, next(f.measured for f in r.findings if f.check == "cutter")
        rows.append(
            [
                str(i),
                r.board.name,
                r.board.form,
                r.board.handle,
                figure(s.box[0], unit),
                figure(s.box[1], unit),
                mass_said(s.mass, unit).split()[0],
                f"{largest:.1f}" if largest else "any",
            ]
        )
    lengths = ["length", "width"] if unit is None else [f"length, {unit}", f"width, {unit}"]
    mass = "lb" if unit == "in" else "kg"
    return table(["no", "name", "form", "handle", *lengths, mass, "cutter up to, mm"], rows)


def told(collection: Collection, out: Path) -> None:
    """Print what was made."""
    print(summary(collection.reports))
    count = len(collection.reports)
    sheet = next(n for n in ("contact-sheet.png", "contact-sheet.svg") if (out / n).exists())
    note(
        f"{count} board{'' if count == 1 else 's'} in {out} (seed {collection.seed}): look at"
        f" {sheet}; {collection.stood} of {collection.drawn} draws stood the checks"
    )


def reserve(out: Path, ready: Callable[..., None], *, force: bool) -> None:
    """Keep other runs from a folder until this command ends,
    and refuse one that may not be written.
    """
    from shapes.cli.app import resources
    from shapes.folders import whole

    resources.enter_context(whole.held(out))
    ready(out, force=force)


def whole_numbers(text: str, where: str) -> tuple[int, ...]:
    """Read ``3,7``. Raises InputError."""
    from shapes.errors import InputError, Problem

    try:
        return tuple(sorted({int(part) for part in text.split(",")}))
    except ValueError:
        raise InputError(
            Problem(where, f"'{text}' is no list of numbers", "", "write 3,7")
        ) from None


def workers(jobs: int | None) -> int:
    """Processes to work with: as asked for, else one a core and four at most."""
    import os

    if jobs is None:
        return min(os.cpu_count() or 1, 4)
    in_range(jobs, 1, 256, "--jobs")
    return jobs


def progress(size: int) -> tuple[Any, Any]:
    """Return a context and a listener: a bar on a terminal for a large pool, else nothing."""
    if size < 1000 or not sys.stderr.isatty():
        return contextlib.nullcontext(), lambda done: None
    from rich.console import Console
    from rich.progress import Progress

    bar = Progress(console=Console(stderr=True), transient=True)
    task = bar.add_task("drawing boards", total=size)
    return bar, lambda done: bar.update(task, completed=done)


def working(words: str) -> tuple[Any, Any]:
    """Return a context and a listener.

    On a terminal a line that says what is being done, else nothing.
    """
    if not sys.stderr.isatty():
        return contextlib.nullcontext(), lambda now: None
    from rich.console import Console

    line = Console(stderr=True).status(words)
    return line, lambda now: line.update(f"{words}: {now}")

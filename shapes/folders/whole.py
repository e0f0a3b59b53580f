"""Folders written whole: to DIR.partial, then renamed in; nothing that is not ours is ever lost."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

from shapes.errors import InputError, Problem
from shapes.files.safe import cannot_write


def ready(target: Path, ours: Callable[[Path], set[str]], kind: str, *, force: bool) -> None:
    """Refuse a place that is not ours to write. Raises InputError.

    ``ours`` gives what a folder of this ``kind`` names as its own; it may raise where there is none.
    """
    if not target.exists():
        parent = next(p for p in target.absolute().parents if p.exists())
        if not os.access(parent, os.W_OK):
            raise InputError(Problem(str(parent), "is read-only", "", "choose another --out"))
        return
    if not target.is_dir():
        raise InputError(Problem(str(target), "is a file", "", "choose another --out"))
    if not any(target.iterdir()):
        return
    if not force:
        raise InputError(
            Problem(
                str(target),
                "is not empty",
                "",
                f"choose another --out, or replace that {kind} with --force",
            )
        )
    foreign = _foreign(target, ours)
    if foreign:
        raise InputError(
            Problem(
                str(target),
                f"holds what this tool did not write: {', '.join(foreign[:3])}",
                "",
                "move it away or choose another --out",
            )
        )


def _foreign(target: Path, ours: Callable[[Path], set[str]]) -> list[str]:
    """What lies in a folder that it does not name as its own."""
    try:
        known = ours(target)
    except (OSError, ValueError, KeyError, TypeError):
        return [p.name for p in sorted(target.iterdir())]
    return [
        str(p.relative_to(target))
        for p in sorted(target.rglob("*"))
        if str(p.relative_to(target)) not in known
    ]


def write(target: Path, fill: Callable[[Path], None]) -> None:
    """Fill a folder and give it its name. Raises InputError; leaves nothing half-written."""
    partial = target.with_name(target.name + ".partial")
    try:
        if partial.exists():
            shutil.rmtree(partial)  # left by a run that was cut off; never anything else
        partial.mkdir(parents=True)
        fill(partial)
        _swap(partial, target)
    except OSError as error:
        shutil.rmtree(partial, ignore_errors=True)
        raise cannot_write(target, error) from None
    except BaseException:
        shutil.rmtree(partial, ignore_errors=True)
        raise


def _swap(partial: Path, target: Path) -> None:
    """Rename the new folder in; an old collection is first moved aside, then removed."""
    if not target.exists():
        partial.rename(target)
        return
    if not any(target.iterdir()):
        target.rmdir()
        partial.rename(target)
        return
    aside = target.with_name(target.name + ".old")
    if aside.exists():
        raise OSError(f"{aside} is in the way")
    target.rename(aside)
    try:
        partial.rename(target)
    except OSError:
        aside.rename(target)
        raise
    shutil.rmtree(aside)

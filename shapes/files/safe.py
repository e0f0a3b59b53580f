"""Writing so that nothing is ever half-written: partial files, checked, then renamed.

A partial file lies hidden beside its place, under a name of its own that holds the number of its
process: what a killed run left is told apart from what a living one writes, and from anything of
the user's.
"""

from __future__ import annotations

import contextlib
import errno
import glob
import os
import re
import secrets
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from shapes.errors import InputError, Problem

Check = Callable[[bytes], None]
# What took its name since the command began, and what is to be said of earlier runs.
written: list[Path] = []
left_behind: list[str] = []
PARTIAL = ".partial"
_NAMED = 60  # characters of a name that a hidden one repeats: no file system takes 300


def write_checked(path: Path, data: bytes, check: Check | None = None) -> None:
    """Write ``data`` beside ``path``, read it back, check it, then give it its name.

    Raises InputError with one line where the place cannot be written.
    """
    write_all([(path, data, check)])


def write_all(planned: Sequence[tuple[Path, bytes, Check | None]]) -> None:
    """Write several files: all are written and checked before the first takes its name.

    Raises InputError with one line where one cannot be written; then none has its name.
    """
    staged: list[tuple[Path, Path]] = []
    try:
        for path, data, check in planned:
            with _told(path):
                if path.is_dir():
                    raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
                staged.append((_hidden(path), path))
                _stage(staged[-1][0], data, check)
        with uninterrupted():
            for partial, path in staged:
                with _told(path):
                    os.replace(partial, path)
                written.append(path)
    finally:
        for partial, _ in staged:
            with contextlib.suppress(OSError):
                partial.unlink(missing_ok=True)


def _stage(partial: Path, data: bytes, check: Check | None) -> None:
    partial.write_bytes(data)
    back = partial.read_bytes()
    if back != data:
        raise OSError("what was read back differs")
    if check:
        check(back)


@contextlib.contextmanager
def _told(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise cannot_write(path, error) from None


def _hidden(path: Path) -> Path:
    """Return a name for a partial file, and remove those that dead processes left for the same."""
    stem = hidden_stem(path)
    for old in path.parent.glob(f"{glob.escape(stem)}*{PARTIAL}"):
        made = re.fullmatch(r"(\d+)-[0-9a-f]{8}", old.name[len(stem) : -len(PARTIAL)])
        if made and not _lives(int(made[1])):
            with contextlib.suppress(OSError):
                old.unlink()
                left_behind.append(f"{old}: removed, an earlier run was cut off while it wrote it")
    return path.with_name(f"{stem}{os.getpid()}-{secrets.token_hex(4)}{PARTIAL}")


def hidden_stem(path: Path) -> str:
    """Return how the hidden names of what is to become a file or folder begin.

    They end with PARTIAL.
    """
    return f".{path.name[:_NAMED]}."


def _lives(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True  # somebody else's
    return True


@contextlib.contextmanager
def uninterrupted() -> Iterator[None]:
    """Hold back an interrupt or a stop until what is inside is done."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    caught: list[int] = []
    before = {s: signal.getsignal(s) for s in (signal.SIGINT, signal.SIGTERM)}
    for s, handler in before.items():
        if handler is not None:
            signal.signal(s, lambda number, _: caught.append(number))
    try:
        yield
    finally:
        for s, handler in before.items():
            if handler is not None:
                signal.signal(s, handler)
        for number in caught[:1]:
            signal.raise_signal(number)


def plain_name(name: str) -> str:
    """Return a name as every file system takes it: letters, digits, dashes; 40 at most."""
    return re.sub(r"[^\w]+", "-", name).strip("-_")[:40]


def cannot_write(path: Path, error: OSError) -> InputError:
    """One line for a place that cannot be written.

    The place that the system names, where it is another.
    """
    where = str(path)
    if error.filename is not None and not str(error.filename).startswith(str(path.parent)):
        where = str(error.filename)
    remedy = "make room" if error.errno == errno.ENOSPC else "choose another place"
    return InputError(Problem(where, f"cannot be written: {error.strerror or error}", "", remedy))

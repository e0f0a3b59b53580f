"""Folders written whole: filled in a hidden folder beside their place, then renamed in.

The hidden folder is one run's own and holds a mark; the new folder is filled in it, and the old one
is moved into it before the new takes the name. So whoever pulls the plug, the next run sees how far
the last one came, and finishes it or takes it back. A lock keeps two runs from one folder.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

from shapes.errors import InputError, Problem
from shapes.files.safe import (
    PARTIAL,
    cannot_write,
    hidden_stem,
    left_behind,
    uninterrupted,
    written,
)

MARK, NEW, OLD = "made-by-shapes", "new", "old"
Ours = Callable[[Path], set[str]]


def ready(target: Path, ours: Ours, kind: str, *, force: bool) -> None:
    """Refuse a place that is not ours to write. Raises InputError.

    ``ours`` gives what a folder of this ``kind`` names as its own; it may raise where there is
    none.
    """
    try:
        problem = _refused(target, ours, kind, force=force)
    except OSError as error:
        raise cannot_write(target, error) from None
    if problem is not None:
        raise InputError(problem)


def _refused(target: Path, ours: Ours, kind: str, *, force: bool) -> Problem | None:
    real = _real(target)
    here = Path.cwd()
    if real == here or real in here.parents:
        return Problem(
            f"'{target}'", "is the folder you are in, or holds it", "", "name a folder in it"
        )
    if not real.exists():
        parent = next(p for p in real.parents if p.exists())
        if not parent.is_dir():
            return Problem(str(parent), "is a file", "", "choose another --out")
        if not os.access(parent, os.W_OK):
            return Problem(str(parent), "is read-only", "", "choose another --out")
        if len(os.fsencode(real.name)) > 255:
            raise OSError(errno.ENAMETOOLONG, os.strerror(errno.ENAMETOOLONG))
        return None
    if not real.is_dir():
        return Problem(str(target), "is a file", "", "choose another --out")
    if not any(real.iterdir()):
        return None
    if not force:
        remedy = f"choose another --out, or replace that {kind} with --force"
        return Problem(str(target), "is not empty", "", remedy)
    foreign = _foreign(real, ours)
    if foreign:
        says = f"holds what this tool did not write: {', '.join(foreign[:3])}"
        return Problem(str(target), says, "", "move it away or choose another --out")
    return None


def _real(target: Path) -> Path:
    """Return the folder itself: a link stays, what it leads to is written."""
    return Path(os.path.realpath(target))


def _foreign(target: Path, ours: Ours) -> list[str]:
    """What lies in a folder that it does not name as its own."""
    try:
        known = ours(target)
    except (OSError, ValueError, KeyError, TypeError):
        return [p.name for p in sorted(target.iterdir())]
    return [
        p.relative_to(target).as_posix()
        for p in sorted(target.rglob("*"))
        if p.relative_to(target).as_posix() not in known
    ]


@contextlib.contextmanager
def held(target: Path) -> Iterator[None]:
    """Keep other runs from a folder, and finish or take back what an earlier one began there.

    May be entered again by whoever is in it. Raises InputError where another run writes the folder.
    """
    from filelock import FileLock, Timeout

    real = _real(target)
    try:
        lock = FileLock(_lock_of(real), is_singleton=True)
        lock.acquire(timeout=0)
    except Timeout:
        raise InputError(
            Problem(
                str(target), "another run is writing it", "", "wait for it, or choose another --out"
            )
        ) from None
    except OSError as error:
        raise cannot_write(target, error) from None
    try:
        if lock.lock_counter == 1:
            _recover(real)
        yield
    finally:
        lock.release()


def _lock_of(real: Path) -> str:
    """Return the lock's file.

    In the system's temporary folder, so that nothing is left beside the boards.
    """
    folder = (
        Path(tempfile.gettempdir()) / f"shapes-{os.getuid() if hasattr(os, 'getuid') else 'locks'}"
    )
    folder.mkdir(mode=0o700, exist_ok=True)
    return str(folder / f"{hashlib.sha256(os.fsencode(real)).hexdigest()[:24]}.lock")


def _recover(real: Path) -> None:
    """Finish or take back what a run that was cut off left; only what bears our mark is touched."""
    if not os.path.isdir(real.parent):  # False of a name that is too long as well
        return
    for hidden in sorted(real.parent.iterdir()):
        if not (hidden.name.startswith(hidden_stem(real)) and hidden.name.endswith(PARTIAL)):
            continue
        with contextlib.suppress(OSError):
            if not (hidden / MARK).is_file():
                hidden.rmdir()  # cut off before its mark: it is empty, or it is not ours
                continue
            if (hidden / MARK).read_text(encoding="utf-8") != real.name:
                continue
            left_behind.append(f"{real}: {_mended(hidden, real)}")
            _clear(hidden)


def _mended(hidden: Path, real: Path) -> str:
    """Bring a folder to where it is whole, and say how."""
    if real.exists() or not (hidden / OLD).exists():
        return "an earlier run was cut off; what it left unfinished is removed"
    if (hidden / NEW).exists():
        os.rename(hidden / NEW, real)
        return "an earlier run was cut off as it replaced it; that is finished now"
    os.rename(hidden / OLD, real)
    return "an earlier run was cut off as it replaced it; the old one is back"


def _clear(hidden: Path) -> None:
    """Remove a hidden folder, its mark last."""
    for part in (NEW, OLD):
        shutil.rmtree(hidden / part, ignore_errors=True)
    (hidden / MARK).unlink(missing_ok=True)
    with contextlib.suppress(OSError):
        hidden.rmdir()


def write(
    target: Path, fill: Callable[[Path], None], still: Callable[[], None] = lambda: None
) -> None:
    """Fill a folder and give it its name. Raises InputError; leaves nothing half-written.

    ``still`` is asked once more, before the old folder goes, whether it may.
    """
    real = _real(target)
    with held(target):
        hidden = None
        before = len(written)
        try:
            real.parent.mkdir(parents=True, exist_ok=True)
            hidden = Path(tempfile.mkdtemp(PARTIAL, hidden_stem(real), real.parent))
            (hidden / MARK).write_text(real.name, encoding="utf-8")
            (hidden / NEW).mkdir()
            fill(hidden / NEW)
            still()
            with uninterrupted():
                _swap(hidden, real)
                written.append(target)
        except OSError as error:
            raise cannot_write(target, error) from None
        finally:
            # The files within have no names of their own to tell of.
            written[before:] = [p for p in written[before:] if p == target]
            if hidden is not None:
                _clear(hidden)


def _swap(hidden: Path, real: Path) -> None:
    """Rename the new folder in; an old one is first moved aside."""
    if not real.exists():
        os.rename(hidden / NEW, real)
        return
    if not any(real.iterdir()):
        real.rmdir()
        os.rename(hidden / NEW, real)
        return
    _to_disk(hidden / NEW)
    os.rename(real, hidden / OLD)
    try:
        os.rename(hidden / NEW, real)
    except OSError:
        os.rename(hidden / OLD, real)
        raise


def _to_disk(folder: Path) -> None:
    """See that a folder's files are on the disk before what they replace goes."""
    for path in folder.rglob("*"):
        if path.is_file():
            with path.open("rb") as file:
                os.fsync(file.fileno())

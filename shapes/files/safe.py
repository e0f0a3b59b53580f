"""Writing so that nothing is ever half-written: a partial file, checked, then renamed."""

from __future__ import annotations

import contextlib
import errno
import os
import re
from collections.abc import Callable
from pathlib import Path

from shapes.errors import InputError, Problem


def write_checked(path: Path, data: bytes, check: Callable[[bytes], None] | None = None) -> None:
    """Write ``data`` beside ``path``, read it back, check it, then give it its name.

    Raises InputError with one line where the place cannot be written.
    """
    partial = path.with_name(path.name + ".partial")
    try:
        partial.write_bytes(data)
        back = partial.read_bytes()
        if back != data:
            raise OSError("what was read back differs")
        if check:
            check(back)
        os.replace(partial, path)
    except OSError as error:
        raise cannot_write(path, error) from None
    finally:
        with contextlib.suppress(OSError):
            partial.unlink(missing_ok=True)


def plain_name(name: str) -> str:
    """Return a name as every file system takes it: letters, digits, dashes; 40 at most."""
    return re.sub(r"[^\w]+", "-", name).strip("-_")[:40]


def cannot_write(path: Path, error: OSError) -> InputError:
    """One line for a place that cannot be written."""
    remedy = "make room" if error.errno == errno.ENOSPC else "choose another place"
    return InputError(
        Problem(str(path), f"cannot be written: {error.strerror or error}", "", remedy)
    )

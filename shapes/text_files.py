"""Files of text as they come.

TOML that a maker writes, JSON that this tool wrote, each within a size.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from shapes.errors import InputError, Problem
from shapes.text import escaped, plain, shown

LARGEST_FILE = 2_000_000  # bytes of a file of settings; a recipe has some 20 000
LONGEST, MOST = (
    5000,
    2.0**63,
)  # characters and size of what stands in JSON of our own, seeds among them


def read_toml(path: Path) -> dict[str, Any]:
    """Read a TOML file. Raises InputError with one line where that cannot be done."""
    text = read_text(path, LARGEST_FILE)
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise InputError(
            Problem(str(path), "is nested too deep", "", "no setting lies deeper than three lists")
        ) from None
    except ValueError as error:  # TOMLDecodeError, or a number of more digits than Python reads
        comma = re.search(r"=\s*(\d{1,20}),(\d{1,20})\b", text)
        hint = f"write {comma[1]}.{comma[2]}" if comma else ""
        raise InputError(
            Problem(str(path), f"is no TOML: {escaped(str(error))[:200]}", "", hint)
        ) from None


def read_text(path: Path, largest: int) -> str:
    """Read a file of text of ``largest`` bytes at most. Raises InputError with one line."""
    try:
        with path.open("rb") as file:
            data = file.read(largest + 1)
        text = data.decode("utf-8") if len(data) <= largest else None
    except FileNotFoundError:
        raise InputError(
            Problem(str(path), "there is no such file", "", "check the name")
        ) from None
    except IsADirectoryError:
        raise InputError(Problem(str(path), "is a folder", "", "name the file in it")) from None
    except UnicodeDecodeError:
        raise InputError(Problem(str(path), "is not text", "", "write it as UTF-8")) from None
    except OSError as error:
        raise InputError(Problem(str(path), f"cannot be read: {error.strerror}")) from None
    except ValueError:  # a name that holds NUL
        raise InputError(Problem(str(path), "is no name of a file", "", "check the name")) from None
    if text is None:
        raise InputError(
            Problem(
                str(path),
                f"is larger than {largest / 1e6:g} MB",
                f"at most {largest / 1e6:g} MB",
                "is it the right file?",
            )
        )
    return text


def read_json(path: Path) -> Any:
    """Read a JSON file that this tool wrote.

    Raises ValueError or OSError where it is none, or holds what it never wrote.
    """
    try:
        made = json.loads(read_text(path, 10 * LARGEST_FILE), parse_constant=float)
        _sound(made)
    except RecursionError:
        raise ValueError("nested too deep") from None
    return made


def leaves(value: Any) -> Iterator[Any]:
    """Give every text and number of plain values, wherever it stands, names in tables too."""
    if isinstance(value, dict):
        yield from leaves([*value, *value.values()])
    elif isinstance(value, list):
        for one in value:
            yield from leaves(one)
    else:
        yield value


def _sound(value: Any) -> None:
    """Raise ValueError for text that is not plain and numbers without end, wherever they stand."""
    for one in leaves(value):
        if isinstance(one, str):
            plain(one or "-", LONGEST)
        elif isinstance(one, int | float) and not abs(one) < MOST:
            raise ValueError(f"{shown(one)} is no measure of a board")

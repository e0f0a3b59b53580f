"""Plain text: what files and people may put into titles, names
and texts, so that no writer has to know more.

A control character, half of a surrogate pair, a code point that is no character, or one that turns
the direction of writing is no part of it: it would reach a terminal, an XML file or a table.
"""

from __future__ import annotations

import re
import unicodedata

NAME, TEXT = 120, 500  # characters of a name and of a text; our choice
SHOWN_CHARACTERS = 60  # characters of a value that a message shows
_TURNS = {*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x200E, 0x200F, 0x061C}
_MARKS = {"Cc", "Cs", "Cn", "Co", "Zl", "Zp"}
_STARTS = ("=", "+", "-", "@")  # a cell that begins so is reckoned by a table of figures


def is_plain(character: str) -> bool:
    """Whether a character may stand in a text.

    >>> is_plain("é"), is_plain(chr(27)), is_plain(chr(0x202E))
    (True, False, False)
    """
    return ord(character) not in _TURNS and unicodedata.category(character) not in _MARKS


def plain(text: str, most: int = NAME) -> str:
    """Return the text without blanks round it.

    Raises ValueError where it is not plain, empty or too long.
    """
    made = text.strip()
    if not made:
        raise ValueError("is empty")
    if len(made) > most:
        raise ValueError(f"has {len(made)} characters, at most {most} are taken")
    wrong = next((i for i, c in enumerate(made) if not is_plain(c)), None)
    if wrong is not None:
        raise ValueError(
            f"holds U+{ord(made[wrong]):04X} at place {wrong + 1}, which is no letter, figure or"
            " sign"
        )
    return made


def escaped(text: str) -> str:
    """Return a text as a terminal may show it: what is not plain as its code.

    >>> len(escaped("a" + chr(27) + "b"))
    6
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(c if is_plain(c) else c.encode("unicode_escape").decode() for c in text)


def shown(value: object) -> str:
    """Return a value as a message shows it: escaped, and cut where it is long."""
    try:
        text = repr(
            value[: 2 * SHOWN_CHARACTERS] if isinstance(value, str | list | tuple) else value
        )
    except (ValueError, RecursionError):  # a whole number of more digits than Python writes
        text = f"a {type(value).__name__} without end"
    text = escaped(text)
    return text if len(text) <= SHOWN_CHARACTERS else text[:SHOWN_CHARACTERS] + "..."


def cell(text: str) -> str:
    """Return a text as a cell of a CSV file: never one that a table would reckon as a formula.

    >>> cell("=1+1"), cell("beech"), cell("-4.50")
    ("'=1+1", 'beech', '-4.50')
    """
    figure = re.fullmatch(r"[-+]?\d+(\.\d+)?", text)
    return f"'{text}" if text.startswith(_STARTS) and not figure else text

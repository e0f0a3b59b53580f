"""What a maker said: boards kept, set aside, ordered, engraved; beliefs of the taste struck out."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from shapes.errors import InputError, Problem
from shapes.text_files import read_json

KEEP, ASIDE = "keep", "aside"


@dataclass(frozen=True, slots=True)
class Choice:
    """What was said; opinions and orders by key (a board's folder below the collection's)."""

    opinions: dict[str, str]
    struck: tuple[str, ...] = ()
    orders: tuple[tuple[str, int], ...] = ()
    mark: tuple[tuple[str, str], ...] = ()  # what is to be engraved, as the page says it
    piece: str = ""  # name of the off-cut that the boards were drawn for

    def as_json(self) -> dict[str, Any]:
        """Return plain values."""
        return {
            "schema": 1,
            "opinions": self.opinions,
            "struck": list(self.struck),
            "orders": dict(self.orders),
            "mark": dict(self.mark),
            "piece": self.piece,
        }

    @staticmethod
    def read(path: Path) -> Choice:
        """Read what was said: nothing where there is no file. Raises InputError for a damaged one."""
        if not path.exists():
            return Choice({})
        try:
            made = read_json(path)
            opinions = {str(k): str(v) for k, v in made["opinions"].items() if v in (KEEP, ASIDE)}
            orders = tuple((str(k), int(v)) for k, v in made.get("orders", {}).items())
            mark = tuple((str(k), str(v)) for k, v in made.get("mark", {}).items())
            struck = tuple(str(w) for w in made.get("struck", []))
            return Choice(opinions, struck, orders, mark, str(made.get("piece", "")))
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            raise InputError(
                Problem(str(path), "is damaged", "", "mend it or move it away")
            ) from None

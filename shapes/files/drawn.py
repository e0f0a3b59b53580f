"""What a reader takes from a drawing before loops are made of it."""

from __future__ import annotations

from dataclasses import dataclass, field

from shapes.geometry.loops import Piece

MOST_POINTS = 400_000  # cubics, and entities, that one drawing may hold: a clear limit
LARGEST_FILE = 20_000_000  # bytes


class TooMuchError(Exception):
    """A drawing holds more than MOST_POINTS."""

    def __init__(self, count: int) -> None:
        """Say how many there are at least."""
        super().__init__(
            f"holds over {_spaced(count - 1)} pieces, the limit is {_spaced(MOST_POINTS)}"
        )


def _spaced(number: int) -> str:
    return f"{number:,}".replace(",", " ")


@dataclass(slots=True)
class Drawn:
    """Pieces in the drawing's own unit, mm a unit if it states one, and what was left out."""

    unit: float | None
    pieces: list[Piece] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    count: int = 0

    def add(self, piece: Piece) -> None:
        """Take a piece. Raises TooMuchError over the limit."""
        self.count += len(piece.segments)
        if self.count > MOST_POINTS:
            raise TooMuchError(self.count)
        self.pieces.append(piece)

"""What a reader takes from a drawing before loops are made of it."""

from __future__ import annotations

from dataclasses import dataclass, field

from shapes.mending.loops import Piece

MOST_POINTS = 20_000  # lines, arcs and cubics, and copies of entities, that one drawing may hold
LARGEST_FILE = 20_000_000  # bytes
LARGEST_BOARD = 5000.0  # mm: a side of a board's box
MOST_BOARDS, MOST_OPENINGS, MOST_CORNERS = 50, 200, 1000  # of one drawing
CORNER = 0.35  # radians, about 20 degrees: what turns by more at a point is a corner


class TooMuchError(Exception):
    """A drawing holds more than is looked at."""

    def __init__(self, count: int, what: str = "pieces", most: int = MOST_POINTS) -> None:
        """Say how many there are at least."""
        super().__init__(f"holds {_spaced(count)} {what} or more; at most {_spaced(most)} are read")


def _spaced(number: int) -> str:
    return f"{number:,}".replace(",", " ")


@dataclass(slots=True)
class RawDrawing:
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

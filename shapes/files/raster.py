"""PNG and PDF from SVG by the Cairo library of the system, where it is there."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from shapes.errors import InputError, Problem
from shapes.files.safe import uninterrupted, write_checked

MISSING = (
    "PNG and PDF need the Cairo library of the system, which is not here: install it"
    " (Debian and Ubuntu: apt install libcairo2; macOS: brew install cairo; Windows: GTK runtime)"
)


class CairoMissingError(RuntimeError):
    """The Cairo library cannot be loaded; its text says what to install."""

    def __init__(self) -> None:
        """Say what to install."""
        super().__init__(MISSING)


def _convert(name: str) -> Callable[..., bytes]:
    try:
        import cairosvg
    except (OSError, ImportError):
        raise CairoMissingError from None
    convert: Callable[..., bytes] = getattr(cairosvg, name)
    return convert


def png(svg: str, width: int | None = None) -> bytes:
    """Return a PNG of an SVG, ``width`` pixels wide or 96 a print inch.

    Raises CairoMissingError.
    """
    with uninterrupted():
        return _convert("svg2png")(bytestring=svg.encode(), output_width=width)


def pixels(svg: str, width: int) -> NDArray[np.uint8]:
    """Return an SVG without holes as pixels (rows, columns, 3), ``width`` wide.

    Raises CairoMissingError.
    """
    _convert("svg2png")  # says what is missing
    from cairosvg.surface import PNGSurface

    kept: list[NDArray[np.uint8]] = []

    class Kept(PNGSurface):  # type: ignore[misc]
        """A surface whose pixels are kept, not written."""

        def finish(self) -> None:
            rows, stride = self.cairo.get_height(), self.cairo.get_stride()
            data = np.frombuffer(bytes(self.cairo.get_data()), dtype="<u4").reshape(
                rows, stride // 4
            )
            bare = 255 - (data >> 24)  # the last row, where the page ends within a pixel
            kept.append(
                np.stack([((data >> k) & 255) + bare for k in (16, 8, 0)], axis=2).astype(np.uint8)
            )
            self.cairo.finish()

    with uninterrupted():
        Kept.convert(bytestring=svg.encode(), write_to=io.BytesIO(), output_width=width)
    return kept[0][:, :width]


class Writable(Protocol):
    """A picture that is written as one or the other."""

    def svg(self) -> bytes:
        """Return it as SVG."""

    def png(self) -> bytes:
        """Return it as PNG. Raises CairoMissingError."""


@dataclass(frozen=True, slots=True)
class LineDrawing:
    """An SVG that is drawn ``width`` pixels wide."""

    text: str
    width: int

    def svg(self) -> bytes:
        """Return the SVG."""
        return self.text.encode()

    def png(self) -> bytes:
        """Return it drawn. Raises CairoMissingError."""
        return png(self.text, self.width)


def write_picture(draw: Callable[[], Writable], path: Path) -> None:
    """Write what ``draw`` returns as SVG or PNG, by the ending of its name.

    Raises InputError for another ending, before it is drawn, or where Cairo is missing.
    """
    kind = path.suffix.lower()
    if kind not in (".svg", ".png"):
        raise InputError(
            Problem(f"--picture {path}", "is no picture we write", "", "name a .svg or a .png")
        )
    drawn = draw()
    try:
        data = drawn.svg() if kind == ".svg" else drawn.png()
    except CairoMissingError as missing:
        raise InputError(Problem("--picture", str(missing))) from None
    path.absolute().parent.mkdir(parents=True, exist_ok=True)
    write_checked(path, data)


def pdf(svg: str) -> bytes:
    """Return a PDF of an SVG at its size in mm, with a fixed date. Raises CairoMissingError."""
    with uninterrupted():
        data = _convert("svg2pdf")(bytestring=svg.encode())

    return re.sub(rb"/CreationDate \(D:[^)]*\)", _same_length, data)


def _same_length(match: object) -> bytes:
    old: bytes = match.group(0)  # type: ignore[attr-defined]
    inside = old[len(b"/CreationDate (D:") : -1]
    fixed = b"20000101000000Z"
    return b"/CreationDate (D:" + fixed[: len(inside)].ljust(len(inside), b"0") + b")"

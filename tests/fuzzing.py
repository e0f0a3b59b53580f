"""Spoilt drawings, for both readers. ``python tests/fuzzing.py MINUTES [SEED]`` goes on for a while."""

from __future__ import annotations

import io
import random
import re
import sys
import tempfile
import time
import warnings
from pathlib import Path

import ezdxf

from shapes.errors import InputError, OutlineError
from shapes.files.drawing import read_drawing
from shapes.geometry.crossings import CannotRepairError, resolved
from shapes.geometry.outline import outline

SVG_WORDS = [
    b"NaN", b"1e300", b"-1e-300", b"inf", b"0", b"M", b"L", b"A", b"C", b"S", b"Q", b"T", b"H", b"V", b"Z", b"z",
    b"<", b">", b"&amp;", b"&#0;", b'"', b"'", b"100%", b"em", b"transform", b"matrix(0 0 0 0 0 0)", b"rotate(9)",
    b"scale(1e200)", b'<use href="#a"/>', b'<g id="a">', b"</g>", b"<defs>", b"viewBox", b"0 0 0 0", b"mm", b"in",
    b"display:none", b"<style>", b"<!DOCTYPE svg>", b"\xff\xfe", b"\x00", b"a1 1 0 0 1 0 0", b"-", b".", b"e", b",",
]  # fmt: skip
NUMBERS = [
    b"0",
    b"-1",
    b"1",
    b"0.0",
    b"1e-9",
    b"1e9",
    b"-1e300",
    b"nan",
    b"3",
    b"90",
    b"360",
    b"2.5",
    b"1000000",
    b"8",
]
DXF_WORDS = [
    b"NaN", b"1e300", b"inf", b"-1", b"0", b"999999999", b"LINE", b"ARC", b"SPLINE", b"INSERT", b"VERTEX", b"SEQEND",
    b"POLYLINE", b"ELLIPSE", b"BLOCK", b"ENDBLK", b"SECTION", b"ENDSEC", b"EOF", b"ENTITIES", b"10\n1e308\n", b"42\n1e9\n",
    b"70\n1\n", b"40\n0.0\n", b"\xff", b"\x00", b"$INSUNITS", b"AC1009", b"AC1032", b"210\n0\n", b"0\nPOINT\n", b"\n\n", b" ",
]  # fmt: skip


def svg_seeds() -> list[bytes]:
    """Drawings with every command, shape, transform and use."""
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300 200">'
    bodies = [
        '<path d="M10 10 H200 V100 h-50 v20 L90 120 C80 130 70 130 60 120 S40 100 30 90 Q20 80 20 70 T15 40 A30 20 10 1 0 10 10 Z"/>',
        '<g transform="translate(10 5) rotate(12) scale(1.2)"><rect x="5" y="5" width="120" height="60" rx="8"/><circle cx="60" cy="30" r="9"/></g>',
        '<defs><path id="a" d="M0 0 L50 0 L50 40 Z"/></defs><use href="#a" x="30" y="30"/><use href="#a" transform="skewX(10)"/>',
        '<style>.h{display:none} path{fill:red}</style><g id="edge"><polygon points="0,0 90,0 90,50 0,50"/></g><g class="h"><ellipse cx="9" cy="9" rx="4" ry="2"/></g>',
        '<svg x="10" y="10" width="50%" height="80" viewBox="0 0 10 10"><polyline points="0,0 9,0 9,9 0,0"/></svg><line x1="0" y1="0" x2="9" y2="9" stroke="black"/><text>words</text>',
    ]
    return [(head + b + "</svg>").encode() for b in bodies]


def dxf_seeds() -> list[bytes]:
    """Drawings with every entity that is taken, text and binary, old and new."""
    found = []
    for version in ("R12", "R2000", "R2018"):
        doc = ezdxf.new(version, units=4)
        m = doc.modelspace()
        m.add_line((0, 0), (100, 0))
        m.add_arc((100, 20), 20, -90, 90)
        m.add_line((100, 40), (0, 40))
        m.add_arc((0, 20), 20, 90, 270)
        m.add_circle((50, 20), 8)
        m.add_polyline2d(
            [(0, 100, 0.3), (80, 100, 0), (80, 150, -0.2), (0, 150, 0)], format="xyb", close=True
        )
        block = doc.blocks.new("PART")
        block.add_line((0, 0), (5, 0))
        block.add_circle((3, 3), 1)
        m.add_blockref("PART", (200, 50), dxfattribs={"xscale": 2, "yscale": 3, "rotation": 30})
        if version != "R12":
            m.add_lwpolyline([(0, 200, 0.5), (60, 200, 0), (60, 260, 0)], format="xyb", close=True)
            m.add_ellipse((150, 200), (40, 10), 0.4)
            m.add_spline([(0, 300), (40, 330), (90, 310), (60, 290), (0, 300)])
            m.add_rational_spline(
                [(200, 300), (240, 330), (290, 310), (260, 290)], [1, 2, 1, 3], degree=3
            )
        text = io.StringIO()
        doc.write(text)
        found.append(text.getvalue().encode("cp1252", "replace"))
        binary = io.BytesIO()
        doc.write(binary, fmt="bin")
        found.append(binary.getvalue())
    return found


def spoil(data: bytes, words: list[bytes], rng: random.Random) -> bytes:
    """Cut, double, swap and replace bits of a file; numbers more than the rest."""
    made = bytearray(data)
    for _ in range(rng.choice((1, 1, 1, 2, 3, 8))):
        at = rng.randrange(len(made) + 1)
        far = min(len(made), at + rng.choice((1, 2, 5, 20, 200)))
        kind = rng.randrange(12)
        if kind == 0:
            del made[at:far]
        elif kind == 1:
            made[at:at] = rng.choice(words)
        elif kind == 2:
            made[at:far] = rng.choice(words)
        elif kind == 3 and at < len(made):
            made[at] = rng.randrange(256)
        elif kind == 4:
            made[at:at] = made[at:far]
        elif kind > 5:
            numbers = list(re.finditer(rb"-?\d+(\.\d+)?", bytes(made)))
            if numbers:
                one = rng.choice(numbers)
                made[one.start() : one.end()] = rng.choice(NUMBERS)
        else:
            digits = [i for i in range(at, far) if 48 <= made[i] <= 57]
            for i in digits:
                made[i] = rng.randrange(48, 58)
        if not made:
            made = bytearray(b" ")
    return bytes(made)


def tried(path: Path) -> str:
    """Read a file as the commands do; an answer for everything that may happen."""
    try:
        drawing = read_drawing(path, a_unit(path))
    except InputError as error:
        return "refused" if str(error) else "silent"
    for loops in drawing.boards:
        try:
            outline(loops.edge, loops.openings)
        except OutlineError:
            try:
                resolved(drawing.boards)
            except (CannotRepairError, OutlineError):
                return "crossing"
            return "mended"
    return "read"


def a_unit(path: Path) -> str | None:
    """Give a unit to every other file, so that both ways are tried."""
    return "mm" if path.stat().st_size % 2 else None


def main() -> None:
    """Spoil drawings until the time is over; stop at the first traceback and keep the file."""
    warnings.simplefilter("error")
    minutes = float(sys.argv[1])
    rng = random.Random(int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    seeds = [(s, SVG_WORDS, ".svg") for s in svg_seeds()] + [
        (s, DXF_WORDS, ".dxf") for s in dxf_seeds()
    ]
    counts: dict[str, int] = {}
    stop = time.time() + 60 * minutes
    with tempfile.TemporaryDirectory() as folder:
        while time.time() < stop:
            data, words, ending = rng.choice(seeds)
            path = Path(folder) / f"spoilt{ending}"
            path.write_bytes(spoil(data, words, rng))
            started = time.time()
            try:
                answer = tried(path)
            except BaseException:
                kept = Path(tempfile.gettempdir()) / f"found{ending}"
                kept.write_bytes(path.read_bytes())
                print(f"kept as {kept}")
                raise
            if time.time() - started > 5:
                kept = Path(tempfile.gettempdir()) / f"slow{ending}"
                kept.write_bytes(path.read_bytes())
                print(f"{time.time() - started:.1f} s: kept as {kept}")
            counts[answer] = counts.get(answer, 0) + 1
    print(counts)


if __name__ == "__main__":
    main()

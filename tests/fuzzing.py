"""Spoilt files of every kind that is read: settings of four kinds, drawings of two, fonts.

The suite runs a fixed number of each; ``python tests/fuzzing.py KIND INPUTS [SEED]`` spoils as many
as are asked for, and ends with the counts of what came of them, the slowest and the most memory; at
the first traceback it keeps the file and stops.
"""

from __future__ import annotations

import contextlib
import copy
import io
import random
import re
import resource
import sys
import tempfile
import time
import tomllib
import warnings
from collections import Counter
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import ezdxf
import tomli_w
from made_boards import drawn

from shapes.cli.app import run
from shapes.collection.brief import Brief, brief_from, read_brief
from shapes.collection.pool import AtRandom
from shapes.errors import InputError, OutlineError
from shapes.files.drawing import read_drawing
from shapes.files.font import fonts, open_font
from shapes.files.off_cut import read_off_cut
from shapes.files.recipe import read_recipe, write_recipe
from shapes.geometry.outline import outline
from shapes.mending.crossings import CannotRepairError, resolved
from shapes.workshop.shop import read_shop

PRESETS = Path(__file__).parents[1] / "presets"

SVG_WORDS = [
    b"NaN",
    b"1e300",
    b"-1e-300",
    b"inf",
    b"0",
    b"M",
    b"L",
    b"A",
    b"C",
    b"S",
    b"Q",
    b"T",
    b"H",
    b"V",
    b"Z",
    b"z",
    b"<",
    b">",
    b"&amp;",
    b"&#0;",
    b'"',
    b"'",
    b"100%",
    b"em",
    b"transform",
    b"matrix(0 0 0 0 0 0)",
    b"rotate(9)",
    b"scale(1e200)",
    b'<use href="#a"/>',
    b'<g id="a">',
    b"</g>",
    b"<defs>",
    b"viewBox",
    b"0 0 0 0",
    b"mm",
    b"in",
    b"display:none",
    b"<style>",
    b"<!DOCTYPE svg>",
    b"\xff\xfe",
    b"\x00",
    b"a1 1 0 0 1 0 0",
    b"-",
    b".",
    b"e",
    b",",
]
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
    b"NaN",
    b"1e300",
    b"inf",
    b"-1",
    b"0",
    b"999999999",
    b"LINE",
    b"ARC",
    b"SPLINE",
    b"INSERT",
    b"VERTEX",
    b"SEQEND",
    b"POLYLINE",
    b"ELLIPSE",
    b"BLOCK",
    b"ENDBLK",
    b"SECTION",
    b"ENDSEC",
    b"EOF",
    b"ENTITIES",
    b"10\n1e308\n",
    b"42\n1e9\n",
    b"70\n1\n",
    b"40\n0.0\n",
    b"\xff",
    b"\x00",
    b"$INSUNITS",
    b"AC1009",
    b"AC1032",
    b"210\n0\n",
    b"0\nPOINT\n",
    b"\n\n",
    b" ",
]


def svg_seeds() -> list[bytes]:
    """Drawings with every command, shape, transform and use."""
    head = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300'
        ' 200">'
    )
    bodies = [
        (
            '<path d="M10 10 H200 V100 h-50 v20 L90 120 C80 130 70 130 60 120 S40 100 30 90 Q20 80'
            ' 20 70 T15 40 A30 20 10 1 0 10 10 Z"/>'
        ),
        (
            '<g transform="translate(10 5) rotate(12) scale(1.2)"><rect x="5" y="5" width="120"'
            ' height="60" rx="8"/><circle cx="60" cy="30" r="9"/></g>'
        ),
        (
            '<defs><path id="a" d="M0 0 L50 0 L50 40 Z"/></defs><use href="#a" x="30" y="30"/><use'
            ' href="#a" transform="skewX(10)"/>'
        ),
        (
            '<style>.h{display:none} path{fill:red}</style><g id="edge"><polygon points="0,0 90,0'
            ' 90,50 0,50"/></g><g class="h"><ellipse cx="9" cy="9" rx="4" ry="2"/></g>'
        ),
        (
            '<svg x="10" y="10" width="50%" height="80" viewBox="0 0 10 10"><polyline points="0,0'
            ' 9,0 9,9 0,0"/></svg><line x1="0" y1="0" x2="9" y2="9"'
            ' stroke="black"/><text>words</text>'
        ),
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


ODD: list[Any] = [
    10**400,
    -(10**30),
    2**63,
    float("nan"),
    float("inf"),
    -float("inf"),
    1e308,
    5e-324,
    -0.0,
    0,
    -1,
    1.5,
    True,
    False,
    "",
    " ",
    "nan",
    "1/0",
    "1e999",
    "12 parsecs",
    "2 1/2 in",
    "-3 mm",
    "0x10",
    "\x07\x1b[31m",
    "\u202edlrow",
    "\U0010ffff",
    "\x00",
    "a" * 3000,
    "=1+1",
    "walnut",
    "keep",
    "maple",
    [],
    [[]],
    [[[[1]]]],
    [1, [2]],
    ["neck", 3],
    [float("nan")],
    [[0, 0]] * 700,
    {},
    {"a": {"b": {"c": 1}}},
    {"mass": 1},
    [{}],
    [{"kind": "knot"}],
    list(range(300)),
]
NAMES = [
    "lenght",
    "",
    "a" * 500,
    "\x1b[2J",
    "grain ",
    "LENGTH",
    "0",
    "schema",
    "outline",
    "natural",
    "x.y",
]
TOML_WORDS = [
    b"=",
    b"[",
    b"]",
    b"[[",
    b"{",
    b"}",
    b'"',
    b"nan",
    b"inf",
    b"-inf",
    b"1e400",
    b"9" * 5000,
    b"0x" + b"f" * 4000,
    b"true",
    b"[" * 3000,
    b"1979-05-27",
    b"\n[outline]\n",
    b"\n[[defects]]\n",
    b"\xff",
    b"\x00",
    b"\n",
    b"'''",
    b"#",
    b"\\u0000",
    b"\\U0010FFFF",
    b".",
]


def toml_seeds(kind: str) -> list[bytes]:
    """Files as a maker writes them."""
    if kind == "brief":
        return [p.read_bytes() for p in sorted(PRESETS.glob("*.toml")) if p.stem != "workshop"]
    if kind == "off-cut":
        return [p.read_bytes() for p in sorted(PRESETS.glob("off-cuts/*.toml"))]
    if kind == "workshop":
        return [(PRESETS / "workshop.toml").read_bytes()]
    earlier = Path(__file__).parent / "files" / "earlier-board.toml"
    return [*(write_recipe(drawn(AtRandom(Brief()), 5, k)) for k in range(4)), earlier.read_bytes()]


def spoilt_table(data: bytes, rng: random.Random) -> bytes:
    """Change a few values, names and lists of a TOML file, whose form stays whole.

    Now and then its bytes.
    """
    if rng.random() < 0.15:
        return spoil(data, TOML_WORDS, rng)
    table = tomllib.loads(data.decode())
    for _ in range(rng.choice((1, 1, 2, 4))):
        _change(table, rng)
    try:
        return tomli_w.dumps(table).encode("utf-8", "surrogatepass")
    except (TypeError, ValueError):
        return spoil(data, TOML_WORDS, rng)


def _change(table: dict[str, Any], rng: random.Random) -> None:
    """Change one thing somewhere in a tree of tables and lists."""
    here: Any = table
    while True:
        keys = list(here) if isinstance(here, dict) else list(range(len(here)))
        if not keys:
            return
        key = rng.choice(keys)
        inner = here[key]
        if isinstance(inner, dict | list) and inner and rng.random() < 0.75:
            here = inner
            continue
        break
    how = rng.choice((0, 1, 2, 2, 2, 2, 3, 4, 5, 5, 6, 7))
    if how == 0 and isinstance(here, dict):
        here[rng.choice(NAMES)] = here.pop(key)
    elif how == 1:
        del here[key]
    elif how == 2 and isinstance(inner, int | float):
        here[key] = min(max(inner, -1e300), 1e300) * rng.choice(
            (-1, 0, 0.001, 0.5, 0.9, 1.1, 2, 10, 1e6)
        )
    elif how == 3 and isinstance(here, list):
        here.append(copy.deepcopy(inner))
    elif how == 4 and isinstance(here, dict):
        here[rng.choice(NAMES)] = copy.deepcopy(rng.choice(ODD))
    elif how == 5 and isinstance(inner, int | float):
        here[key] = rng.choice((str(inner), f"{inner} in", [inner], -inner))
    else:
        here[key] = copy.deepcopy(rng.choice(ODD))


@cache
def seeds(kind: str) -> list[bytes]:
    """Files of a kind that are whole."""
    if kind == "svg":
        return svg_seeds()
    if kind == "dxf":
        return dxf_seeds()
    if kind == "font":
        return [path.read_bytes() for path in fonts().values()]
    return toml_seeds(kind)


def spoilt(kind: str, rng: random.Random) -> bytes:
    """Return a spoilt file of a kind."""
    data = rng.choice(seeds(kind))
    if kind in ("svg", "dxf"):
        return spoil(data, SVG_WORDS if kind == "svg" else DXF_WORDS, rng)
    if kind == "font":
        made = bytearray(data)
        for _ in range(rng.choice((1, 3, 30, 300))):
            # The tables' directory and heads more than the rest.
            at = rng.randrange(len(made) if rng.random() < 0.5 else 600)
            made[at] = rng.choice((0, 255, rng.randrange(256)))
        return bytes(made[: rng.randrange(len(made))] if rng.random() < 0.1 else made)
    return spoilt_table(data, rng)


def _drawing(path: Path) -> str:
    found = read_drawing(path, a_unit(path))
    for loops in found.boards:
        try:
            outline(loops.edge, loops.openings)
        except OutlineError:
            try:
                resolved(found.boards)
            except (CannotRepairError, OutlineError):
                return "crossing"
            return "mended"
    return "read"


def _brief(path: Path) -> str:
    brief = read_brief(path)
    assert brief_from(brief.as_table()) == brief
    assert brief.limits().length == brief.length
    assert brief.allowed
    return "read"


def _board(path: Path) -> str:
    read_recipe(path)
    return "read"


def _off_cut(path: Path) -> str:
    assert read_off_cut(path)[0].volume > 0
    return "read"


def _shop(path: Path) -> str:
    read_shop(path)
    return "read"


def _font(path: Path) -> str:
    assert open_font(str(path)).run("Ag")
    return "read"


READ: dict[str, tuple[Callable[[Path], str], str]] = {
    "brief": (_brief, ".toml"),
    "off-cut": (_off_cut, ".toml"),
    "workshop": (_shop, ".toml"),
    "board": (_board, ".toml"),
    "svg": (_drawing, ".svg"),
    "dxf": (_drawing, ".dxf"),
    "font": (_font, ".ttf"),
}


def tried(kind: str, path: Path) -> str:
    """Read a file as the commands do; an answer for everything that may happen."""
    try:
        return READ[kind][0](path)
    except InputError as error:
        lines = str(error).splitlines()
        plain = all(line.strip() and line.isprintable() for line in lines)
        return "refused" if lines and plain else "silent"


def commanded(path: Path) -> str:
    """Check a board or drawing by the command itself."""
    with (
        contextlib.redirect_stdout(io.StringIO()),
        contextlib.redirect_stderr(io.StringIO()) as said,
    ):
        status = run(["check", str(path), "--unit", "mm"])
    assert status in (0, 1, 2), status
    assert status != 2 or said.getvalue().strip()
    return f"check {status}"


def a_unit(path: Path) -> str | None:
    """Give a unit to every other file, so that both ways are tried."""
    return "mm" if path.stat().st_size % 2 else None


def main() -> None:
    """Spoil as many files of a kind as are asked for.

    Stop at the first traceback and keep the file.
    """
    warnings.simplefilter("error")
    kind, inputs = sys.argv[1], int(sys.argv[2])
    rng = random.Random(int(sys.argv[3]) if len(sys.argv) > 3 else 1)
    counts: Counter[str] = Counter()
    slowest = 0.0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"spoilt{READ[kind][1]}"
        for i in range(inputs):
            path.write_bytes(spoilt(kind, rng))
            started = time.time()
            try:
                answer = tried(kind, path)
                counts[answer] += 1
                if answer == "silent":
                    raise AssertionError("refused without a plain word")
                if i % 200 == 0 and kind in ("board", "svg", "dxf") and answer != "refused":
                    counts[commanded(path)] += 1
            except BaseException:
                kept = Path(tempfile.gettempdir()) / f"found-{kind}{READ[kind][1]}"
                kept.write_bytes(path.read_bytes())
                print(f"input {i}, kept as {kept}")
                raise
            slowest = max(slowest, time.time() - started)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{kind}: {inputs} inputs, {dict(counts)}; slowest {slowest:.1f} s, peak {peak:.0f} MB")


if __name__ == "__main__":
    main()

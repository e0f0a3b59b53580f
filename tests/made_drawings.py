"""Made SVG drawings.

One shape each, laid on its page through everything that the standard allows to nest.
"""

from __future__ import annotations

import math
import random

UNITS = {
    "": 1.0,
    "px": 1.0,
    "mm": 96 / 25.4,
    "cm": 960 / 25.4,
    "in": 96.0,
    "pt": 96 / 72,
    "pc": 16.0,
}


def made(rng: random.Random) -> str:
    """Return a drawing of 700 to 1300 px a side whose one
    shape is small enough to lie on its page.
    """
    wide, high = rng.randint(700, 1300), rng.randint(700, 1300)
    view = (rng.uniform(-90, 90), rng.uniform(-90, 90), rng.uniform(80, 900), rng.uniform(80, 900))
    box, frame = "", (float(wide), float(high))
    middle = (wide / 2, high / 2)
    if rng.random() < 0.7:
        box = f' viewBox="{" ".join(f"{v:.3f}" for v in view)}"{_ratio(rng)}'
        frame = view[2], view[3]
        middle = (view[0] + view[2] / 2, view[1] + view[3] / 2)
    sheet, body = _body(rng, frame, middle)
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
        f' width="{_in(rng, wide)}" height="{_in(rng, high)}"{box}>{sheet}{body}</svg>'
    )


def _in(rng: random.Random, px: float) -> str:
    unit = rng.choice(list(UNITS))
    return f"{px / UNITS[unit]:.6f}{unit}"


def _ratio(rng: random.Random) -> str:
    if rng.random() < 0.4:
        return ""
    align = rng.choice(
        ["none", *(f"x{a}Y{b}" for a in ("Min", "Mid", "Max") for b in ("Min", "Mid", "Max"))]
    )
    how = rng.choice(["", "", " meet"])
    return f' preserveAspectRatio="{align}{how}"'


def _body(
    rng: random.Random, frame: tuple[float, float], middle: tuple[float, float]
) -> tuple[str, str]:
    """Return a style sheet or nothing, and one shape near
    the middle of a frame, wrapped a few times.
    """
    size = min(frame) * rng.uniform(0.12, 0.3)
    sheet, shape = _shape(rng, size, frame)
    for _ in range(rng.randint(0, 3)):
        ways = (_group, _used, _nested, _switch, _symbol)
        # The renderer takes percentages in a symbol of the <use>, a browser of its viewBox, as SVG
        # 2 says.
        shape = rng.choice(ways[: 4 if "%" in shape else 5])(rng, shape, size)
    x, y = middle[0] - size / 2, middle[1] - size / 2
    return sheet, f'<g transform="translate({x:.4f} {y:.4f})">{shape}</g>'


def _shape(rng: random.Random, s: float, frame: tuple[float, float]) -> tuple[str, str]:
    """Return one shape in the square from (0, 0) to (s, s), in
    any way of writing it, and its style sheet.
    """
    kind = rng.randrange(9)
    if kind == 0:
        w, h = s * rng.uniform(0.4, 1), s * rng.uniform(0.4, 1)
        corner = rng.choice(
            [
                "",
                'rx="auto"',
                f'rx="{s / 8:.3f}"',
                f'ry="{s / 9:.3f}" rx="auto"',
                f'rx="{2 * s:.3f}" ry="{s / 9:.3f}"',
                f'rx="{s / 7:.3f}" ry="0"',
            ]
        )
        return "", f'<rect width="{_in(rng, w)}" height="{_in(rng, h)}" {corner}/>'
    if kind == 1:
        return "", f'<circle cx="{s / 2:.4f}" cy="{_in(rng, s / 2)}" r="{_in(rng, s * 0.4)}"/>'
    if kind == 2:
        diagonal = math.hypot(*frame) / math.sqrt(2)
        return "", f'<circle cx="{s / 2:.4f}" cy="{s / 2:.4f}" r="{40 * s / diagonal:.6f}%"/>'
    if kind == 3:
        return (
            "",
            (
                f'<ellipse cx="{s / 2:.4f}" cy="{s / 2:.4f}" rx="{s * rng.uniform(0.2, 0.5):.4f}"'
                f' ry="{rng.choice(["auto", f"{s / 3:.4f}"])}"/>'
            ),
        )
    if kind == 4:
        w, h = 100 * 0.8 * s / frame[0], 100 * 0.6 * s / frame[1]
        return "", f'<rect x="{s / 10:.4f}" width="{w:.6f}%" height="{h:.6f}%"/>'
    if kind == 5:
        points = " ".join(
            f"{s / 2 + s * r * math.cos(a):.4f},{s / 2 + s * r * math.sin(a):.4f}"
            for a, r in ((0.3, 0.5), (1.9, 0.4), (3.1, 0.45), (4.8, 0.5))
        )
        return "", f'<poly{rng.choice(["gon", "line"])} points="{points}"/>'
    if kind == 6:
        return "", f'<path d="{_path(rng, s)}"/>'
    if kind == 7:
        important = rng.random() < 0.5
        word = " !important" if important else ""
        sheet = f"<style>.a {{ display: none{word} }} #b {{ fill: red }}</style>"
        ghost = (
            f'<rect class="a" width="{s:.3f}" height="{s:.3f}"'
            f' style="display:{"inline" if important else "none"}"/>'
        )
        return sheet, f'{ghost}<circle id="b" cx="{s / 2:.4f}" cy="{s / 2:.4f}" r="{s / 3:.4f}"/>'
    hidden = rng.choice(
        ['opacity="0"', 'visibility="hidden"', 'fill="none"', 'style="fill:none;stroke:none"']
    )
    return (
        "",
        (
            f'<rect width="{s:.3f}" height="{s:.3f}" {hidden}/><rect width="{s / 2:.4f}"'
            f' height="{s / 3:.4f}"/>'
        ),
    )


def _path(rng: random.Random, s: float) -> str:
    return rng.choice(
        (
            f"M{s / 4:.3f} {s / 4:.3f}h{s / 2:.3f}v{s / 3:.3f}h-{s / 2:.3f}z",
            (
                f"M0 {s / 2:.3f}A{s / 2:.3f} {s / 3:.3f} {rng.randint(0, 90)} 1 0 {s / 3:.3f}"
                f" {s / 3:.3f}Z"
            ),
            (
                f"m{s / 5:.3f},{s / 5:.3f}q{s / 4:.3f},{s / 2:.3f} {s / 2:.3f}"
                f" 0t{s / 6:.3f},{s / 5:.3f}l-{s / 2:.3f} {s / 4:.3f}"
            ),
            (
                f"M{s / 5:.3f}{-0.0:+.3f}C{s:.3f} 0 {s:.3f} {s:.3f} {s / 5:.3f} {s:.3f}S{s / 4:.3f}"
                f" {s / 2:.3f} {s / 5:.3f} 0"
            ),
            f"M0 0H{s:.3f}V{s:.3f}H0ZM{s / 4:.3f} {s / 4:.3f}V{s / 2:.3f}H{s / 2:.3f}V{s / 4:.3f}Z",
        )
    )


def _group(rng: random.Random, body: str, s: float) -> str:
    how = rng.choice(
        (
            f"rotate({rng.uniform(-180, 180):.3f} {s / 2:.3f} {s / 2:.3f})",
            f"scale({rng.uniform(0.4, 1):.3f}, {rng.uniform(0.4, 1):.3f})",
            f"translate({s / 9:.3f})",
            f"skewX({rng.uniform(-30, 30):.2f})",
            f"skewY({rng.uniform(-30, 30):.2f})",
            "matrix(0.8 0.1,-0.2 0.7 3 1)",
            f"translate({s / 2:.3f} {s / 2:.3f}) rotate(30), translate(-{s / 2:.3f} -{s / 2:.3f})",
        )
    )
    return f'<g transform="{how}">{body}</g>'


def _used(rng: random.Random, body: str, s: float) -> str:
    n = rng.randrange(10**6)
    link = rng.choice(("href", "xlink:href"))
    return (
        f'<defs><g id="u{n}">{body}</g></defs><use {link}="#u{n}"'
        f' x="{s * rng.uniform(-0.1, 0.1):.3f}" y="{_in(rng, s / 20)}"/>'
    )


def _symbol(rng: random.Random, body: str, s: float) -> str:
    n = rng.randrange(10**6)
    frame = rng.choice(("", f' viewBox="{-s / 9:.3f} 0 {s * 1.2:.3f} {s * 1.4:.3f}"{_ratio(rng)}'))
    size = (
        f' width="{s:.3f}" height="{s * rng.uniform(0.5, 1.2):.3f}"'
        if frame
        else f' width="{2 * s:.3f}" height="{2 * s:.3f}"'
    )
    return f'<symbol id="s{n}" overflow="visible"{frame}>{body}</symbol><use href="#s{n}"{size}/>'


def _nested(rng: random.Random, body: str, s: float) -> str:
    frame = f' viewBox="0 {-s / 9:.3f} {s * 1.3:.3f} {s * 1.1:.3f}"{_ratio(rng)}'
    at = (
        f'x="{s / 12:.3f}" y="{s / 15:.3f}" width="{s * rng.uniform(0.6, 1):.3f}"'
        f' height="{s * rng.uniform(0.6, 1):.3f}"'
    )
    return f'<svg {at}{rng.choice(("", frame))} overflow="visible">{body}</svg>'


def _switch(rng: random.Random, body: str, s: float) -> str:
    return (
        f'<switch><rect requiredExtensions="urn:none" width="{s:.3f}"'
        f' height="{s:.3f}"/><g>{body}</g><rect width="{s:.3f}" height="{s:.3f}"/></switch>'
    )

"""Line drawings: a board with its grain, the plain sheet, a template 1:1."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from shapes.collection.board import Report
from shapes.files.page import INK, shade, text_at
from shapes.files.svg import number, path_data
from shapes.geometry.curve import Array
from shapes.geometry.outline import bounds
from shapes.handles import called
from shapes.pictures.cells import arrow, cells_for, head, short, words
from shapes.units import mass_said, sizes


def wood(report: Report, key: str, scale: float = 1.0) -> str:
    """Return a board in its own millimetres, origin at the datum: shadow, wood, grain, edge."""
    tone = report.board.brief.timber.colour
    lightness = sum(int(tone[i : i + 2], 16) for i in (1, 3, 5)) / 765
    # No two pieces of wood are of one tone.
    own = shade(tone, 0.97 + 0.06 * math.fmod(report.subject.section.area * 0.013, 1.0))
    dark = shade(tone, 0.62 if lightness < 0.4 else 0.76)
    outline = report.outline
    path = " ".join(path_data(c) for c in outline.curves)
    line = number(0.25 / scale)
    shadows = "".join(
        f'<path d="{path}" transform="translate({number(x / scale)},{number(y / scale)})"'
        f' fill="#4a3520" fill-opacity="{alpha}" fill-rule="evenodd"/>'
        for x, y, alpha in ((0.5, 0.7, 0.16), (0.9, 1.4, 0.08))
    )
    return (
        f'<clipPath id="{key}"><path d="{path}" clip-rule="evenodd"/></clipPath>{shadows}<path'
        f' d="{path}" fill="{own}" fill-rule="evenodd"/><path d="{_grain(report)}"'
        f' clip-path="url(#{key})" fill="none" stroke="{dark}"'
        f' stroke-opacity="{0.75 if lightness < 0.4 else 0.5}"'
        f' stroke-width="{number(0.2 / scale)}"/><path d="{path}" fill="none"'
        f' stroke="{shade(tone, 0.55)}" stroke-width="{line}"/>'
    )


def _grain(report: Report) -> str:
    """Grain lines along x, unevenly spaced round one arched heart; the same for the same board."""
    x0, y0, x1, y1 = bounds(report.outline)
    phase = math.fmod(report.subject.section.area, 97.0)
    share = math.fmod(phase * 0.37, 1.0)
    heart = y0 + (y1 - y0) * (0.3 + 0.4 * share)
    middle = x0 + (x1 - x0) * (0.25 + 0.5 * math.fmod(phase * 0.73, 1.0))
    x = np.linspace(x0 - 8, x1 + 8, 9)
    lines = []
    y, k = y0 - 4.0, 0
    while y < y1 + 4.0:
        y += 3.0 + 4.5 * (1 + math.sin(phase + 1.7 * k) * math.cos(0.6 * k + share))
        k += 1
        # Lines part round the heart: the nearer, the more, and most where the arch stands.
        side = math.copysign(1.0, y - heart)
        arch = np.exp(-(((x - middle) / (0.3 * (x1 - x0))) ** 2)) * math.exp(-abs(y - heart) / 30.0)
        wave = 1.3 * np.sin(x / 85 + phase + 0.06 * y)
        lines.append(_smooth(np.stack([x, -(y + side * 7.0 * arch + wave)], axis=1)))
    return " ".join(lines)


def _smooth(p: Array) -> str:
    """Path through points (n, 2) whose tangents are those of their neighbours."""
    tangent = np.gradient(p, axis=0) / 3
    start = " ".join(number(v, 1) for v in p[0])
    pieces = np.concatenate([p[:-1] + tangent[:-1], p[1:] - tangent[1:], p[1:]], axis=1)
    return f"M{start} " + " ".join("C" + " ".join(number(v, 1) for v in row) for row in pieces)


def caption(report: Report, place: int) -> list[str]:
    """Return the lines under a board: number and name, form and handle, size and mass, cutter."""
    s, board = report.subject, report.board
    largest = next((f.measured for f in report.findings if f.check == "cutter"), None)
    reach = f"cutter to {largest:.1f} mm" if largest else "any cutter"
    hold = called(board.handle)
    return [
        f"{place}  {short(report.board.name, 26)}",
        f"{board.form}, {hold}",
        (
            f"{sizes(s.box, report.board.brief.unit)},"
            f" {mass_said(s.mass, report.board.brief.unit)}, {reach}"
        ),
    ]


def contact_sheet(reports: Sequence[Report], title: str, seed: int) -> str:
    """Return all boards as line drawings to one scale, with
    a scale bar and what a maker chooses by.
    """
    cells = cells_for(reports)
    brief = reports[0].board.brief
    about = (
        f"{brief.species}, {brief.thickness:g} mm thick; cut with {brief.cutter:g} mm, rounded over"
        f" {brief.round_over:g} mm; seed {seed}"
    )
    parts = head(cells, title, about)
    for i, report in enumerate(reports):
        x, middle = cells.middle(i)
        parts.append(
            f'<g transform="translate({number(x)},{number(middle)})'
            f' scale({number(cells.scale, 5)})">{wood(report, f"b{i + 1}", cells.scale)}</g>'
        )
        parts += words(cells, i, caption(report, i + 1))
    return "\n".join([*parts, "</svg>", ""])


def template(report: Report) -> str:
    """Return one board 1:1 with its datum, grain and a bar of 100 mm to check the print by."""
    x0, y0, x1, y1 = bounds(report.outline)
    x0, y0, x1, y1 = x0 - 10, y0 - 10, x1 + 10, y1 + 24
    w, h = x1 - x0, y1 - y0
    paths = "".join(f'<path d="{path_data(c, 6)}"/>' for c in report.outline.curves)
    lines = caption(report, 1)
    name = report.board.name or report.board.form
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(w)}mm" height="{number(h)}mm"'
        f' viewBox="{number(x0)} {number(-y1)} {number(w)} {number(h)}"><rect x="{number(x0)}"'
        f' y="{number(-y1)}" width="{number(w)}" height="{number(h)}" fill="#ffffff"/><g'
        f' fill="none" stroke="#000000" stroke-width="0.25">{paths}<path d="M-8,0 h16 M0,-8'
        f' v16"/><path d="M{number(x0 + 10)},{number(-y1 + 14)} v4 m0,-2 h100 m0,-2 v4"/></g>'
        + text_at(
            x0 + 60, -y1 + 13, 3.2, "100 mm: measure the print before use", INK, anchor="middle"
        )
        + text_at(x0 + 10, -y1 + 7, 4.2, f"{name}: {lines[1]}, {lines[2]}", INK)
        + arrow(x1 - 40, -y1 + 12, 40.0)
        + "</svg>\n"
    )

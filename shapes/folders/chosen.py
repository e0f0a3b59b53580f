"""Files of chosen boards in one folder, in the formats asked for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from shapes.collection.board import Report
from shapes.errors import InputError, Problem
from shapes.files.dxf import arcs_of, box_reference, check_dxf, cut_dxf
from shapes.files.raster import CairoMissingError, pdf, png
from shapes.files.recipe import digest
from shapes.files.safe import cannot_write, plain_name, write_all
from shapes.files.svg import check_svg, cut_svg
from shapes.pictures.board import SHOWN, Shown, as_png, board_picture
from shapes.pictures.plain import template

PRINT_DPI = 300


def write_files(
    reports: Sequence[Report],
    place: Path,
    formats: Sequence[str],
    *,
    corner: bool = False,
    arcs: bool = True,
    colours: dict[str, str] | None = None,
    shown: Shown = SHOWN,
    force: bool = False,
) -> list[Path]:
    """Write every format of every board. Raises InputError before anything is replaced unasked."""
    planned: list[tuple[Path, bytes, Callable[[bytes], None] | None]] = []
    for report in reports:
        planned += _plan(
            report, place, formats, corner=corner, arcs=arcs, colours=colours, shown=shown
        )
    planned = list({path: (path, data, check) for path, data, check in planned}.values())
    there = [path for path, _, _ in planned if path.exists()]
    if there and not force:
        raise InputError(
            *(
                Problem(
                    str(p),
                    "is there already",
                    "",
                    "choose another --to, or replace it with --force",
                )
                for p in there
            )
        )
    try:
        place.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise cannot_write(place, error) from None
    write_all(planned)
    return [path for path, _, _ in planned]


def _plan(
    report: Report,
    place: Path,
    formats: Sequence[str],
    *,
    corner: bool,
    arcs: bool,
    colours: dict[str, str] | None,
    shown: Shown,
) -> list[tuple[Path, bytes, Callable[[bytes], None] | None]]:
    outline = report.outline
    blank = report.estimate().blank_mm[:2]
    shift = (blank[0] / 2, blank[1] / 2) if corner else (0.0, 0.0)
    stem = f"{plain_name(report.board.name) or report.board.form}-{digest(report.board)}"
    planned: list[tuple[Path, bytes, Callable[[bytes], None] | None]] = []
    try:
        for form in dict.fromkeys(formats):
            if form == "dxf":
                chains = arcs_of(outline) if arcs else None
                cut = cut_dxf(outline, chains, shift, None, colours)
                setting = cut_dxf(outline, chains, shift, box_reference(blank, shift), colours)
                planned.append((place / f"{stem}-cut.dxf", cut, check_dxf(outline, shift)))
                planned.append(
                    (place / f"{stem}-setting-out.dxf", setting, check_dxf(outline, shift))
                )
            elif form == "svg":
                svg = cut_svg(outline, shift, colours).encode()
                planned.append((place / f"{stem}-cut.svg", svg, check_svg(outline, shift)))
            elif form == "pdf":
                planned.append((place / f"{stem}-template.pdf", pdf(template(report)), None))
            else:
                sheet = template(report)
                width = round((report.subject.box[0] + 20) / 25.4 * PRINT_DPI)
                planned.append((place / f"{stem}-template.png", png(sheet, width), None))
                picture = as_png(board_picture(report, shown), shown)
                planned.append((place / f"{stem}-picture.png", picture, None))
    except CairoMissingError as missing:
        raise InputError(Problem("--format", str(missing))) from None
    return planned

"""A folder of placed boards: one folder for each off-cut, and placement.json over all of them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from shapes import __version__
from shapes.collection.board import Board, Report
from shapes.errors import InputError, Problem
from shapes.files.dxf import arcs_of, check_dxf, cut_dxf
from shapes.files.machine import reference_of
from shapes.files.raster import CairoMissingError, png
from shapes.files.recipe import write_recipe
from shapes.files.safe import plain_name, write_checked
from shapes.files.svg import check_svg, cut_svg
from shapes.folders import whole
from shapes.folders.collection import to_json
from shapes.folders.piece import drawn_json, piece_json
from shapes.pictures.placement import placement_picture
from shapes.placing.account import Account
from shapes.placing.lay_out import Covered
from shapes.placing.place import Placement
from shapes.settings import numbers_in
from shapes.text_files import read_json
from shapes.timber.off_cut import OffCut
from shapes.workshop.stock import of_piece

PIXELS = 2400
PICTURES = ("placement.svg", "placement.png")
CUTS = ("cut.dxf", "cut.svg", "setting-out.dxf")


@dataclass(frozen=True, slots=True, eq=False)
class Blank:
    """An off-cut with what lies on it, and the datum of its files."""

    covered: Covered
    datum: tuple[float, float]
    folder: str = ""  # of the placement that it was read back from
    unit: str | None = None  # in which people are shown sizes and masses; files stay mm

    @property
    def piece(self) -> OffCut:
        """The off-cut."""
        return self.covered.rules.piece

    @property
    def placed(self) -> tuple[tuple[int, Placement, Report], ...]:
        """Number, placement and report of each board."""
        return self.covered.placed

    @property
    def account(self) -> Account:
        """The timber account."""
        return self.covered.account

    @property
    def cutter(self) -> float:
        """Diameter of the cutter, mm."""
        return self.covered.rules.cutter

    def as_json(self, folder: str | None) -> dict[str, Any]:
        """Return plain values; places count from the datum."""
        boards = []
        for count, p, report in self.placed:
            boards.append(
                {
                    "number": count,
                    "name": report.board.name or report.board.form,
                    "scale": round(p.scale, 6),
                    "x_mm": round(p.pose.x - self.datum[0], 6),
                    "y_mm": round(p.pose.y - self.datum[1], 6),
                    "turned_deg": round(math.degrees(math.remainder(p.pose.angle, math.tau)), 6),
                    "limited_by": p.tightest.name,
                    "clearance_mm": round(p.tightest.there, 4),
                    "asked_mm": round(p.tightest.asked, 4),
                    "clearances": [
                        {
                            "name": c.name,
                            "there_mm": round(c.there, 4),
                            "asked_mm": round(c.asked, 4),
                        }
                        for c in p.clearances
                    ],
                    "natural_edge_mm": round(self.covered.kept(p), 1),
                    "passes": report.passes,
                    "fails": list(report.failed),
                    "drawn": drawn_json(report.board),
                }
            )
        return {
            "off_cut": self.piece.name,
            "folder": folder,
            "fit_for_food": self.piece.fit_for_food,
            "datum_mm": list(self.datum),
            "piece": piece_json(self.piece),
            "cutter_mm": self.cutter,
            "unit": self.unit or "mm",
            "boards": boards,
            "account": self.account.as_json(),
        }


def datum_of(piece: OffCut, said: str) -> tuple[float, float]:
    """Return the datum in the piece's coordinates: ``centre``, ``corner``, ``mark`` or ``X,Y``."""
    if said == "centre":
        return piece.centre
    if said == "corner":
        return piece.corner
    if said == "mark":
        if piece.mark is None:
            raise InputError(
                Problem(
                    "--datum", f"'{piece.name}' states no mark", "", "write mark = [x, y] in it"
                )
            )
        return piece.mark
    try:
        x, y = numbers_in(said, 2)
    except ValueError:
        raise InputError(
            Problem(
                "--datum",
                f"'{said}' is no datum",
                "centre, corner, mark or X,Y",
                "X,Y in mm as the piece was measured",
            )
        ) from None
    return x, y


def ready(target: Path, *, force: bool) -> None:
    """Refuse a place that is not ours to write. Raises InputError."""
    whole.ready(target, _ours, "placement", force=force)


def _ours(target: Path) -> set[str]:
    listed = read_json(target / "placement.json")
    known = {"placement.json"}
    for blank in listed["off_cuts"]:
        folder = str(blank["folder"])
        boards = [f"board-{b['number']}.toml" for b in blank["boards"]]
        names = (*PICTURES, *CUTS, *boards)
        known |= {folder, *(f"{folder}/{n}" for n in names)}
    return known


def listing(
    blanks: Sequence[Blank], left: Sequence[str], folders: Sequence[str | None]
) -> dict[str, Any]:
    """Return what placement.json holds: every off-cut, and the boards left over."""
    return {
        "schema": 1,
        "version": __version__,
        "off_cuts": [b.as_json(f) for b, f in zip(blanks, folders, strict=True)],
        "left_over": list(left),
    }


def read_listing(folder: Path) -> dict[str, Any]:
    """Read placement.json back. Raises InputError."""
    path = folder / "placement.json"
    try:
        made = read_json(path)
        if made["schema"] != 1 or not all("account" in b for b in made["off_cuts"]):
            raise ValueError
    except (OSError, ValueError, KeyError, TypeError):
        raise no_placement(folder) from None
    return dict(made)


def no_placement(folder: Path) -> InputError:
    """What is raised of a folder whose placement.json cannot be used."""
    path = str(folder / "placement.json")
    return InputError(
        Problem(path, "is no placement of this version", "", "place the boards again")
    )


def write_placed(
    blanks: Sequence[Blank],
    left: Sequence[str],
    target: Path,
    *,
    force: bool = False,
    colours: dict[str, str] | None = None,
    note: Callable[[str], None] = lambda text: None,
) -> None:
    """Write the folder whole. Raises InputError; leaves nothing half-written."""
    ready(target, force=force)
    folders = [
        f"{i:02d}-{plain_name(b.piece.name) or 'off-cut'}" for i, b in enumerate(blanks, start=1)
    ]

    def fill(place: Path) -> None:
        for blank, name in zip(blanks, folders, strict=True):
            (place / name).mkdir()
            _write_blank(blank, place / name, colours, note)
        write_checked(place / "placement.json", to_json(listing(blanks, left, folders)))

    whole.write(target, fill, lambda: ready(target, force=force))


def _write_blank(
    blank: Blank,
    place: Path,
    colours: dict[str, str] | None,
    note: Callable[[str], None],
) -> None:
    outlines = [p.outline for _, p, _ in blank.placed]
    shift = (-blank.datum[0], -blank.datum[1])
    if outlines:
        chains = arcs_of(outlines)
        check = check_dxf(outlines, shift)
        write_checked(place / CUTS[0], cut_dxf(outlines, chains, shift, None, colours), check)
        write_checked(
            place / CUTS[1],
            cut_svg(outlines, shift, colours).encode(),
            check_svg(outlines, shift),
        )
        setting = cut_dxf(
            outlines, chains, shift, reference_of(of_piece(blank.piece, blank.datum)), colours
        )
        write_checked(place / CUTS[2], setting, check)
    for count, _, report in blank.placed:
        if isinstance(report.board, Board):
            write_checked(place / f"board-{count}.toml", write_recipe(report.board))
    named = [(count, p, r.board.name or r.board.form) for count, p, r in blank.placed]
    picture = placement_picture(blank.piece, named, blank.datum, blank.cutter, blank.unit)
    write_checked(place / PICTURES[0], picture.encode())
    try:
        write_checked(place / PICTURES[1], png(picture, PIXELS))
    except CairoMissingError as missing:
        note(str(missing))

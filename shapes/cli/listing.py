"""shapes list: what there is."""

from __future__ import annotations

from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from shapes.forms.form import Part


class What(str, Enum):
    """What can be listed."""

    forms = "forms"
    handles = "handles"
    species = "species"
    presets = "presets"
    checks = "checks"
    off_cuts = "off-cuts"
    fonts = "fonts"
    settings = "settings"


def list_(
    what: Annotated[
        What,
        typer.Argument(
            help="forms, handles, species, presets, checks, off-cuts, fonts or settings."
        ),
    ],
    json: Annotated[bool, typer.Option("--json", help="Machine-readable output.")] = False,
    picture: Annotated[
        Path | None,
        typer.Option(help="With forms: a sheet with one board of each, an SVG or PNG file."),
    ] = None,
) -> None:
    """List the forms, handles, species, presets, checks, preset
    off-cuts, fonts or settings that there are.
    """
    from shapes.folders.collection import to_json

    if picture is not None:
        _forms_sheet(what, picture)
    entries = _ENTRIES[what]()
    if json:
        print(to_json(entries).decode(), end="")
        return
    for entry in entries:
        asked = " (drawn where a brief names it)" if entry.get("seldom") else ""
        print(f"{entry['name']}: {entry['says']}{asked}")
        for name, about in entry.get("parameters", {}).items():
            print(
                f"    {name}, {about['low']:g} to {about['high']:g} {about['unit']}".rstrip()
                + f": {about['says']}"
            )


def _forms_sheet(what: What, path: Path) -> None:
    """Write a picture with one board of each form.

    Raises InputError for a file or list of another kind.
    """
    from shapes.collection.samples import samples
    from shapes.errors import InputError, Problem
    from shapes.files.raster import write_picture
    from shapes.pictures.sheet import finished_sheet

    if what is not What.forms:
        raise InputError(
            Problem(
                "--picture", "shows forms alone", "forms", "shapes list forms --picture forms.svg"
            )
        )
    write_picture(lambda: finished_sheet(samples(), "One board of each form"), path)


def _parameters(kind: object) -> dict[str, dict[str, object]]:
    from dataclasses import asdict

    from shapes.parameters import ranges

    return {n: asdict(r) for n, r in ranges(kind).items()}


def _forms() -> list[dict[str, Any]]:
    from shapes.collection.draw import suits
    from shapes.forms import FORMS
    from shapes.handles import HANDLES

    return [
        {
            "name": n,
            "says": f.says,
            "free": f.free,
            "seldom": f.seldom,
            "handles": [h for h in HANDLES if suits(h, n)],
            "stretches": [_part(p) for p in f.parts],
        }
        for n, f in FORMS.items()
    ]


def _part(part: Part) -> dict[str, Any]:
    """Return a row of a form's table as plain values."""
    return {
        "name": part.name,
        "turn_deg": list(part.turn),
        "radius" if part.round else "length": list(part.size),
        "of": part.of,
        "give": part.give,
    }


def _handles() -> list[dict[str, Any]]:
    from shapes.collection.draw import suits
    from shapes.forms import FORMS
    from shapes.handles import HANDLES

    return [
        {
            "name": n,
            "says": h.says,
            "parameters": _parameters(h.kind),
            "forms": [f for f in FORMS if suits(n, f)],
        }
        for n, h in HANDLES.items()
    ]


def _species() -> list[dict[str, Any]]:
    from shapes.timber.density import density
    from shapes.timber.species import species_table

    return [
        {
            "name": n,
            "says": (
                f"{density(s):.0f} kg/m3 at 12 % ({s.source})"
                + ("; open pores" if s.open_pores else "")
                + (f"; dust: {s.caution}" if s.caution else "")
            ),
            "density_kg_m3": round(density(s), 1),
            "source": s.source,
        }
        for n, s in species_table().items()
    ]


def _presets() -> list[dict[str, Any]]:
    from shapes.library.presets import briefs as preset_briefs
    from shapes.library.presets import read_brief

    briefs = {n: read_brief(p) for n, p in preset_briefs().items()}
    return [
        {
            "name": n,
            "says": (
                f"{b.title}: {b.length:g} x {b.width:g} x {b.thickness:g} mm, {b.species},"
                f" up to {b.max_mass:g} kg"
            ),
        }
        for n, b in briefs.items()
    ]


def _off_cuts() -> list[dict[str, Any]]:
    from shapes.library.presets import off_cuts, read_piece

    made = []
    for name, path in off_cuts().items():
        piece = read_piece(path)
        x0, y0, x1, y1 = piece.outline.bounds
        says = f"{piece.species}, {x1 - x0:.0f} x {y1 - y0:.0f} x {piece.thickness:g} mm"
        if piece.defects:
            says += "; " + ", ".join(d.name for d in piece.defects)
        if not piece.fit_for_food:
            says += f"; origin {piece.origin}: not for food"
        made.append({"name": name, "says": says, "file": str(path)})
    return made


def _checks() -> list[dict[str, Any]]:
    from shapes.checks import SAYS

    return [{"name": n, "says": says} for n, says in SAYS.items()]


def _fonts() -> list[dict[str, Any]]:
    from shapes.files.font import fonts

    return [{"name": n, "says": f"ships with a package, {p.name}"} for n, p in fonts().items()]


def declared_files() -> dict[str, Any]:
    """Return the declaration of each file of settings that a maker writes, by what it is called."""
    from shapes.collection.brief import Brief
    from shapes.files.off_cut import OffCutTable
    from shapes.workshop.shop import Workshop

    return {"brief": Brief, "off-cut": OffCutTable, "workshop": Workshop}


def _settings() -> list[dict[str, Any]]:
    from shapes.settings import declarations

    return [
        {
            "name": f"{file}: {name}",
            "says": f"{says}; {allowed}" + ("" if shown is None else f"  [{shown}]"),
            "file": file,
            "setting": name,
            "allowed": allowed,
            "default": shown,
        }
        for file, kind in declared_files().items()
        for name, allowed, shown, says in declarations(kind)
    ]


_ENTRIES = {
    What.forms: _forms,
    What.handles: _handles,
    What.species: _species,
    What.presets: _presets,
    What.checks: _checks,
    What.off_cuts: _off_cuts,
    What.fonts: _fonts,
    What.settings: _settings,
}

"""Where one begins: presets, folders, a brief in words and figures."""

from __future__ import annotations

import os
from pathlib import Path

from shapes.collection.brief import Brief, brief_from
from shapes.errors import InputError, Problem
from shapes.files.safe import plain_name, write_checked
from shapes.folders.bench import Bench
from shapes.folders.collection import BENCH, to_json
from shapes.handles import HANDLES, called
from shapes.library import presets
from shapes.library.drawing import generate as draw_boards
from shapes.library.drawing import source_of
from shapes.library.writing import write_collection
from shapes.page.opened import MOST_LISTED, Opened
from shapes.page.values import Body, seed_of, words
from shapes.pictures.beside import THINGS
from shapes.text import NAME
from shapes.text_files import read_json
from shapes.timber.species import species_table
from shapes.units import SHOWN_DECIMALS

FOLDER_DEPTH = 2  # folders below the opened one in which collections are looked for
OWN = ".shapes-page.json"


def start(o: Opened, asked: Body) -> Body:
    """Return what the first page offers: presets, folders, timbers, handles, pieces."""
    del asked
    brief = o.brief or Brief()
    return {
        "opened": o.folder,
        "place": o.root.name,
        "folders": _folders(o),
        "brief": brief.as_table(),
        "given": o.brief is not None,
        "piece": o.named,
        "presets": {n: presets.read_brief(n).as_table() for n in presets.briefs()},
        "species": sorted(species_table()),
        "handles": {n: {"says": h.says, "called": called(n)} for n, h in HANDLES.items()},
        "pieces": o.pieces(),
        "workshop": o.workshop_file() is not None,
        "unit": _own(o).get("unit", brief.unit or "mm"),
        "things": list(THINGS),
    }


def remember(o: Opened, asked: Body) -> Body:
    """Remember the unit that the maker reads."""
    unit = str(asked.get("unit"))
    if unit not in SHOWN_DECIMALS:
        raise InputError(Problem("unit", f"'{unit[:20]}' is none", ", ".join(SHOWN_DECIMALS)))
    write_checked(o.root / OWN, to_json({"schema": 1, "unit": unit}))
    return {"unit": unit}


def _own(o: Opened) -> Body:
    try:
        made = read_json(o.root / OWN)
        return made if isinstance(made, dict) and made.get("unit") in SHOWN_DECIMALS else {}
    except (OSError, ValueError):
        return {}


def _folders(o: Opened) -> list[Body]:
    found: list[Body] = []
    for place, inside, files in os.walk(o.root):
        depth = len(Path(place).relative_to(o.root).parts)
        inside[:] = (
            sorted(d for d in inside if d[0] != "." and d != BENCH) if depth < FOLDER_DEPTH else []
        )
        if "collection.json" in files and len(found) < MOST_LISTED:
            name = Path(place).relative_to(o.root).as_posix()
            found.append({"folder": "" if name == "." else name, "title": Path(place).name})
    return found


def generate(o: Opened, asked: Body) -> Body:
    """Draw a collection for a brief, or for a piece, and write its folder."""
    table = asked.get("brief")
    if not isinstance(table, dict):
        raise InputError(Problem("brief", "is missing"))
    brief = brief_from({k: v for k, v in table.items() if v not in (None, "", [])}, "brief")
    name = plain_name(words(asked.get("name"), NAME, "name", brief.title)) or "boards"
    if name == BENCH:
        raise InputError(
            Problem("name", f"'{BENCH}' is what the page calls its own", "", "choose another name")
        )
    target = o.root / name
    if target.exists() or target.is_symlink():
        raise InputError(
            Problem(
                "name",
                f"there is a folder '{name}' already",
                "",
                "choose another name, or open that one",
            )
        )
    piece = o.piece(str(asked["piece"])) if asked.get("piece") else None
    sized = not piece or bool(asked.get("sized"))
    source = source_of(brief if sized else None, piece)
    made = draw_boards(source, brief.count, seed=seed_of(asked), jobs=o.jobs, fewer=True)
    write_collection(made, target, jobs=o.jobs)
    if piece is not None:
        Bench(target).drawn_for(str(asked["piece"]))
    return {"folder": name}

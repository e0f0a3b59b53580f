"""What is touched on a board under shaping, as plain values
from the page, and how the board is shown.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from shapes.checks.finding import FAIL, Finding
from shapes.checks.subject import HOLLOW_ALLOWANCE
from shapes.checks.weight import thickness_for
from shapes.collection.board import Board, Report, drawn_from, full_report
from shapes.collection.draw import suits
from shapes.collection.edit import Edited, boxed, cornered, handed, necked, pulled, stated
from shapes.collection.hold import frame_of, hand_ranges, holes_of, neck_of, parts_of
from shapes.collection.vary import stretches_of, with_handle
from shapes.errors import InputError, OutlineError, Problem
from shapes.handles import HANDLES, called, is_neck
from shapes.library.settings import with_settings
from shapes.page.answers import about
from shapes.page.values import words
from shapes.text import NAME

SETTINGS = (
    "thickness",
    "species",
    "cutter",
    "round_over",
    "guide_bearing",
    "max_mass",
    "load",
    "length",
    "width",
    "rings",
)
LARGEST_SIZE = 3000.0  # mm, of anything the page may ask


@dataclass(frozen=True, slots=True)
class Touched:
    """A board after a touch.

    What was done in words, where its old middle lies now, and how much was followed.
    """

    board: Board
    what: str
    shift: tuple[float, float] = (0.0, 0.0)
    share: float = 1.0


def touch(board: Board, asked: Any) -> Touched:
    """Do to a board what the page asks: one key of TOUCHES, its values beside it.

    Raises InputError for what is malformed or out of range, and where the edge does not go there.
    """
    if not isinstance(asked, dict) or len(names := [n for n in TOUCHES if n in asked]) != 1:
        raise _wrong("a touch names one of " + ", ".join(TOUCHES))
    try:
        return TOUCHES[names[0]](board, asked)
    except OutlineError as error:
        raise InputError(Problem("shape", str(error), "", "pull less far, or elsewhere")) from None
    except (KeyError, TypeError, IndexError):
        raise _wrong(f"a touch of '{names[0]}' lacks its values") from None


def _wrong(what: str) -> InputError:
    return InputError(Problem("touch", what))


def _number(value: Any, low: float = -LARGEST_SIZE, high: float = LARGEST_SIZE) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        raise InputError(
            Problem("touch", f"{str(value)[:40]} is out of range", f"allowed {low:g} to {high:g}")
        )
    return float(value)


def _table(value: Any) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise TypeError
    return value


def _redrawn(board: Board, made: Edited, what: str) -> Touched:
    drawn = drawn_from(board.brief, made.genes, frame_of(made.genes).sketch, board.name)
    return Touched(drawn, what, made.shift, made.share)


def _pull(board: Board, asked: dict[str, Any]) -> Touched:
    x, y, u, v = (_number(asked["pull"][n][k]) for n in ("from", "to") for k in (0, 1))
    made = pulled(stretches_of(board), (x, y), (u, v))
    return _redrawn(board, made, f"edge pulled by {math.hypot(u - x, v - y) * made.share:.0f} mm")


def _stretch(board: Board, asked: dict[str, Any]) -> Touched:
    name = str(asked["stretch"])
    given = {n: _number(asked[n]) for n in ("turn", "radius", "length") if asked.get(n) is not None}
    for n in ("radius", "length"):
        if n in given:
            _number(given[n], 1.0)
    if "turn" in given:
        _number(given["turn"], -200.0, 260.0)
    if not given:
        raise _wrong("state a turn, a radius or a length")
    made = stated(stretches_of(board), name, **given)
    said = ", ".join(f"{n} {v:.1f} {'degrees' if n == 'turn' else 'mm'}" for n, v in given.items())
    return _redrawn(board, made, f"{name}: {said}")


def _corner(board: Board, asked: dict[str, Any]) -> Touched:
    name = str(asked["corner"])
    to = _number(asked["to"][0]), _number(asked["to"][1])
    made = cornered(stretches_of(board), name, to)
    return _redrawn(board, made, f"{name} pulled")


def _neck(board: Board, asked: dict[str, Any]) -> Touched:
    given = {
        n: _number(v, 5.0, 400.0) for n, v in _table(asked["neck"]).items() if n in ("wide", "long")
    }
    made = necked(stretches_of(board), **given)
    return _redrawn(board, made, "neck: " + ", ".join(f"{v:.1f} mm {n}" for n, v in given.items()))


def _hand(board: Board, asked: dict[str, Any]) -> Touched:
    name, value = str(asked["hand"]), _number(asked["value"])
    made = handed(stretches_of(board), name, value)
    return _redrawn(board, made, f"{NAMES.get(name, name)}: {value:.1f}")


def _box(board: Board, asked: dict[str, Any]) -> Touched:
    given = {
        n: _number(v, 60.0, 2000.0)
        for n, v in _table(asked["box"]).items()
        if n in ("length", "width")
    }
    made = boxed(stretches_of(board), **given)
    return _redrawn(board, made, ", ".join(f"{n} {v:.0f} mm" for n, v in given.items()))


def _set(board: Board, asked: dict[str, Any]) -> Touched:
    given = {n: v for n, v in _table(asked["set"]).items() if n in SETTINGS}
    if not given:
        raise _wrong("a setting is one of " + ", ".join(SETTINGS))
    made = replace(board, brief=with_settings(board.brief, given))
    return Touched(made, ", ".join(f"{n.replace('_', ' ')} {v}" for n, v in given.items()))


def _handle(board: Board, asked: dict[str, Any]) -> Touched:
    name = str(asked["handle"])
    if name not in HANDLES:
        raise InputError(Problem("handle", f"there is no handle '{name[:40]}'", ", ".join(HANDLES)))
    made = with_handle(board, name, 1)
    return Touched(replace(made, at=None), called(name))


def _name(board: Board, asked: dict[str, Any]) -> Touched:
    name = words(asked["name"], NAME, "name", board.form)
    return Touched(replace(board, name=name), f"called {name}")


TOUCHES: dict[str, Callable[[Board, dict[str, Any]], Touched]] = {
    "pull": _pull,
    "corner": _corner,
    "stretch": _stretch,
    "neck": _neck,
    "hand": _hand,
    "box": _box,
    "set": _set,
    "handle": _handle,
    "name": _name,
}
"""What a hand may do, by the word the page says it with."""
NAMES = {
    "across": "hole, width",
    "rim": "rim round the hole",
    "length": "opening, length",
    "height": "opening, height",
    "bar": "bar beside the opening, stoutness",
    "along": "moved along the edge",
    "along_2": "the other one moved along the edge",
}
"""What sizes of a hand are called on the page."""


def drawn(board: Board, report: Report) -> dict[str, Any]:
    """Return what the page draws and says of a board under
    shaping, and where a hand takes hold of it.
    """
    genes = board.genes
    made: dict[str, Any] = {
        **about(report),
        "findings": [{**f.as_json(), "fix": fix(board, report, f)} for f in report.findings],
        "settings": {n: getattr(board.brief, n) for n in SETTINGS},
    }
    if genes is not None:
        neck = neck_of(genes)
        sizes = dict(genes.hand)
        made["parts"] = [
            {
                "name": p.name,
                "at": p.at,
                "out": p.out,
                "turn": p.turn,
                "length": p.length,
                "radius": p.radius,
                "held": p.held,
            }
            for p in parts_of(genes)
        ]
        made["hand"] = [
            {
                "name": n,
                "says": NAMES.get(n, n),
                "unit": r.unit,
                "low": r.low,
                "high": r.high,
                "value": sizes.get(n, 0.0),
            }
            for n, r in hand_ranges(board.handle).items()
        ]
        made["holes"] = [{"name": h.name, "at": h.at, "way": h.way} for h in holes_of(genes)]
        made["neck"] = None if neck is None else {"wide": neck[0], "long": neck[1]}
        made["handles"] = [h for h in HANDLES if suits(h, board.form)]
    return made


def fix(board: Board, report: Report, finding: Finding) -> dict[str, Any] | None:
    """What one press may do about a finding that fails: in words, and as a touch.

    None where it takes a hand.
    """
    if finding.verdict != FAIL:
        return None
    found = _FIXES.get(finding.check)
    return found(board, report, finding) if found else None


def _thinner(board: Board, report: Report, finding: Finding) -> dict[str, Any] | None:
    thick = thickness_for(report.subject, finding.limit or 0.0)
    if thick is None or thick < max(8.0, 2 * board.brief.round_over):
        return None
    thick = math.floor(thick * 10) / 10
    return {"label": f"thinner board: {thick:g} mm", "touch": {"set": {"thickness": thick}}}


def _smaller(board: Board, report: Report, finding: Finding) -> dict[str, Any] | None:
    del finding
    box, want = report.subject.box, (board.brief.length, board.brief.width)
    over = {n: w - 0.05 for n, b, w in zip(("length", "width"), box, want, strict=True) if b > w}
    said = " and ".join(
        f"{v:.0f} mm {'long' if n == 'length' else 'wide'}" for n, v in over.items()
    )
    return {"label": f"make it {said}", "touch": {"box": over}} if over and board.genes else None


def _ease(board: Board, report: Report, finding: Finding) -> dict[str, Any] | None:
    del report
    if board.genes is None or not finding.where:
        return None
    brief = board.brief
    need = max(brief.cutter, brief.guide_bearing if finding.check == "round-over" else 0.0) / 2
    need = max(
        need * (1 + 2 * HOLLOW_ALLOWANCE) + 0.3,
        brief.inside_radius if finding.check == "cutter" else 0.0,
    )
    hollow = [p for p in parts_of(board.genes) if p.turn < 0 and p.radius is not None]
    if not hollow:
        return None
    x, y = finding.where[0]
    part = min(hollow, key=lambda p: math.hypot(p.at[0] - x, p.at[1] - y))
    return {
        "label": f"ease here to {need:.1f} mm",
        "touch": {"stretch": part.name, "radius": round(need, 2)},
    }


def _stouter(board: Board, report: Report, finding: Finding) -> dict[str, Any] | None:
    s = report.subject
    if finding.measured is None or not finding.limit or finding.measured <= 0:
        return None
    thick = math.ceil(s.limits.thickness * math.sqrt(finding.limit / finding.measured) * 1.02)
    return (
        {"label": f"thicken to {thick} mm", "touch": {"set": {"thickness": thick}}}
        if thick <= 60
        else None
    )


def _hold(board: Board, report: Report, finding: Finding) -> dict[str, Any] | None:
    del report
    sizes = dict(board.genes.hand) if board.genes else {}
    limit, measured = finding.limit, finding.measured
    if board.genes is None or limit is None or measured is None:
        return None
    if "rim" in finding.message and "rim" in sizes:
        rim = round(sizes["rim"] + limit - measured + (0.3 if limit > measured else -0.3), 1)
        return {"label": f"rim of {rim:g} mm", "touch": {"hand": "rim", "value": rim}}
    if is_neck(board.handle) and (neck := neck_of(board.genes)) and limit > measured:
        long = round(neck[1] + limit - measured + 1)
        return {"label": f"neck {long} mm long", "touch": {"neck": {"long": long}}}
    return None


def _wider(board: Board, report: Report, finding: Finding) -> dict[str, Any] | None:
    del report
    if board.genes is None or finding.limit is None or finding.measured is None:
        return None
    if (neck := neck_of(board.genes)) is not None:
        wide = round(neck[0] + finding.limit - finding.measured + 1, 1)
        return {"label": f"neck {wide:g} mm wide", "touch": {"neck": {"wide": wide}}}
    rim = dict(board.genes.hand).get("rim")
    if rim is None:
        return None
    more = round(rim + finding.limit - finding.measured + 0.5, 1)
    return {"label": f"thicken: rim of {more:g} mm", "touch": {"hand": "rim", "value": more}}


_FIXES = {
    "weight": _thinner,
    "size": _smaller,
    "cutter": _ease,
    "round-over": _ease,
    "strength": _stouter,
    "handle": _hold,
    "narrow": _wider,
}


def reported(board: Board) -> Report:
    """Check a board. Raises InputError where its outline crosses itself."""
    try:
        return full_report(board)
    except OutlineError as error:
        raise InputError(Problem("shape", str(error), "", "pull less far, or elsewhere")) from None

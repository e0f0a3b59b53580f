"""An offer of boards.

Their pictures, and what a customer asks: size, timber, weight, price, care.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType

from shapes.checks.finding import WARN
from shapes.collection.board import Report
from shapes.errors import InputError, Problem
from shapes.files.offer import Offered, offer_html, offer_pdf
from shapes.files.recipe import digest
from shapes.files.safe import write_checked
from shapes.pictures.board import Shown, board_picture, width_of
from shapes.pictures.finished import at_once, jpeg_of
from shapes.units import KG_PER_POUND, sizes
from shapes.workshop.job import Job, JobOptions
from shapes.workshop.price import batch_of
from shapes.workshop.set_up import Lies, set_up
from shapes.workshop.shop import Workshop

Writer = Callable[[Sequence[Offered], str, str], bytes]
KINDS: dict[str, Writer] = {".html": offer_html, ".pdf": offer_pdf}
PIXELS = 1400
MOST_BOARDS = 60  # boards: a file that still goes by e-mail


def price_of(
    report: Report, shop: Workshop, job: Job | None = None
) -> tuple[float | None, tuple[str, ...]]:
    """Return the price of one board ordered alone, set-up in it.

    Or None, and whose rates are not known.

    ``job``: of a board that lies on a piece, as it is planned there.
    """
    own = Lies(report, report.board.name or "board")
    batch = batch_of([job] if job else set_up([own], shop, JobOptions()).jobs)
    return (None, batch.unknown) if batch.unknown else (batch.total, ())


def offered(
    report: Report, price: float | None, food: bool, scale: float, thing: str | None, asked: bool
) -> Offered:
    """Return what an offer shows and says of one board."""
    brief, s = report.board.brief, report.subject
    x, y = s.box
    says = [
        f"{sizes((x, y, brief.thickness), brief.unit)}",
        f"{brief.species}, oiled; about {_about(s.mass, brief.unit)}",
    ]
    if price is not None:
        says.append(f"price {price:.2f}")
    elif asked:
        says.append("price on request")
    if not food:
        says.append("NOT FOR FOOD: for decoration alone")
    shown = Shown(round(scale * width_of(report, thing)), False, thing)
    pixels = board_picture(report, shown).pixels
    return Offered(
        digest(report.board),
        report.board.name or report.board.form,
        tuple(says),
        jpeg_of(pixels, 84),
        (pixels.shape[1], pixels.shape[0]),
        food,
    )


def _about(kg: float, unit: str | None) -> str:
    """A mass to the digits that wood keeps to."""
    if unit == "in":
        return f"{kg / KG_PER_POUND:.1f} lb"
    return f"{kg:.2g} kg" if kg < 1 else f"{kg:.1f} kg"


def write_offer(
    reports: Sequence[Report],
    target: Path,
    title: str,
    shop: Workshop | None,
    *,
    laid: Mapping[int, Job] = MappingProxyType({}),
    for_food: Sequence[bool] | None = None,
    beside: str | None = None,
    force: bool = False,
) -> tuple[str, ...]:
    """Write an offer and return notes.

    Raises InputError, before anything is written, for what is unfit.

    ``laid``: by index, boards that lie on a piece as they are planned there; ``for_food``: of every
    board.
    """
    food = for_food or [r.board.brief.for_food for r in reports]
    draw = _writer(reports, target, food, force=force)
    prices, notes = _priced(reports, shop, laid)
    notes += [
        f"{r.board.name or r.board.form}: {f.message}"
        for r in reports
        for f in r.findings
        if f.verdict == WARN
    ]
    scale = PIXELS / max(width_of(r, beside) for r in reports)
    pairs = list(zip(reports, prices, food, strict=True))
    made = at_once(
        lambda pair: offered(*pair, scale, beside, any(p is not None for p in prices)), pairs
    )
    about = (
        f"{len(made)} board{'' if len(made) == 1 else 's'}, each one of a kind, all to one scale"
    )
    if any(p is not None for p in prices):
        about += "; prices in our own money, tax included"
    target.absolute().parent.mkdir(parents=True, exist_ok=True)
    write_checked(target, draw(made, title, about))
    return tuple(notes)


def _writer(
    reports: Sequence[Report], target: Path, food: Sequence[bool], *, force: bool
) -> Writer:
    """Return what writes an offer of the target's kind.

    Raises InputError with everything that keeps these boards from being offered there.
    """
    draw = KINDS.get(target.suffix.lower())
    problems = []
    if draw is None:
        problems.append(
            Problem("--out", f"{target} is no offer we write", "", "name a .html or a .pdf")
        )
    if len(reports) > MOST_BOARDS:
        problems.append(
            Problem(
                "boards",
                f"{len(reports)} are too many for one offer",
                f"1 to {MOST_BOARDS}",
                "choose some",
            )
        )
    if target.exists() and not force:
        problems.append(
            Problem(
                str(target),
                "is there already",
                "",
                "choose another --out, or replace it with --force",
            )
        )
    problems += [
        Problem(
            r.board.name or r.board.form,
            f"fails {', '.join(r.failed)}",
            "",
            "offer it to nobody: see shapes check",
        )
        for r in reports
        if r.failed
    ]
    if len(set(food)) > 1:
        problems.append(
            Problem("boards", "some are for food and some are not", "", "offer them apart")
        )
    if problems or draw is None:
        raise InputError(*problems)
    return draw


def _priced(
    reports: Sequence[Report], shop: Workshop | None, laid: Mapping[int, Job]
) -> tuple[list[float | None], list[str]]:
    """Return the price of each board, where it is known, and what is to be said of prices."""
    if shop is None:
        return [None] * len(reports), []
    found = [price_of(r, shop, laid.get(i)) for i, r in enumerate(reports)]
    notes = []
    if unknown := dict.fromkeys(u for _, us in found for u in us):
        notes.append(f"no price where what it is made of is not known: {', '.join(unknown)}")
    if any(p is not None for p, _ in found):
        notes.append("a price is of that board ordered alone, the set-up in it")
    return [p for p, _ in found], notes

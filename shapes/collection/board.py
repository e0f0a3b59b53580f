"""A board: how it was drawn, its sketch, and the full report on it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Any

import shapes
from shapes.checks import passes, report
from shapes.checks.finding import FAIL, Finding, finite
from shapes.checks.looks import line
from shapes.checks.subject import Subject
from shapes.collection.brief import Brief
from shapes.collection.draw import Genes, outline_of
from shapes.errors import Problem
from shapes.geometry.outline import Outline
from shapes.handles.hand import Sketch
from shapes.mending.simplify import simplified
from shapes.timber.estimate import Estimate, estimate
from shapes.timber.surface import Areas, areas


@dataclass(frozen=True, slots=True, eq=False)
class Board:
    """One board: its brief, its sketch, its form and handle, and the genes it was drawn from.

    Genes are None for a recipe of an earlier way of drawing: its outline is all that is left.
    """

    brief: Brief = field(repr=False)
    sketch: Sketch = field(repr=False)
    form: str
    handle: str
    genes: Genes | None = field(default=None, repr=False)
    name: str = ""
    at: tuple[float, float, float] | None = None  # pose on the off-cut it was drawn for

    @property
    def natural(self) -> bool:
        """Whether it was drawn round the natural edge of a piece."""
        return self.genes is not None and self.genes.row.natural

    def _repr_png_(self) -> bytes:
        """Show itself in a notebook."""
        return shapes.picture(self, pixels=900)


def drawn_from(brief: Brief, genes: Genes, sketch: Sketch, name: str = "") -> Board:
    """Return the board of genes and their sketch."""
    return Board(brief, sketch, genes.form, genes.handle, genes, name, genes.at)


NO_LIMIT = math.inf  # kg: of somebody's own board whose weight nobody limits


@dataclass(frozen=True, slots=True, eq=False)
class DrawnBoard:
    """A board from somebody's own drawing: its outline, and what was said about it."""

    brief: Brief = field(repr=False)
    outline: Outline = field(repr=False)
    name: str
    grips: tuple[tuple[float, float, float], ...] = ()
    grain: float = 0.0  # radians from the x axis
    sized: bool = False  # whether the brief's length and width are asked of it
    looks: bool = False  # whether asymmetry and fairness are asked
    form: str = "drawing"
    handle: str = "none"

    def _repr_png_(self) -> bytes:
        """Show itself in a notebook."""
        return shapes.picture(self, pixels=900)


@dataclass(frozen=True, slots=True, eq=False)
class Report:
    """A board with everything that was measured on it."""

    board: Board | DrawnBoard
    outline: Outline = field(repr=False)
    subject: Subject = field(repr=False)
    findings: list[Finding] = field(repr=False)

    @property
    def passes(self) -> bool:
        """Whether no finding is a fail."""
        return passes(self.findings)

    @property
    def failing(self) -> list[Finding]:
        """The findings that are fails, in order."""
        return [f for f in self.findings if f.verdict == FAIL]

    @property
    def failed(self) -> tuple[str, ...]:
        """Names of the checks that fail, in order."""
        return tuple(dict.fromkeys(f.check for f in self.failing))

    def refused(self, where: str) -> list[Problem]:
        """Why it may not be made: a line for each fail; none where all pass."""
        return [
            Problem(where, f"FAILS {f.check}: {f.message}", "", "mend it, or say --anyway")
            for f in self.failing
        ]

    def estimate(self) -> Estimate:
        """Timber, oil and cost."""
        brief = self.board.brief
        return estimate(
            self.subject.box,
            brief.thickness,
            self.subject.solid,
            self.areas(),
            brief.density,
            brief.band,
            brief.allowances(),
            brief.price_per_m3,
        )

    def areas(self) -> Areas:
        """Areas of its faces and edges, m2."""
        s, brief = self.subject, self.board.brief
        lengths, _ = s.loops
        return areas(
            self.outline,
            s.solid,
            lengths,
            brief.thickness,
            brief.round_over,
            brief.guide_bearing,
            s.grain,
        )

    def as_json(self, file: str) -> dict[str, Any]:
        """Return the contract's object."""
        return describe(file, self.subject, self.findings)

    def _repr_png_(self) -> bytes:
        """Show itself in a notebook."""
        return shapes.picture(self, pixels=900)


def describe(file: str, s: Subject, findings: list[Finding]) -> dict[str, Any]:
    """Return the machine-readable object of one outline; what nothing limits is null."""
    bending, variation, _ = s.fairness
    seen = line(s)
    value = next((f.measured for f in findings if f.check == "asymmetry"), None)
    return {
        "schema": 1,
        "file": file,
        "outline": {
            "area_mm2": finite(s.section.area),
            "perimeter_mm": finite(s.perimeter),
            "length_mm": finite(s.box[0]),
            "width_mm": finite(s.box[1]),
            "openings": len(s.outline.openings),
            "centroid_mm": [finite(c) for c in s.section.centroid],
            "least_inside_radius_mm": finite(s.radii[0]),
            "least_outside_radius_mm": finite(s.radii[1]),
            "narrowest_mm": finite(s.narrowest.width),
            "bending": finite(bending),
            "variation": finite(variation),
            "curvature_extremes": len(s.extremes[0]),
            "asymmetry": finite(value),
            "concave_turning": finite(seen.concave_turning),
            "total_turning": finite(seen.total_turning),
            "curvature_maxima": seen.curvature_maxima,
        },
        "largest_cutter_mm": finite(s.largest_cutter),
        "mass_kg": finite(s.mass),
        "passes": passes(findings),
        "findings": [f.as_json() for f in findings],
    }


def subject_of(board: Board, grain: float = 0.0, *, rough: bool = False) -> Subject:
    """Put a board under check; ``grain`` is its angle to the x axis, radians.

    Raises OutlineError where its outline crosses itself.
    """
    genes = board.genes
    return Subject(
        outline_of(board.sketch),
        board.brief.limits(),
        handle=board.handle,
        grips=board.sketch.grip,
        row=None if genes is None else genes.row,
        moved=0.0 if genes is None else genes.moved,
        grain=grain,
        rough=rough,
    )


def full_report(board: Board | DrawnBoard, grain: float = 0.0) -> Report:
    """Run every check on a board."""
    subject = (
        subject_drawn(board) if isinstance(board, DrawnBoard) else subject_of(board, grain=grain)
    )
    return Report(board, subject.outline, subject, report(subject))


def subject_drawn(board: DrawnBoard) -> Subject:
    """Put somebody's own outline under check: its facets thinned, our taste left aside."""
    limits = replace(
        board.brief.limits(),
        generated=False,
        least_inside_radius=None,
        asymmetry=board.looks,
        looks=board.looks,
    )
    if not board.sized:
        limits = replace(limits, length=None, width=None)
    if board.brief.max_mass == NO_LIMIT:
        limits = replace(limits, max_mass=None)
    edge, *openings = (simplified(c) for c in board.outline.curves)
    outline = (
        Outline(edge, tuple(openings))
        if board.outline.curves != (edge, *openings)
        else board.outline
    )
    return Subject(outline, limits, grips=board.grips, grain=board.grain, drawn=board.outline)

"""Measure what is usual for every form and handle, and write checks/usual.toml.

Run it after changing a form or a handle: python -m shapes.collection.calibrate
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

import shapes.checks
from shapes.checks.fairness import SPREAD
from shapes.checks.subject import Limits, Subject, log
from shapes.collection.brief import Brief
from shapes.collection.draw import draw, outline_of, random_genes
from shapes.errors import OutlineError
from shapes.forms import FORMS
from shapes.handles import HANDLES

DRAWS = 120


def measure(form: str, handle: str) -> tuple[float, float, int, float]:
    """Variation (log10) that 95 % of draws keep to, less the spread; extremes that 97 % keep to."""
    brief = brief_for(handle)
    variation, whole, count, around = [], [], [], []
    for k in range(DRAWS):
        rng = np.random.Generator(
            np.random.PCG64DXSM(np.random.SeedSequence(90125, spawn_key=(k,)))
        )
        sketch = draw(random_genes(rng, form, handle, brief.length, brief.width), brief.size())
        try:
            outline = outline_of(sketch)
        except OutlineError:
            continue
        s = Subject(outline, Limits(), handle=handle, grips=sketch.grip)
        variation.append(log(s.fairness[2] or 0.0))
        whole.append(log(s.fairness[1] or 0.0))
        count.append(len(s.extremes[0]))
        around.append(s.perimeter)
    return (
        round(float(np.percentile(variation, 95)) - SPREAD, 3),
        round(float(np.percentile(whole, 95)) - SPREAD, 3),
        int(np.percentile(count, 97)),
        round(float(np.median(around)), 1),
    )


def brief_for(handle: str) -> Brief:
    """Return the default brief, or a tray's where the handle needs more room."""
    room = HANDLES[handle].room
    brief = Brief()
    if room[0] > brief.length or room[1] > brief.width:
        return Brief(length=520.0, width=300.0, thickness=20.0, max_mass=3.0)
    return brief


def main() -> None:
    """Write the table."""
    lines = [
        "# Variation (log10) without and with the grip, curvature extremes, and the edge's length, usual for each form and handle.",
        "# Measured on our own draws by: python -m shapes.collection.calibrate",
    ]
    for form in FORMS:
        lines += ["", f"[{form}]"]
        for handle, about in HANDLES.items():
            if about.suits(form):
                row = measure(form, handle)
                lines.append(f"{handle} = {list(row)}")
    target = Path(shapes.checks.__file__).with_name("usual.toml")
    target.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()

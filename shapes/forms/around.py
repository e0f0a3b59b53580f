"""Bodies whose control points stand round a middle: where such a body has its ends."""

from __future__ import annotations

import numpy as np

from shapes.geometry.body import Body
from shapes.geometry.curve import Array


def around(control: Array, *, meant: bool = False) -> Body:
    """Turn control points that run round a middle into a body; its ends are its furthest points."""
    head, tail = control[control[:, 0].argmax()], control[control[:, 0].argmin()]
    middle = float(np.mean(control[:, 1]))
    ends = [(float(e[0]), (float(e[1]) + middle) / 2) for e in (head, tail)]
    return Body(control, ends[0], ends[1], meant)

"""Handles that the form itself is: a hollow that fingers take, or an edge to lift it by."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Plain:
    """Nothing is added to the form."""

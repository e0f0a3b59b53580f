"""The files of settings that a maker writes, each by what it is called, with its declaration."""

from __future__ import annotations

from typing import Any

from shapes.collection.brief import Brief
from shapes.files.off_cut import OffCutTable
from shapes.workshop.shop import Shop

FILES: dict[str, Any] = {"brief": Brief, "off-cut": OffCutTable, "workshop": Shop}

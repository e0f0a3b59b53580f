"""What README and guide say of settings and promises is what the code holds."""

from __future__ import annotations

import json

import pytest
from settings_table import in_readme, tables

from shapes.cli.app import run


def test_the_readme_has_every_setting_as_it_is_declared() -> None:
    assert in_readme() == tables()
    assert "| `cutters[].measured` | 1 to 80 mm |  | measured diameter |" in tables()


def test_settings_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["list", "settings", "--json"]) == 0
    rows = {r["name"]: r for r in json.loads(capsys.readouterr().out)}
    assert rows["brief: length"]["allowed"] == "120 to 1500 mm"
    assert rows["off-cut: outline.every"]["default"] == "50"
    assert len(rows) > 100

"""Settings for every test: one Hypothesis profile, and helpers on the path."""

from __future__ import annotations

import os
import sys
from pathlib import Path

# Two workers on two cores, each with its own processes: threads of the matrix library would only spin.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import pytest
from hypothesis import HealthCheck, settings

sys.path.insert(0, str(Path(__file__).parent))
import samples


def pytest_addoption(parser: pytest.Parser) -> None:
    """Let the long tests take all their cases."""
    parser.addoption("--all", action="store_true", help="all cases of the long tests, not a sample")


def pytest_configure(config: pytest.Config) -> None:
    """Tell every worker, and Hypothesis."""
    if config.getoption("--all"):
        os.environ[samples.ALL] = "1"
    settings.register_profile(
        "shop",
        deadline=None,
        max_examples=samples.of(60, 30),
        suppress_health_check=[HealthCheck.too_slow],
    )
    settings.load_profile("shop")


SMALL_BOARDS = """
title = "Light cheese board"
length = 410
width = 210
thickness = 18
species = "black walnut"
moisture = 8
cutter = 6
round_over = 6
guide_bearing = 12.7
max_mass = 0.9
forms = ["mussel", "bell", "drop", "willow"]
handles = ["cord-hole"]
price_per_m3 = 4200
"""


@pytest.fixture(scope="session")
def collection_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A collection made once by the command itself, from a brief of small boards."""
    from shapes.cli.app import run

    folder = tmp_path_factory.mktemp("made")
    brief = folder / "small boards.toml"
    brief.write_text(SMALL_BOARDS, encoding="utf-8")
    out = folder / "boards"
    assert run(["generate", str(brief), "--pool", "84", "--out", str(out), "--jobs", "1"]) == 0
    return out

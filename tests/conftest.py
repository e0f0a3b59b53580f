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
    """Tell every worker."""
    if config.getoption("--all"):
        os.environ[samples.ALL] = "1"


settings.register_profile(
    "shop", deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("shop")


@pytest.fixture(scope="session")
def collection_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A collection made once by the command itself, from a preset."""
    from shapes.cli.app import run

    out = tmp_path_factory.mktemp("made") / "boards"
    assert run(["generate", "--preset", "cheese-board", "--out", str(out), "--jobs", "1"]) == 0
    return out

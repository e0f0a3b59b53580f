"""Make a contact sheet of every preset: python gallery/make.py [FOLDER]."""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from shapes.cli.app import run
from shapes.cli.common import presets


def make(name: str, target: Path) -> None:
    """Generate a preset's collection aside and keep its contact sheet."""
    with tempfile.TemporaryDirectory() as aside:
        out = Path(aside) / "boards"
        if run(["generate", "--preset", name, "--out", str(out)]) != 0:
            raise SystemExit(f"{name} could not be made")
        for kind in ("svg", "png"):
            shutil.copyfile(out / f"contact-sheet.{kind}", target / f"{name}.{kind}")


if __name__ == "__main__":
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent
    for preset in presets():
        make(preset, folder)

"""Make every picture of the gallery: python gallery/make.py [FOLDER].

A contact sheet of every preset; and a piece of bought-looking artwork checked and mended.
"""

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


def mend(drawing: Path, target: Path) -> None:
    """Show what a cutter leaves of a drawing, mend it, and show what was changed."""
    reach = str(target / f"{drawing.stem}-reach.png")
    if run(["check", str(drawing), "--cutter", "6", "--picture", reach]) != 1:
        raise SystemExit("the artwork was to fail")
    mended = [
        "--out",
        str(target / f"{drawing.stem}-mended.dxf"),
        "--picture",
        str(target / f"{drawing.stem}-mended.png"),
    ]
    bits = ["--cutter", "6", "--round-over", "6", "--guide-bearing", "12.7"]
    if run(["repair", str(drawing), *bits, *mended, "--force"]) != 0:
        raise SystemExit("the artwork could not be mended")


if __name__ == "__main__":
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent
    for preset in presets():
        make(preset, folder)
    mend(Path(__file__).parent / "artwork.dxf", folder)

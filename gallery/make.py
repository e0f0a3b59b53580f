"""Make every picture of the gallery: python gallery/make.py [FOLDER].

A contact sheet of every preset; boards drawn for an off-cut and laid on it; a piece of
bought-looking artwork checked and mended; a worksheet.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from PIL import Image

from shapes.cli.app import run
from shapes.library.presets import briefs


def make(name: str, target: Path) -> None:
    """Generate a preset's collection aside and keep its contact sheet."""
    with tempfile.TemporaryDirectory() as aside:
        out = Path(aside) / "boards"
        if run(["generate", "--preset", name, "--out", str(out)]) != 0:
            raise SystemExit(f"{name} could not be made")
        shutil.copyfile(out / "contact-sheet.svg", target / f"{name}.svg")
        small(out / "contact-sheet.png", target / f"{name}.jpg")


def small(picture: Path, target: Path, width: int = 1654) -> None:
    """Keep a picture at the size that a page shows it."""
    with Image.open(picture) as whole:
        high = round(whole.height * width / whole.width)
        whole.convert("RGB").resize((width, high), Image.Resampling.LANCZOS).save(
            target, quality=86
        )


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


def place(name: str, target: Path) -> None:
    """Draw boards for an off-cut and lay as many as fit on it, its live edge kept."""
    with tempfile.TemporaryDirectory() as aside:
        out, placed = Path(aside) / "boards", Path(aside) / "placed"
        if run(["generate", "--off-cut", name, "--live-edge", "keep", "--out", str(out)]) != 0:
            raise SystemExit(f"boards for {name} could not be made")
        small(out / "contact-sheet.png", target / f"off-cut-{name}.jpg")
        run(["place", str(out), "--off-cut", name, "--live-edge", "keep", "--out", str(placed)])
        picture = next(placed.glob("*/placement.png"))
        small(picture, target / f"off-cut-{name}-placed.jpg")


def prepare(target: Path) -> None:
    """Prepare one board of a preset and show its worksheet, as the printed page looks."""
    import pypdfium2 as pdfium

    shop = Path(__file__).parents[1] / "presets" / "workshop.toml"
    with tempfile.TemporaryDirectory() as aside:
        out, batch = Path(aside) / "boards", Path(aside) / "batch"
        run(["generate", "--preset", "cheese-board", "--out", str(out)])
        board = str(next(out.glob("02-*")))
        marks = [
            "--text",
            "Harvest table\\n{name}",
            "--print-text",
            "The Cooper's Yard",
            "--quantity",
            "4",
            "--workshop",
            str(shop),
        ]
        if run(["prepare", board, "--to", str(batch), *marks]) != 0:
            raise SystemExit("the board could not be prepared")
        small(next(batch.glob("*/board-UNDERSIDE.png")), target / "board-underside.jpg", 1200)
        shown = ["--format", "png", "--beside", "plate"]
        run(["export", board, "--to", str(batch / "shop"), *shown])
        small(next((batch / "shop").glob("*-picture.png")), target / "board-beside-plate.jpg", 1400)
        page = pdfium.PdfDocument(next(batch.glob("*/worksheet.pdf")))[0]
        page.render(scale=130 / 72).to_pil().save(target / "worksheet.png")


if __name__ == "__main__":
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent
    for preset in briefs():
        make(preset, folder)
    mend(Path(__file__).parent / "artwork.dxf", folder)
    prepare(folder)
    place("live-edge-cherry", folder)

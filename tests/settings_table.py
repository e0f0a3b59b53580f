"""The guide's tables of settings, from their declarations.

``python tests/settings_table.py`` writes them anew.
"""

from __future__ import annotations

from pathlib import Path

from shapes.cli.listing import declared_files
from shapes.settings import declarations

GUIDE = Path(__file__).parents[1] / "gallery" / "guide" / "settings.md"
START, END = "<!-- settings -->\n", "<!-- end of settings -->"


def tables() -> str:
    """Return the tables, one for each file."""
    lines = []
    for file, kind in declared_files().items():
        lines += [
            f"<details><summary>{file}</summary>",
            "",
            "| setting | taken | unless said | what it is |",
            "| --- | --- | --- | --- |",
        ]
        for name, allowed, default, says in declarations(kind):
            lines.append(f"| `{name}` | {allowed} | {default or ''} | {says} |")
        lines += ["", "</details>", ""]
    return "\n".join(lines)


def in_guide() -> str:
    """Return what stands in the guide between its marks."""
    return GUIDE.read_text(encoding="utf-8").split(START)[1].split(END)[0]


if __name__ == "__main__":
    text = GUIDE.read_text(encoding="utf-8")
    GUIDE.write_text(
        text.replace(START + in_guide() + END, START + tables() + END), encoding="utf-8"
    )

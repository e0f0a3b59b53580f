"""The README's tables of settings, from their declarations: ``python tests/settings_table.py`` writes them anew."""

from __future__ import annotations

from pathlib import Path

from shapes.cli.listing import declared_files
from shapes.settings import declarations

README = Path(__file__).parents[1] / "README.md"
START, END = "<!-- settings -->\n", "<!-- end of settings -->"


def tables() -> str:
    """Return the tables, one for each file."""
    lines = []
    for file, kind in declared_files().items():
        lines += [f"<details><summary>{file}</summary>", "", "| setting | taken | unless said | what it is |", "| --- | --- | --- | --- |"]  # fmt: skip
        for name, allowed, default, says in declarations(kind):
            lines.append(f"| `{name}` | {allowed} | {default or ''} | {says} |")
        lines += ["", "</details>", ""]
    return "\n".join(lines)


def in_readme() -> str:
    """Return what stands in the README between its marks."""
    return README.read_text(encoding="utf-8").split(START)[1].split(END)[0]


if __name__ == "__main__":
    text = README.read_text(encoding="utf-8")
    README.write_text(
        text.replace(START + in_readme() + END, START + tables() + END), encoding="utf-8"
    )

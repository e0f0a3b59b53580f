"""The command ``shapes``: one file a command; each parses, calls and prints."""

from __future__ import annotations

from shapes.cli.app import main

__all__ = ["main"]

"""shapes open: the page at the bench, in the browser."""

from pathlib import Path
from typing import Annotated, Optional

import typer


def open_(
    place: Annotated[
        Optional[Path],  # noqa: UP045
        typer.Argument(
            help=(
                "A folder of boards, a brief or an off-cut (.toml); else what is here, and the"
                " presets."
            )
        ),
    ] = None,
    on_network: Annotated[
        bool,
        typer.Option(
            "--on-network",
            help=(
                "For other devices in your network too: shows the address as a QR code."
                " Unencrypted."
            ),
        ),
    ] = False,
    port: Annotated[
        int, typer.Option(help="The port to listen on; any that is free unless said.")
    ] = 0,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Say the address, open no browser.")
    ] = False,
) -> None:
    """Open the page at the bench: choose and shape boards by eye,
    lay them on a piece, write what the machines need.
    """
    from shapes.cli.common import in_range, note, workers
    from shapes.page.opened import opened_at
    from shapes.page.serve import serve

    in_range(port, 0, 65535, "--port")
    serve(
        opened_at(place, workers(None)),
        port=port,
        network=on_network,
        browse=not no_browser,
        say=note,
    )

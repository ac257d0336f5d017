"""The command `serve`."""

import sys
from typing import Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.options import CatalogueOption
from melodex.cli.terminal import notice, say


def serve(
    port: Annotated[
        int, typer.Option("--port", min=0, max=65535, help="Where to listen; 0 for any free one.")
    ] = 8765,
    host: Annotated[
        str,
        typer.Option(
            "--host",
            metavar="ADDRESS",
            help="Your own machine only; 0.0.0.0 lets everybody in your network read and add.",
        ),
    ] = "127.0.0.1",
    catalogue: CatalogueOption = None,
) -> None:
    """Show songs, licks and lessons in your browser: notation, tab and sound.

    It prints the address to open, and runs until Ctrl-C. Nothing leaves your machine.

    Examples
    --------
    melodex serve
    """
    from melodex.web.server import serve as serve_site

    serve_site(catalogue_path(catalogue), host=host, port=port, announce=_announce)


def _announce(address: str) -> None:
    say(f"Open {address} in your browser.")
    sys.stdout.flush()  # whoever started it may be waiting for that line
    notice("Ctrl-C ends it.")

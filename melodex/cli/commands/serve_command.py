"""The command `serve`."""

import sys
from typing import TYPE_CHECKING, Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.options import NO_VALUE, CatalogueOption
from melodex.cli.terminal import notice, print_lines

if TYPE_CHECKING:
    from melodex.web.server import Opening

_WARNING = (
    "Warning: everybody who has this address, key included, may {may} this catalogue, and the "
    "connection is not encrypted: share it only in a network that you trust. From another machine, "
    "replace 0.0.0.0 in it with this machine's address in the network."
)


def serve(
    port: Annotated[
        int,
        typer.Option(
            "--port",
            min=0,
            max=65535,
            metavar="PORT",
            help="The port to listen on; 0 for any free one.",
        ),
    ] = 8765,
    host: Annotated[
        str,
        typer.Option(
            "--host",
            metavar="ADDRESS",
            help="The address to listen on. 127.0.0.1 is this machine only; with 0.0.0.0, those in "
            "your network who have the printed key may read.",
        ),
    ] = "127.0.0.1",
    allow_changes: Annotated[
        bool,
        typer.Option(
            "--allow-changes",
            metavar=NO_VALUE,
            help="Let visitors from other machines add, change and delete as well.",
        ),
    ] = False,
    catalogue: CatalogueOption = None,
) -> None:
    """Show songs, licks and lessons in your browser: notation, tab and sound.

    It prints the address to open, and runs until Ctrl-C. Nothing leaves your machine.

    Examples
    --------
    melodex serve
    """
    from melodex.web.server import serve as serve_site

    serve_site(
        catalogue_path(catalogue),
        host=host,
        port=port,
        allow_changes=allow_changes,
        announce=_announce,
    )


def _announce(opening: "Opening") -> None:
    print_lines(f"Open {opening.address} in your browser.")
    sys.stdout.flush()  # whoever started it may be waiting for that line
    if opening.is_for_others:
        notice(_WARNING.format(may="read and change" if opening.may_change else "read"))
    notice("Press Ctrl-C to stop.")

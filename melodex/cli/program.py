"""The program as a whole: its help and its version."""

from typing import Annotated

import typer

from melodex.cli.options import NO_VALUE
from melodex.cli.terminal import print_lines

PROGRAM_EXAMPLES = """Examples:
melodex demo
melodex add FOLDER
melodex find --notes "D4:e E4 D4 B3 G3 A3 E3 F#3 G3:h"
melodex find --help
"""


def _print_version(wanted: bool) -> None:
    from importlib.metadata import version

    if wanted:
        print_lines(f"melodex {version('melodex')}")
        raise typer.Exit


def program(
    version: Annotated[
        bool,
        typer.Option(
            "--version",
            metavar=NO_VALUE,
            help="Show the version and exit.",
            is_eager=True,
            callback=_print_version,
        ),
    ] = False,
) -> None:
    """Find the melodies and licks that the songs of a collection share."""

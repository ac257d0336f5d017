"""The commands `keep`, `kept`, `rename` and `forget`."""

from dataclasses import asdict
from typing import Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.completion import complete_kept_lick
from melodex.cli.option_groups import grouped_options
from melodex.cli.options import CatalogueOption
from melodex.cli.output import FOR_PEOPLE, OutputOptions, print_records
from melodex.cli.query_options import NO_LICK, LickOptions, QueryForms
from melodex.cli.terminal import notice, print_lines, print_table
from melodex.model.results.recurring import KeptLick

NameArgument = Annotated[
    str, typer.Argument(metavar="NAME", help="The name to keep the lick under.")
]

KeptNameArgument = Annotated[
    str,
    typer.Argument(
        metavar="NAME", help="The name of the kept lick.", autocompletion=complete_kept_lick
    ),
]


@grouped_options
def keep(
    name: NameArgument,
    listed: Annotated[
        str | None,
        typer.Argument(
            metavar="LICK", help="A number or a name in the last list of `melodex licks`."
        ),
    ] = None,
    given: LickOptions = NO_LICK,
    catalogue: CatalogueOption = None,
) -> None:
    """Keep a lick under a name, for `--lick NAME` in other commands.

    Choose it from the last list of `melodex licks` by its number or name, or give it in any form
    that `melodex find` takes.

    Examples
    --------
    melodex keep "first fill" 3
    melodex keep "first fill" --from "Weir in Spate" --measures 7-8
    """
    from melodex.finder.keeping_licks import keep_lick
    from melodex.index.store import open_catalogue

    forms = QueryForms(given, listed=listed)
    with open_catalogue(catalogue_path(catalogue)) as opened:
        keep_lick(opened, name, forms.lick(opened))
    print_lines(f"Kept as '{name}'; find its songs: melodex find --lick '{name}'")


@grouped_options
def kept(catalogue: CatalogueOption = None, output: OutputOptions = FOR_PEOPLE) -> None:
    """List the kept licks by name, with their notes and where each comes from.

    Examples
    --------
    melodex kept
    """
    from melodex.finder.keeping_licks import kept_lick_list
    from melodex.index.store import open_catalogue

    with open_catalogue(catalogue_path(catalogue)) as opened:
        found = kept_lick_list(opened)
    print_records(KeptLick, found, lambda: _print_list(found), output)


def _print_list(found: list[KeptLick]) -> None:
    if not found:
        notice("No lick is kept yet; keep one: melodex keep NAME --abc 'DEDB, G,A,E,F,'")
        return
    columns = {"name": "name", "notes": "notes", "from": "came_from"}
    print_table(columns, [asdict(lick) for lick in found])


def rename(
    name: KeptNameArgument,
    new_name: Annotated[str, typer.Argument(metavar="NEW", help="What to call it from now on.")],
    catalogue: CatalogueOption = None,
) -> None:
    """Rename a kept lick; plans, handouts, audits and lists use the new name from then on.

    A student's file that uses the old name has to be changed by hand.

    Examples
    --------
    melodex rename "first fill" "walk down"
    """
    from melodex.finder.keeping_licks import rename_lick
    from melodex.index.store import open_catalogue

    with open_catalogue(catalogue_path(catalogue)) as opened:
        rename_lick(opened, name, new_name)
    print_lines(f"'{name}' is now called '{new_name}'.")


def forget(name: KeptNameArgument, catalogue: CatalogueOption = None) -> None:
    """Delete a kept lick; the songs that use it stay as they are.

    Examples
    --------
    melodex forget "first fill"
    """
    from melodex.finder.keeping_licks import forget_lick
    from melodex.index.store import open_catalogue

    with open_catalogue(catalogue_path(catalogue)) as opened:
        forget_lick(opened, name)
    print_lines(f"'{name}' is no longer kept.")

"""The command `correct`."""

from typing import Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.options import NO_VALUE, CatalogueOption, JsonOption, SongArgument
from melodex.cli.output import print_json
from melodex.cli.terminal import print_lines
from melodex.model.catalogue import SongEntry


def correct(
    song: SongArgument,
    title: Annotated[
        str | None, typer.Option("--title", metavar="TEXT", help="Its correct title.")
    ] = None,
    key: Annotated[
        str | None, typer.Option("--key", metavar="KEY", help="Its correct key: G, A dorian, ...")
    ] = None,
    metre: Annotated[
        str | None,
        typer.Option("--metre", metavar="N/M", help="Its correct metre throughout, 6/8 or none."),
    ] = None,
    pickup: Annotated[
        float | None,
        typer.Option(
            "--pickup",
            metavar="BEATS",
            help="Quarter notes before its first full measure: 0.5 for an eighth, 0 for none.",
        ),
    ] = None,
    undo: Annotated[
        bool, typer.Option("--undo", metavar=NO_VALUE, help="Undo all its corrections.")
    ] = False,
    catalogue: CatalogueOption = None,
    as_json: JsonOption = False,
) -> None:
    """Correct the title, key, metre or pickup of a song that was misread.

    Corrections survive when the file is read again; the file itself is not touched. If a metre or
    pickup does not fit the measures, bar lines are placed anew. Later corrections add to earlier
    ones; --undo removes all of them.

    Examples
    --------
    melodex correct "Weir in Spate" --key "A dorian"
    melodex correct "Weir in Spate" --metre 3/4 --pickup 1
    melodex correct "Weir in Spate" --undo
    """
    from melodex.finder.collection.correct_song import correct_song, undo_corrections
    from melodex.index.store import open_catalogue

    corrected = {"title": title, "key": key, "metre": metre, "pickup": pickup}
    if undo and any(value is not None for value in corrected.values()):
        raise typer.BadParameter("--undo takes no corrections: leave them out, or --undo.")
    with open_catalogue(catalogue_path(catalogue)) as opened:
        if undo:
            entry = undo_corrections(opened, song)
        else:
            entry = correct_song(opened, song, title=title, key=key, metre=metre, pickup=pickup)
    if as_json:
        print_json(_row(entry))
    else:
        now = f"{entry.key or 'key unknown'}, {entry.metre}, {entry.measures} measures"
        print_lines(f"{entry.title} ({entry.song}): {now}.")


def _row(entry: SongEntry) -> dict[str, object]:
    return {
        "song": entry.song,
        "title": entry.title,
        "key": entry.key,
        "metre": entry.metre,
        "measures": entry.measures,
    }

"""The command `shared`."""

from typing import TYPE_CHECKING, Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.option_groups import grouped_options
from melodex.cli.options import CatalogueOption, SongArgument
from melodex.cli.output import FOR_PEOPLE, OutputOptions, print_records
from melodex.cli.printing.first_search_text import notice_if_first
from melodex.cli.terminal import notice

if TYPE_CHECKING:
    from melodex.index.store import Catalogue
    from melodex.model.results.phrase import SharedMaterial


@grouped_options
def shared(
    song: SongArgument,
    other: SongArgument,
    show: Annotated[
        int,
        typer.Option("--show", min=0, metavar="N", help="Print the notes of the first N phrases."),
    ] = 3,
    catalogue: CatalogueOption = None,
    output: OutputOptions = FOR_PEOPLE,
) -> None:
    """List the phrases that two songs share in any key, the longest first.

    Name the same song twice to see its form: the phrases that it repeats. A score of 1 means the
    same notes in the same rhythm. "By chance" is how many phrases with such a score two songs of
    these lengths would be expected to share by coincidence; above 1, a phrase is marked "likely
    coincidence".

    Examples
    --------
    melodex shared "Weir in Spate" Unlatched
    melodex shared Unlatched Unlatched
    """
    from melodex.finder.shared_phrases import shared_phrases
    from melodex.index.store import open_catalogue
    from melodex.model.results.phrase import SharedPhrase

    with open_catalogue(catalogue_path(catalogue)) as opened:
        notice_if_first(opened, "shared")
        found = shared_phrases(opened, song, other)
        print_records(
            SharedPhrase,
            found.phrases,
            lambda: print_shared(opened, found, show=show),
            output,
        )


def print_shared(catalogue: "Catalogue", found: "SharedMaterial", *, show: int) -> None:
    """Print shared phrases for people: a table, the notes of the longest, how much, the caution."""
    from melodex.cli.printing.evidence_text import notice_if_only_coincidences
    from melodex.cli.printing.match_text import CAUTION
    from melodex.cli.printing.phrase_text import (
        print_form,
        print_phrase_table,
        print_phrases_of,
        print_shares,
    )
    from melodex.finder.collection.song_labels import song_labels

    if not found.phrases:
        notice("No phrase of five notes or more is shared.")
        return
    print_phrase_table(found)
    a, b = (catalogue.song(share.song) for share in (found.share_a, found.share_b))
    labels = song_labels(catalogue)
    print_phrases_of(a, b, found, labels, show=show)
    print_shares(found, labels)
    print_form(found)
    notice_if_only_coincidences(found.phrases)
    notice(CAUTION)

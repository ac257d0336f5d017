"""The command `next`."""

from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.option_groups import grouped_options
from melodex.cli.options import (
    CatalogueOption,
    StudentOption,
)
from melodex.cli.output import FOR_PEOPLE, OutputOptions, print_records
from melodex.cli.printing.empty_result import explain_if_empty
from melodex.cli.progress import comparing_songs
from melodex.cli.song_choice import EVERY_SONG_CHOSEN, SongChoice
from melodex.cli.terminal import print_lines, print_table

if TYPE_CHECKING:
    from melodex.index.store import Catalogue
    from melodex.model.results.known import NextSong


@grouped_options
def next_song(
    student: StudentOption,
    limit: Annotated[
        int, typer.Option("--limit", min=1, metavar="N", help="List at most N songs.")
    ] = 20,
    choice: SongChoice = EVERY_SONG_CHOSEN,
    catalogue: CatalogueOption = None,
    output: OutputOptions = FOR_PEOPLE,
) -> None:
    """List the songs that a student is closest to, and what each would make easier afterwards.

    New tunes come first, then versions of tunes that the student knows, marked as such. A song's
    next step is the shortest run of measures after which half of it is known, or all of it. A song
    opens the way to others that have passages like its new ones, those it helps most first.

    In a catalogue of thousands, the first run takes seconds for each song that the student knows
    and each one listed; the results are kept beside the catalogue.

    Examples
    --------
    melodex next --student ann.csv
    """
    from melodex.finder.teaching.next_songs import next_songs
    from melodex.index.store import open_catalogue
    from melodex.model.results.known import NextSong

    which = choice.filter()
    with open_catalogue(catalogue_path(catalogue)) as opened:
        with comparing_songs() as progress:
            found = next_songs(opened, student, limit=limit, which=which, progress=progress)
        explain_if_empty(found, opened, which, "The student knows all of these songs already.")
        print_records(
            NextSong,
            found,
            lambda: _print_list(opened, found, limit),
            output,
        )
        if not output.for_programs:
            _print_due(opened, student)


def _print_due(catalogue: "Catalogue", student: Path) -> None:
    from melodex.finder.collection.song_labels import song_labels
    from melodex.finder.teaching.taught_lessons import reviews_due
    from melodex.report.review_words import due_in_words

    due = reviews_due(catalogue, student, on=date.today())
    if due:
        print_lines(
            *(f"Due for review: {line}." for line in due_in_words(due, song_labels(catalogue)))
        )


def _print_list(catalogue: "Catalogue", found: "list[NextSong]", limit: int) -> None:
    from melodex.cli.printing.list_ends import notice_if_limited
    from melodex.finder.collection.song_labels import song_labels
    from melodex.report.lesson_words import percent_in_words, step_in_words, with_version

    if not found:
        return
    labels = song_labels(catalogue)
    rows = [
        asdict(near)
        | {
            "title": with_version(near, labels),
            "share": percent_in_words(near.share),
            "step": step_in_words(near.step),
            "opens": "; ".join(labels[song] for song in near.opens_the_way_to),
        }
        for near in found
    ]
    columns = {
        "known #": "share",
        "title": "title",
        "next step": "step",
        "opens the way to": "opens",
    }
    print_table(columns, rows)
    notice_if_limited(len(found), limit, "songs")

"""The command `known`."""

from dataclasses import asdict, fields
from datetime import date
from typing import TYPE_CHECKING

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.option_groups import grouped_options
from melodex.cli.options import CatalogueOption, SongArgument, StudentOption
from melodex.cli.output import FOR_PEOPLE, OutputOptions, print_csv, print_json
from melodex.cli.terminal import print_lines, print_table

if TYPE_CHECKING:
    from melodex.model.results.known import KnownMaterial


@grouped_options
def known(
    song: SongArgument,
    student: StudentOption,
    catalogue: CatalogueOption = None,
    output: OutputOptions = FOR_PEOPLE,
) -> None:
    """Show how much of SONG a student can already play, measure by measure, and from where.

    A measure is known if it was learned anywhere: in this song, in another version of the tune, as
    a passage of another song in any key, or as a lick. The share is a part of the song's time.

    The student's file lists songs, ids or titles, one a line. Or it is a CSV with a column `song`
    or `lick` (names); a column `up to measure` is for songs learned in part. With a column
    `student` it describes a class; what every student knows counts as known.

    Examples
    --------
    melodex known Unlatched --student ann.csv
    """
    from melodex.finder.collection.song_labels import song_labels
    from melodex.finder.teaching.known_material import known_material
    from melodex.finder.teaching.taught_lessons import reviews_due
    from melodex.index.store import open_catalogue
    from melodex.report.review_words import due_in_words

    with open_catalogue(catalogue_path(catalogue)) as opened:
        found = known_material(opened, song, student)
        labels = song_labels(opened)
        due = [
            each
            for each in reviews_due(opened, student, on=date.today())
            if each.song == found.song
        ]
    if output.as_json:
        print_json(asdict(found))
    else:
        _print_measures(found, labels, as_csv=output.as_csv)
        if not output.as_csv:
            print_lines(*(f"Due for review: {line}." for line in due_in_words(due, labels)))


def _print_measures(found: "KnownMaterial", labels: dict[str, str], *, as_csv: bool) -> None:
    from melodex.model.results.known import KnownMeasure
    from melodex.notation.measure_names import measures_listed
    from melodex.report.lesson_words import known_runs, share_in_words

    if as_csv:
        print_csv(
            [field.name for field in fields(KnownMeasure)],
            [asdict(measure) for measure in found.measures],
        )
        return
    rows = [
        {"measures": measures_listed(run.measures), "known": run.known, "from": run.known_from}
        for run in known_runs(found, labels)
    ]
    print_table({"measures #": "measures", "known": "known", "as in": "from"}, rows)
    print_lines("", *share_in_words(found))

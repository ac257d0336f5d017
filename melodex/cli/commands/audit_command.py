"""The command `audit`."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeAlias

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.option_groups import Prefixed, grouped_options
from melodex.cli.options import (
    CatalogueOption,
)
from melodex.cli.output import FOR_PEOPLE, OutputOptions, print_csv, print_json
from melodex.cli.printing.audit_rows import (
    OF_COMPARISON,
    OF_GROUPS,
    AuditTable,
    document_of,
    table_of,
)
from melodex.cli.printing.empty_result import explain_if_empty
from melodex.cli.progress import comparing_songs
from melodex.cli.song_choice import EVERY_SONG_CHOSEN, SongChoice
from melodex.cli.terminal import notice
from melodex.errors import QueryError
from melodex.model.catalogue import EVERY_SONG, SongFilter

if TYPE_CHECKING:
    from melodex.index.store import Catalogue
    from melodex.model.results.audit import Audit
    from melodex.model.results.lesson import LessonPlan

_AGAINST, _PICTURES = "Other songs to compare with", "Pictures"
Others: TypeAlias = Annotated[
    SongChoice, Prefixed("against", "Others: ", _AGAINST, without=("estimated",))
]


@grouped_options
def audit(
    by: Annotated[
        str | None,
        typer.Option(
            "--by",
            metavar="COLUMN",
            help="Compare groups: by level, tags, collection, key, metre or a described column.",
        ),
    ] = None,
    between: Annotated[
        tuple[str, str] | None,
        typer.Option(
            "--between", metavar="VALUE VALUE", help="The two groups to compare, of several."
        ),
    ] = None,
    limit: Annotated[
        int,
        typer.Option("--limit", min=1, metavar="N", help="Print at most N rows of each table."),
    ] = 10,
    part: Annotated[
        AuditTable | None,
        typer.Option(
            "--part",
            metavar="TABLE",
            help=f"Which table --csv prints, pairs if not given: {', '.join(AuditTable)}.",
        ),
    ] = None,
    others: Others = EVERY_SONG_CHOSEN,
    plots: Annotated[
        Path | None,
        typer.Option(
            "--plots",
            metavar="FOLDER",
            help="Draw how much songs share, and the licks of each, as SVG files in this folder.",
            rich_help_panel=_PICTURES,
        ),
    ] = None,
    plan: Annotated[
        Path | None,
        typer.Option(
            "--plan",
            metavar="PLAN",
            help="With --plots: draw the new material of each lesson of this plan as well.",
            rich_help_panel=_PICTURES,
        ),
    ] = None,
    choice: SongChoice = EVERY_SONG_CHOSEN,
    catalogue: CatalogueOption = None,
    output: OutputOptions = FOR_PEOPLE,
) -> None:
    """Show where a repertoire overlaps, repeats itself and leaves gaps.

    It lists versions of one tune; songs that share passages, and how much of each the other
    teaches; licks that are taught often, or only once; and songs that share nothing. Shares are
    parts of a song's playing time: at 25 %, learning one song teaches a quarter of the other.

    With two groups of songs (--against-..., or --by with two values) it shows what both have, what
    only one has, and how much of each group somebody who has learned the other can play.

    Examples
    --------
    melodex audit --by level
    melodex audit --by collection --between "Book A" "Book B"
    melodex audit --level 3-4 --against-level 1-2
    """
    from melodex.finder.collection.song_labels import song_labels
    from melodex.finder.teaching.repertoire_audit import audit as audit_songs
    from melodex.finder.written_files import check_picture_folder
    from melodex.index.store import open_catalogue

    which = choice.filter()
    by_estimate = choice.estimated and others.level is not None
    chosen = replace(others, estimated=by_estimate).filter()
    against = None if chosen == EVERY_SONG else chosen
    _refuse_what_does_not_fit(part, as_csv=output.as_csv, by=by, between=between, against=against)
    if plan is not None and plots is None:
        raise QueryError("--plan is for pictures.", "write --plots FOLDER as well.")
    check_picture_folder(plots)
    with open_catalogue(catalogue_path(catalogue)) as opened:
        judged = None if plan is None else _judged(opened, plan)
        with comparing_songs() as progress:
            found = audit_songs(
                opened, which, against=against, by=by, between=between, progress=progress
            )
        explain_if_empty(found.overview.songs, opened, which)
        if against is not None:
            explain_if_empty(opened.song_ids(against), opened, against)
        labels = song_labels(opened)
    if output.for_programs:
        _print_for_programs(found, part or AuditTable.PAIRS, as_json=output.as_json)
    elif found.overview.songs:
        _print_for_people(found, labels, limit)
    if plots is not None:
        _draw(found, judged, plots)


def _refuse_what_does_not_fit(
    part: AuditTable | None,
    *,
    as_csv: bool,
    by: str | None,
    between: tuple[str, str] | None,
    against: SongFilter | None,
) -> None:
    if part is not None and not as_csv:
        raise QueryError("--part chooses a table for --csv.", "write --csv as well, or no --part.")
    if part in OF_COMPARISON and by is None and against is None:
        raise QueryError(
            f"The table {part} compares two groups.", "name the other songs: --against-level 1-2."
        )
    if part in OF_GROUPS and by is None:
        raise QueryError(f"There is no table {part} without a column.", "name one: --by level.")
    if between is not None and by is None:
        raise QueryError("--between names two values of a column.", "name it: --by collection.")
    if between is not None and against is not None:
        raise QueryError(
            "--between and --against-... both name two groups.", "leave one of them out."
        )


def _print_for_programs(found: "Audit", part: AuditTable, *, as_json: bool) -> None:
    if as_json:
        print_json(document_of(found))
    else:
        print_csv(*table_of(found, part))


def _print_for_people(found: "Audit", labels: dict[str, str], limit: int) -> None:
    from melodex.cli.printing.audit_text import print_audit

    print_audit(found, labels, limit)


def _judged(catalogue: "Catalogue", plan: Path) -> "LessonPlan":
    from melodex.finder.teaching.plan_lessons import judge_lessons

    return judge_lessons(catalogue, plan)


def _draw(found: "Audit", judged: "LessonPlan | None", folder: Path) -> None:
    from melodex.report.audit_plots import draw_audit
    from melodex.report.lesson_plot import draw_lessons

    files = draw_audit(found, folder)
    if not files:
        notice("These songs share nothing: there is nothing to draw of them.")
    files += [] if judged is None else draw_lessons(judged.lessons, folder)
    notice(*(f"Drawn: {file}" for file in files))

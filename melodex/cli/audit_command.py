"""The command `audit`."""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.completion import complete_collection, complete_tag
from melodex.cli.empty_result import explain_if_empty
from melodex.cli.options import (
    CatalogueOption,
    CollectionOption,
    CsvOption,
    JsonOption,
    LevelOption,
    MetreOption,
    TagOption,
)
from melodex.cli.output import print_csv, print_json, refuse_two_forms
from melodex.cli.terminal import notice
from melodex.errors import QueryError
from melodex.model.catalogue import EVERY_SONG

if TYPE_CHECKING:
    from melodex.model.audit import Audit
    from melodex.model.lesson import LessonPlan

_AGAINST, _PICTURES = "How much of these songs do others teach?", "Pictures"


class Part(StrEnum):
    """A table of an audit."""

    PAIRS = "pairs"
    MATRIX = "matrix"
    NEAR_DUPLICATES = "near_duplicates"
    TAUGHT_OFTEN = "taught_often"
    TAUGHT_ONCE = "taught_once"
    ALONE = "alone"
    COVERAGE = "coverage"
    MISSING = "missing"
    GROUPS = "groups"


def audit(
    by: Annotated[
        str | None,
        typer.Option(
            "--by",
            metavar="COLUMN",
            help="Compare groups: by level, tags, collection, key, metre or a described column.",
        ),
    ] = None,
    limit: Annotated[
        int, typer.Option("--limit", min=1, help="How many rows a printed table has at most.")
    ] = 15,
    part: Annotated[
        Part | None, typer.Option("--part", help="The table that --csv prints; without it pairs.")
    ] = None,
    against_collection: Annotated[
        list[str] | None,
        typer.Option(
            "--against-collection",
            metavar="NAME",
            help="Others: songs of this collection; repeatable.",
            autocompletion=complete_collection,
            rich_help_panel=_AGAINST,
        ),
    ] = None,
    against_tag: Annotated[
        list[str] | None,
        typer.Option(
            "--against-tag",
            metavar="WORD",
            help="Others: songs with this tag; repeatable.",
            autocompletion=complete_tag,
            rich_help_panel=_AGAINST,
        ),
    ] = None,
    against_metre: Annotated[
        list[str] | None,
        typer.Option(
            "--against-metre",
            metavar="N/M",
            help="Others: songs in this metre; repeatable.",
            rich_help_panel=_AGAINST,
        ),
    ] = None,
    against_level: Annotated[
        str | None,
        typer.Option(
            "--against-level",
            metavar="N or A-B",
            help="Others: songs of this level, or from level A to B.",
            rich_help_panel=_AGAINST,
        ),
    ] = None,
    plots: Annotated[
        Path | None,
        typer.Option(
            "--plots",
            metavar="FOLDER",
            help="Draw who shares how much, and the licks by songs, as SVG files.",
            rich_help_panel=_PICTURES,
        ),
    ] = None,
    plan: Annotated[
        Path | None,
        typer.Option(
            "--plan",
            metavar="PLAN",
            help="Draw the new material of this plan's lessons as well.",
            rich_help_panel=_PICTURES,
        ),
    ] = None,
    collection: CollectionOption = None,
    tag: TagOption = None,
    metre: MetreOption = None,
    level: LevelOption = None,
    catalogue: CatalogueOption = None,
    as_json: JsonOption = False,
    as_csv: CsvOption = False,
) -> None:
    """Show where a repertoire overlaps, repeats itself and leaves gaps.

    Which songs share licks, and how many measures of them; which songs are alike as a whole; which
    licks are taught again and again, or only once; which songs share nothing. With --against-...
    it shows how much of these songs somebody can play who has learned the others.

    Examples
    --------
    melodex audit --by level
    melodex audit --level 3-4 --against-level 1-2
    """
    from melodex.finder.audit import audit as audit_songs
    from melodex.finder.filters import song_filter
    from melodex.finder.plan_lessons import judge_lessons
    from melodex.finder.song_labels import song_labels
    from melodex.finder.written_files import check_picture_folder
    from melodex.index.store import open_catalogue

    refuse_two_forms(as_json=as_json, as_csv=as_csv)
    which = song_filter(collections=collection, tags=tag, metres=metre, level=level)
    others = song_filter(
        collections=against_collection,
        tags=against_tag,
        metres=against_metre,
        level=against_level,
    )
    against = None if others == EVERY_SONG else others
    _refuse_a_table_not_asked_for(part, as_csv=as_csv, by=by, compared=against is not None)
    if plan is not None and plots is None:
        raise QueryError("--plan is for pictures.", "write --plots FOLDER as well.")
    check_picture_folder(plots)
    with open_catalogue(catalogue_path(catalogue)) as opened:
        judged = None if plan is None else judge_lessons(opened, plan)
        found = audit_songs(opened, which, against=against, by=by)
        explain_if_empty(found.overview.songs, opened, which)
        if against is not None:
            explain_if_empty(opened.song_ids(against), opened, against)
        labels = song_labels(opened)
    if as_json or as_csv:
        _print_for_programs(found, part or Part.PAIRS, as_json=as_json)
    elif found.overview.songs:
        _print_for_people(found, labels, limit)
    if plots is not None:
        _draw(found, judged, plots)


def _refuse_a_table_not_asked_for(
    part: Part | None, *, as_csv: bool, by: str | None, compared: bool
) -> None:
    if part is not None and not as_csv:
        raise QueryError("--part chooses a table for --csv.", "write --csv as well, or no --part.")
    if part in {Part.COVERAGE, Part.MISSING} and not compared:
        raise QueryError(
            f"There is no table {part} without other songs.", "name them: --against-level 1-2."
        )
    if part == Part.GROUPS and by is None:
        raise QueryError("There is no table groups without a column.", "name one: --by level.")


def _print_for_programs(found: "Audit", part: Part, *, as_json: bool) -> None:
    from melodex.cli.audit_text import document_of, table_of

    if as_json:
        print_json(document_of(found))
    else:
        print_csv(*table_of(found, part))


def _print_for_people(found: "Audit", labels: dict[str, str], limit: int) -> None:
    from melodex.cli.audit_text import print_tables

    print_tables(found, labels, limit)


def _draw(found: "Audit", judged: "LessonPlan | None", folder: Path) -> None:
    from melodex.report.audit_plots import draw_lessons, draw_overview

    files = draw_overview(found.overview, folder)
    if not files:
        notice("These songs have no lick that recurs: there is nothing to draw of them.")
    files += [] if judged is None else draw_lessons(judged.lessons, folder)
    notice(*(f"Drawn: {file}" for file in files))

"""The command `report`."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.option_groups import grouped_options
from melodex.cli.options import (
    NO_VALUE,
    CatalogueOption,
)
from melodex.cli.printing.empty_result import explain_if_empty
from melodex.cli.printing.tab_output import CountOption
from melodex.cli.progress import comparing_songs
from melodex.cli.query_options import NO_LICK, LickOptions, QueryForms
from melodex.cli.song_choice import EVERY_SONG_CHOSEN, SongChoice
from melodex.cli.terminal import notice
from melodex.errors import QueryError
from melodex.model.catalogue import EVERY_SONG

if TYPE_CHECKING:
    from melodex.index.store import Catalogue
    from melodex.model.catalogue import SongFilter

_OTHERS = "Or one of these instead of a lick"


@grouped_options
def report(
    write: Annotated[Path, typer.Option("--write", metavar="FILE.html", help="The file to write.")],
    plan: Annotated[
        Path | None,
        typer.Option(
            "--plan",
            metavar="PLAN",
            help="A lesson plan's file: a sheet for each lesson.",
            rich_help_panel=_OTHERS,
        ),
    ] = None,
    pair: Annotated[
        tuple[str, str] | None,
        typer.Option(
            "--pair",
            metavar="SONG SONG",
            help="Two songs: the phrases that they share, marked in both.",
            rich_help_panel=_OTHERS,
        ),
    ] = None,
    audit: Annotated[
        bool,
        typer.Option(
            "--audit",
            metavar=NO_VALUE,
            help="The songs that the filters choose: plots and tables of what they share.",
            rich_help_panel=_OTHERS,
        ),
    ] = False,
    by: Annotated[
        str | None,
        typer.Option(
            "--by",
            metavar="COLUMN",
            help="With --audit: compare the songs of two values of this column.",
            rich_help_panel=_OTHERS,
        ),
    ] = None,
    between: Annotated[
        tuple[str, str] | None,
        typer.Option(
            "--between",
            metavar="VALUE VALUE",
            help="With --by: the two values, if the column has more.",
            rich_help_panel=_OTHERS,
        ),
    ] = None,
    given: LickOptions = NO_LICK,
    limit: Annotated[
        int, typer.Option("--limit", min=1, metavar="N", help="With a lick: list at most N songs.")
    ] = 20,
    with_coincidences: Annotated[
        bool,
        typer.Option(
            "--with-coincidences",
            metavar=NO_VALUE,
            help="Include matches that are likely coincidence.",
        ),
    ] = False,
    count: CountOption = False,
    choice: SongChoice = EVERY_SONG_CHOSEN,
    catalogue: CatalogueOption = None,
) -> None:
    """Write a report: one HTML file with engraved music and sound, to look at or to print.

    The file needs no other, so you can send it to anybody. Matches that are likely coincidence are
    left out and counted.

    Examples
    --------
    melodex report --plan plan.toml --write handouts.html
    melodex report --from "Weir in Spate" --measures 7-8 --write lick.html
    melodex report --pair "Weir in Spate" Unlatched --write pair.html
    melodex report --audit --by collection --write books.html
    """
    from melodex.finder.reports.report_file import write_report
    from melodex.finder.written_files import REPORT_FILE
    from melodex.index.store import open_catalogue

    which = choice.filter()
    _refuse_several(plan=plan, pair=pair, audit=audit, lick=given != NO_LICK)
    _refuse_filters_without_use(which, plan=plan, pair=pair)
    _refuse_groups_without_an_audit(by, between, audit=audit)
    _refuse_coincidences_of_a_plan(plan, with_coincidences=with_coincidences)
    _refuse_count_of_an_audit(audit=audit, count=count)
    REPORT_FILE.check(write)
    with open_catalogue(catalogue_path(catalogue)) as opened:
        if plan is not None:
            text = _plan(opened, plan, count=count)
        elif pair is not None:
            text = _pair(opened, pair, with_coincidences=with_coincidences, count=count)
        elif audit:
            text = _audit(opened, which, by, between, with_coincidences=with_coincidences)
        else:
            forms = QueryForms(given)
            text = _lick(
                opened, forms, limit, which, with_coincidences=with_coincidences, count=count
            )
        explain_if_empty(opened.song_ids(which), opened, which)
    write_report(text, write)
    notice(f"Written: {write}")


def _refuse_several(
    *, plan: Path | None, pair: tuple[str, str] | None, audit: bool, lick: bool
) -> None:
    given = [plan is not None, pair is not None, audit, lick]
    if sum(given) != 1:
        raise QueryError(
            "A report is about one thing."
            if any(given)
            else "The subject of the report is missing.",
            "give one of --plan, --pair, --audit or a lick, such as --from SONG --measures 5-6.",
        )


def _refuse_filters_without_use(
    which: "SongFilter", *, plan: Path | None, pair: tuple[str, str] | None
) -> None:
    if which != EVERY_SONG and (plan is not None or pair is not None):
        raise QueryError(
            "Filters choose the songs of an audit or of a lick's report only.",
            "leave --collection, --tag, --metre and --level out.",
        )


def _refuse_groups_without_an_audit(
    by: str | None, between: tuple[str, str] | None, *, audit: bool
) -> None:
    if by is not None and not audit:
        raise QueryError("--by chooses the groups of an audit.", "write --audit as well.")
    if between is not None and by is None:
        raise QueryError("--between names two values of a column.", "name it: --by collection.")


def _refuse_coincidences_of_a_plan(plan: Path | None, *, with_coincidences: bool) -> None:
    if with_coincidences and plan is not None:
        raise QueryError(
            "A plan has no matches that could be coincidence.", "leave --with-coincidences out."
        )


def _refuse_count_of_an_audit(*, audit: bool, count: bool) -> None:
    if audit and count:
        raise QueryError("An audit has no tab whose beats could be counted.", "leave --count out.")


def _plan(catalogue: "Catalogue", plan: Path, *, count: bool) -> str:
    from melodex.finder.reports.report_plan import report_of_plan
    from melodex.finder.teaching.plan_lessons import judge_lessons

    with comparing_songs() as progress:
        judged = judge_lessons(catalogue, plan, progress=progress)
    return report_of_plan(catalogue, judged, count=count)


def _audit(
    catalogue: "Catalogue",
    which: "SongFilter",
    by: str | None,
    between: tuple[str, str] | None,
    *,
    with_coincidences: bool,
) -> str:
    from melodex.finder.reports.report_audit import report_of_audit
    from melodex.finder.teaching.repertoire_audit import audit

    with comparing_songs() as progress:
        found = audit(catalogue, which, by=by, between=between, progress=progress)
    return report_of_audit(found, with_coincidences=with_coincidences)


def _pair(
    catalogue: "Catalogue", pair: tuple[str, str], *, with_coincidences: bool, count: bool
) -> str:
    from melodex.finder.reports.report_pair import report_pair

    return report_pair(catalogue, *pair, with_coincidences=with_coincidences, count=count)


def _lick(
    catalogue: "Catalogue",
    forms: QueryForms,
    limit: int,
    which: "SongFilter",
    *,
    with_coincidences: bool,
    count: bool,
) -> str:
    from melodex.finder.reports.report_lick import report_lick

    return report_lick(
        catalogue,
        forms.lick(catalogue),
        limit=limit,
        which=which,
        with_coincidences=with_coincidences,
        count=count,
    )

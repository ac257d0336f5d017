"""Pages as HTML: templates filled with records, every text escaped."""

import re
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from melodex import report
from melodex.engraving.sound import PLAYER_SCRIPTS
from melodex.errors import MelodexError, SongNotFoundError, WorkNotFoundError
from melodex.finder.collection.chosen_songs import filter_in_words
from melodex.model.catalogue import ListedSong
from melodex.model.results.coincidence import are_only_coincidences
from melodex.model.results.lesson import Lesson
from melodex.model.weekly_dates import date_in_words
from melodex.notation.measure_names import half_steps_in_words, measures_in_words, measures_listed
from melodex.report.estimate_words import level_in_words, uses_in_words
from melodex.report.evidence_words import (
    NO_LEGAL_OPINION,
    ONLY_COINCIDENCES,
    chance_in_words,
    coincidence_in_words,
    score_in_digits,
)
from melodex.report.lesson_words import (
    TIME_IN_WORDS,
    known_runs,
    percent_in_words,
    quarter_notes,
    reason_in_words,
    share_in_words,
    spans_in_words,
    stage_in_words,
    step_in_words,
)
from melodex.report.typesetting import range_in_print, typeset
from melodex.web.addresses import address_of
from melodex.web.music import lick_alone
from melodex.web.offered_songs import with_songs
from melodex.web.refusals import status_of
from melodex.web.site import site_of
from melodex.web.static_files import versioned

FOLDER = Path(__file__).parent
REPORT_FOLDER = Path(report.__path__[0])
_NAVIGATION = (
    ("/", "Songs"),
    ("/find", "Find a lick"),
    ("/licks", "Licks"),
    ("/place", "Place a lick"),
    ("/compare", "Compare"),
    ("/lessons", "Lessons"),
    ("/student", "Student"),
    ("/audit", "Audit"),
    ("/saved", "Saved"),
)

# What errors say of the command line, and what a page has instead.
_PAGE_WORDS = (
    (re.compile(r"--octaves (-?[0-9]+)"), r"set “Octaves up or down” to \1"),
    (re.compile(r": melodex tab SONG --measures A-B"), ", under “Measures” of its tab"),
    (re.compile(r" \(melodex songs --metre [^)]*\)"), ""),
)


def in_page_words(next_step: str) -> str:
    """Return what an error says to do next, with a page's fields for a command's options.

    Examples
    --------
    >>> in_page_words("move it by whole octaves: --octaves -1.")
    'move it by whole octaves: set “Octaves up or down” to -1.'
    """
    for option, words in _PAGE_WORDS:
        next_step = option.sub(words, next_step)
    return next_step


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader([FOLDER / "templates", REPORT_FOLDER / "templates"]),
        autoescape=True,
        undefined=StrictUndefined,  # a misspelt name is a mistake of ours, not an empty place
        trim_blocks=True,
        lstrip_blocks=True,
    )
    constants: dict[str, Any] = environment.globals
    constants.update(
        navigation=_NAVIGATION,
        caution=NO_LEGAL_OPINION,
        only_coincidences=ONLY_COINCIDENCES,
        player_scripts=PLAYER_SCRIPTS,
        time_in_words=TIME_IN_WORDS,
    )
    tests: dict[str, Any] = environment.tests
    tests.update(only_coincidences=are_only_coincidences)
    filters: dict[str, Any] = environment.filters
    filters.update(
        address=address_of,
        versioned=versioned,
        by_chance=chance_in_words,
        coincidence=coincidence_in_words,
        half_steps=half_steps_in_words,
        in_measures=measures_in_words,
        in_page_words=in_page_words,
        filter=filter_in_words,
        known_runs=known_runs,
        lick_alone=lick_alone,
        measures=measures_in_print,
        in_print=range_in_print,
        level=level_of_record,
        percent=percent_in_words,
        quarter_notes=quarter_notes,
        date=date_in_words,
        reason=reason_in_words,
        shares=share_in_words,
        spans=spans_in_words,
        stage=stage_in_words,
        step=step_in_words,
        uses=uses_in_words,
        two_digits=score_in_digits,
    )
    return environment


def measures_in_print(measures: Sequence[int]) -> str:
    """Return a list of measures in the order played, with en dashes."""
    return range_in_print(measures_listed(measures))


def level_of_record(entry: ListedSong | Lesson) -> str:
    """Return the level of a song or lesson in words, marked where it is estimated."""
    return level_in_words(entry.level, entry.suggested_level)


def page(
    request: Request, template: str, values: Mapping[str, object], *, status: int = 200
) -> HTMLResponse:
    """Fill a template in."""
    site, shown = site_of(request), dict(values)
    for name in ("problem", "error"):
        shown[name] = with_songs(request, shown.get(name), shown)
    common = {
        "here": request.url.path,
        "token": site.token,
        "running": site.jobs.running(),
        "may_change": site.may_change,
    }
    text = _environment().get_template(template).render(common | shown)
    return HTMLResponse(typeset(text), status, headers={"Cache-Control": "no-cache"})


def as_file(text: str, name: str, *, media_type: str = "text/html") -> Response:
    """Return a file to keep, such as a report, which needs neither this site nor its policy."""
    disposition = f'attachment; filename="{name}"'
    return Response(text, media_type=media_type, headers={"Content-Disposition": disposition})


def error_page(request: Request, error: MelodexError, **values: object) -> HTMLResponse:
    """Show an error: its sentence, and the next step."""
    shown = {"error": error, "way_on": _way_on(request, error), **values}
    return page(request, "error.html", shown, status=status_of(error))


def _way_on(request: Request, error: MelodexError) -> tuple[str, str] | None:
    """Return where an error leads: an address, and what is there in words; None for nowhere."""
    if isinstance(error, WorkNotFoundError):
        return "/saved", "See what is saved"
    path = request.url.path
    if isinstance(error, SongNotFoundError):
        song = request.path_params.get("song", "")
        return address_of("/", words=song.replace("-", " ")), "Look for it among the songs"
    if request.method == "POST":
        return path.rpartition("/")[0] or path, "Back to the page of this form"
    return None

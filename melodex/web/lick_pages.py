"""The pages of licks: finding one, those that recur or are kept, and what two songs share."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from melodex.errors import MelodexError, MelodyError, QueryError
from melodex.finder.find_lick import find_lick
from melodex.finder.kept_licks import forget_lick, keep_lick, kept_lick_list
from melodex.finder.report_lick import report_lick
from melodex.finder.report_pair import report_pair
from melodex.finder.shared_phrases import shared_phrases
from melodex.finder.tab_of_song import tab_of_song
from melodex.model.key import SHARPS_OF_MODE
from melodex.model.lick import Lick
from melodex.model.match import Match
from melodex.model.phrase import OtherPlaces, SharedMaterial, SharedPhrase
from melodex.model.song import Song
from melodex.model.tablature import Tab
from melodex.model.tuning import NAMED_TUNINGS, OPEN_G
from melodex.report.aligned_text import aligned_lines
from melodex.report.phrase_marks import phrase_letter
from melodex.report.song_of_lick import song_of_lick
from melodex.web.forms import Fields, form_of_lick, lick_asked, query_of, songs_meant
from melodex.web.fretboard import fretboard_of
from melodex.web.job_pages import SEE_OTHER, see
from melodex.web.music import (
    HALF,
    Pair,
    Passage,
    answered_lick,
    marked_songs,
    side_by_side,
    width_for,
)
from melodex.web.pages import as_file, page
from melodex.web.refusals import status_of
from melodex.web.site import site_of
from melodex.web.song_pages import LICKS, choices_among
from melodex.web.work import list_licks

if TYPE_CHECKING:
    from melodex.index.store import Catalogue

MATCHES = 20
MOST_LICKS = 200
SHOWN = 5  # of these, note by note
_LICK_FIELDS = frozenset({"form", "text", "mode", "tuning", "song", "measure"})
FEW_NOTES = 6  # fewer are weak evidence, as `find` says


@dataclass(frozen=True, slots=True)
class Answer:
    """A match, its notes in letters, and the lick and its passage as music."""

    match: Match
    lines: str
    music: Pair


@dataclass(frozen=True, slots=True)
class ShownPhrase:
    """A phrase that two songs share, in letters and as music."""

    letter: str
    phrase: SharedPhrase
    other_places: OtherPlaces
    lines: str
    music: Pair


def find(request: Request) -> Response:
    """Ask for a lick, and show the songs that answer it."""
    fields = query_of(request)
    problem: MelodexError | None = None
    lick: Lick | None = None
    matches: list[Match] = []
    answers: list[Answer] = []
    with site_of(request).searching() as catalogue:
        try:
            lick = lick_asked(catalogue, fields)
            if lick is not None:
                matches = find_lick(catalogue, lick, limit=MATCHES, which=songs_meant(fields))
                answers = _answers(request, catalogue, lick, matches[:SHOWN])
        except MelodexError as error:
            problem = error
        choices = choices_among(catalogue.entries())
        kept = kept_lick_list(catalogue)
    values = _form_values(request, fields) | {
        "choices": choices,
        "kept": kept,
        "lick": lick,
        "weak": lick is not None and len(lick.melody) < FEW_NOTES,
        "matches": matches,
        "answers": answers,
        "problem": problem,
    }
    return page(request, "find.html", values, status=status_of(problem) if problem else 200)


def save_answers(request: Request) -> Response:
    """Give the places of a lick as a report to keep."""
    fields = query_of(request)
    with site_of(request).searching() as catalogue:
        lick = lick_asked(catalogue, fields)
        if lick is None:
            raise _no_lick()
        report = report_lick(catalogue, lick, limit=SHOWN, which=songs_meant(fields))
    return as_file(report, "lick.html")


def _no_lick() -> QueryError:
    return QueryError("No lick is given.", "write one, or choose one from a list.")


def _answers(
    request: Request, catalogue: "Catalogue", lick: Lick, matches: Sequence[Match]
) -> list[Answer]:
    """Set the lick beside each of the songs that answer best."""
    lick_song, width = song_of_lick(lick), width_for(request, HALF)
    answers: list[Answer] = []
    for number, match in enumerate(matches, start=1):
        song, tab = catalogue.song(match.song), _tab_of(catalogue, match.song)
        pair = answered_lick(lick_song, song, match, number=number, tab=tab, width=width)
        lines = aligned_lines(lick, song, match.alignment, transposition=match.transposition)
        answers.append(Answer(match, "\n".join(lines), pair))
    return answers


def _tab_of(catalogue: "Catalogue", song: str) -> Tab | None:
    try:
        return tab_of_song(catalogue, song)
    except MelodyError:  # it does not lie on the neck; its notes are shown all the same
        return None


def _form_values(request: Request, fields: Fields) -> dict[str, object]:
    """Fill the form in as it was sent."""
    return {
        "form": form_of_lick(fields),
        "text": fields.text("text"),
        "mode": fields.line("mode") or "major",
        "modes": list(SHARPS_OF_MODE),
        "tuning": fields.line("tuning") or OPEN_G.name,
        "tunings": [(each.name, str(each)) for each in NAMED_TUNINGS],
        "asked": {name: fields.line(name) for name in ("collection", "metre", "tag")},
        "level": fields.line("level"),
        "board": fretboard_of(OPEN_G),
        "song": fields.line("song"),
        "query": request.url.query,
        "kept_fields": [
            item for item in request.query_params.multi_items() if item[0] in _LICK_FIELDS
        ],
    }


def licks(request: Request) -> Response:
    """Show the licks that are kept, the list made last, and the form for a new one."""
    site = site_of(request)
    with site.catalogue() as catalogue:
        kept = kept_lick_list(catalogue)
        entries = catalogue.entries()
    values = {
        "kept": kept,
        "latest": site.jobs.latest(LICKS),
        "choices": choices_among(entries),
        "total": len(entries),
    }
    return page(request, "licks.html", values)


def begin_licks(request: Request, fields: Fields) -> Response:
    """Begin to look for licks that recur."""
    chord = fields.line("chord") or None
    job = site_of(request).jobs.start(
        list_licks,
        LICKS,
        "Looking for licks that recur" + (f" over {chord}" if chord else ""),
        {
            "which": songs_meant(fields),
            "limit": fields.whole("limit", lowest=1, highest=MOST_LICKS) or MATCHES,
            "chord": chord,
        },
    )
    return see(job)


def keep(request: Request, fields: Fields) -> Response:
    """Keep a lick under a name: one that is written in a form, or one of the last list."""
    with site_of(request).catalogue() as catalogue:
        lick = lick_asked(catalogue, fields)
        if lick is None:
            raise _no_lick()
        keep_lick(catalogue, fields.line("name"), lick)
    return RedirectResponse("/licks", SEE_OTHER)


def forget(request: Request, fields: Fields) -> Response:
    """Keep a lick no longer."""
    with site_of(request).catalogue() as catalogue:
        forget_lick(catalogue, fields.line("name"))
    return RedirectResponse("/licks", SEE_OTHER)


def compare(request: Request) -> Response:
    """Show what two songs share, phrase by phrase."""
    fields = query_of(request)
    names = fields.line("a"), fields.line("b")
    if not all(names):
        return page(request, "compare.html", {"a": names[0], "b": names[1], "shared": None})
    with site_of(request).searching() as catalogue:
        ids = [catalogue.resolve(name) for name in names]
        a, b = (catalogue.song(song) for song in ids)
        shared = shared_phrases(catalogue, *ids)
    width = width_for(request, HALF)
    values = {
        "a": ids[0],
        "b": ids[1],
        "shared": shared,
        "songs": marked_songs(a, b, shared, width=width),
        "phrases": [
            _shown_phrase(a, b, shared, number, width) for number in range(len(shared.phrases))
        ],
    }
    return page(request, "compare.html", values)


def save_comparison(request: Request) -> Response:
    """Give what two songs share as a report to keep."""
    fields = query_of(request)
    with site_of(request).searching() as catalogue:
        report = report_pair(catalogue, fields.line("a"), fields.line("b"))
    return as_file(report, "two-songs.html")


def _shown_phrase(a: Song, b: Song, shared: SharedMaterial, number: int, width: int) -> ShownPhrase:
    phrase, alignment = shared.phrases[number], shared.alignments[number]
    in_a = phrase.first_measure_a, phrase.last_measure_a
    in_b = phrase.first_measure_b, phrase.last_measure_b
    letter = phrase_letter(number)
    return ShownPhrase(
        letter,
        phrase,
        shared.other_places[number],
        lines="\n".join(aligned_lines(a, b, alignment, transposition=phrase.transposition)),
        music=side_by_side(
            (Passage(a, f"first-{number}", in_a), Passage(b, f"second-{number}", in_b)),
            alignment,
            transposition=phrase.transposition,
            letter=letter,
            width=width,
        ),
    )

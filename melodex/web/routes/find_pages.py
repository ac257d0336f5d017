"""The page that asks for a lick and shows the songs that answer it, note by note."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from starlette.requests import Request
from starlette.responses import Response

from melodex.errors import MelodexError
from melodex.finder.collection.chosen_songs import why_none
from melodex.finder.find_lick import find_lick
from melodex.finder.find_shape import find_shape
from melodex.finder.given_lick import LickForm
from melodex.finder.keeping_licks import kept_lick_list
from melodex.finder.reports.report_lick import report_lick
from melodex.finder.shown_song import shown_song
from melodex.model.key import SHARPS_OF_MODE
from melodex.model.lick import Lick
from melodex.model.results.match import Match, ShapeMatch
from melodex.model.tuning import NAMED_TUNINGS, OPEN_G
from melodex.notation.note_names import note_names
from melodex.report.aligned_text import aligned_lines
from melodex.report.song_of_lick import song_of_lick
from melodex.report.weak_evidence import weak_lick_in_words, weak_shape_in_words
from melodex.web.form_fields import Fields, lick_asked, query_of, songs_meant
from melodex.web.music import Pair, answered_lick
from melodex.web.neck import fretboard_of
from melodex.web.pages import as_file, page
from melodex.web.refusals import status_of
from melodex.web.routes.song_pages import choices_among
from melodex.web.site import site_of

if TYPE_CHECKING:
    from melodex.index.store import Catalogue

MATCHES = 20
SHOWN = 5  # of these, note by note
SHAPE = "shape"  # the form of a search by how a lick moves, which is no lick
_LICK_FIELDS = frozenset({"form", "text", "mode", "tuning", "song", "measure"})


@dataclass(frozen=True, slots=True)
class Answer:
    """A match, its notes in letters, and the lick and its passage as music."""

    match: Match
    lines: str
    music: Pair
    remarks: tuple[str, ...]  # on the song's tab


@dataclass(frozen=True, slots=True)
class Moving:
    """The songs that follow a shape, each with the names of the notes that do."""

    text: str
    weak_evidence: str  # a sentence, where the shape is too short to prove much
    matches: Sequence[tuple[ShapeMatch, str]]
    searched: int  # songs
    why_none: str  # a sentence, where nothing matches


@dataclass(frozen=True, slots=True)
class Found:
    """A lick, the songs that answer it, and the best of them note by note."""

    lick: Lick
    weak_evidence: str  # a sentence, where the lick is too short to prove much
    matches: Sequence[Match]
    answers: Sequence[Answer]
    searched: int  # songs
    why_none: str  # a sentence, where nothing matches


def find(request: Request) -> Response:
    """Ask for a lick, and show the songs that answer it."""
    fields = query_of(request)
    found: Found | None = None
    moving: Moving | None = None
    problem: MelodexError | None = None
    try:
        if fields.line("form") == SHAPE:
            moving = _moving(request, fields)
        else:
            found = _found(request, fields)
    except MelodexError as error:  # told above the form, so that it can be mended there
        problem = error
    with site_of(request).catalogue() as catalogue:
        choices = choices_among(catalogue)
        kept = kept_lick_list(catalogue)
    values = _form_values(request, fields) | {
        "choices": choices,
        "kept": kept,
        "found": found,
        "moving": moving,
        "problem": problem,
        "most": MATCHES,
    }
    return page(request, "find.html", values, status=status_of(problem) if problem else 200)


def save_answers(request: Request) -> Response:
    """Return the matches of a lick as a report to keep."""
    fields = query_of(request)
    with site_of(request).searching() as catalogue:
        lick = lick_asked(catalogue, fields)
        report = report_lick(
            catalogue,
            lick,
            limit=SHOWN,
            which=songs_meant(fields),
            with_coincidences=bool(fields.line("coincidences")),
        )
    return as_file(report, "lick.html")


def _found(request: Request, fields: Fields) -> Found | None:
    """Look for the lick that is asked for; None where none is yet."""
    if not _LICK_FIELDS.intersection(request.query_params) - {"form", "mode", "tuning"}:
        return None
    with site_of(request).searching() as catalogue:
        lick = lick_asked(catalogue, fields)
        which = songs_meant(fields)
        matches = find_lick(catalogue, lick, limit=MATCHES, which=which)
        answers = _answers(catalogue, lick, matches[:SHOWN])
        why = why_none(catalogue, which) or "No song is long enough for this lick."
        searched = len(catalogue.song_ids(which))
    weak_evidence = weak_lick_in_words(len(lick.melody))
    return Found(lick, weak_evidence, matches, answers, searched, why)


def _moving(request: Request, fields: Fields) -> Moving | None:
    """Find the songs that follow the shape that was sent; None where none was."""
    text = fields.line("text")
    if not text:
        return None
    with site_of(request).searching() as catalogue:
        which = songs_meant(fields)
        matches = find_shape(catalogue, text, limit=MATCHES, which=which)
        named = [
            (match, note_names(catalogue.song(match.song), (note for _, note in match.alignment)))
            for match in matches
        ]
        why = why_none(catalogue, which) or "No song is long enough for this shape."
        searched = len(catalogue.song_ids(which))
    weak_evidence = weak_shape_in_words(len(matches[0].alignment) - 1) if matches else ""
    return Moving(text, weak_evidence, named, searched, why)


def _answers(catalogue: "Catalogue", lick: Lick, matches: Sequence[Match]) -> list[Answer]:
    """Set the lick beside each of the songs that answer best."""
    lick_song = song_of_lick(lick)
    answers: list[Answer] = []
    for number, match in enumerate(matches, start=1):
        shown = shown_song(catalogue, match.song, (min(match.measures), max(match.measures)))
        song, tab = shown.song, shown.tab
        pair = answered_lick(lick_song, song, match, number=number, tab=tab)
        lines = aligned_lines(lick, song, match.alignment, transposition=match.transposition)
        answers.append(Answer(match, "\n".join(lines), pair, shown.remarks))
    return answers


def _form_values(request: Request, fields: Fields) -> dict[str, object]:
    """Fill the form in as it was sent."""
    sent = fields.as_sent("form", "text", "mode", "tuning", "level", "song")
    return {
        "form": sent["form"] or LickForm.NOTES,
        "text": sent["text"],
        "mode": sent["mode"] or "major",
        "modes": list(SHARPS_OF_MODE),
        "tuning": sent["tuning"] or OPEN_G.name,
        "tunings": [(each.name, str(each)) for each in NAMED_TUNINGS],
        "asked": fields.as_sent("collection", "metre", "tag", "uses", "estimated"),
        "level": sent["level"],
        "board": fretboard_of(OPEN_G),
        "song": sent["song"],
        "query": request.url.query,
        "lick_fields": [
            item for item in request.query_params.multi_items() if item[0] in _LICK_FIELDS
        ],
    }

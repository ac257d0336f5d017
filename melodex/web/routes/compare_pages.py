"""The page that shows what two songs share, phrase by phrase."""

from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import Response

from melodex.errors import MelodexError
from melodex.finder.reports.report_pair import report_pair
from melodex.finder.shared_phrases import shared_phrases
from melodex.model.results.phrase import OtherPlaces, SharedMaterial, SharedPhrase
from melodex.model.song import Song
from melodex.report.aligned_text import aligned_lines
from melodex.report.phrase_marks import phrase_letter
from melodex.web.form_fields import Fields, query_of
from melodex.web.music import Pair, Passage, marked_songs, side_by_side
from melodex.web.pages import as_file, page
from melodex.web.refusals import status_of
from melodex.web.site import site_of


@dataclass(frozen=True, slots=True)
class ShownPhrase:
    """A phrase that two songs share, in letters and as music."""

    letter: str
    phrase: SharedPhrase
    other_places: OtherPlaces
    lines: str
    music: Pair


def compare(request: Request) -> Response:
    """Show what two songs share."""
    fields = query_of(request)
    values: dict[str, object] = {**fields.as_sent("a", "b"), "shared": None, "problem": None}
    status = 200
    try:
        if fields.line("a") and fields.line("b"):
            values |= _compared(request, fields)
    except MelodexError as error:  # shown above the form, so that it can be corrected there
        values["problem"], status = error, status_of(error)
    return page(request, "compare.html", values, status=status)


def _compared(request: Request, fields: Fields) -> dict[str, object]:
    with site_of(request).searching() as catalogue:
        ids = [catalogue.resolve(fields.line(name)) for name in ("a", "b")]
        a, b = (catalogue.song(song) for song in ids)
        shared = shared_phrases(catalogue, *ids)
    return {
        "a": ids[0],
        "b": ids[1],
        "shared": shared,
        "songs": marked_songs(a, b, shared),
        "phrases": [_shown(a, b, shared, number) for number in range(len(shared.phrases))],
    }


def save_comparison(request: Request) -> Response:
    """Return what two songs share as a report to keep."""
    fields = query_of(request)
    with site_of(request).searching() as catalogue:
        report = report_pair(
            catalogue,
            fields.line("a"),
            fields.line("b"),
            with_coincidences=bool(fields.line("coincidences")),
        )
    return as_file(report, "two-songs.html")


def _shown(a: Song, b: Song, shared: SharedMaterial, number: int) -> ShownPhrase:
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
        ),
    )

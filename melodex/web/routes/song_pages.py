"""The pages of songs: the list, one song, and the songs nearest to it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from melodex.errors import MelodexError
from melodex.finder.collection.estimates_of_songs import techniques_in
from melodex.finder.collection.list_songs import SORTABLE, sorted_songs, with_estimates
from melodex.finder.nearest_songs import nearest_songs
from melodex.finder.shared_phrases import shared_phrases
from melodex.finder.shown_song import shown_song
from melodex.index.song_filters import described_columns, known_values
from melodex.index.song_names import suggested_names
from melodex.index.store import Catalogue
from melodex.index.work_table import saved_works
from melodex.model.catalogue import ListedSong, SongEntry
from melodex.model.results.recurring import LickOccurrence, RecurringLick
from melodex.model.saved_work import WorkKind
from melodex.tab_files.tab_text import tab_text
from melodex.web.addresses import address_of
from melodex.web.form_fields import LIST_FIELDS, NOTHING_SENT, Fields, query_of, songs_meant
from melodex.web.music import Passage, played
from melodex.web.pages import page
from melodex.web.refusals import status_of
from melodex.web.routes.edit_pages import edit_values
from melodex.web.site import Site, site_of
from melodex.web.work import ListedLick

LONG_SONG = 300  # notes, one song in 600; its form takes longer than the rest of its page
SONGS_A_PAGE = 50
_BY_TITLE = "title"
_TICKED = ("set_name", "new_level", "new_tags", "all")  # what is to be done with ticked songs
MOST_VALUES = 30  # of a column to choose by: a longer list is no choice, it is remarks
NEAREST_SHOWN = 10
LICKS = "licks"  # the kind of job that lists them


@dataclass(frozen=True, slots=True)
class ListPage:
    """One page of a long list."""

    songs: Sequence[ListedSong]
    number: int  # from 1
    pages: int
    found: int  # songs on all pages


def songs(
    request: Request, form: Fields = NOTHING_SENT, refused: MelodexError | None = None
) -> Response:
    """List the songs: searched, filtered, sorted, a page at a time.

    Ticks stay as they were sent where what was to be done with them has been refused.
    """
    fields = form if refused else query_of(request)
    sent = fields.as_sent(*LIST_FIELDS)
    number, problem = 1, refused
    with site_of(request).catalogue() as catalogue:
        try:
            found = sorted_songs(
                catalogue,
                songs_meant(fields),
                words=fields.line("words"),
                sort=sent["sort"] or _BY_TITLE,
            )
            number = fields.whole("page", lowest=1) or 1
        except MelodexError as error:  # shown above the form, so that it can be corrected
            found, problem = [], error
        listed = _page_of(catalogue, found, number)
        total, choices = len(catalogue.song_ids()), choices_among(catalogue)
    values = {
        "problem": problem,
        "list": listed,
        "shows_uses": any(entry.uses for entry in listed.songs),
        "filters": sent | {"sort": sent["sort"] or _BY_TITLE, "page": ""},
        "sortable": [fact for fact in SORTABLE if fact != "song"],  # ids are not for people
        "choices": choices,
        "ticked": form.all_as_sent("song"),
        **form.as_sent(*_TICKED),
        "total": total,
    }
    return page(request, "songs.html", values, status=status_of(problem) if problem else 200)


def choices_among(catalogue: Catalogue) -> dict[str, Any]:
    """List what songs can be filtered by, as far as any song has it; columns with their values."""
    with catalogue.reading() as connection:
        columns = described_columns(connection)
        facts = {
            fact: sorted(str(value) for value in known_values(connection, fact) if value)
            for fact in ("collection", "metre", "tag")
        }
    return {
        **facts,
        "uses": techniques_in(catalogue),
        "set": [work.name for work in saved_works(catalogue) if work.kind is WorkKind.SET],
        "where": {
            column: values for column, values in columns.items() if len(values) <= MOST_VALUES
        },
    }


def _page_of(catalogue: Catalogue, found: Sequence[SongEntry], number: int) -> ListPage:
    pages = max(1, -(-len(found) // SONGS_A_PAGE))
    number = min(number, pages)
    first = (number - 1) * SONGS_A_PAGE
    shown = with_estimates(catalogue, found[first : first + SONGS_A_PAGE])
    return ListPage(shown, number, pages, len(found))


def song(
    request: Request, sent: Fields = NOTHING_SENT, problem: MelodexError | None = None
) -> Response:
    """Show one song: its music, its form and its licks, and the forms that change it."""
    site, fields = site_of(request), query_of(request)
    name = request.path_params["song"]
    with site.catalogue() as catalogue:
        (entry,) = with_estimates(catalogue, [catalogue.entry(name)])
        shown = shown_song(catalogue, name)
        is_long = entry.notes > LONG_SONG
        form = () if is_long else shared_phrases(catalogue, name, name).form
        edit = edit_values(catalogue, catalogue.song(name), name, sent)
    values = {
        "entry": entry,
        "form": form,
        "is_long": is_long,
        "music": played(Passage(shown.song, "song", tab=shown.tab)),
        "text": None if shown.tab is None else "\n".join(tab_text(shown.tab)),
        "remarks": shown.remarks,
        "measures": sorted(set(shown.song.measures.numbers.tolist())),
        "ticked": fields.texts("measure"),
        "licks": _licks_in(site, name),
        "edit": edit,
        "problem": problem,
    }
    return page(request, "song.html", values, status=status_of(problem) if problem else 200)


def _licks_in(site: Site, song: str) -> list[tuple[RecurringLick, list[LickOccurrence]]] | None:
    """List the licks of the latest list that stand in a song; None where there is no list."""
    latest = site.jobs.latest(LICKS)
    if latest is None:
        return None
    listed: list[ListedLick] = latest.standing.result
    places = [
        (record, [place for place in record.occurrences if place.song == song])
        for record, _ in listed
    ]
    return [(lick, there) for lick, there in places if there]


def near(request: Request) -> Response:
    """List the songs nearest to one."""
    name = request.path_params["song"]
    with site_of(request).searching() as catalogue:
        entry = catalogue.entry(name)
        found = nearest_songs(catalogue, name, limit=NEAREST_SHOWN)
        others = len(catalogue.song_ids()) - 1
    return page(request, "near.html", {"entry": entry, "near": found, "others": others})


def titles(request: Request) -> Response:
    """List names of songs for a field in which one is typed, as JSON."""
    with site_of(request).catalogue() as catalogue:
        names = suggested_names(query_of(request).line("words"), catalogue.titles())
    return JSONResponse(names, headers={"Cache-Control": "no-cache"})


def song_named(request: Request) -> Response:
    """Lead to the song that a typed name means."""
    name = query_of(request).line("name")
    with site_of(request).catalogue() as catalogue:
        found = catalogue.resolve(name)
    return RedirectResponse(address_of(f"/songs/{found}"), 303)

"""The pages of songs: the list, adding to it, one song, and the songs nearest to it."""

from collections.abc import Sequence
from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from melodex.errors import MelodexError
from melodex.finder.collection.add_songs import READABLE
from melodex.finder.collection.estimates_of_songs import techniques_in
from melodex.finder.collection.list_songs import SORTABLE, sorted_songs, with_estimates
from melodex.finder.nearest_songs import nearest_songs
from melodex.finder.shared_phrases import shared_phrases
from melodex.finder.shown_song import shown_song
from melodex.index.store import Catalogue
from melodex.model.catalogue import ListedSong, SongEntry
from melodex.model.results.recurring import LickOccurrence, RecurringLick
from melodex.tab_files.tab_text import tab_text
from melodex.web.form_fields import NOTHING_SENT, Fields, query_of, songs_meant
from melodex.web.guard import MOST_BYTES
from melodex.web.music import Passage, played
from melodex.web.pages import address_of, page
from melodex.web.refusals import status_of
from melodex.web.routes.job_pages import see
from melodex.web.site import Site, site_of
from melodex.web.uploads import keep_uploads
from melodex.web.work import ListedLick, add

LONG_SONG = 300  # notes, one song in 600; its form takes longer than the rest of its page
SONGS_A_PAGE = 50
_BY_TITLE = "title"
FILTERS = ("collection", "metre", "tag", "uses", "level", "estimated")  # fields of their macro
_OF_LIST = ("words", "sort", "level")
NEAREST_SHOWN = 10
UPLOADED = "my songs"
LICKS = "licks"  # the kind of job that lists them


@dataclass(frozen=True, slots=True)
class ListPage:
    """One page of a long list."""

    songs: Sequence[ListedSong]
    number: int  # from 1
    pages: int
    found: int  # songs on all pages


def songs(request: Request) -> Response:
    """List the songs: searched, filtered, sorted, a page at a time."""
    fields = query_of(request)
    sent = fields.as_sent(*_OF_LIST)
    number, problem = 1, None
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
        "words": sent["words"],
        "sort": sent["sort"] or _BY_TITLE,
        "sortable": SORTABLE,
        "level": sent["level"],
        "asked": fields.as_sent("collection", "metre", "tag", "uses", "estimated"),
        "choices": choices,
        "total": total,
    }
    return page(request, "songs.html", values, status=status_of(problem) if problem else 200)


def choices_among(catalogue: Catalogue) -> dict[str, list[str]]:
    """List what songs can be filtered by, as far as any song has it."""
    entries = catalogue.entries()
    return {
        "collection": sorted({entry.collection for entry in entries if entry.collection}),
        "metre": sorted({entry.metre for entry in entries}),
        "tag": sorted({tag for entry in entries for tag in entry.tags}),
        "uses": techniques_in(catalogue),
    }


def _page_of(catalogue: Catalogue, found: Sequence[SongEntry], number: int) -> ListPage:
    pages = max(1, -(-len(found) // SONGS_A_PAGE))
    number = min(number, pages)
    first = (number - 1) * SONGS_A_PAGE
    shown = with_estimates(catalogue, found[first : first + SONGS_A_PAGE])
    return ListPage(shown, number, pages, len(found))


def add_form(
    request: Request, sent: Fields = NOTHING_SENT, problem: MelodexError | None = None
) -> Response:
    """Show the form for adding files."""
    values = {
        "suffixes": READABLE,
        "most": MOST_BYTES // 1_000_000,
        "collection": sent.as_sent("collection")["collection"] or UPLOADED,
        "problem": problem,
    }
    return page(request, "add.html", values, status=status_of(problem) if problem else 200)


def add_files(request: Request, fields: Fields) -> Response:
    """Keep uploaded files and begin to read them."""
    site = site_of(request)
    files = fields.files("files")
    paths = keep_uploads(site.path, fields.line("collection") or UPLOADED, files)
    title = f"Adding {paths[0].name}" if len(paths) == 1 else f"Adding {len(paths)} files"
    return see(site.jobs.start(add, "add", title, {"files": paths}))


def song(request: Request) -> Response:
    """Show one song: its music, its form and its licks."""
    site, fields = site_of(request), query_of(request)
    name = request.path_params["song"]
    with site.catalogue() as catalogue:
        (entry,) = with_estimates(catalogue, [catalogue.entry(name)])
        shown = shown_song(catalogue, name)
        is_long = entry.notes > LONG_SONG
        form = () if is_long else shared_phrases(catalogue, name, name).form
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
    }
    return page(request, "song.html", values)


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


def song_named(request: Request) -> Response:
    """Lead to the song that a typed name means."""
    name = query_of(request).line("name")
    with site_of(request).catalogue() as catalogue:
        found = catalogue.resolve(name)
    return RedirectResponse(address_of(f"/songs/{found}"), 303)

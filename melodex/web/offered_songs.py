"""Offer the songs that a name may mean, each with the address at which it is the one."""

import re
from collections import defaultdict
from collections.abc import Mapping
from typing import NamedTuple, cast
from urllib.parse import parse_qsl, quote

from starlette.requests import Request

from melodex.errors import MelodexError, SongNotFoundError
from melodex.finder.collection.song_labels import song_labels
from melodex.web.addresses import LONGEST_ADDRESS, address_of
from melodex.web.site import site_of

MOST_OFFERED = 8
_BETWEEN_SONGS = re.compile(r"(\s*[\n>]\s*)")  # of a field that takes several


class OfferedSong(NamedTuple):
    """A song that a name may mean."""

    title: str
    book: str  # "" where the title says it
    address: str


class Offer(NamedTuple):
    """An error that offers songs, as its message shows it."""

    beginning: str
    name: str
    offered: list[OfferedSong]
    others: int  # songs that may be meant as well


def with_songs(request: Request, error: object, values: Mapping[str, object]) -> object:
    """Return an error with the songs that it offers; any other as it is.

    Parameters
    ----------
    values : mapping
        What the page shows: ``sent`` are the fields of its form, and ``form_path`` is the form's
        address where that is not the page's.
    """
    if not (isinstance(error, SongNotFoundError) and error.songs):
        return error
    try:
        with site_of(request).catalogue() as catalogue:
            labels = song_labels(catalogue)
            entries = [catalogue.entry(song) for song in error.songs[:MOST_OFFERED]]
    except MelodexError:  # the catalogue has changed meanwhile
        return error
    offered = [
        OfferedSong(
            label := labels[entry.song],
            entry.collection if label == entry.title else "",
            _address_with(request, values, error.name, entry.song),
        )
        for entry in entries
    ]
    return Offer(error.beginning, error.name, offered, len(error.songs) - len(offered))


def _address_with(request: Request, values: Mapping[str, object], name: str, song: str) -> str:
    """Return the address of the form with a song in place of a name, else of the song's page."""
    path = str(values.get("form_path") or request.url.path)
    sent = values.get("sent")
    fields: list[tuple[str, str]] = []
    if request.method == "GET":
        fields = parse_qsl(request.url.query)
    elif isinstance(sent, Mapping):
        form = cast("Mapping[str, object]", sent)
        fields = [(field, text) for field, text in form.items() if isinstance(text, str)]
    replaced = [(field, _replaced(text, name, song)) for field, text in fields]
    again: defaultdict[str, list[str]] = defaultdict(list)
    for field, text in replaced:
        again[field].append(text)
    address = address_of(path, **again)
    if replaced == fields or len(address) > LONGEST_ADDRESS:
        return f"/songs/{quote(song, safe='')}"
    return address


def _replaced(text: str, name: str, song: str) -> str:
    parts = _BETWEEN_SONGS.split(text.strip())
    return "".join(song if part == name.strip() else part for part in parts)

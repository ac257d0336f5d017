"""Label songs for people: by title and, if that is ambiguous, by collection or file as well."""

from collections import defaultdict
from collections.abc import Sequence
from pathlib import PurePath

from melodex.errors import SongNotFoundError
from melodex.index.song_names import song_named
from melodex.index.store import Catalogue
from melodex.model.catalogue import SongEntry

UNTITLED = "Untitled"


def song_labels(catalogue: Catalogue) -> dict[str, str]:
    """Return each song's label, by id: its title and, if others share it, a distinguishing mark.

    The mark is the collection, or the file, or else the collection and a number in order of ids.
    """
    titles = catalogue.titles()
    by_title: defaultdict[str, list[str]] = defaultdict(list)
    for song, title in titles:
        by_title[title.casefold()].append(song)
    labels = {song: title or UNTITLED for song, title in titles}
    alike = [songs for songs in by_title.values() if len(songs) > 1]
    if alike:
        entries = {entry.song: entry for entry in catalogue.entries()}
        for songs in alike:
            marks = _marks([entries[song] for song in songs])
            labels |= {
                song: f"{labels[song]} ({mark})" for song, mark in zip(songs, marks, strict=True)
            }
    return labels


def name_to_show(catalogue: Catalogue, name: str) -> str:
    """Return the title of the song that a name means, if the title means no other song.

    Otherwise, or if the name does not mean exactly one song, return the name as it is.
    """
    titles = catalogue.titles()
    try:
        song = song_named(name, titles) if name else ""
    except SongNotFoundError:
        return name
    title = dict(titles).get(song, "")
    alike = [each for each, other in titles if other.casefold() == title.casefold()]
    return title if alike == [song] else name


def _marks(entries: Sequence[SongEntry]) -> list[str]:
    """Return marks that distinguish songs of one title."""
    collections = [entry.collection for entry in entries]
    for marks in (collections, [PurePath(entry.file).name for entry in entries]):
        if len({*marks}) == len(marks) and all(marks):
            return marks
    return [
        ", ".join(filter(None, (collection, f"no. {number}")))
        for number, collection in enumerate(collections, start=1)
    ]

"""Songs of the collections that music21 carries, read by melodex."""

from functools import cache

from melodex.model.song import Song
from melodex.parsing.corpus_walk import bundled_files
from melodex.parsing.formats import read_file


@cache
def bundled_songs(collection: str) -> tuple[Song, ...]:
    """Read a whole collection."""
    return tuple(
        song
        for book in bundled_files(collection)
        for song in read_file(book.path, collection=collection, shown_as=book.shown_as).songs
    )


def short_songs(collection: str) -> tuple[Song, ...]:
    """Choose the songs of a collection that have from 20 to 80 notes."""
    return tuple(song for song in bundled_songs(collection) if 20 <= len(song.melody) <= 80)

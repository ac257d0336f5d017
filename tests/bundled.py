"""Songs of the open collections that music21 carries, read by melodex."""

from functools import cache

from melodex.model.song import Song
from melodex.parsing.abc_reader import decode_abc, read_abc
from melodex.parsing.corpus_walk import bundled_files


@cache
def bundled_songs(collection: str) -> tuple[Song, ...]:
    """Read a whole collection; in the Essen books a line is a phrase."""
    return tuple(
        song
        for book in bundled_files(collection)
        for song in read_abc(
            decode_abc(book.path.read_bytes()),
            book.shown_as,
            collection=collection,
            line_is_phrase=collection == "essenFolksong",
        ).songs
    )

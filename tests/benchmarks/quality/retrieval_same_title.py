"""Queries from folk songs of one title: how one begins, and the others of its title.

The labels are noisy: singers put one text to different melodies, so no method finds all of them.
The part compares methods on one collection; its figures say little by themselves.
"""

from collections import defaultdict
from functools import cache

from tests.benchmarks.quality.retrieval_books import Book, book_of, name_of, plain_book
from tests.benchmarks.quality.retrieval_queries import Query, passage_of
from tests.benchmarks.quality.retrieval_seeds import lot_of
from tests.benchmarks.quality.retrieval_titles import half_of, title_key

COLLECTION = "essenFolksong"
FIRST_PHRASE, FIRST_MEASURES = "first phrase", "first 4 measures"
MEASURES = 4
GROUP_SIZES = range(2, 21)  # larger groups are ballad types, whose melodies differ most
FEWEST_NOTES = 5


@cache
def folk_song_book() -> Book:
    """Lay out the one collection."""
    return book_of(tuple(song for song in plain_book().songs if song.collection == COLLECTION))


@cache
def same_title_queries(half: str) -> list[Query]:
    """Search for the beginning of one song, drawn by lot, of each title of the half.

    Relevant are the other songs of its title; the song itself is left out of the ranking.
    """
    songs = folk_song_book().songs
    groups: dict[str, list[int]] = defaultdict(list)
    for number, song in enumerate(songs):
        groups[title_key(song.title)].append(number)
    queries: list[Query] = []
    for kind in (FIRST_PHRASE, FIRST_MEASURES):
        for title, members in sorted(groups.items()):
            if len(members) not in GROUP_SIZES or half_of(title) != half:
                continue
            number = min(members, key=lambda member: lot_of("query", name_of(songs[member])))
            end = _end(number, kind)
            if end < FEWEST_NOTES:
                continue
            lick = passage_of(songs[number], slice(0, end)).lick(kind)
            queries.append(
                Query(
                    lick=lick,
                    relevant=frozenset(members) - {number},
                    kind=kind,
                    length=end,
                    blocks=folk_song_book().blocks,
                    ignored=frozenset({number}),
                    unchanged=lick,
                    name=name_of(songs[number]),
                    tune=title,
                )
            )
    return queries


def _end(number: int, kind: str) -> int:
    """Count the notes of a song's first phrase, or of its first measures and their pickup."""
    melody = folk_song_book().songs[number].melody
    if kind == FIRST_MEASURES:
        return int((melody.measures <= MEASURES).sum())
    return int(melody.phrase_ends[0]) + 1 if len(melody.phrase_ends) else 0

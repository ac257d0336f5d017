"""Labelled queries: the beginning of a tune, and its versions in the other books.

``version_pairs.csv`` holds every pair of equal titles in two of the four collections, found with
``title_key``, and whether both melodies are one tune, judged by reading them side by side as scale
degrees; a few versions under other titles were met on the way and added.
"""

import csv
from collections import defaultdict
from functools import cache
from pathlib import Path
from typing import NamedTuple

from tests.benchmarks.quality.retrieval_books import name_of, plain_book
from tests.benchmarks.quality.retrieval_queries import Query, passage_of
from tests.benchmarks.quality.retrieval_titles import half_of, title_key

DECISIONS = Path(__file__).with_name("version_pairs.csv")
FIRST_NOTES, FIRST_MEASURES = "first 16 notes", "first 8 measures"
NOTES, MEASURES = 16, 8


class Pair(NamedTuple):
    """One decision."""

    title: str
    songs: tuple[str, str]  # by name, see ``name_of``
    is_kept: bool
    reason: str


def read_pairs() -> list[Pair]:
    """Read all decisions."""
    with DECISIONS.open(encoding="utf-8", newline="") as file:
        return [
            Pair(
                row["title"],
                (f"{row['book_a']}/{row['tune_a']}", f"{row['book_b']}/{row['tune_b']}"),
                row["kept"] == "yes",
                row["reason"],
            )
            for row in csv.DictReader(file)
        ]


def families() -> list[set[str]]:
    """Gather the versions of each tune: whatever kept pairs link, however far round."""
    family_of: dict[str, set[str]] = {}
    for pair in read_pairs():
        if pair.is_kept:
            joined = set(pair.songs).union(*(family_of.get(song, ()) for song in pair.songs))
            family_of.update(dict.fromkeys(joined, joined))
    distinct = {id(family): family for family in family_of.values()}
    return list(distinct.values())


@cache
def version_queries(half: str) -> list[Query]:
    """Ask by the first 16 notes, and by the first 8 measures, of every version of the half.

    Relevant are the versions in other books. Left out of the ranking are the song itself and its
    other settings in the same book.
    """
    songs = plain_book().songs
    number_of = {name_of(song): number for number, song in enumerate(songs)}
    queries: dict[str, list[Query]] = defaultdict(list)
    for family in families():
        members = frozenset(number_of[name] for name in family)
        tune = min(family)
        if half_of(songs[number_of[tune]].title) != half:
            continue
        for number in sorted(members):
            book = songs[number].collection
            ignored = frozenset(n for n in members if songs[n].collection == book)
            for kind, end in _ends(number).items():
                lick = passage_of(songs[number], slice(0, end)).lick(kind)
                queries[kind].append(
                    Query(
                        lick=lick,
                        relevant=members - ignored,
                        kind=kind,
                        length=end,
                        blocks=plain_book().blocks,
                        ignored=ignored,
                        unchanged=lick,
                        name=name_of(songs[number]),
                        tune=title_key(songs[number_of[tune]].title),
                    )
                )
    return [*queries[FIRST_NOTES], *queries[FIRST_MEASURES]]


def _ends(number: int) -> dict[str, int]:
    """Where the first notes and the first measures of a song end, in notes."""
    melody = plain_book().songs[number].melody
    in_measures = int((melody.measures <= MEASURES).sum())
    return {FIRST_NOTES: min(NOTES, len(melody)), FIRST_MEASURES: in_measures}

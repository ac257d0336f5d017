"""Labelled queries: licks cut from real tunes, changed as players change them.

``tuning_queries()`` gives those that weights may be chosen by, ``queries_of("report")`` those of
the other tunes, by which they are judged.
"""

from collections.abc import Iterator
from functools import cache
from typing import NamedTuple

import numpy as np

from melodex.features.intervals import clipped_intervals
from melodex.index.blocks import Blocks
from melodex.model.lick import Lick
from melodex.model.song import Song
from tests.benchmarks.quality.retrieval_books import name_of, plain_book, rolled_book, rolled_songs
from tests.benchmarks.quality.retrieval_changes import CHANGES, Passage
from tests.benchmarks.quality.retrieval_measures import measures_of
from tests.benchmarks.quality.retrieval_seeds import generator_for, lot_of
from tests.benchmarks.quality.retrieval_titles import half_of, title_key

LENGTHS = range(5, 17)  # notes
FEWEST_DIFFERENT_INTERVALS = 3
QUERIES = 504  # by default: three of each kind and length
TWO_CHANGES, THREE_CHANGES = "two changes", "three changes"
ROLLED_QUERY = "query rolled"
STRINGS_KNOWN, STRINGS_WITHHELD = "song rolled, strings known", "song rolled, no strings"
ROLLED_KINDS = (ROLLED_QUERY, STRINGS_KNOWN, STRINGS_WITHHELD)
CHANGED_KINDS = (*CHANGES, TWO_CHANGES, THREE_CHANGES)
KINDS = (*CHANGED_KINDS, *ROLLED_KINDS)
# An octave for the whole lick changes no interval, so it does not count among several changes.
COMBINED = tuple(kind for kind in CHANGES if kind != "all notes an octave off")
TRANSPOSITIONS = range(-5, 7)  # half-steps that a whole query is moved by
SAME_TIME = 1e-6


class Query(NamedTuple):
    """A lick to look for, and the songs that ought to be found."""

    lick: Lick
    relevant: frozenset[int]  # song numbers
    kind: str
    length: int  # notes of the unchanged lick
    blocks: Blocks  # where to look
    ignored: frozenset[int]  # songs left out of the ranking
    unchanged: Lick
    name: str  # the song it was cut from and its first note there
    tune: str  # the reduced title of that song

    def unchanged_query(self) -> "Query":
        """Ask for the unchanged lick in the plain songs: no method can do better on the other."""
        return self._replace(lick=self.unchanged, blocks=book())


class Cut(NamedTuple):
    """A passage of a tune, and where it was cut."""

    song: int
    first_note: int
    passage: Passage
    holders: frozenset[int]


def book() -> Blocks:
    """Give the arrays of the plain book."""
    return plain_book().blocks


def tuning_queries(half: str = "tuning", count: int = QUERIES) -> list[Query]:
    """Make queries for choosing weights; the same ones at every call."""
    return queries_of(half, count)


@cache
def queries_of(half: str, count: int = QUERIES) -> list[Query]:
    """Make queries from the tunes of one half, kinds and lengths in turn.

    The three rolled kinds share a lick, so that they can be compared.
    """
    songs = plain_book().songs
    numbers = [number for number, song in enumerate(songs) if half_of(song.title) == half]
    numbers.sort(key=lambda number: lot_of("order", name_of(songs[number])))
    anywhere = iter(numbers)
    to_roll = iter([number for number in numbers if number in rolled_songs()])
    queries: list[Query] = []
    while len(queries) < count:
        length = LENGTHS[len(queries) // len(KINDS) % len(LENGTHS)]
        queries += [_changed(_next_cut(anywhere, length), kind) for kind in CHANGED_KINDS]
        cut = _next_cut(to_roll, length)
        queries += [_rolled_query(cut), *_queries_of_rolled_songs(cut)]
    return queries[:count]


def cut_passage(song: Song, length: int, rng: np.random.Generator) -> tuple[int, Passage] | None:
    """Cut so many notes from a tune, half of the time where a phrase or a measure begins.

    None where the tune is too short, has no single metre, or the notes make too few intervals.
    """
    melody = song.melody
    if song.metre.is_free or song.metre_changes or len(melody) < length:
        return None
    starts = np.arange(len(melody) - length + 1)
    if rng.random() < 1 / 2:
        begins = melody.beat_strengths == 1
        begins[melody.phrase_ends[:-1] + 1] = True
        starts = np.flatnonzero(begins[: len(starts)])
    if not len(starts):
        return None
    first = int(rng.choice(starts))
    notes = slice(first, first + length)
    if len(np.unique(np.diff(melody.pitches[notes]))) < FEWEST_DIFFERENT_INTERVALS:
        return None
    return first, passage_of(song, notes, shift=int(rng.choice(TRANSPOSITIONS)))


def passage_of(song: Song, notes: slice, *, shift: int = 0) -> Passage:
    """Take some of a tune's notes with their place in the measure."""
    melody, measures = song.melody, measures_of(song)
    onsets = melody.onsets[notes]
    measure = int(measures.measure_of(onsets[:1])[0])
    return Passage(
        pitches=tuple((melody.pitches[notes] + shift).tolist()),
        onsets=tuple((onsets - onsets[0]).tolist()),
        durations=tuple(melody.durations[notes].tolist()),
        metre=song.metre,
        position=measures.positions[measure] + float(onsets[0]) - measures.onsets[measure],
        scale=frozenset(((melody.pitches + shift) % 12).tolist()),
    )


def query_of(cut: Cut, kind: str, lick: Lick) -> Query:
    """Search the plain book with a changed lick for the songs that hold the unchanged one."""
    song = plain_book().songs[cut.song]
    return Query(
        lick=lick,
        relevant=cut.holders,
        kind=kind,
        length=len(cut.passage),
        blocks=book(),
        ignored=frozenset(),
        unchanged=cut.passage.lick("unchanged"),
        name=f"{name_of(song)}:{cut.first_note}",
        tune=title_key(song.title),
    )


def songs_that_hold(pitches: tuple[int, ...]) -> frozenset[int]:
    """Find the songs of the plain book that play exactly these intervals somewhere."""
    wanted = clipped_intervals(np.array(pitches, np.int16)).astype(np.int8).tobytes()
    return frozenset(number for number, line in enumerate(_interval_lines()) if wanted in line)


@cache
def _interval_lines() -> tuple[bytes, ...]:
    arrays = book().songs
    lines = np.split(arrays.intervals, arrays.first_intervals[1:-1])
    return tuple(line.tobytes() for line in lines)


def _next_cut(songs: Iterator[int], length: int) -> Cut:
    for number in songs:
        song = plain_book().songs[number]
        found = cut_passage(song, length, generator_for("cut", name_of(song)))
        if found is None:
            continue
        holders = songs_that_hold(found[1].pitches)
        if number in holders:  # else an ending lies between its notes
            return Cut(number, *found, holders)
    raise ValueError("There are too few tunes for so many queries.")


def _changed(cut: Cut, kind: str) -> Query:
    rng = generator_for("change", name_of(plain_book().songs[cut.song]))
    passage = cut.passage
    for change in _changes_of(kind, rng):
        passage = CHANGES[change](passage, rng)
    return query_of(cut, kind, passage.lick(kind))


def _changes_of(kind: str, rng: np.random.Generator) -> list[str]:
    if kind in CHANGES:
        return [kind]
    several = 2 if kind == TWO_CHANGES else 3
    while True:
        chosen = [str(kind) for kind in rng.choice(COMBINED, several, replace=False)]
        if not {"values halved", "values doubled"} <= set(chosen):  # nothing would be left of them
            return chosen


def _rolled_query(cut: Cut) -> Query:
    """Ask with what the arrangement plays while the plain tune plays the lick."""
    plain = plain_book().songs[cut.song].melody
    arrangement = rolled_book(strings_known=True).songs[cut.song]
    last = cut.first_note + len(cut.passage) - 1
    end = plain.onsets[last] + plain.durations[last] - SAME_TIME
    times = plain.onsets[cut.first_note] - SAME_TIME, end
    first_note, end_note = np.searchsorted(arrangement.melody.onsets, times)
    passage = passage_of(arrangement, slice(int(first_note), int(end_note)))
    return query_of(cut, ROLLED_QUERY, passage.lick(ROLLED_QUERY))


def _queries_of_rolled_songs(cut: Cut) -> list[Query]:
    """Ask for the plain lick where the song it comes from is an arrangement.

    Other songs that hold the lick, or bear the same title, are left out: they are easy to find
    and would be neither right nor wrong.
    """
    songs = plain_book().songs
    key = title_key(songs[cut.song].title)
    same_title = {number for number, song in enumerate(songs) if title_key(song.title) == key}
    query = query_of(cut, STRINGS_KNOWN, cut.passage.lick(STRINGS_KNOWN))
    return [
        query._replace(
            kind=kind,
            relevant=frozenset({cut.song}),
            ignored=(cut.holders | same_title) - {cut.song},
            blocks=rolled_book(strings_known=kind == STRINGS_KNOWN).blocks,
        )
        for kind in (STRINGS_KNOWN, STRINGS_WITHHELD)
    ]

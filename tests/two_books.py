"""Two books whose common part is known, made of tunes that music21 carries.

In the second book, 25 tunes are copies of the first's, half of them in another key; eight are
changed in known ways, with a known share of the tune left unchanged; seven are versions from other
books, judged by reading (``version_pairs.csv`` in ``tests/benchmarks/quality``). The rest of both
are unrelated: no two of the tunes taken share a title, or a run of seven notes in any key.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.index.intake.file_records import FileRecord
from melodex.index.intake.filing import file_record
from melodex.index.song_records import pack_song
from melodex.index.store import Catalogue
from melodex.model.song import MeasureGrid, Song
from melodex.parsing.corpus_walk import MusicFile
from tests.benchmarks.quality.retrieval_books import name_of
from tests.benchmarks.quality.retrieval_changes import (
    Passage,
    add_passing_notes,
    join_notes,
    scaled,
    split_notes,
)
from tests.benchmarks.quality.retrieval_queries import passage_of
from tests.benchmarks.quality.retrieval_seeds import generator_for, lot_of
from tests.benchmarks.quality.retrieval_titles import title_key
from tests.benchmarks.quality.retrieval_versions import read_pairs
from tests.bundled import bundled_songs
from tests.strategies import transposed

BOOK_A, BOOK_B = "Book A", "Book B"
COLLECTIONS = ("oneills1850", "ryansMammoth", "airdsAirs")
COPIES, VERSIONS, UNRELATED = 25, 7, 10  # the last in each book
A_COPY = "same tune, note for note"  # judged pairs that are too easy
KEYS = (-5, -2, 2, 3, 5, 7)  # half-steps up to the copy
RUN = 6  # intervals
METRES = {(2, 4), (3, 4), (4, 4), (6, 8)}
FEWEST_NOTES, MOST_NOTES, FEWEST_MEASURES = 60, 140, 16  # of tunes to change
THIRD = 3  # half-steps: the least that a changed note moves
WIDEST = 9

Changed = tuple[Passage, float]
"""The changed tune, and the share of the original's time left unchanged, 0 to 1."""


class Planted(NamedTuple):
    """A tune of the first book, and what the second has of it."""

    how: str
    a: Song
    b: Song
    left: float | None  # the share of ``a`` that ``b`` has too, 0 to 1; None if unknown


class TwoBooks(NamedTuple):
    """Two books and what they have in common."""

    planted: list[Planted]
    only_a: list[Song]
    only_b: list[Song]


def two_books() -> TwoBooks:
    """Choose tunes at random, and make the second book's copies and changes."""
    judged = [pair for pair in read_pairs() if pair.is_kept and pair.reason != A_COPY]
    songs = {name_of(song): song for book in COLLECTIONS for song in bundled_songs(book)}
    pairs = sorted((pair for pair in judged if songs.keys() >= set(pair.songs)), key=_lot_of_pair)
    taken = _Taken()
    versions = [
        Planted("version", songs[pair.songs[0]], songs[pair.songs[1]], None)
        for pair in pairs
        if taken.takes([songs[name] for name in pair.songs])
    ][:VERSIONS]
    taken = _Taken()
    for planted in versions:
        taken.takes([planted.a, planted.b])
    shuffled = (songs[name] for name in sorted(songs, key=lambda name: lot_of("two books", name)))
    others = (song for song in shuffled if _is_plain(song) and taken.takes([song]))
    copies = [_copy(next(others), number) for number in range(COPIES)]
    changed = [_changed(next(others), how) for how in CHANGES]
    unrelated = [next(others) for _ in range(2 * UNRELATED)]
    return TwoBooks([*copies, *changed, *versions], unrelated[:UNRELATED], unrelated[UNRELATED:])


def file_books(catalogue: Catalogue, books: TwoBooks) -> None:
    """Put both books into a catalogue; a planted tune's titles begin with the same number."""
    named = [
        (replace(each.a, title=f"{n} {each.how} a"), replace(each.b, title=f"{n} {each.how} b"))
        for n, each in enumerate(books.planted)
    ]
    for book, songs in (
        (BOOK_A, [*(a for a, _ in named), *books.only_a]),
        (BOOK_B, [*(b for _, b in named), *books.only_b]),
    ):
        file_songs(catalogue, songs, book)


def file_songs(catalogue: Catalogue, songs: Iterable[Song], book: str) -> None:
    """Put songs into a catalogue as if read from a book."""
    record = FileRecord(
        tuple(
            pack_song(replace(song, collection=book, source=replace(song.source, tune=str(n))))
            for n, song in enumerate(songs)
        ),
        (),
    )
    with catalogue.writing() as connection:
        file_record(connection, MusicFile(Path(book), book, book), None, record)


def random_songs(count: int) -> list[Song]:
    """Choose tunes of different titles at random, related or not."""
    songs = (song for book in COLLECTIONS for song in bundled_songs(book))
    by_title = {title_key(song.title): song for song in songs}
    chosen = sorted(by_title, key=lambda title: lot_of("unrelated pairs", title))
    return [by_title[title] for title in chosen[:count]]


class _Taken:
    """The tunes taken so far; related ones are refused."""

    def __init__(self) -> None:
        self._titles: set[str] = set()
        self._runs: set[bytes] = set()

    def takes(self, versions: Sequence[Song]) -> bool:
        """Take the versions of a tune; return False if a tune taken before is related."""
        titles = {title_key(song.title) for song in versions}
        runs = {run for song in versions for run in _runs(song)}
        if titles & self._titles or runs & self._runs:
            return False
        self._titles |= titles
        self._runs |= runs
        return True


def _runs(song: Song) -> Iterator[bytes]:
    intervals = np.diff(song.melody.pitches).astype(np.int8)
    return (intervals[n : n + RUN].tobytes() for n in range(len(intervals) - RUN + 1))


def _lot_of_pair(pair: object) -> int:
    return lot_of("two books", str(pair))


def _is_plain(song: Song) -> bool:
    """Whether a tune has the length and the even measures that the changes need."""
    metre = (song.metre.numerator, song.metre.denominator)
    notes, measures = len(song.melody), len(np.unique(song.melody.measures))
    return (
        metre in METRES
        and not song.metre_changes
        and FEWEST_NOTES <= notes <= MOST_NOTES
        and measures >= FEWEST_MEASURES
    )


def _copy(song: Song, number: int) -> Planted:
    shift = KEYS[number // 2 % len(KEYS)] if number % 2 else 0
    return Planted("copy", song, replace(song, melody=transposed(song.melody, shift)), 1.0)


def _changed(song: Song, how: str) -> Planted:
    rng = generator_for("two books", how, name_of(song))
    passage, left = CHANGES[how](song, rng)
    return Planted(how, song, _song_of(passage, song), left)


def _measures_changed(in_a_row: int, times: int) -> Callable[[Song, np.random.Generator], Changed]:
    """Give measures other notes of the scale in the same rhythm, at evenly spaced places."""

    def change(song: Song, rng: np.random.Generator) -> Changed:
        whole, measures = passage_of(song, slice(None)), song.melody.measures
        numbers = np.unique(measures)
        begins = [len(numbers) * (2 * time + 1) // (2 * times) for time in range(times)]
        changed = np.isin(
            measures, [number for begin in begins for number in numbers[begin:][:in_a_row]]
        )
        # A measure that comes back unchanged is still known.
        kept = {content for content, is_changed in _by_content(song, changed) if not is_changed}
        lost = [c not in kept and is_changed for c, is_changed in _by_content(song, changed)]
        pitches = [
            int(rng.choice(_others(pitch, whole))) if is_changed else pitch
            for pitch, is_changed in zip(whole.pitches, changed.tolist(), strict=True)
        ]
        return replace(whole, pitches=tuple(pitches)), 1 - _share(song, np.array(lost))

    return change


def _others(pitch: int, whole: Passage) -> list[int]:
    """List the notes of the scale that are not near one."""
    near = range(pitch - WIDEST, pitch + WIDEST + 1)
    return [other for other in near if other % 12 in whole.scale and abs(other - pitch) >= THIRD]


def _by_content(song: Song, changed: NDArray[np.bool_]) -> list[tuple[bytes, bool]]:
    """List for each note what its whole measure holds, and whether it is changed."""
    melody = song.melody
    content = {
        number: melody.pitches[melody.measures == number].tobytes()
        + np.round(np.diff(melody.onsets[melody.measures == number]), 6).tobytes()
        for number in np.unique(melody.measures).tolist()
    }
    measures = melody.measures.tolist()
    return [(content[n], bool(is_changed)) for n, is_changed in zip(measures, changed, strict=True)]


def _share(song: Song, notes: NDArray[np.bool_]) -> float:
    """Return which part of a tune's time some of its notes take up."""
    ends = song.melody.onsets[-1] + song.melody.durations[-1]
    times = np.diff([*song.melody.onsets, ends])
    return float(times[notes].sum() / times.sum())


CHANGES: dict[str, Callable[[Song, np.random.Generator], Changed]] = {
    "a measure changed": _measures_changed(1, 1),
    "two measures changed": _measures_changed(1, 2),
    "four measures in a row changed": _measures_changed(4, 1),
    "ornamented": lambda song, rng: (add_passing_notes(passage_of(song, slice(None)), rng), 1.0),
    "notes split": lambda song, rng: (split_notes(passage_of(song, slice(None)), rng), 1.0),
    "values doubled": lambda song, _: (scaled(passage_of(song, slice(None)), 2.0), 1.0),
    "values halved": lambda song, _: (scaled(passage_of(song, slice(None)), 0.5), 1.0),
    "notes joined": lambda song, rng: (join_notes(passage_of(song, slice(None)), rng), 1.0),
}


def _song_of(passage: Passage, song: Song) -> Song:
    """Write a changed tune as a song with the measures of its metre."""
    measure = float(passage.metre.measure_length)
    passage = replace(passage, position=passage.position % measure)
    melody = passage.lick("").melody
    bars = measure * np.arange(len(np.unique(melody.measures)) + 1) - passage.position
    end = float(melody.onsets[-1] + melody.durations[-1])
    bars = np.maximum(bars[bars < end], 0.0)
    return replace(
        song,
        melody=melody,
        measures=MeasureGrid(
            onsets=bars, numbers=melody.measures[0] + np.arange(len(bars), dtype=np.int32)
        ),
        sections=np.array([(0.0, end)]),
        bar_lines=(),
        chords=(),
        lyrics=(),
        touches=(),
    )

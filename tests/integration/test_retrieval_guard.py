"""A small retrieval benchmark with thresholds: a worse form, prior or table fails it.

Each threshold is a little below the measured figure. All tunes are from the tuning half, by which
weights may be chosen. The whole benchmark is ``tests.benchmarks.quality.retrieval``.
"""

from collections.abc import Sequence
from functools import cache
from itertools import islice

import numpy as np
import pytest

from melodex.alignment.passage import score_songs
from melodex.index.song_arrays import SongArrays, join_performances, perform
from melodex.model.lick import Lick
from melodex.model.song import Song
from tests.benchmarks.quality.retrieval_books import name_of
from tests.benchmarks.quality.retrieval_changes import CHANGES, Passage
from tests.benchmarks.quality.retrieval_queries import cut_passage, passage_of
from tests.benchmarks.quality.retrieval_rolls import can_be_rolled, rolled, strings_withheld
from tests.benchmarks.quality.retrieval_seeds import generator_for, lot_of
from tests.benchmarks.quality.retrieval_titles import half_of
from tests.benchmarks.quality.retrieval_versions import read_pairs
from tests.bundled import bundled_songs

COLLECTIONS = ("oneills1850", "ryansMammoth")
# Mean reciprocal ranks.
MEASURED = {
    "versions": 0.685,
    "pickup dropped": 0.667,
    "notes split": 0.867,
    "notes joined": 0.695,
    "passing notes": 0.412,
    "some notes an octave off": 0.867,
    "all notes an octave off": 0.867,
    "one wrong note": 1.0,
    "values halved": 0.867,
    "values doubled": 0.667,
    "rolls with strings": 0.9,
    "rolls without strings": 0.85,
    "by a roll": 0.605,
}
MARGIN = 0.04
COPIES = "same tune, note for note"
VERSIONS, CHANGED, ROLLED = 20, 5, 10  # queries of a kind
SONGS = 300  # besides the versions
VERSION_NOTES = 12
LENGTHS = (5, 6, 7)
NOTES, NOTES_OF_ROLLS = 9, 18  # of the queries for and with rolls


@cache
def version_pairs():
    """Choose random pairs of versions, one from each book, none of them copies."""
    pairs = [
        pair
        for pair in read_pairs()
        if pair.is_kept
        and pair.reason != COPIES
        and {name.partition("/")[0] for name in pair.songs} == set(COLLECTIONS)
        and half_of(pair.title) == "tuning"
    ]
    return sorted(pairs, key=lambda pair: lot_of("guard", *pair.songs))[:VERSIONS]


@cache
def book() -> tuple[Song, ...]:
    """Choose 300 random songs of both books, and the versions."""
    songs = [song for name in COLLECTIONS for song in bundled_songs(name)]
    songs.sort(key=lambda song: lot_of("guard", name_of(song)))
    versions = {name for pair in version_pairs() for name in pair.songs}
    return tuple(
        song for place, song in enumerate(songs) if place < SONGS or name_of(song) in versions
    )


@cache
def tuning_numbers() -> tuple[int, ...]:
    """Return the numbers of the tunes of the tuning half, in random order as the book is."""
    return tuple(n for n, song in enumerate(book()) if half_of(song.title) == "tuning")


@cache
def plain_arrays() -> SongArrays:
    return arrays_of(book())


def arrays_of(songs: Sequence[Song]) -> SongArrays:
    return join_performances([perform(song.melody, song.sections, song.key) for song in songs])


def rank_of(number: int, lick: Lick, arrays: SongArrays, ignored: tuple[int, ...] = ()) -> int:
    """Return 1 and the number of songs that match a lick better than one song does."""
    others = np.setdiff1d(np.arange(arrays.n_songs), ignored)
    found = score_songs(lick.melody, arrays, others)
    return 1 + int((found.ranking > found.ranking[others == number]).sum())


def mean_reciprocal(ranks: list[int]) -> float:
    return float(np.mean(1 / np.array(ranks)))


def check(kind: str, ranks: list[int]) -> None:
    figure = mean_reciprocal(ranks)
    assert figure >= MEASURED[kind] - MARGIN, f"{kind}: mean reciprocal rank {figure:.3f}, {ranks}"


def test_versions_of_a_tune_in_the_other_book_are_found():
    number_of = {name_of(song): number for number, song in enumerate(book())}
    ranks = []
    for pair in version_pairs():
        one, other = (number_of[name] for name in pair.songs)
        lick = passage_of(book()[one], slice(0, VERSION_NOTES)).lick("beginning")
        ranks.append(rank_of(other, lick, plain_arrays(), ignored=(one,)))
    assert len(ranks) == VERSIONS
    check("versions", ranks)


def changed_licks(kind: str) -> list[tuple[int, Passage]]:
    cuts = (
        (number, cut_passage(book()[number], LENGTHS[number % len(LENGTHS)], generator))
        for number in tuning_numbers()
        for generator in [generator_for("guard", name_of(book()[number]))]
    )
    return [
        (number, CHANGES[kind](cut[1], generator_for("change", kind, name_of(book()[number]))))
        for number, cut in islice(((n, cut) for n, cut in cuts if cut), CHANGED)
    ]


@pytest.mark.parametrize("kind", CHANGES)
def test_changed_licks_are_found_in_the_tunes_they_were_cut_from(kind):
    ranks = [
        rank_of(number, passage.lick(kind), plain_arrays())
        for number, passage in changed_licks(kind)
    ]
    check(kind, ranks)


@cache
def arrangements():
    chosen = islice((n for n in tuning_numbers() if can_be_rolled(book()[n])), ROLLED)
    return {n: rolled(book()[n], generator_for("guard", name_of(book()[n]))) for n in chosen}


@pytest.mark.parametrize("strings_known", [True, False])
def test_the_plain_beginning_of_a_tune_finds_its_arrangement_in_rolls(strings_known):
    songs = list(book())
    for number, song in arrangements().items():
        songs[number] = song if strings_known else strings_withheld(song)
    arrays = arrays_of(songs)
    ranks = [
        rank_of(number, passage_of(book()[number], slice(0, NOTES)).lick("plain"), arrays)
        for number in arrangements()
    ]
    check("rolls with strings" if strings_known else "rolls without strings", ranks)


def test_the_beginning_of_an_arrangement_in_rolls_finds_the_plain_tune():
    ranks = [
        rank_of(number, passage_of(song, slice(0, NOTES_OF_ROLLS)).lick("rolled"), plain_arrays())
        for number, song in arrangements().items()
    ]
    check("by a roll", ranks)

"""Labelled queries in another form: a tune played as another dance, in another mode, simplified.

They are a sample of their own beside ``queries_of``, so that its queries stay as they are.
"""

from collections.abc import Iterator
from functools import cache

import numpy as np

from melodex.model.song import Song
from tests.benchmarks.quality.retrieval_books import name_of, plain_book
from tests.benchmarks.quality.retrieval_changes import Passage
from tests.benchmarks.quality.retrieval_form_changes import FORMS, OTHER_MODE, Home
from tests.benchmarks.quality.retrieval_queries import (
    FEWEST_DIFFERENT_INTERVALS,
    Cut,
    Query,
    cut_passage,
    query_of,
    songs_that_hold,
)
from tests.benchmarks.quality.retrieval_seeds import generator_for, lot_of
from tests.benchmarks.quality.retrieval_titles import half_of

LENGTHS = (8, 12, 16, 24, 32)  # notes of the unchanged cut
QUERIES_OF_LENGTH = 4  # of each kind and half


@cache
def form_queries(half: str) -> list[Query]:
    """Make the queries of one half, 20 of each kind; the same ones at every call.

    Each kind takes tunes in an order of its own, and no tune twice. The two kinds of reel as jig
    share their cuts, so that they can be compared.
    """
    songs = plain_book().songs
    numbers = [number for number, song in enumerate(songs) if half_of(song.title) == half]
    queries: list[Query] = []
    for kind in FORMS:
        lots = {n: lot_of("form", _dance_of(kind), name_of(songs[n])) for n in numbers}
        candidates = iter(sorted(numbers, key=lots.__getitem__))
        lengths = LENGTHS * QUERIES_OF_LENGTH
        queries += [_next_query(candidates, kind, length) for length in lengths]
    return queries


def home_of(song: Song, shift: int = 0) -> Home | None:
    """Return the key that a song states, moved by half-steps; None where its end denies it.

    Essen states every tune as major, so a statement counts where the last note is its tonic.
    """
    tonic = song.key.tonic_pitch_class if song.key else None
    if song.key is None or tonic is None or song.key.mode not in OTHER_MODE:
        return None
    if int(song.melody.pitches[-1]) % 12 != tonic:
        return None
    return Home((tonic + shift) % 12, song.key.mode)


def _next_query(candidates: Iterator[int], kind: str, length: int) -> Query:
    """Cut the next song whose cut fits the kind, and change the cut."""
    for number in candidates:
        song = plain_book().songs[number]
        found = cut_passage(song, length, generator_for("cut", _dance_of(kind), name_of(song)))
        if found is None:
            continue
        first_note, passage = found
        shift = passage.pitches[0] - int(song.melody.pitches[first_note])
        changed = FORMS[kind](passage, home_of(song, shift))
        if changed is None or not _is_varied(changed):
            continue
        holders = songs_that_hold(passage.pitches)
        if number in holders:  # else an ending lies between its notes
            cut = Cut(number, first_note, passage, holders)
            return query_of(cut, kind, changed.lick(kind))
    raise ValueError(f"There are too few tunes for queries of the kind {kind}.")


def _dance_of(kind: str) -> str:
    return kind.partition(",")[0]


def _is_varied(passage: Passage) -> bool:
    return len(np.unique(np.diff(passage.pitches))) >= FEWEST_DIFFERENT_INTERVALS

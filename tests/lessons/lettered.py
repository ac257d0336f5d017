"""Materials whose songs are words: each letter is a measure of four quarter notes."""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from melodex.model.results.material import Material

PARTS = 4  # of a measure, a quarter note each


def lettered(
    songs: Mapping[str, str],
    *,
    licks: Mapping[str, str] | None = None,
    levels: Sequence[float | None] | None = None,
    tunes: Sequence[int] | None = None,
) -> Material:
    """Build a material in which songs share the runs of letters that both have.

    Parameters
    ----------
    songs : mapping
        Each song's id and its measures, a letter each; equal letters are equal measures.
    licks : mapping
        Each lick's name and its measures.
    """
    words = list(songs.values())
    names = list(licks or {})
    measures = np.concatenate([np.repeat(np.arange(1, len(word) + 1), PARTS) for word in words])
    return Material(
        songs=tuple(songs),
        titles=tuple(song.title() for song in songs),
        levels=tuple(levels or [None] * len(words)),
        tunes=tuple(tunes or range(len(words))),
        licks=tuple(names),
        first_parts=np.cumsum([0, *(PARTS * len(word) for word in words)]),
        durations=np.ones(len(measures)),
        measures=measures,
        positions=np.tile(np.arange(PARTS), len(measures) // PARTS),
        equal_to=np.concatenate([_equal_to(word) for word in words]),
        passages=np.array(list(_passages(words)), np.int32).reshape(-1, 6),
        lick_places=np.array(
            [
                (song, lick, *_parts(begin, len((licks or {})[name])))
                for lick, name in enumerate(names)
                for song, word in enumerate(words)
                for begin in range(len(word))
                if word.startswith((licks or {})[name], begin)
            ],
            np.int32,
        ).reshape(-1, 4),
    )


def _equal_to(word: str) -> list[int]:
    return [PARTS * word.index(letter) + part for letter in word for part in range(PARTS)]


def _parts(begin: int, length: int) -> tuple[int, int]:
    return PARTS * begin, PARTS * (begin + length)


def _passages(words: Sequence[str]) -> Iterator[tuple[int, ...]]:
    for song, word in enumerate(words):
        for source, other in enumerate(words):
            for i, j, length in _common_runs(word, other):
                if song != source or j < i:
                    yield (song, *_parts(i, length), source, *_parts(j, length))


def _common_runs(word: str, other: str) -> Iterator[tuple[int, int, int]]:
    """Yield the runs that go no further on either side: their places and length."""
    for i in range(len(word)):
        for j in range(len(other)):
            if i and j and word[i - 1] == other[j - 1]:
                continue
            length = 0
            while (
                max(i, j) + length < max(len(word), len(other))
                and word[i + length : i + length + 1] == other[j + length : j + length + 1] != ""
            ):
                length += 1
            if length:
                yield i, j, length

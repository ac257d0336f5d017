"""Families of licks: a run that several tunes share, merged with all its variants.

The runs are taken in order of what they prove. Each becomes the lick of a family; alignment finds
its variants everywhere, also inside rolls; what a family holds counts for no run after it.
"""

import heapq
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.passage import Passage, ask_songs, passages_of
from melodex.index.song_arrays import SongArrays
from melodex.model.melody import Melody
from melodex.phrases.lines import Lines, lines_of
from melodex.phrases.seeds import Seed, Seeds, evidence, seeds_of
from melodex.phrases.tunes import tunes_of

FEWEST_TUNES = 2
LEAST_EVIDENCE = 10.0  # bits
LEAST_SCORE = 0.6  # of the lick with itself, for a place to be a variant
MOSTLY = 0.5  # the share of a place that must be new for the place to count


@dataclass(frozen=True, slots=True, eq=False)
class Family:
    """A lick and all its places."""

    lick: Melody  # the representative form
    song: int  # where the representative stands
    notes: slice  # of the song arrays
    evidence: float  # bits; families come in this order
    tunes: int  # in how many tunes it stands, versions of one counted once
    places: tuple[tuple[int, tuple[Passage, ...]], ...]  # song, its passages; songs rising


def families_of(
    songs: SongArrays, asked: NDArray[np.int64], wanted: NDArray[np.bool_]
) -> Iterator[Family]:
    """Yield the families of licks of songs, what proves most first; ties by song number.

    Parameters
    ----------
    asked : shape (n_asked,)
        Numbers of the songs, rising.
    wanted : shape (n_notes,), bool
        Notes of the song arrays; a run counts where it lies mostly on such notes. The variants of
        a family may stand anywhere.
    """
    asked = asked[np.diff(songs.first_notes)[asked] > 0]
    lines = lines_of(songs, asked)
    tunes = tunes_of(lines, songs)
    is_taken = ~wanted[lines.notes]
    for weight, seed in _best_first(seeds_of(lines, tunes), tunes[lines.songs], is_taken):
        family = _grown(seed, weight, lines, songs, tunes, asked)
        _take(family, seed, lines, songs, is_taken)
        yield family


def _best_first(
    kinds: tuple[Seeds, ...], tune_of_step: NDArray[np.int64], is_taken: NDArray[np.bool_]
) -> Iterator[tuple[float, Seed]]:
    """Yield seeds in order of evidence, counting only the places that are not taken by then."""
    waiting: list[tuple[float, int, int]] = []
    for kind, seeds in enumerate(kinds):
        weights = evidence(np.maximum(seeds.tunes, 1), seeds.chance)
        for run in np.flatnonzero((seeds.tunes >= FEWEST_TUNES) & (weights >= LEAST_EVIDENCE)):
            waiting.append((-float(weights[run]), kind, int(run)))
    heapq.heapify(waiting)
    while waiting:
        weight, kind, run = heapq.heappop(waiting)
        seed = kinds[kind].seed(run)
        places = np.array([p for p in seed.places if _is_free(p, seed.steps, is_taken)], np.int64)
        n_tunes = len(np.unique(tune_of_step[places]))
        if n_tunes < FEWEST_TUNES:
            continue
        present = -evidence(n_tunes, float(kinds[kind].chance[run]))
        if present <= weight:
            yield -present, Seed(seed.steps, places)
        elif -present >= LEAST_EVIDENCE:
            heapq.heappush(waiting, (present, kind, run))


def _is_free(place: np.int64, steps: int, is_taken: NDArray[np.bool_]) -> bool:
    return bool(is_taken[place : place + steps].mean() < 1 - MOSTLY)


def _grown(
    seed: Seed,
    weight: float,
    lines: Lines,
    songs: SongArrays,
    tunes: NDArray[np.int64],
    asked: NDArray[np.int64],
) -> Family:
    """Take a seed's first place for its lick and find all that answer it."""
    first = int(lines.notes[seed.places[0]])
    notes = slice(first, first + seed.steps + 1)
    lick = _melody_of(songs, notes)
    answers = ask_songs(lick, songs, asked)
    answering = np.flatnonzero(answers.scores >= LEAST_SCORE * len(lick))
    places = tuple(
        (int(asked[place]), tuple(passages_of(answers, place, songs)))
        for place in answering.tolist()
    )
    return Family(
        lick=lick,
        song=int(lines.songs[seed.places[0]]),
        notes=notes,
        evidence=weight,
        tunes=len({int(tunes[song]) for song, _ in places}),
        places=places,
    )


def _melody_of(songs: SongArrays, notes: slice) -> Melody:
    n = notes.stop - notes.start
    return Melody(
        pitches=songs.pitches[notes],
        onsets=songs.onsets[notes] - songs.onsets[notes.start],
        durations=songs.durations[notes],
        measures=songs.measures[notes],
        beat_strengths=songs.beat_strengths[notes],
        strings=np.zeros(n, np.int8),
        frets=np.full(n, -1, np.int8),
        phrase_ends=np.empty(0, np.int32),
    )


def _take(
    family: Family, seed: Seed, lines: Lines, songs: SongArrays, is_taken: NDArray[np.bool_]
) -> None:
    """Mark the steps within the places of a family."""
    for place in seed.places.tolist():
        is_taken[place : place + seed.steps] = True
    for song, passages in family.places:
        begin, end = np.searchsorted(lines.songs, (song, song + 1))
        written = songs.written[lines.notes[begin:end]]
        of_song = songs.written[songs.notes_of(song)]
        for passage in passages:
            first, last = of_song[passage.pairs[[0, -1], 1]]
            is_taken[begin:end] |= (written >= first) & (written < last)

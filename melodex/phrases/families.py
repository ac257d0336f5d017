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
LOOK_AHEAD = 20  # families grown beyond those asked for, since growing changes their order
CLOSE_SCORE = 0.9  # and for its tune to speak for the family
LEAST_SCORE = 0.6  # of the lick with itself, for a place to be a variant


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
    songs: SongArrays, asked: NDArray[np.int64], wanted: NDArray[np.bool_], *, limit: int
) -> list[Family]:
    """Find the families of licks of songs, what proves most first; ties by song and note.

    Parameters
    ----------
    asked : shape (n_asked,)
        Numbers of the songs, rising.
    wanted : shape (n_notes,), bool
        Notes of the song arrays; the lick of a family stands mostly on such notes, its other
        places anywhere.
    limit : int
        How many families at most.
    """
    asked = asked[np.diff(songs.first_notes)[asked] > 0]
    lines = lines_of(songs, asked)
    tunes = tunes_of(lines, songs)
    grown: list[tuple[Family, Seed]] = []
    is_taken = np.zeros(len(lines.notes), np.bool_)
    is_wanted = wanted[lines.notes]
    for bits, seed in _best_first(seeds_of(lines, tunes), tunes[lines.songs], is_taken):
        places = seed.mostly_on(is_wanted)
        if not len(places):
            continue
        family = _grown(seed, int(places[0]), bits, lines, songs, tunes, asked)
        grown.append((family, seed))
        _take(family, seed, lines, songs, is_taken)
        if len(grown) == limit + LOOK_AHEAD:
            break
    grown.sort(key=lambda pair: (-pair[0].evidence, pair[0].notes.start))
    return _not_nested(grown, lines, songs, tunes[lines.songs])[:limit]


def _not_nested(
    grown: list[tuple[Family, Seed]],
    lines: Lines,
    songs: SongArrays,
    tune_of_step: NDArray[np.int64],
) -> list[Family]:
    """Leave out families whose runs lie mostly within the places of families before them."""
    kept: list[Family] = []
    is_taken = np.zeros(len(lines.notes), np.bool_)
    for family, seed in grown:
        if len(np.unique(tune_of_step[seed.mostly_on(~is_taken)])) >= FEWEST_TUNES:
            kept.append(family)
            _take(family, seed, lines, songs, is_taken)
    return kept


def _best_first(
    kinds: tuple[Seeds, ...], tune_of_step: NDArray[np.int64], is_taken: NDArray[np.bool_]
) -> Iterator[tuple[float, Seed]]:
    """Yield seeds and their bits in order of evidence, by the places that are not taken then."""
    waiting: list[tuple[float, int, int]] = []
    for kind, seeds in enumerate(kinds):
        weights = evidence(np.maximum(seeds.tunes, 1), seeds.chance)
        runs = np.flatnonzero((seeds.tunes >= FEWEST_TUNES) & (weights >= LEAST_EVIDENCE))
        waiting += [(-float(weights[run]), kind, run) for run in runs.tolist()]
    heapq.heapify(waiting)
    while waiting:
        weight, kind, run = heapq.heappop(waiting)
        seed = kinds[kind].seed(run)
        seed = seed._replace(places=seed.mostly_on(~is_taken))
        n_tunes = len(np.unique(tune_of_step[seed.places]))
        if n_tunes < FEWEST_TUNES:
            continue
        present = -evidence(n_tunes, float(kinds[kind].chance[run]))
        if present <= weight:
            yield np.log2(len(is_taken)) - float(kinds[kind].chance[run]), seed
        elif -present >= LEAST_EVIDENCE:
            heapq.heappush(waiting, (present, kind, run))


def _grown(
    seed: Seed,
    place: int,
    bits: float,
    lines: Lines,
    songs: SongArrays,
    tunes: NDArray[np.int64],
    asked: NDArray[np.int64],
) -> Family:
    """Take one place of a seed for its lick and find all that answer it."""
    first = int(lines.notes[place])
    notes = slice(first, first + seed.steps + 1)
    lick = _melody_of(songs, notes)
    answers = ask_songs(lick, songs, asked)
    shares = answers.scores / len(lick)
    answering = np.flatnonzero(shares >= LEAST_SCORE)
    places = tuple(
        (int(asked[song]), tuple(passages_of(answers, song, songs)))
        for song in answering.tolist()
    )
    best_shares = np.zeros(len(tunes))
    np.maximum.at(best_shares, tunes[asked[answering]], shares[answering])
    close = best_shares[best_shares >= CLOSE_SCORE]
    proofs = close * bits - np.log2(len(lines.notes)) + np.log2(len(close))
    return Family(
        lick=lick,
        song=int(lines.songs[place]),
        notes=notes,
        evidence=float(np.maximum(proofs, 0).sum()),
        tunes=int((best_shares > 0).sum()),
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

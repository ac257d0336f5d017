"""Families of licks: a run that several tunes share, merged with all its variants.

Runs are processed in order of their evidence. From each, a lick is cut at musical boundaries, and
its variants are found everywhere by alignment, including inside rolls; material in a family does
not count for later runs. Families are then sorted again by all tunes that match closely, and those
within a better one are dropped.
"""

import heapq
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import count
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.best_songs import score_alike
from melodex.alignment.passage import Passage, PassageScores, passages_of
from melodex.index.song_arrays import SongArrays
from melodex.model.melody import Melody
from melodex.phrases.cuts import Cut, best_cut
from melodex.phrases.grouping import Grouping, grouping_of
from melodex.phrases.lines import Lines, lines_of
from melodex.phrases.seeds import Seed, Seeds, evidence, seeds_of
from melodex.phrases.tunes import tune_of_each_song

FEWEST_TUNES = 2
# Bits of a run. 150 tunes of two bundled books have 44 licks with 10, 68 with 7, 79 with 5; the
# songbook's list of twenty has a precision of .87, .82 and .77, and contains all planted licks.
LEAST_EVIDENCE = 7.0
# Number of families sorted together. 150 tunes of two bundled books have about 70 in total; the
# songbook has 17, so all of them are sorted at once.
LOOK_AHEAD = 40
# Shares of the lick's score with itself. On the songbook, from .45 to .55 recall is .96 and
# precision .84 to .86, and .76 to .66 of the pairs of songs with a planted lick are listed for it;
# from .6 precision is .80 and .59 are listed, from .7 .71 and .41.
LEAST_SCORE = 0.5  # for a place to be listed
CLOSE_SCORE = 0.9  # for its tune to count as evidence; .75 gives the same figures


Places: TypeAlias = tuple[tuple[int, tuple[Passage, ...]], ...]
"""Songs, ascending, and the passages of each, in the order played."""


@dataclass(frozen=True, slots=True, eq=False)
class Family:
    """A lick and all its places."""

    lick: Melody  # the representative form
    song: int  # index of the representative's song
    notes: slice  # in the song arrays
    evidence: float  # bits, from the number of tunes that share it
    boundaries: float  # bits: log-odds that phrases begin and end where it does
    tunes: int  # number of tunes, counting versions of one once
    places: Places


@dataclass(frozen=True, slots=True, eq=False)
class _Book:
    """The selected songs, and data derived from them."""

    songs: SongArrays
    selected: NDArray[np.int64]
    lines: Lines
    line_of_step: NDArray[np.int64]
    tunes: NDArray[np.int64]  # shape (n_songs,)
    groupings: dict[int, Grouping] = field(default_factory=dict[int, Grouping])

    def count_tunes(self, steps: NDArray[np.int64]) -> int:
        return len(np.unique(self.tunes[self.lines.songs[steps]]))

    def grouping_at(self, step: int) -> tuple[Grouping, int]:
        """Return the grouping of a step's song, and the step's note in it."""
        song = int(self.lines.songs[step])
        if song not in self.groupings:
            self.groupings[song] = grouping_of(self.songs, song)
        return self.groupings[song], int(self.lines.notes[step] - self.songs.first_notes[song])


def families_of(
    songs: SongArrays, selected: NDArray[np.int64], wanted: NDArray[np.bool_]
) -> Iterator[Family]:
    """Yield the families of licks in some songs by evidence, descending; ties by song and note.

    Consume as many as needed: the order does not depend on how many are taken.

    Parameters
    ----------
    selected : shape (n_selected,)
        Indices of the songs, ascending.
    wanted : shape (n_notes,), bool
        Notes of the song arrays; the representative of a family is mostly on such notes, its other
        places may be anywhere.
    """
    selected = selected[np.diff(songs.first_notes)[selected] > 0]
    lines = lines_of(songs, selected)
    book = _Book(songs, selected, lines, lines.line_of_steps(), tune_of_each_song(lines, songs))
    is_covered = np.zeros(len(lines.notes), np.bool_)
    for family, seed in _in_order(_grown_families(book, wanted[lines.notes])):
        if book.count_tunes(seed.mostly_on(~is_covered)) >= FEWEST_TUNES:
            yield family
            _take(family, seed, book, is_covered)


def _in_order(grown: Iterator[tuple[Family, Seed]]) -> Iterator[tuple[Family, Seed]]:
    """Yield families, each the best of the next ``LOOK_AHEAD`` by evidence and boundaries."""
    ready: list[tuple[float, int, int, Family, Seed]] = []
    grown_before = count()
    for family, seed in grown:
        rank = -(family.evidence + family.boundaries)
        heapq.heappush(ready, (rank, family.notes.start, next(grown_before), family, seed))
        if len(ready) > LOOK_AHEAD:
            yield heapq.heappop(ready)[-2:]
    while ready:
        yield heapq.heappop(ready)[-2:]


def _grown_families(book: _Book, is_wanted: NDArray[np.bool_]) -> Iterator[tuple[Family, Seed]]:
    """Yield the family of each seed, and the seed, until nothing new recurs."""
    is_taken = np.zeros(len(is_wanted), np.bool_)
    for seed, seeds in _best_first(book, is_taken):
        candidates = seed.mostly_on(is_wanted)
        if not len(candidates):
            continue
        cut = best_cut(seed, candidates, seeds, book.line_of_step, book.grouping_at)
        if cut is None:
            continue
        family = _grown(cut, book)
        _take(family, seed, book, is_taken)
        if family.tunes >= FEWEST_TUNES:  # otherwise the same pitches in a different rhythm
            yield family, seed


def _best_first(book: _Book, is_taken: NDArray[np.bool_]) -> Iterator[tuple[Seed, Seeds]]:
    """Yield seeds, and the runs of their kind, by evidence at places not yet taken."""
    kinds: tuple[Seeds, ...] = seeds_of(book.lines, book.tunes)
    waiting: list[tuple[float, int, int]] = []
    for kind, seeds in enumerate(kinds):
        weights = evidence(np.maximum(seeds.tunes, 1), seeds.chance)
        runs = np.flatnonzero((seeds.tunes >= FEWEST_TUNES) & (weights >= LEAST_EVIDENCE))
        waiting += [(-float(weights[run]), kind, run) for run in runs.tolist()]
    heapq.heapify(waiting)
    while waiting:
        weight, kind, run = heapq.heappop(waiting)
        seed, chance = kinds[kind].seed(run), float(kinds[kind].chance[run])
        seed = seed._replace(places=seed.mostly_on(~is_taken))
        n_tunes = book.count_tunes(seed.places)
        if n_tunes < FEWEST_TUNES:
            continue
        present = -float(evidence(np.array(n_tunes), np.array(chance)))
        if present <= weight:
            yield seed, kinds[kind]
        elif -present >= LEAST_EVIDENCE:
            heapq.heappush(waiting, (present, kind, run))


def _grown(cut: Cut, book: _Book) -> Family:
    """Return the family of a stretch: a lick and all places that match it."""
    first = int(book.lines.notes[cut.place])
    notes = slice(first, first + cut.steps + 1)
    lick = _melody_of(book.songs, notes)
    found = score_alike(lick, book.songs, book.selected, least=LEAST_SCORE)
    best_shares = np.zeros(len(book.tunes))
    np.maximum.at(best_shares, book.tunes[found.songs], found.shares)
    close = best_shares[best_shares >= CLOSE_SCORE]
    # Each close tune counts as evidence like an equal one, reduced by its differences.
    proofs = close * cut.surprise - np.log2(len(book.lines.notes)) + np.log2(len(close))
    return Family(
        lick=lick,
        song=int(book.lines.songs[cut.place]),
        notes=notes,
        evidence=float(np.maximum(proofs, 0).sum()),
        boundaries=cut.boundaries,
        tunes=int((best_shares >= LEAST_SCORE).sum()),
        places=_places(found, book.songs),
    )


def places_of_lick(lick: Melody, songs: SongArrays, selected: NDArray[np.int64]) -> Places:
    """Return the places of a lick, found like those of a family.

    Parameters
    ----------
    selected : shape (n_selected,)
        Indices of the songs, ascending.
    """
    return _places(score_alike(lick, songs, selected, least=LEAST_SCORE), songs)


def _places(found: PassageScores, songs: SongArrays) -> Places:
    return tuple(
        (int(found.songs[place]), tuple(passages_of(found, place, songs, least=LEAST_SCORE)))
        for place in np.flatnonzero(found.shares >= LEAST_SCORE).tolist()
    )


def _melody_of(songs: SongArrays, notes: slice) -> Melody:
    """Copy a stretch of a song without strings, since licks are searched for by pitch."""
    n_notes = len(songs.pitches[notes])
    return Melody(
        pitches=songs.pitches[notes],
        onsets=songs.onsets[notes] - songs.onsets[notes.start],
        durations=songs.durations[notes],
        measures=songs.measures[notes],
        beat_strengths=songs.beat_strengths[notes],
        strings=np.zeros(n_notes, np.int8),
        frets=np.full(n_notes, -1, np.int8),
        phrase_ends=np.empty(0, np.int32),
    )


def _take(family: Family, seed: Seed, book: _Book, is_taken: NDArray[np.bool_]) -> None:
    """Mark the steps of a seed, and of the places of its family, as taken."""
    lines, songs = book.lines, book.songs
    for place in seed.places.tolist():
        is_taken[place : place + seed.steps] = True
    for song, passages in family.places:
        begin, end = np.searchsorted(lines.songs, (song, song + 1))
        written = songs.written[lines.notes[begin:end]]
        of_song = songs.written[songs.notes_of(song)]
        for passage in passages:
            first, last = of_song[passage.pairs[[0, -1], 1]]
            is_taken[begin:end] |= (written >= first) & (written < last)

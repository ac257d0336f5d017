"""What songs teach each other, song by song: the time that two songs share."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from melodex.lessons.knowledge import (
    SHARE_DIGITS,
    TIME_DIGITS,
    Known,
    knowledge_of,
    measures_not_known,
    nothing_known,
)
from melodex.model.results.audit import CoveredSong, SharedPair
from melodex.model.results.known import Skill
from melodex.model.results.material import Material


@dataclass(frozen=True, slots=True, eq=False)
class Overlap:
    """What each song of a material teaches of all."""

    material: Material
    taught: NDArray[np.bool_]  # shape (n_songs, n_parts): what is known to who has learned a song
    beats: NDArray[np.float64]  # shape (n_songs,): the time of each
    # shape (n_songs, n_songs), quarter notes: of the row's song, what the column's song teaches
    taught_beats: NDArray[np.float64]

    def taught_by(self, songs: Iterable[int]) -> Known:
        """Return what somebody can play who has learned some songs."""
        numbers = list(songs)
        if not numbers:
            return nothing_known(self.material)
        known: Known = np.logical_or.reduce(self.taught[numbers])
        return known

    def beats_known(self, song: int, known: Known) -> float:
        """Return how much of a song is known, in quarter notes."""
        parts = self.material.parts_of(song)
        return float(self.material.durations[parts][known[parts]].sum())

    def share(self, song: int, beats: float) -> float | None:
        """Return some time of a song as a part of the whole, 0 to 1; None if it has no notes."""
        return share_of(beats, float(self.beats[song]))


def overlap_of(material: Material) -> Overlap:
    """Find out what each song of a material teaches of all."""
    songs = len(material.songs)
    taught = np.zeros((songs, len(material.durations)), np.bool_)
    song_of_part = np.repeat(np.arange(songs), np.diff(material.first_parts))
    taught_beats = np.zeros((songs, songs))
    for number, song in enumerate(material.songs):
        taught[number] = knowledge_of(Skill("", frozenset([song])), material)
        known_durations = material.durations * taught[number]
        taught_beats[:, number] = np.bincount(song_of_part, known_durations, songs)
    beats = np.bincount(song_of_part, material.durations, songs).astype(np.float64)
    return Overlap(material, taught, beats, taught_beats)


def share_of(beats: float, of_beats: float) -> float | None:
    """Return a part of some time, 0 to 1; None of no time."""
    return round(float(beats) / of_beats, SHARE_DIGITS) if of_beats else None


def in_beats(time: float) -> float:
    """Round a time in quarter notes to the digits that mean something."""
    return round(float(time), TIME_DIGITS)


def shared_pairs(overlap: Overlap, pairs: Iterable[tuple[int, int]]) -> tuple[SharedPair, ...]:
    """Describe those pairs of songs of which one teaches some of the other, the most shared first.

    Parameters
    ----------
    pairs : iterable of (int, int)
        Numbers of two different songs.
    """
    licks = _licks_by_song(overlap.material)
    beats = overlap.taught_beats
    found = [(a, b) for a, b in pairs if beats[a, b] or beats[b, a]]
    found.sort(key=lambda pair: (-round(beats[pair] + beats[pair[::-1]], TIME_DIGITS), pair))
    return tuple(_shared_pair(overlap, a, b, licks[a] & licks[b]) for a, b in found)


def covered_songs(
    overlap: Overlap, songs: Sequence[int], others: Sequence[int]
) -> tuple[CoveredSong, ...]:
    """Measure how much of some songs others teach, the least covered first."""
    material, known = overlap.material, overlap.taught_by(others)
    covered = [
        CoveredSong(
            song=material.songs[song],
            title=material.titles[song],
            share=overlap.share(song, overlap.beats_known(song, known)),
            covered=in_beats(overlap.beats_known(song, known)),
            beats=in_beats(overlap.beats[song]),
        )
        for song in songs
    ]
    return tuple(sorted(covered, key=lambda song: (song.share is None, song.share or 0.0)))


def _licks_by_song(material: Material) -> list[frozenset[int]]:
    licks: list[set[int]] = [set() for _ in material.songs]
    for song, lick, _, _ in material.lick_places.tolist():
        licks[int(song)].add(int(lick))
    return [frozenset(each) for each in licks]


def _shared_pair(overlap: Overlap, a: int, b: int, licks: frozenset[int]) -> SharedPair:
    material, beats = overlap.material, overlap.taught_beats
    return SharedPair(
        song_a=material.songs[a],
        title_a=material.titles[a],
        song_b=material.songs[b],
        title_b=material.titles[b],
        beats_a=in_beats(beats[a, b]),
        beats_b=in_beats(beats[b, a]),
        share_a=overlap.share(a, beats[a, b]),
        share_b=overlap.share(b, beats[b, a]),
        measures_a=measures_not_known(material, a, ~overlap.taught[b]),
        measures_b=measures_not_known(material, b, ~overlap.taught[a]),
        licks=tuple(material.licks[lick] for lick in sorted(licks)),
        same_tune=material.tunes[a] == material.tunes[b],
    )

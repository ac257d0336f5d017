"""Estimate chords from a melody: a triad for each half measure."""

from bisect import bisect_right
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.features.as_played import SAME_ONSET
from melodex.features.key_finding import find_key
from melodex.model.chord_names import ROOTS
from melodex.model.key import Key
from melodex.model.melody import Melody
from melodex.model.song import ChordSymbol, Song

_CHORD_NAMES = (*ROOTS, *(f"{root}m" for root in ROOTS))

# Likelihood of a melody note over a major and a minor triad, by half-steps above the root. Chord
# tones are more likely than others, the root most; the minor seventh suggests a dominant. Common
# practice, no source; accuracy is measured in tests/features/test_chords.py.
_NOTES_OVER_CHORD = np.array(
    [
        [0.29, 0.005, 0.07, 0.01, 0.25, 0.05, 0.01, 0.20, 0.005, 0.06, 0.03, 0.02],
        [0.29, 0.005, 0.07, 0.25, 0.01, 0.06, 0.01, 0.20, 0.02, 0.02, 0.055, 0.01],
    ]
)
# Prior of a chord, by half-steps of its root above the tonic: I, IV and V before ii and vi; in
# minor also III and VII. Common practice, no source.
_RARE = 0.004
_CHORDS_OF_KEY = {
    "major": {(0, 0): 0.45, (7, 0): 0.2, (5, 0): 0.16, (9, 1): 0.05, (2, 1): 0.05, (4, 1): 0.02},
    "minor": {(0, 1): 0.45, (7, 0): 0.12, (5, 1): 0.1, (10, 0): 0.12, (3, 0): 0.1, (8, 0): 0.05},
}
_LIKE_MAJOR = ("major", "lydian", "mixolydian", "")
# Probability that a measure, and its second half, keep the chord before (in addition to the chord's
# prior), and the quarter notes of evidence that a full measure counts for in any metre. On a coarse
# grid these values agreed best with the chords stated in the songbook
# (tests/features/test_chords.py).
_STAYS, _STAYS_WITHIN = 0.2, 0.7
_EVIDENCE = 6.0
_WEAKEST = 0.5  # minimum beat weight, added to strengths between 0 and 1


class _Stretch(NamedTuple):
    """A measure, or half of one."""

    onset: float  # quarter notes
    full: float  # length of a full measure here, in quarter notes
    is_second_half: bool


def estimated_chords(song: Song) -> tuple[ChordSymbol, ...]:
    """Estimate the major or minor triads that fit a song's melody.

    The most likely sequence of a hidden Markov model. Emissions are the notes of each half measure,
    weighted by length and beat; the prior favours chords common in the key; chords tend to stay,
    more so within a measure. Measures that cannot be halved, such as those of three beats, have one
    chord.

    Returns
    -------
    tuple of ChordSymbol
        One at the beginning of each measure, and one within it if the chord changes there.

    Source
    ------
    Rabiner, "A tutorial on hidden Markov models", Proceedings of the IEEE 77 (1989) 257-286: the
    Viterbi path (from memory). Simon, Morris and Basu, "MySong: automatic accompaniment generation
    for vocal melodies", CHI 2008: chords from pitch classes weighted by length (from memory).
    """
    melody = song.melody
    stretches = list(_stretches(song))
    if not len(melody) or not stretches:
        return ()
    chance = np.log(_share_of_chords(melody, song.key))
    heard = _heard(melody, stretches) @ np.log(_notes_of_chords()).T
    within = [stretch.is_second_half for stretch in stretches]
    path = _likeliest(heard, chance, within)
    return tuple(
        ChordSymbol(stretch.onset, _CHORD_NAMES[chord])
        for stretch, chord, before in zip(stretches, path, [-1, *path], strict=False)
        if not stretch.is_second_half or chord != before
    )


def _stretches(song: Song) -> Iterator[_Stretch]:
    """Yield half measures where a metre's beats can be halved, else whole or cut-short measures."""
    onsets: list[float] = song.measures.onsets.tolist()
    metres = [song.metre, *(change.metre for change in song.metre_changes)]
    begins = [change.onset - SAME_ONSET for change in song.metre_changes]
    ends = [*onsets[1:], float(song.sections.max(initial=0.0))]
    for onset, end in zip(onsets, ends, strict=True):
        metre = metres[bisect_right(begins, onset)]
        full = float(metre.measure_length) or max(end - onset, SAME_ONSET)
        yield _Stretch(onset, full, is_second_half=False)
        is_whole = abs(end - onset - full) < SAME_ONSET
        if is_whole and not metre.is_free and metre.numerator % 2 == 0:
            yield _Stretch(onset + full / 2, full, is_second_half=True)


def _heard(melody: Melody, stretches: list[_Stretch]) -> NDArray[np.float64]:
    """Return each stretch's weight by pitch class, shape (n_stretches, 12)."""
    heard = np.zeros((len(stretches), 12))
    onsets = np.array([stretch.onset for stretch in stretches])
    full = np.array([stretch.full for stretch in stretches])
    here = np.searchsorted(onsets, melody.onsets + SAME_ONSET, side="right") - 1
    here = np.maximum(here, 0)
    weights = _EVIDENCE * melody.durations / full[here] * (_WEAKEST + melody.beat_strengths)
    np.add.at(heard, (here, melody.pitches % 12), weights)
    return heard


def _notes_of_chords() -> NDArray[np.float64]:
    """Return the shares of pitch classes over each chord, shape (24, 12): C to B, Cm to Bm."""
    return np.array([np.roll(shares, root) for shares in _NOTES_OVER_CHORD for root in range(12)])


def _share_of_chords(melody: Melody, key: Key | None) -> NDArray[np.float64]:
    """Return the prior of each chord in the song's key, shape (24,)."""
    tonic = None if key is None else key.tonic_pitch_class
    if key is None or tonic is None:
        found = find_key(melody)
        tonic, mode = found.tonic_pitch_class, found.mode
    else:
        mode = "major" if key.mode in _LIKE_MAJOR else "minor"
    shares = np.full(24, _RARE)
    for (degree, is_minor), share in _CHORDS_OF_KEY[mode].items():
        shares[(tonic + degree) % 12 + 12 * is_minor] = share
    shares /= shares.sum()
    return shares


def _likeliest(
    heard: NDArray[np.float64], chance: NDArray[np.float64], within: list[bool]
) -> list[int]:
    """Return the most likely sequence of chords; of equally likely ones the first.

    Parameters
    ----------
    heard : shape (n_stretches, 24)
        Log likelihood of each stretch's notes under each chord.
    chance : shape (24,)
        Log prior of each chord.
    within : list of bool
        Whether each stretch is the second half of a measure.
    """
    at_bar_line, in_measure = (
        np.log(stays * np.eye(24) + (1 - stays) * np.exp(chance))
        for stays in (_STAYS, _STAYS_WITHIN)
    )
    total = chance + heard[0]
    came_from: list[NDArray[np.intp]] = []
    for stretch, is_within in zip(heard[1:], within[1:], strict=True):
        reached = total[:, np.newaxis] + (in_measure if is_within else at_bar_line)
        came_from.append(reached.argmax(axis=0))
        total = reached.max(axis=0) + stretch
    path = [int(total.argmax())]
    for before in reversed(came_from):
        path.append(int(before[path[-1]]))
    return path[::-1]

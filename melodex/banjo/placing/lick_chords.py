"""The chords that a lick is played over, stated or heard in its notes."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats
from melodex.banjo.moments import OCTAVE
from melodex.features.chords import Chord, read_chord
from melodex.features.key_finding import find_key
from melodex.model.lick import Lick
from melodex.model.song import ChordSymbol, Song
from melodex.parsing.measures import ROUNDING

# Half-steps above the root. Common practice, no source.
_TRIAD = (0, 4, 7)
_KINDS = (
    (Chord(0, is_minor=False, extension=""), _TRIAD),
    (Chord(0, is_minor=True, extension=""), (0, 3, 7)),
    (Chord(0, is_minor=False, extension="7"), (0, 4, 7, 10)),
)
_ROOT_HEARD = 0.1  # tells chords apart that have as many of the notes


def chords_over(lick: Lick, weights: NDArray[np.float64]) -> list[Chord | None]:
    """Return the chord that each note of a lick is played over, None where none is known.

    Where none is stated, the chord of each measure that most of its notes belong to: major or
    minor, or a dominant seventh where its third and seventh sound.

    Parameters
    ----------
    weights : shape (n_notes,)
        What each note counts; 0 for a drone.
    """
    melody = lick.melody
    if lick.chords:
        return chords_at(lick.chords, melody.onsets)
    heard: dict[int, Chord | None] = {}
    for measure in np.unique(melody.measures).tolist():
        inside = melody.measures == measure
        heard[measure] = _chord_of(melody.pitches[inside], weights[inside])
    return [heard[measure] for measure in melody.measures.tolist()]


def chords_at(chords: Sequence[ChordSymbol], onsets: Beats) -> list[Chord | None]:
    """Return the chord that sounds at each onset; None before the first, or for no chord."""
    begins = np.array([chord.onset for chord in chords], np.float64)
    read = [None, *(read_chord(chord.text) for chord in chords)]
    numbers: list[int] = np.searchsorted(begins, onsets + ROUNDING, side="right").tolist()
    return [read[number] for number in numbers]


def _chord_of(pitches: NDArray[np.int16], weights: NDArray[np.float64]) -> Chord | None:
    shares = np.bincount(pitches % OCTAVE, weights, minlength=OCTAVE)
    if not shares.sum():
        return None
    shares = shares / shares.sum()
    best, most = None, 0.0
    for kind, steps in _KINDS:
        for root in range(OCTAVE):
            tones = shares[[(root + step) % OCTAVE for step in steps]]
            share = tones.sum() + _ROOT_HEARD * tones[0]
            is_heard = len(steps) == len(_TRIAD) or _is_heard_as_dominant(tones)
            if is_heard and share > most + ROUNDING:
                best, most = kind._replace(root=root), share
    return best


def _is_heard_as_dominant(tones: NDArray[np.float64]) -> bool:
    """Whether third and seventh sound, and root or fifth with them."""
    root, third, fifth, seventh = tones > 0
    return bool(third and seventh and (root or fifth))


def is_dominant(chord: Chord | None) -> bool:
    """Whether a chord has a minor seventh above a major third."""
    return chord is not None and not chord.is_minor and chord.extension.startswith("7")


def last_tonic(song: Song, chords: Sequence[ChordSymbol]) -> float:
    """Return where the tonic sounds with which a song ends, in its last measure; else infinity."""
    tonic = None if song.key is None else song.key.tonic_pitch_class
    if tonic is None:
        tonic = find_key(song.melody).tonic_pitch_class
    last = read_chord(chords[-1].text) if chords else None
    if last is None or last.root != tonic:
        return np.inf
    return max(chords[-1].onset, float(song.measures.onsets[-1]))

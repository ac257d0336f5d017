"""Chords: the symbols that a source states, or an estimate from the melody where it states none."""

import re
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats
from melodex.errors import QueryError
from melodex.features.as_played import SAME_ONSET
from melodex.features.key_finding import find_key
from melodex.model.chord_names import PITCH_CLASSES, ROOTS
from melodex.model.key import Key
from melodex.model.melody import Melody
from melodex.model.song import ChordSymbol, Song

_SYMBOL = re.compile(r"([A-G])([#b♯♭]?)((?:min|mi|m|-)(?!aj))?([^/]*)(/.*)?")
_CHORD_NAMES = (*ROOTS, *(f"{root}m" for root in ROOTS))

# How likely a note of the melody is over a major and a minor triad, by half-steps above the root.
# Chord tones are likelier than others, the root first; the minor seventh belongs to dominants.
# Common practice, no source; tests/features/test_chords.py says how well they do.
_NOTES_OVER_CHORD = np.array(
    [
        [0.29, 0.005, 0.07, 0.01, 0.25, 0.05, 0.01, 0.20, 0.005, 0.06, 0.03, 0.02],
        [0.29, 0.005, 0.07, 0.25, 0.01, 0.06, 0.01, 0.20, 0.02, 0.02, 0.055, 0.01],
    ]
)
# How likely a chord is, by half-steps of its root above the tonic: I, IV and V before ii and vi;
# in minor also III and VII. Common practice, no source.
_RARE = 0.004
_CHORDS_OF_KEY = {
    "major": {(0, 0): 0.45, (7, 0): 0.2, (5, 0): 0.16, (9, 1): 0.05, (2, 1): 0.05, (4, 1): 0.02},
    "minor": {(0, 1): 0.45, (7, 0): 0.12, (5, 1): 0.1, (10, 0): 0.12, (3, 0): 0.1, (8, 0): 0.05},
}
_LIKE_MAJOR = ("major", "lydian", "mixolydian", "")
_STAYS = 0.3  # how often a measure keeps the chord of the one before, beside the chord's own share


class Chord(NamedTuple):
    """A chord by root and third."""

    root: int  # 0 for C to 11 for B
    is_minor: bool
    extension: str  # "7", "sus4": as written, without its bass


def read_chord(text: str) -> Chord | None:
    """Read a chord symbol; None for what is no chord ("N.C.").

    Examples
    --------
    >>> read_chord("F#m7"), read_chord("slowly")
    (Chord(root=6, is_minor=True, extension='7'), None)
    """
    match = _SYMBOL.fullmatch(text.strip())
    if match is None:
        return None
    shift = {"#": 1, "♯": 1, "b": -1, "♭": -1}.get(match[2], 0)
    return Chord((PITCH_CLASSES[match[1]] + shift) % 12, bool(match[3]), match[4].strip())


def chord_tones(text: str) -> frozenset[int] | None:
    """Return a chord's pitch classes, 0 for C: triad and, of "D7", seventh; None for no chord.

    Examples
    --------
    >>> sorted(chord_tones("D7"))
    [0, 2, 6, 9]
    """
    chord = read_chord(text)
    if chord is None:
        return None
    steps = {0, 3 if chord.is_minor else 4, 7}
    if chord.extension.startswith("7"):
        steps.add(10)
    return frozenset((chord.root + step) % 12 for step in steps)


def chord_asked(text: str) -> Chord:
    """Read a chord that a user asks for.

    Raises
    ------
    QueryError
        If it is no chord symbol.
    """
    chord = read_chord(text)
    if chord is None:
        raise QueryError(
            f"'{text}' is not a chord symbol.", "write a chord symbol: C, Am, D7, F#m."
        )
    return chord


def answers_to(text: str, asked: Chord) -> bool:
    """Return whether a chord symbol matches a given one: C matches C7 too, C7 only itself."""
    chord = read_chord(text)
    return (
        chord is not None
        and (chord.root, chord.is_minor) == (asked.root, asked.is_minor)
        and asked.extension in ("", chord.extension)
    )


def begin_over(asked: Chord, chords: tuple[ChordSymbol, ...], onsets: Beats) -> NDArray[np.bool_]:
    """Return, for each onset, whether it lies over a chord.

    Parameters
    ----------
    chords : tuple of ChordSymbol
        In order; each holds until the next, and none before the first.
    onsets : shape (n,), quarter notes

    Returns
    -------
    shape (n,), bool
    """
    fits = np.array([False, *(answers_to(chord.text, asked) for chord in chords)])
    begins = np.array([chord.onset for chord in chords], np.float64)
    return fits[np.searchsorted(begins, onsets + SAME_ONSET, side="right")]


def chords_of(song: Song) -> tuple[tuple[ChordSymbol, ...], bool]:
    """Return a song's chords, and whether they are estimated because the source states none."""
    if song.chords:
        return song.chords, False
    return estimated_chords(song), True


def chords_during(
    chords: tuple[ChordSymbol, ...], begin: float, end: float
) -> list[tuple[str, float]]:
    """List the chords that sound in a stretch, in order, each with its length in quarter notes.

    Parameters
    ----------
    begin, end : float
        Quarter notes from the start of the written music.
    """
    told: list[tuple[str, float]] = []
    ends = [*(chord.onset for chord in chords[1:]), np.inf]
    for chord, chord_end in zip(chords, ends, strict=False):
        length = min(chord_end, end) - max(chord.onset, begin)
        if length <= SAME_ONSET:
            continue
        if told and told[-1][0] == chord.text:
            length += told.pop()[1]
        told.append((chord.text, float(length)))
    return told


def estimated_chords(song: Song) -> tuple[ChordSymbol, ...]:
    """Estimate a major or minor triad for each measure from the notes of the melody.

    The likeliest sequence by a hidden Markov model: the notes of a measure, weighted by length
    and beat, speak for a chord; the key for its usual chords; a chord tends to stay.

    Source
    ------
    Rabiner, "A tutorial on hidden Markov models", Proceedings of the IEEE 77 (1989) 257-286: the
    Viterbi path (from memory).
    """
    melody = song.melody
    if not len(melody) or not len(song.measures.onsets):
        return ()
    chance = np.log(_share_of_chords(melody, song.key))
    heard = _heard(melody, song.measures.onsets) @ np.log(_notes_of_chords()).T
    path = _likeliest(heard, chance)
    return tuple(
        ChordSymbol(float(onset), _CHORD_NAMES[chord])
        for onset, chord in zip(song.measures.onsets, path, strict=True)
    )


def _heard(melody: Melody, measures: NDArray[np.float64]) -> NDArray[np.float64]:
    """Sum up each measure's notes by pitch class, shape (n_measures, 12)."""
    heard = np.zeros((len(measures), 12))
    measure = np.searchsorted(measures, melody.onsets + SAME_ONSET, side="right") - 1
    weights = melody.durations * (0.5 + melody.beat_strengths)
    np.add.at(heard, (np.maximum(measure, 0), melody.pitches % 12), weights)
    return heard


def _notes_of_chords() -> NDArray[np.float64]:
    """Return the share of each pitch class over each chord, shape (24, 12): C to B, Cm to Bm."""
    return np.array([np.roll(shares, root) for shares in _NOTES_OVER_CHORD for root in range(12)])


def _share_of_chords(melody: Melody, key: Key | None) -> NDArray[np.float64]:
    """Return the share of each chord in the song's key, shape (24,)."""
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


def _likeliest(heard: NDArray[np.float64], chance: NDArray[np.float64]) -> list[int]:
    """Find the likeliest sequence of chords, of equal ones the first."""
    changes = np.log(_STAYS * np.eye(24) + (1 - _STAYS) * np.exp(chance))
    total = chance + heard[0]
    came_from: list[NDArray[np.intp]] = []
    for measure in heard[1:]:
        reached = total[:, np.newaxis] + changes
        came_from.append(reached.argmax(axis=0))
        total = reached.max(axis=0) + measure
    path = [int(total.argmax())]
    for before in reversed(came_from):
        path.append(int(before[path[-1]]))
    return path[::-1]

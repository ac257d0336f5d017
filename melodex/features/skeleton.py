"""The texture of a line (plain, even, rolled), and which of its notes carry the melody.

In three-finger style the melody is on the beats of strings 1 to 4; the short fifth string drones,
and notes off the beat are filler (common practice, no source). Running passages on other
instruments are similar. So in a line of even notes, an alignment may skip notes off the beat and on
the drone string at no cost, and those on the beat at a small cost.
"""

from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats, Pitches, Strengths, Strings
from melodex.model.melody import Melody

DRONE_STRING = 5
THUMB_STRINGS = (4, 3, 2)  # the melody note of a pinch is on the first of these that sounds
# Measured on tunes that the retrieval benchmark had arranged in rolls, tuning half: 94 % of the
# rolled ones move by one note value in more than nine notes of ten, 10 % of the plain ones.
EVEN_SHARE = 0.9
FEWEST_EVEN_NOTES = 8  # a shorter line may be even by coincidence
# Notes on strong beats that a lick must have to count as rolled: every tune has the two or three of
# a measure of 6/8.
FEWEST_CARRYING = 6
LONGEST_FILLER = 0.5  # quarter notes; a roll has no longer notes
# Share of even notes and of steps. Among the first eight measures of tunes, 52 % of those put in
# rolls by `arrange` meet both limits and 3 % of the plain ones; with .9 and .3 it would be 26 and
# .5 %.
ROLL_EVEN_SHARE = 0.8
STEP_SHARE = 0.4
WIDEST_STEP = 2  # half-steps
ONSET_GRID = 48  # ticks in a quarter note, fine enough for triplets of thirty-seconds


class Texture(IntEnum):
    """How a song is played; from ``ROLLED`` on, notes between melody notes are filler."""

    PLAIN = 0
    EVEN = 1  # runs in one short note value
    ROLLED = 2  # even, with far more leaps than steps
    TAB = 3  # strings are known


def texture_of(melody: Melody, onsets: Beats) -> Texture:
    """Return the texture of a melody.

    Parameters
    ----------
    onsets : shape (n_played,)
        Onsets of its notes as played, with repeats, in quarter notes.
    """
    if melody.strings.any():
        return Texture.TAB
    if sounds_rolled(melody):
        return Texture.ROLLED
    return Texture.EVEN if is_even(onsets) else Texture.PLAIN


def is_even(onsets: Beats, share: float = EVEN_SHARE) -> bool:
    """Return whether a line keeps to one short note value, as rolls do.

    Parameters
    ----------
    onsets : shape (n_notes,), quarter notes
    share : float
        The share of notes that must have it.
    """
    if len(onsets) < FEWEST_EVEN_NOTES:
        return False
    steps = np.rint(np.diff(onsets) * ONSET_GRID).astype(np.int64)
    counts = np.bincount(np.clip(steps, 0, 4 * ONSET_GRID))
    commonest = int(counts.argmax())
    return bool(0 < commonest <= LONGEST_FILLER * ONSET_GRID and counts.max() >= share * len(steps))


def carries_melody(beat_strengths: Strengths, strings: Strings | None = None) -> NDArray[np.bool_]:
    """Return whether each note may carry the melody, assuming that the line is a roll.

    It may if its beat is stronger than the most common beat strength of the line, which is off the
    beat, and it is not on the drone string.

    Parameters
    ----------
    beat_strengths : shape (n_notes,)
    strings : shape (n_notes,) or None
        0 if unknown; None to ignore strings.

    Returns
    -------
    shape (n_notes,), bool
    """
    values, counts = np.unique(beat_strengths, return_counts=True)
    off_the_beat = values[counts.argmax()] if len(values) else 0.0
    carries: NDArray[np.bool_] = beat_strengths > off_the_beat
    return carries if strings is None else carries & (strings != DRONE_STRING)


def line_pitches(melody: Melody) -> Pitches:
    """Return the pitches of a melody; in a pinch the thumb's note instead of the highest.

    Parameters
    ----------
    melody : Melody
        Left unchanged if no strings are known.

    Returns
    -------
    shape (n_notes,), MIDI note numbers
    """
    pitches = melody.pitches.copy()
    tones = melody.chord_tones
    for note in np.unique(tones.notes):
        of_note = tones.notes == note
        strings = np.append(tones.strings[of_note], melody.strings[note])
        sounding = np.append(tones.pitches[of_note], melody.pitches[note])
        for string in THUMB_STRINGS:
            if string in strings:
                pitches[note] = sounding[strings == string][0]
                break
    return pitches


def sounds_rolled(melody: Melody) -> bool:
    """Return whether a line sounds like a roll: even, with far more leaps than steps.

    Strings are ignored, so that the same pitches always have the same texture, however they were
    typed.
    """
    if not is_even(melody.onsets, ROLL_EVEN_SHARE):
        return False
    steps = np.abs(np.diff(melody.pitches)) <= WIDEST_STEP
    carrying = carries_melody(melody.beat_strengths)
    return bool(steps.mean() <= STEP_SHARE and carrying.sum() >= FEWEST_CARRYING)

"""The melody inside a rolled or ornamented line: which notes carry it, and which fill.

In three-finger style the melody stands on the beats of strings 1 to 4, while the short fifth string
drones and the off-beats fill (common practice, no source). The same holds of running passages on
other instruments. So in a line of even notes the notes off the beat and on the drone string may be
left out for nothing, those on the beat for little.
"""

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats, NoteNumbers, Pitches, Strengths, Strings
from melodex.model.melody import Melody

DRONE_STRING = 5
THUMB_STRINGS = (4, 3, 2)  # the thumb's, which bear the melody of a pinch; the first that sounds
# Measured on tunes that the retrieval benchmark had arranged in rolls, tuning half: of the rolled
# ones 94 in 100 move by one note value in more than nine notes of ten, of the plain ones 1 in 10.
EVEN_SHARE = 0.9
FEWEST_EVEN_NOTES = 8  # a shorter line is even by chance
LONGEST_FILLER = 0.5  # quarter notes; longer notes are no roll
DRONE_SHARE = 0.25  # raised the top hits of rolled licks, eight notes and more, from .48 to .56
# Of even passages of 12 notes so few half- and whole steps have 84 in 100 of the rolled and 8 of
# the plain; of 24 notes 86 and 6.
STEP_SHARE = 0.3
WIDEST_STEP = 2  # half-steps
ONSET_GRID = 48  # a quarter note in ticks, fine enough for triplets of thirty-seconds


def is_even(onsets: Beats) -> bool:
    """Tell whether a line runs on in one short note value, as rolls do.

    Parameters
    ----------
    onsets : shape (n_notes,), quarter notes
    """
    if len(onsets) < FEWEST_EVEN_NOTES:
        return False
    steps = np.rint(np.diff(onsets) * ONSET_GRID).astype(np.int64)
    counts = np.bincount(np.clip(steps, 0, 4 * ONSET_GRID))
    commonest = int(counts.argmax())
    return bool(
        0 < commonest <= LONGEST_FILLER * ONSET_GRID and counts.max() >= EVEN_SHARE * len(steps)
    )


def carries_melody(beat_strengths: Strengths, strings: Strings) -> NDArray[np.bool_]:
    """Tell of each note of an even line whether it carries the melody.

    It does when it is stronger than the line's commonest place in the measure, which is off the
    beat, and is not on the drone string; an unknown string is none.

    Parameters
    ----------
    beat_strengths, strings : shape (n_notes,)

    Returns
    -------
    shape (n_notes,), bool
    """
    values, counts = np.unique(beat_strengths, return_counts=True)
    off_the_beat = values[counts.argmax()] if len(values) else 0.0
    carries: NDArray[np.bool_] = (beat_strengths > off_the_beat) & (strings != DRONE_STRING)
    return carries


def drone_pitch(filling: Pitches) -> int:
    """Find the drone by pitch, where strings are not known.

    Parameters
    ----------
    filling : shape (n,), MIDI note numbers
        The notes that do not carry the melody.

    Returns
    -------
    int
        The pitch of at least ``DRONE_SHARE`` of them, of several the commonest; -1 if none has.
    """
    pitches, counts = np.unique(filling, return_counts=True)
    if not len(counts) or counts.max() < DRONE_SHARE * len(filling):
        return -1
    return int(pitches[counts.argmax()])


def line_pitches(melody: Melody) -> Pitches:
    """Give the pitches of a melody, in a pinch the thumb's instead of the highest.

    Parameters
    ----------
    melody : Melody
        Where no string is known it is left as it is.

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


def melody_of_roll(pitches: Pitches, beat_strengths: Strengths) -> NoteNumbers:
    """Choose the notes that carry the melody of an even line whose strings are not known.

    Parameters
    ----------
    pitches, beat_strengths : shape (n_notes,)

    Returns
    -------
    shape (n_carrying,)
        Their places in the line; without the drone, which is known by its pitch.
    """
    carries = carries_melody(beat_strengths, np.zeros(len(pitches), np.int8))
    carries &= pitches != drone_pitch(pitches[~carries])
    return np.flatnonzero(carries).astype(np.int32)


def sounds_rolled(melody: Melody) -> bool:
    """Tell by its pitches whether a line is a roll: even, and leaping far more than stepping.

    Strings do not count, so that the same pitches are told the same however they were typed.
    """
    if not is_even(melody.onsets):
        return False
    steps = np.abs(np.diff(melody.pitches)) <= WIDEST_STEP
    carrying = melody_of_roll(melody.pitches, melody.beat_strengths)
    return bool(steps.mean() <= STEP_SHARE and len(carrying))


def skeleton_notes(melody: Melody) -> NoteNumbers:
    """Choose the notes that carry the melody of an even line, the drone left out.

    Returns
    -------
    shape (n_carrying,)
        Their places in the melody.
    """
    if not melody.strings.any():
        return melody_of_roll(melody.pitches, melody.beat_strengths)
    carries = carries_melody(melody.beat_strengths, melody.strings)
    return np.flatnonzero(carries).astype(np.int32)

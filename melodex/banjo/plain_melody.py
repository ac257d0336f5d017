"""Extract the melody of a tune that is already in rolls."""

from dataclasses import replace

import numpy as np

from melodex._types import Pitches
from melodex.features.playing.rolls import NO_ROLL, rolls_of
from melodex.features.skeleton import carries_melody, line_pitches, sounds_rolled
from melodex.features.written_tab import written_tab
from melodex.model.melody import AttachedNotes
from melodex.model.song import Song

_ROLLED_SHARE = 0.5  # of a tab's measures, if they are the plain patterns of an exercise
_SOON = 0.5  # quarter notes: within this time, the hammered note is the melody note
REDUCED = (
    "The tune is in rolls already; its melody was taken to be the notes on the beats, "
    "without the drone."
)


def melody_of_rolls(song: Song) -> tuple[Song, list[str]]:
    """Reduce a tune in rolls to its melody; leave other tunes unchanged.

    Returns
    -------
    Song
        Its melody notes, each lasting until the next, without strings and frets.
    list of str
        A remark on what was changed, or nothing.
    """
    if not _is_in_rolls(song):
        return song, []
    melody = song.melody
    keeps = carries_melody(melody.beat_strengths, melody.strings)
    if not keeps.any():
        return song, []
    onsets = melody.onsets[keeps]
    end = float(melody.onsets[-1] + melody.durations[-1])
    count = len(onsets)
    plain = replace(
        melody,
        pitches=_melody_pitches(song, keeps.tolist())[keeps],
        onsets=onsets,
        durations=np.diff(onsets, append=end),
        measures=melody.measures[keeps],
        beat_strengths=melody.beat_strengths[keeps],
        strings=np.zeros(count, np.int8),
        frets=np.full(count, -1, np.int8),
        phrase_ends=np.empty(0, np.int32),
        chord_tones=AttachedNotes.none(),
        grace_notes=AttachedNotes.none(),
    )
    return replace(song, melody=plain, lyrics=(), tuning=(), touches=()), [REDUCED]


def _is_in_rolls(song: Song) -> bool:
    """Return whether a tab is in rolls; without strings a reel with leaps could seem to be."""
    tab = written_tab(song)
    if tab is None:
        return False
    rolls = rolls_of(tab)
    exercise = sum(kind != NO_ROLL for kind in rolls.values()) >= _ROLLED_SHARE * len(rolls)
    return exercise or sounds_rolled(song.melody)


def _melody_pitches(song: Song, keeps: list[bool]) -> Pitches:
    """Return the line's pitches; a note before a hammered or slid one gets that one's pitch."""
    melody = song.melody
    pitches = line_pitches(melody)
    for touch in song.touches:
        before = touch.note - 1
        is_led_into = touch.left_hand and before >= 0 and not keeps[touch.note]
        if is_led_into and melody.onsets[touch.note] - melody.onsets[before] < _SOON:
            pitches[before] = pitches[touch.note]
    return pitches

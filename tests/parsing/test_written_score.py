"""Reducing the notes of a score to one line."""

import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.errors import ScoreParseError
from melodex.model.song import Source
from melodex.parsing.written_score import WrittenMeasure, WrittenNote, WrittenScore, song_of

SOURCE = Source("gate.krn")

written_notes = st.lists(
    st.builds(
        WrittenNote,
        onset=st.integers(0, 40).map(lambda eighths: eighths / 2),
        duration=st.sampled_from([0.0, 0.5, 1.0, 1.5, 4.0]),
        pitch=st.integers(40, 90),
        string=st.just(0),
        fret=st.just(-1),
        is_tied=st.booleans(),
        ends_phrase=st.booleans(),
        syllable=st.sampled_from(["", "la"]),
    ),
    max_size=30,
)


def song_from_notes(*notes: WrittenNote):
    score = WrittenScore(notes=notes, measures=[WrittenMeasure(0.0, 1)], end=24.0)
    return song_of(score, [], SOURCE, "class")


@given(notes=written_notes.filter(lambda notes: any(note.duration for note in notes)))
def test_any_notes_make_one_line_without_overlaps(notes):
    melody = song_from_notes(*notes).melody
    assert (np.diff(melody.onsets) > 0).all()
    assert (melody.onsets[:-1] + melody.durations[:-1] <= melody.onsets[1:]).all()
    struck = {note.onset for note in notes if note.duration}
    assert set(melody.onsets.tolist()) <= struck


@given(notes=written_notes.filter(lambda notes: any(note.duration for note in notes)))
def test_at_every_onset_the_highest_note_is_the_melodys(notes):
    melody = song_from_notes(*notes).melody
    for onset, pitch in zip(melody.onsets.tolist(), melody.pitches.tolist(), strict=True):
        assert pitch == max(note.pitch for note in notes if note.duration and note.onset == onset)


@given(notes=st.lists(st.integers(40, 90), min_size=1, max_size=20), order=st.randoms())
def test_the_order_in_which_notes_are_written_does_not_matter(notes, order: random.Random):
    line = [WrittenNote(float(place), 1.0, pitch) for place, pitch in enumerate(notes)]
    shuffled = order.sample(line, len(line))
    assert song_from_notes(*shuffled).melody.pitches.tolist() == notes


@given(notes=written_notes.filter(lambda notes: any(note.duration for note in notes)))
def test_no_grace_note_is_lost(notes):
    graces = [note.pitch for note in notes if not note.duration]
    assert sorted(song_from_notes(*notes).melody.grace_notes.pitches.tolist()) == sorted(graces)


@pytest.mark.parametrize("notes", [[], [WrittenNote(0.0, 0.0, 60)]])
def test_without_a_note_that_sounds_there_is_no_song(notes):
    with pytest.raises(ScoreParseError, match="no notes"):
        song_from_notes(*notes)


@pytest.mark.parametrize("pitch", [-1, 128, 40_000])
def test_grace_notes_and_chord_tones_outside_midi_are_reported_too(pitch):
    sounding = WrittenNote(0.0, 1.0, 60)
    for duration in (0.0, 1.0):
        with pytest.raises(ScoreParseError, match=f"measure 1 has pitch {pitch}"):
            song_from_notes(sounding, WrittenNote(0.0, duration, pitch))

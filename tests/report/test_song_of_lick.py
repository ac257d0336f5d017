"""A lick as a song: bar lines inferred from its beats."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.model.lick import Lick
from melodex.model.metre import FREE_METRE, Metre
from melodex.parsing.beat_strength import beat_strengths
from melodex.parsing.lick_numbers import lick_from_notes
from melodex.parsing.lick_text import lick_from_names
from melodex.report.song_of_lick import place_in_measure, song_of_lick
from tests.songbook import TERMS, songs_of_book

METRES = [Metre(2, 4), Metre(3, 4), Metre(4, 4), Metre(6, 8)]
SONGS = [song for book in TERMS for song in songs_of_book(book).values()]


@given(metre=st.sampled_from(METRES), steps=st.integers(1, 8), eighths=st.integers(0, 7))
def test_a_lick_begins_where_its_beats_say_that_it_does(metre, steps, eighths):
    length = float(metre.measure_length)
    place = (eighths / 2) % length
    onsets = np.arange(0.0, length + steps / 2, 0.5)  # a measure of eighths and more
    lick = lick_from_notes(
        np.full(len(onsets), 60), onsets, np.full(len(onsets), 0.5), metre=metre, position=place
    )
    found = beat_strengths(onsets + place_in_measure(lick), metre)
    assert found.tolist() == lick.melody.beat_strengths.tolist()


@pytest.mark.parametrize("song", SONGS[::5], ids=lambda song: song.title)
def test_two_measures_of_a_song_have_its_own_bar_lines(song):
    # The witness is the song's own grid of measures.
    melody = song.melody
    first = int(melody.measures[0]) + 1
    notes = np.flatnonzero((melody.measures >= first) & (melody.measures <= first + 1))
    lick = lick_from_notes(
        melody.pitches[notes],
        melody.onsets[notes],
        melody.durations[notes],
        metre=song.metre,
        position=float(melody.onsets[notes[0]])
        - float(song.measures.onsets[list(song.measures.numbers).index(first)]),
    )
    as_song = song_of_lick(lick)
    assert as_song.melody.measures.tolist() == (melody.measures[notes] - first + 1).tolist()


def test_pitches_and_steps_of_time_stay_as_they_are():
    lick = lick_from_names("D4 E4:q G4:h. B4:e")
    song = song_of_lick(lick, "The fill")
    assert song.title == "The fill"
    assert song.melody.pitches.tolist() == lick.melody.pitches.tolist()
    assert np.diff(song.melody.onsets).tolist() == np.diff(lick.melody.onsets).tolist()
    assert song.measures.onsets.tolist() == [0.0, 4.0]
    assert song.sections.tolist() == [[0.0, 8.0]]


def test_a_lick_without_a_metre_keeps_its_bar_lines():
    melody = lick_from_notes(
        [60, 62, 64], [0, 1, 2], [1, 1, 1], metre=Metre(2, 4)
    ).melody  # two measures, read without their metre
    song = song_of_lick(Lick(melody, "typed", FREE_METRE))
    assert song.measures.onsets.tolist() == [0.0, 2.0]
    assert song.sections.tolist() == [[0.0, 3.0]]

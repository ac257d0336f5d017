"""The time that each note of a song takes up."""

import numpy as np
import pytest
from hypothesis import given

from melodex.features.written_time import written_time
from tests.strategies import melody_of, song_of, songs


def test_a_note_over_a_bar_line_has_a_part_in_each_measure():
    time = written_time(song_of(melody_of(60, 62, durations=[3.0, 3.0])))
    assert time.notes.tolist() == [0, 1, 1]
    assert time.measures.tolist() == [1, 1, 2]
    assert time.positions.tolist() == [0.0, 3.0, 0.0]
    assert time.durations.tolist() == [3.0, 1.0, 2.0]
    assert time.parts_of(range(1, 2)) == slice(1, 3)


def test_a_rest_belongs_to_the_note_before_it():
    time = written_time(song_of(melody_of(60, 62, onsets=[0.0, 3.0], durations=[1.0, 1.0])))
    assert time.durations.tolist() == [3.0, 1.0]


def test_a_song_without_notes_takes_no_time():
    assert len(written_time(song_of(melody_of())).notes) == 0


@given(song=songs())
def test_the_parts_fill_the_song_from_its_first_note_to_the_end_of_its_last(song):
    melody, time = song.melody, written_time(song)
    if len(melody):
        end = melody.onsets[-1] + melody.durations[-1]
        assert time.durations.sum() == pytest.approx(end - melody.onsets[0])
        assert (time.durations > 0).all()
        assert (np.diff(time.notes) >= 0).all()

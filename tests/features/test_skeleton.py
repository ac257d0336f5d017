"""The melody inside a roll, told by beat, drone and leaps."""

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.features.skeleton import carries_melody, is_even, sounds_rolled
from melodex.parsing.formats import read_file
from tests.songbook import SONGBOOK, TERMS, songs_of_book
from tests.strategies import melody_of

BEATS = [1, 0.125, 0.25, 0.125, 0.5, 0.125, 0.25, 0.125]
# Forward rolls on the open strings 3 2 1 5 and a G scale (common practice, no source).
FORWARD = [55, 59, 62, 67, 59, 62, 67, 62]
FORWARD_STRINGS = [3, 2, 1, 5, 2, 1, 5, 1]
SCALE = [55, 57, 59, 60, 62, 64, 66, 67]


def even_line(pitches):
    beats = BEATS * (len(pitches) // len(BEATS))
    return melody_of(*pitches, durations=[0.5] * len(pitches), beat_strengths=beats)


def test_a_forward_roll_sounds_rolled_and_a_scale_does_not():
    assert sounds_rolled(even_line(FORWARD * 2))
    assert not sounds_rolled(even_line([*SCALE, *SCALE[::-1]]))


def test_one_measure_of_a_roll_has_too_few_melody_notes_to_tell():
    assert not sounds_rolled(even_line(FORWARD))


def test_a_line_of_mixed_note_values_is_not_even_and_does_not_sound_rolled():
    line = melody_of(*FORWARD * 2, durations=[1, 0.5, 0.5, 1] * 4, beat_strengths=BEATS * 2)
    assert not is_even(line.onsets)
    assert not sounds_rolled(line)


def test_the_melody_of_a_roll_stands_on_the_beats_and_not_on_the_drone_string():
    line = even_line(FORWARD)
    assert np.flatnonzero(carries_melody(line.beat_strengths)).tolist() == [0, 2, 4, 6]
    on_beats = carries_melody(line.beat_strengths, np.array([3, 2, 5, 1, 3, 5, 1, 2], np.int8))
    assert np.flatnonzero(on_beats).tolist() == [0, 4, 6]


@given(up=st.integers(-12, 12))
def test_what_sounds_rolled_does_so_in_every_key_and_whether_or_not_its_strings_are_known(up):
    line = even_line([pitch + up for pitch in FORWARD * 2])
    with_strings = replace(line, strings=np.array(FORWARD_STRINGS * 2, np.int8))
    assert sounds_rolled(line)
    assert sounds_rolled(with_strings)


def test_the_songbooks_arrangements_sound_rolled_and_its_plain_tunes_do_not():
    in_tab = [song for file in SONGBOOK.glob("*.musicxml") for song in read_file(file).songs]
    plain = [song for book in TERMS for song in songs_of_book(book).values()]
    # The other one moves in quarters.
    assert sum(sounds_rolled(song.melody) for song in in_tab) == len(in_tab) - 1
    # One of 40 runs up and down broken chords.
    assert sum(sounds_rolled(song.melody) for song in plain) <= 1

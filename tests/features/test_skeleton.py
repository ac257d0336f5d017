"""The melody inside a roll, recognised by beat, drone and leaps."""

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.features.skeleton import (
    Texture,
    carries_melody,
    is_even,
    line_pitches,
    sounds_rolled,
    texture_of,
)
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


def line_with_steps(*steps):
    return np.cumsum([0, *steps], dtype=np.float64)


def test_a_line_of_eight_notes_is_long_enough_to_be_even_and_one_of_seven_is_not():
    assert is_even(np.arange(8) / 2)
    assert not is_even(np.arange(7) / 2)


def test_nine_notes_of_ten_in_one_short_value_make_a_line_even():
    assert is_even(line_with_steps(*[0.5] * 9, 1))
    assert not is_even(line_with_steps(*[0.5] * 8, 1, 0.25))


def test_a_line_is_even_in_notes_of_an_eighth_at_most():
    assert is_even(line_with_steps(*[0.5] * 9))
    assert not is_even(line_with_steps(*[0.75] * 9))


# The bounds below are measured, see the constants.
def rolled_line(*, notes=16, steps=0, long_notes=0):
    """Return leaps by thirds up and down, with some half-steps and some quarter notes."""
    moves = [1] * steps + [4, -4] * notes
    durations = [0.5] * (notes - 1 - long_notes) + [1] * long_notes + [0.5]
    beats = (BEATS * 2)[:notes]
    pitches = np.cumsum([60, *moves[: notes - 1]]).tolist()
    return melody_of(*pitches, durations=durations, beat_strengths=beats)


def test_a_roll_leaps_in_three_moves_of_five_or_more():
    assert sounds_rolled(rolled_line(steps=6))
    assert not sounds_rolled(rolled_line(steps=7))


def test_a_roll_has_six_notes_or_more_on_beats():
    assert sounds_rolled(rolled_line(notes=12))
    assert not sounds_rolled(rolled_line(notes=10))


def test_four_notes_of_five_in_a_roll_are_of_one_value():
    assert sounds_rolled(rolled_line(long_notes=3))
    assert not sounds_rolled(rolled_line(long_notes=4))


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


def texture(line):
    return texture_of(line, line.onsets)


def test_a_tune_of_mixed_note_values_is_plain_and_one_of_a_single_short_value_even():
    mixed = melody_of(*SCALE, *SCALE[::-1], durations=[1, 0.5, 0.5, 1] * 4)
    assert texture(mixed) == Texture.PLAIN
    assert texture(even_line([*SCALE, *SCALE[::-1]])) == Texture.EVEN


def test_a_tune_in_quarters_is_even_in_no_roll():
    assert texture(melody_of(*SCALE, *SCALE[::-1])) == Texture.PLAIN


def test_an_even_line_that_leaps_is_rolled_and_with_strings_tab():
    line = even_line(FORWARD * 2)
    assert texture(line) == Texture.ROLLED
    assert texture(replace(line, strings=np.array(FORWARD_STRINGS * 2, np.int8))) == Texture.TAB


def test_one_known_string_makes_any_line_tab():
    line = melody_of(60, 62, 64)
    assert texture(line) == Texture.PLAIN
    assert texture(replace(line, strings=np.array([0, 3, 0], np.int8))) == Texture.TAB


def test_a_short_line_is_even_when_its_repeats_make_it_long_enough():
    line = melody_of(55, 57, 59, 60, durations=[0.5] * 4)
    assert texture(line) == Texture.PLAIN
    assert texture_of(line, np.arange(8) / 2) == Texture.EVEN


def test_rolled_and_tab_are_the_textures_from_rolled_on():
    assert sorted(Texture) == [Texture.PLAIN, Texture.EVEN, Texture.ROLLED, Texture.TAB]


@given(up=st.integers(-12, 12))
def test_a_texture_is_the_same_in_every_key(up):
    assert texture(even_line([pitch + up for pitch in FORWARD * 2])) == Texture.ROLLED
    assert texture(even_line([pitch + up for pitch in [*SCALE, *SCALE[::-1]]])) == Texture.EVEN


def test_of_a_pinch_the_line_has_the_first_of_the_thumbs_strings_that_sounds():
    pinch = melody_of(67, 62)
    tones = replace(
        pinch.chord_tones,
        notes=np.array([0, 0], np.int32),
        pitches=np.array([55, 59], np.int16),
        strings=np.array([3, 2], np.int8),
        frets=np.array([0, 0], np.int8),
    )
    line = replace(pinch, strings=np.array([5, 1], np.int8), chord_tones=tones)
    assert line_pitches(line).tolist() == [55, 62]
    without = replace(line, chord_tones=replace(tones, strings=np.zeros(2, np.int8)))
    assert line_pitches(without).tolist() == [67, 62]


def test_the_songbooks_arrangements_sound_rolled_and_its_plain_tunes_do_not():
    in_tab = [song for file in SONGBOOK.glob("*.musicxml") for song in read_file(file).songs]
    plain = [song for book in TERMS for song in songs_of_book(book).values()]
    # The other one moves in quarter notes.
    assert sum(sounds_rolled(song.melody) for song in in_tab) == len(in_tab) - 1
    # One of 40 runs up and down broken chords.
    assert sum(sounds_rolled(song.melody) for song in plain) <= 1

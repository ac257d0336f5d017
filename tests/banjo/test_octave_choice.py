"""The octave chosen for music without strings."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.banjo.fingered_tab import fingered_tab
from melodex.banjo.octave_choice import NEAR_THE_NUT
from tests.strategies import melody_of, song_of

# The open strings of open G and the frets of a neck. Common practice, no source.
OPEN, SHORT, FRETS = (62, 59, 55, 50), 67, 22


def lowest_fret(pitch):
    """Return the lowest fret that sounds a pitch; one above the neck if there is none."""
    frets = [pitch - string for string in OPEN if 0 <= pitch - string <= FRETS]
    return min([*frets, 0 if pitch == SHORT else FRETS + 1])


def highest_fret(pitches, octaves):
    return max(lowest_fret(pitch + 12 * octaves) for pitch in pitches)


def laid(*pitches, **how):
    return fingered_tab(song_of(melody_of(*pitches)), **how)


@given(pitches=st.lists(st.integers(50, 84), min_size=1, max_size=12), moved=st.integers(-2, 2))
def test_a_song_reaches_no_higher_a_fret_than_in_its_best_octave(pitches, moved):
    tab = laid(*(pitch + 12 * moved for pitch in pitches))
    needed = min(highest_fret(pitches, octaves) for octaves in range(-4, 5))
    assert max(note.fret for note in tab.notes) <= max(needed, NEAR_THE_NUT)


@pytest.mark.parametrize(
    ("pitches", "octaves"),
    [
        ((62, 69), 0),  # d4 to a4 are frets 0 to 7 of string 1
        ((62, 70), -1),  # b flat 4 would be fret 8
        ((74, 79, 81), -1),  # a fiddle's d5 to a5
        ((38, 55), 1),
        ((60, 62), 0),  # the nearest of equally good octaves
    ],
)
def test_the_nearest_octave_below_fret_seven_is_chosen_and_reported(pitches, octaves):
    tab = laid(*pitches)
    assert tab.octaves == octaves
    words = {0: "in the octave that it is written in", 1: "1 octave above", -1: "1 octave below"}
    assert words[octaves] in " ".join(tab.remarks)


def test_octaves_that_are_stated_count_from_the_song_as_it_is_written():
    for octaves in (0, -1):
        tab = laid(74, 79, octaves=octaves)
        assert [tab.pitch(note) for note in tab.notes] == [74 + 12 * octaves, 79 + 12 * octaves]


def test_some_measures_lie_where_the_whole_song_does():
    song = song_of(melody_of(62, 62, 62, 62, 79, 79, 79, 79))
    tab = fingered_tab(song, measures=(1, 1))
    assert tab.octaves == fingered_tab(song).octaves
    off_the_neck = song_of(melody_of(74, 74, 74, 74, 30, 100, 74, 74))
    assert fingered_tab(off_the_neck, measures=(1, 1)).octaves == -1

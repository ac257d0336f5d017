"""Where a tab strains the hands."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.banjo.cautions import CAUTION, cautions_of
from melodex.banjo.fingered_tab import fingered_tab
from melodex.features.written_tab import written_tab
from melodex.model.song import Touch
from melodex.model.tablature import Tab, TabNote
from melodex.model.tuning import OPEN_G
from tests.strategies import melody_of, song_of
from tests.tabs import rolled_songs


def tab_with(*places, step=0.5, fingers="", left_hands=(), tempo=None):
    """Return consecutive notes, four quarter notes a measure."""
    count = len(places)
    song = song_of(melody_of(*[60] * count, durations=[step] * count))
    notes = [
        TabNote(
            place * step,
            step,
            string,
            fret,
            left_hands[place] if left_hands else "",
            fingers[place] if fingers else "",
        )
        for place, (string, fret) in enumerate(places)
    ]
    return Tab(replace(song, tempo=tempo), OPEN_G, tuple(notes))


def cautions(*places, **how):
    return cautions_of(tab_with(*places, **how))


def test_an_easy_tab_has_no_cautions():
    assert cautions((3, 0), (2, 1), (1, 0), (5, 0), (1, 4), (1, 2), fingers="TIMTMI") == []


@pytest.mark.parametrize(("fret", "is_stretch"), [(4, False), (5, True), (7, True)])
def test_frets_held_together_are_a_stretch_beyond_four_fingers(fret, is_stretch):
    # One finger a fret: the hand covers frets 1 to 4. Common practice, no source.
    tab = tab_with((3, 0))
    pinch = (TabNote(0.0, 1.0, 1, fret), TabNote(0.0, 1.0, 2, 1))
    found = cautions_of(replace(tab, notes=pinch))
    assert bool(found) == is_stretch
    if found:
        assert found == ["The left hand stretches over five frets or more in measure 1.", CAUTION]


def test_a_leap_is_one_only_where_there_is_no_time_for_it():
    leap = ["The left hand leaps in measure 1.", CAUTION]
    assert cautions((1, 2), (1, 12)) == leap
    assert cautions((1, 2), (1, 12), step=2.0) == []
    # An open string in between gives the hand an eighth more: eight frets.
    assert cautions((1, 2), (5, 0), (1, 10)) == []
    assert cautions((1, 2), (5, 0), (1, 15)) == leap
    assert cautions((1, 2), (1, 12), left_hands=("", "slide")) == []


def test_one_finger_twice_in_a_row_is_named_at_eighth_speed_alone():
    repeated = "A finger of the right hand strikes twice in a row at speed in measure 1."
    assert cautions((1, 0), (1, 0), fingers="MM") == [repeated, CAUTION]
    assert cautions((1, 0), (1, 0), fingers="MM", step=1.0) == []
    assert cautions((1, 0), (1, 2), (1, 0), fingers="M M", left_hands=("", "hammer-on", "")) == []


def test_a_roll_is_fast_by_its_tempo_and_from_eight_strokes_on():
    roll = [(3, 0), (2, 0), (1, 0), (5, 0)] * 2
    fast = ["A fast roll runs through measure 1.", CAUTION]
    assert cautions(*roll, tempo=240.0) == fast  # eight notes a second
    assert cautions(*roll, tempo=200.0) == []
    assert cautions(*roll) == []
    assert cautions(*roll[:7], tempo=240.0) == []
    assert cautions(*roll, step=0.125) == fast  # without a tempo, 100 a minute are assumed


def test_measures_are_numbered_as_written_and_only_those_chosen_are_named():
    tab = tab_with(*[(1, 2), (1, 12)] * 8)
    assert cautions_of(tab)[0] == "The left hand leaps in measures 1-2."
    assert cautions_of(tab, (2, 5))[0] == "The left hand leaps in measure 2."
    assert cautions_of(tab, (3, 5)) == []


@given(notes=st.lists(st.integers(50, 69), min_size=2, max_size=20))
def test_of_computed_fingers_every_one_that_strikes_twice_in_a_row_is_named(notes):
    tab = fingered_tab(song_of(melody_of(*notes, durations=[0.5] * len(notes))))
    fingers = [note.finger for note in tab.notes]
    twice = any(one == other for one, other in pairwise(fingers))
    assert any("twice in a row" in caution for caution in tab.cautions) == twice


def test_a_written_tab_is_judged_in_its_right_hand_too():
    song = rolled_songs()[0]
    strings = song.melody.strings.tolist()
    thumbs = tuple(Touch(note, string, finger="T") for note, string in enumerate(strings))
    tab = written_tab(replace(song, touches=thumbs))
    assert tab is not None
    assert any("twice in a row" in caution for caution in cautions_of(tab))


def test_of_the_songbooks_arrangements_only_three_strain_a_hand():
    found = {song.title: cautions_of(tab) for song in rolled_songs() if (tab := written_tab(song))}
    strained = {title: cautions[0] for title, cautions in found.items() if cautions}
    # By eye: the thumb ends a measure on string 4 and begins the next there; in Three Coats Warm
    # the middle finger picks string 1 alone, and then in the closing chord.
    twice = "A finger of the right hand strikes twice in a row at speed in"
    assert strained == {
        "Stepping Stones at Low Water (rolled)": f"{twice} measures 2, 6, 14.",
        "The Ninth Step": f"{twice} measure 14.",
        "Three Coats Warm (rolled)": f"{twice} measure 16.",
    }

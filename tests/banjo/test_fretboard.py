"""Every string and fret that sounds a pitch."""

from hypothesis import given
from hypothesis import strategies as st

from melodex.banjo.fretboard import fret_places, range_of
from melodex.model.tuning import NAMED_TUNINGS, OPEN_G, with_capo


@given(
    tuning=st.sampled_from(NAMED_TUNINGS),
    capo=st.integers(0, 7),
    string=st.integers(1, 5),
    fret=st.integers(0, 22),
)
def test_a_place_is_among_those_that_sound_its_pitch_and_all_of_them_do(tuning, capo, string, fret):
    tuned = with_capo(tuning, capo)
    if tuned.has(string, fret):
        places = fret_places(tuned.pitch(string, fret), tuned)
        assert (string, fret) in places
        assert {tuned.pitch(*place) for place in places} == {tuned.pitch(string, fret)}


# Common practice, no source: frets 5, 4, 3 and 5 of strings 4, 3, 2 and 1 sound an open string.
def test_the_open_strings_of_open_g_lie_on_other_strings_too():
    assert fret_places(55, OPEN_G) == [(3, 0), (4, 5)]
    assert fret_places(59, OPEN_G) == [(2, 0), (3, 4), (4, 9)]
    assert fret_places(62, OPEN_G) == [(1, 0), (2, 3), (3, 7), (4, 12)]
    assert fret_places(67, OPEN_G) == [(1, 5), (2, 8), (3, 12), (4, 17), (5, 0)]


def test_a_note_below_the_fourth_string_or_above_fret_22_has_no_place():
    # Fourth string d3 = 50; first string d4 = 62 and 22 half-steps.
    assert range_of(OPEN_G) == (50, 84)
    assert fret_places(49, OPEN_G) == fret_places(85, OPEN_G) == []

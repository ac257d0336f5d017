"""Where a lick is found: notes, measures and key."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.features.intervals import clipped_intervals
from melodex.index.song_arrays import join_performances, perform
from melodex.search.candidates import Steps
from melodex.search.places import cheapest_places
from tests.strategies import melody_of

LICK = [67, 69, 71, 74]
within_two_octaves = st.integers(52, 76)  # wider intervals count as two octaves


def places_of(song_melody, lick, steps=Steps.SKIP, sections=None):
    length = float(song_melody.onsets[-1] + song_melody.durations[-1])
    played = np.array([(0.0, length)] if sections is None else sections)
    arrays = join_performances([perform(song_melody, played)])
    notes = np.array(lick, np.int16)
    query = clipped_intervals(notes).astype(np.int32)
    return cheapest_places(arrays, 0, query, notes, steps)


def test_a_lick_is_found_at_its_measure_a_fourth_lower():
    song = melody_of(60, 60, 60, 60, 62, 64, 66, 69, 60)
    (place,) = places_of(song, LICK)
    assert place.measures == (2,)
    assert place.transposition == -5
    assert place.alignment == ((0, 4), (1, 5), (2, 6), (3, 7))


def test_every_place_of_equal_cost_is_told_in_the_order_played():
    song = melody_of(67, 69, 71, 74, 55, 62, 64, 66, 69)
    assert [place.alignment[0][1] for place in places_of(song, LICK)] == [0, 5]


def test_a_lick_across_the_seam_of_a_repeat_names_the_measures_in_the_order_played():
    # Measure 2 ends with G A, measure 1 begins with B D: only the repeat joins them.
    song = melody_of(71, 74, 60, 60, 60, 60, 67, 69)
    (place,) = places_of(song, LICK, sections=[(0.0, 8.0), (0.0, 8.0)])
    assert place.measures == (2, 1)
    assert [found for _, found in place.alignment] == [6, 7, 0, 1]


def test_a_place_that_a_repeat_plays_again_is_told_once():
    song = melody_of(67, 69, 71, 74)
    assert len(places_of(song, LICK, sections=[(0.0, 4.0), (0.0, 4.0)])) == 1


@given(
    before=st.lists(within_two_octaves, max_size=12),
    lick=st.lists(within_two_octaves, min_size=3, max_size=10),
    after=st.lists(within_two_octaves, max_size=12),
    up=st.integers(-10, 10),
    steps=st.sampled_from(Steps),
)
def test_a_lick_that_was_put_into_a_song_is_found_there_at_no_cost(before, lick, after, up, steps):
    song = melody_of(*before, *(note + up for note in lick), *after)
    places = places_of(song, lick, steps)
    pitch_differences = [
        int(song.pitches[found]) - lick[wanted] - place.transposition
        for place in places
        for wanted, found in place.alignment
    ]
    assert not any(pitch_differences)
    assert up in [place.transposition for place in places]

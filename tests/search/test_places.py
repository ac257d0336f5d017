"""Where a lick is found: notes, measures and key."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.alignment.passage import passages_of, score_songs
from melodex.index.song_arrays import join_performances, perform
from melodex.search.places import written_places
from tests.strategies import melody_of

LICK = [67, 69, 71, 74]
pitches = st.integers(52, 76)


def places_of(song_melody, lick, sections=None):
    length = float(song_melody.onsets[-1] + song_melody.durations[-1])
    played = np.array([(0.0, length)] if sections is None else sections)
    songs = join_performances([perform(song_melody, played)])
    answers = score_songs(melody_of(*lick), songs, np.array([0]))
    return written_places(songs, 0, passages_of(answers, 0, songs))


def test_a_lick_is_found_at_its_measure_a_fourth_lower():
    song = melody_of(60, 60, 60, 60, 62, 64, 66, 69, 60)
    (place,) = places_of(song, LICK)
    assert place.measures == (2,)
    assert place.transposition == -5
    assert place.form == "as written"
    assert place.alignment == ((0, 4), (1, 5), (2, 6), (3, 7))


def test_every_place_that_matches_as_well_is_listed_in_the_order_played():
    song = melody_of(67, 69, 71, 74, 55, 55, 55, 55, 62, 64, 66, 69)
    assert [place.alignment[0][1] for place in places_of(song, LICK)] == [0, 8]


def test_a_lick_across_the_seam_of_a_repeat_names_the_measures_in_the_order_played():
    # Measure 2 ends with G A, measure 1 begins with B D: only the repeat joins them.
    song = melody_of(71, 74, 60, 60, 60, 60, 67, 69)
    (place,) = places_of(song, LICK, sections=[(0.0, 8.0), (0.0, 8.0)])
    assert place.measures == (2, 1)
    assert [found for _, found in place.alignment] == [6, 7, 0, 1]


def test_a_place_that_a_repeat_plays_again_is_listed_once():
    song = melody_of(67, 69, 71, 74)
    assert len(places_of(song, LICK, sections=[(0.0, 4.0), (0.0, 4.0)])) == 1


@given(
    before=st.lists(pitches, max_size=3).map(lambda notes: notes * 4),
    lick=st.lists(pitches, min_size=3, max_size=10),
    after=st.lists(pitches, max_size=12),
    up=st.integers(-10, 10),
)
def test_a_lick_that_was_put_into_a_song_on_its_beats_is_found_note_for_note(
    before, lick, after, up
):
    song = melody_of(*before, *(note + up for note in lick), *after)
    same_notes = [
        place
        for place in places_of(song, lick)
        if [wanted for wanted, _ in place.alignment] == list(range(len(lick)))
        and all(
            song.pitches[found] - lick[wanted] == place.transposition
            for wanted, found in place.alignment
        )
    ]
    assert same_notes

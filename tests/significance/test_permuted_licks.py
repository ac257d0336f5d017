import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.index.song_arrays import join_performances, perform
from melodex.significance.permuted_licks import (
    permuted_lick,
    shuffle_songs,
    with_shuffled_intervals,
    written_line,
)
from tests.blocks_of_songs import blocks_of
from tests.strategies import melodies, melody_of


@given(lick=melodies(), seed=st.integers(0, 1000))
def test_shuffling_keeps_rhythm_and_the_intervals_whatever_their_order(lick, seed):
    shuffled = with_shuffled_intervals(lick, np.random.default_rng(seed))
    np.testing.assert_array_equal(shuffled.onsets, lick.onsets)
    np.testing.assert_array_equal(shuffled.beat_strengths, lick.beat_strengths)
    if np.ptp(shuffled.pitches) < 127:
        np.testing.assert_array_equal(
            np.sort(np.diff(shuffled.pitches)), np.sort(np.diff(lick.pitches))
        )


def test_licks_come_only_from_songs_that_are_long_enough():
    songs = blocks_of([60, 62], [60, 62, 64, 65, 67], []).songs
    rng = np.random.default_rng(0)
    cut_from = [permuted_lick(songs, 4, rng) for _ in range(10)]
    assert {found[1] for found in cut_from if found} == {1}
    assert permuted_lick(songs, 6, rng) is None


def test_a_song_as_written_has_each_note_once_whatever_is_repeated():
    song = melody_of(60, 62, 64, 65, 67)
    songs = join_performances([perform(song, np.array([(0.0, 2.0), (0.0, 5.0)]))])
    assert written_line(songs, 0).pitches.tolist() == song.pitches.tolist()


def test_a_shuffled_song_repeats_what_it_repeated_and_others_stay_as_they_are():
    song = melody_of(60, 62, 65, 66, 73)
    played = perform(song, np.array([(0.0, 3.0), (0.0, 5.0)]))
    songs = join_performances([played, played])
    shuffled = shuffle_songs(songs, np.array([1]), np.random.default_rng(0))
    ours = shuffled.pitches[shuffled.notes_of(1)].tolist()
    assert ours[:3] == ours[3:6]
    assert sorted(np.diff(written_line(shuffled, 1).pitches)) == [1, 2, 3, 7]
    np.testing.assert_array_equal(shuffled.intervals_of(1), np.diff(ours))
    assert shuffled.pitches[shuffled.notes_of(0)].tolist() == played.pitches.tolist()

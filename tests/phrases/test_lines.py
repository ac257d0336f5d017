"""The steps among which licks are searched for."""

import numpy as np

from melodex.index.song_arrays import join_performances, perform
from melodex.phrases.lines import lines_of
from tests.strategies import melody_of


def lines_of_one(*pitches, sections):
    arrays = join_performances([perform(melody_of(*pitches), np.array(sections))])
    return lines_of(arrays, np.array([0]))


def test_what_a_repeat_plays_again_is_taken_once():
    lines = lines_of_one(60, 62, 65, sections=[(0.0, 3.0), (0.0, 3.0)])
    assert lines.intervals.tolist() == [2, 3]


def test_a_line_breaks_where_an_ending_leaves_notes_out():
    # The first ending is note 3, the second ending notes 4 and 5.
    lines = lines_of_one(60, 62, 65, 70, 71, sections=[(0.0, 3.0), (0.0, 2.0), (3.0, 5.0)])
    assert lines.intervals.tolist() == [2, 3, 1]
    assert np.diff(lines.first_steps).tolist() == [2, 1]


def test_no_step_leads_from_one_song_into_the_next():
    performances = [
        perform(melody_of(*pitches), np.array([(0.0, 9.0)])) for pitches in ((60, 61), (70, 72))
    ]
    lines = lines_of(join_performances(performances), np.array([0, 1]))
    assert (lines.intervals.tolist(), lines.songs.tolist()) == ([1, 2], [0, 1])


def test_only_the_selected_songs_are_taken():
    performances = [
        perform(melody_of(*pitches), np.array([(0.0, 9.0)])) for pitches in ((60, 61), (70, 72))
    ]
    assert lines_of(join_performances(performances), np.array([1])).intervals.tolist() == [2]

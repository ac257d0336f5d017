"""Where a melody may be cut so that licks begin and end where music does."""

import numpy as np

from melodex.index.song_arrays import join_performances, perform
from melodex.parsing.abc.abc_reader import read_abc
from melodex.phrases.grouping import grouping_of

# A reel with a pickup of one eighth; the first part's last note is long.
REEL = "D|GABG DGBG|cBAG FADF|GABG DGBd|cAFA G3 A|BcdB GBdB|"


def grouping(notes, metre="4/4"):
    (song,) = read_abc(f"X:1\nT:The Gate\nM:{metre}\nL:1/8\nK:G\n{notes}\n", "").songs
    arrays = join_performances([perform(song.melody, song.sections, song.key)])
    return grouping_of(arrays, 0)


def test_a_lick_begins_on_a_strong_beat_or_where_the_tune_begins_or_after_a_break():
    may_begin = np.flatnonzero(grouping(REEL).may_begin).tolist()
    pickups = [0, 8, 16, 24, 30]  # of the tune, and its last eighth in every measure
    strong = [1, 5, 9, 13, 17, 21, 25, 29, 31, 35]
    assert may_begin == sorted({*pickups, *strong})


def test_the_pickup_after_a_long_note_is_likelier_a_beginning_than_one_in_a_run():
    begins = grouping(REEL).begins
    assert begins[30] > begins[8] > begins[10]


def test_a_lick_ends_on_a_strong_beat_or_before_one_or_on_a_long_note():
    ends = np.flatnonzero(grouping(REEL).may_end).tolist()
    assert {0, 1, 4, 5, 8, 28, 29, 38} <= set(ends)
    assert not {2, 3, 6, 7} & set(ends)


def test_a_waltz_is_strong_on_its_downbeats_alone():
    assert np.flatnonzero(grouping("G2A2B2|c2d2e2|G2A2B2|", "3/4").may_begin).tolist() == [0, 3, 6]


def test_a_dotted_note_is_no_break_in_a_dotted_tune():
    dotted = grouping("|:G>A B>c d>B G>B|c>A F>A d>c A>F:|")
    assert np.flatnonzero(dotted.may_begin[:16]).tolist() == [0, 4, 8, 12]


def test_in_free_metre_only_bar_lines_and_breaks_divide():
    # No note but the first after a bar line has a known strength.
    assert np.flatnonzero(grouping("GABc|dedB|G4", "none").may_begin).tolist() == [0, 4, 8]


def test_a_song_of_one_note_is_one_group():
    assert grouping("G4").may_begin.tolist() == grouping("G4").may_end.tolist() == [True]

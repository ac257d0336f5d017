"""Where licks may begin and end in a melody."""

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


def test_a_lick_begins_on_a_downbeat_or_as_a_pickup_after_a_break():
    # The tune's own pickup, and the one after the long note; the last eighth of a run is not one.
    assert np.flatnonzero(grouping(REEL).may_begin).tolist() == [0, 1, 9, 17, 25, 30, 31]


def test_the_pickup_after_a_long_note_is_likelier_a_beginning_than_one_in_a_run():
    begins = grouping(REEL).begins
    assert begins[30] > begins[16] > begins[10]


def test_a_phrase_is_likelier_to_begin_with_an_odd_measure_than_with_an_even_one():
    begins = grouping("GABG DGBG|GABG DGBG|GABG DGBG|GABG DGBG|").begins
    assert begins[16] > begins[8]
    assert begins[16] > begins[24]


def test_a_lick_ends_before_a_bar_line_or_on_the_long_note_before_a_pickup():
    # Note 30 is the pickup to note 31: the group before it ends on the long note 29.
    assert np.flatnonzero(grouping(REEL).may_end).tolist() == [8, 16, 24, 29, 38]


def test_a_run_that_goes_on_from_the_downbeat_does_not_end_there():
    run = grouping("GABG DGBG|cBAG FADF|G2 AB c4|")
    assert not run.may_end[[8, 16]].any()


def test_a_waltz_is_strong_on_its_downbeats_alone():
    assert np.flatnonzero(grouping("G2A2B2|c2d2e2|G2A2B2|", "3/4").may_begin).tolist() == [0, 3, 6]


def test_a_dotted_note_is_no_break_in_a_dotted_tune():
    dotted = grouping("|:G>A B>c d>B G>B|c>A F>A d>c A>F:|")
    assert np.flatnonzero(dotted.may_begin[:16]).tolist() == [0, 8]


def test_in_free_metre_only_bar_lines_and_breaks_divide():
    # Only the first note after a bar line has a known strength.
    assert np.flatnonzero(grouping("GABc|dedB|G4", "none").may_begin).tolist() == [0, 4, 8]


def test_a_song_of_one_note_is_one_group():
    assert grouping("G4").may_begin.tolist() == grouping("G4").may_end.tolist() == [True]

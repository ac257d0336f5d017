from itertools import pairwise

import hypothesis.strategies as st
from hypothesis import given

from melodex.parsing.repeats import MOST_PASSES, MOST_SECTIONS, RepeatMark, played_sections


def sections(*marks, end=16.0):
    return played_sections(marks, end).sections


def test_music_without_marks_is_played_once_from_beginning_to_end():
    assert sections() == [(0, 16)]


def test_a_repeat_end_without_a_start_goes_back_to_the_beginning():
    # Source: ABC 2.1, section 4.8, recommendation for developers.
    assert sections(RepeatMark(8, times=2)) == [(0, 8), (0, 16)]


def test_a_repeat_end_without_a_start_goes_back_to_the_latest_double_bar():
    # Source: ABC 2.1, section 4.8, recommendation for developers.
    marks = RepeatMark(4, divides=True), RepeatMark(8, times=2)
    assert sections(*marks) == [(0, 8), (4, 16)]


def test_a_repeat_end_without_a_start_goes_back_to_the_latest_repeat_end():
    # Source: ABC 2.1, section 4.8, recommendation for developers.
    marks = RepeatMark(4, times=2), RepeatMark(8, times=2)
    assert sections(*marks) == [(0, 4), (0, 8), (4, 16)]


def test_a_double_bar_inside_a_marked_repeat_does_not_shorten_it():
    marks = (
        RepeatMark(2, starts=True),
        RepeatMark(4, divides=True),
        RepeatMark(8, times=2),
    )
    assert sections(*marks) == [(0, 8), (2, 16)]


def test_an_end_and_a_start_at_one_bar_line_make_two_repeated_sections():
    # Source: ABC 2.1, section 4.8: "::" is short for ":|" followed by "|:".
    marks = RepeatMark(0, starts=True), RepeatMark(8, 2, starts=True), RepeatMark(16, 2)
    assert sections(*marks) == [(0, 8), (0, 16), (8, 16)]


def test_an_end_marked_with_two_dots_has_its_section_played_three_times():
    # Source: ABC 2.1, section 4.8: "|::" and "::|" mean a section repeated three times.
    assert sections(RepeatMark(16, times=3)) == [(0, 16)] * 3


def test_a_start_marked_with_two_dots_has_its_section_played_three_times():
    # Source: ABC 2.1, section 4.8, as above.
    marks = RepeatMark(8, starts=True, start_times=3), RepeatMark(16, times=2)
    assert sections(*marks) == [(0, 16), (8, 16), (8, 16)]


def test_first_and_second_endings_are_played_in_turn():
    # Source: ABC 2.1, section 4.9: |: body |1 first :|2 second |]
    marks = (
        RepeatMark(0, starts=True),
        RepeatMark(8, passes=(1,)),
        RepeatMark(12, times=2, passes=(2,)),
    )
    assert sections(*marks) == [(0, 12), (0, 8), (12, 16)]


def test_an_ending_may_serve_several_passes():
    # Source: ABC 2.1, section 4.10: [1,3 notes :| plays on the 1st and 3rd endings.
    marks = (
        RepeatMark(8, passes=(1, 3)),
        RepeatMark(12, times=2, passes=(2,)),
        RepeatMark(14, times=2),
    )
    assert sections(*marks) == [(0, 12), (0, 8), (12, 14), (0, 12), (14, 16)]


def test_a_first_ending_alone_is_left_out_the_second_time():
    marks = RepeatMark(8, passes=(1,)), RepeatMark(12, times=2)
    assert sections(*marks) == [(0, 12), (0, 8), (12, 16)]


def test_a_double_bar_closes_the_last_ending():
    # Source: ABC 2.1, section 4.10: the Nth ending ends with one of ||, :|, |] or [|.
    marks = (
        RepeatMark(4, passes=(1,)),
        RepeatMark(6, times=2, passes=(2,)),
        RepeatMark(8, divides=True),
        RepeatMark(12, times=2),
    )
    assert sections(*marks) == [(0, 6), (0, 4), (6, 12), (8, 16)]


def test_marks_given_apart_at_one_onset_count_together():
    together = sections(RepeatMark(4, passes=(1,)), RepeatMark(8, 2, passes=(2,)))
    apart = sections(RepeatMark(8, 2), RepeatMark(4, passes=(1,)), RepeatMark(8, passes=(2,)))
    assert together == apart


def test_a_section_marked_a_million_times_is_cut_short_and_says_so():
    played = played_sections([RepeatMark(16, times=1_000_000)], 16.0)
    assert played.shortened
    assert len(played.sections) == MOST_PASSES


marks = st.lists(
    st.builds(
        RepeatMark,
        st.integers(0, 16).map(float),
        st.sampled_from([0, 0, 2, 3]),
        st.booleans(),
        st.booleans(),
        st.lists(st.integers(1, 4), max_size=2).map(tuple),
    )
)


@given(marks)
def test_whatever_is_marked_every_place_is_heard_unless_an_ending_is_never_reached(marks):
    played = played_sections(marks, 16.0).sections
    assert played[0][0] == 0 or any(mark.onset == 0 and mark.passes for mark in marks)
    heard = {place for start, stop in played for place in range(int(start), int(stop))}
    assert heard == set(range(16))


@given(marks)
def test_sections_stay_within_the_music_and_each_begins_with_a_jump(marks):
    played = played_sections(marks, 16.0).sections
    assert len(played) <= MOST_SECTIONS
    assert all(0 <= start < stop <= 16 for start, stop in played)
    assert all(before[1] != after[0] for before, after in pairwise(played))

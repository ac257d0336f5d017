import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given

from tests.parsing.abc.abc_examples import durations, reason_of_failure, song_of

# Sources in this file are sections of the ABC music standard 2.1, December 2011.


@pytest.mark.parametrize(
    ("text", "eighths"),
    [
        ("A", 1),
        ("A1", 1),
        ("A2", 2),
        ("A3/2", 1.5),
        ("A/2", 0.5),
        ("A/4", 0.25),
        ("A/", 0.5),
        ("A//", 0.25),
        ("A///", 0.125),
        ("A7", 7),
        ("A15", 15),
        ("A/16", 1 / 16),
    ],
)
def test_lengths_are_multiples_of_the_unit_note(text, eighths):
    # Source: section 4.3.
    assert durations(text) == [eighths]


def test_the_same_lengths_can_be_written_with_another_unit():
    # Source: section 4.4, the three lines that all mean the same thing.
    expected = [1.5, 0.5, 0.5, 1.5, 1, 1, 1, 1]
    assert durations("a3b cd3 a2b2c2d2", "M:4/4\nL:1/16\nK:C") == expected
    assert durations("a3/2b/2 c/2d3/2 abcd") == expected
    assert durations("a>b c<d abcd") == expected


@pytest.mark.parametrize(
    ("text", "ratio"), [("A>B", 3), ("A>>B", 7), ("A>>>B", 15), ("A<B", 1 / 3), ("A<<B", 1 / 7)]
)
def test_broken_rhythm_lengthens_one_note_by_what_it_takes_from_the_other(text, ratio):
    # Source: section 4.4.
    first, second = durations(text)
    assert first / second == pytest.approx(ratio)
    assert first + second == 2


@pytest.mark.parametrize("text", ["A<{g}A", "A{g}<A"])
def test_grace_notes_are_transparent_to_broken_rhythm(text):
    # Source: section 4.12: both are equivalent to A/2{g}A3/2.
    assert durations(text) == durations("A/2{g}A3/2")


def test_broken_rhythm_works_through_rests_chords_and_spaces():
    # Source: sections 4.4, 4.5 (rests have lengths like notes) and 4.17 (chords take postfixes).
    assert durations("z>A") == [0.5]
    assert song_of("z>A").melody.onsets.tolist() == [0.75]
    assert durations("[CEG] > [CEG]") == [1.5, 0.5]


@pytest.mark.parametrize(
    ("notes", "time"), [(2, 3), (3, 2), (4, 3), (5, 2), (6, 2), (7, 2), (8, 3), (9, 2)]
)
def test_tuplets_in_simple_metre_have_their_time(notes, time):
    # Source: section 4.13, table.
    assert sum(durations(f"({notes}{'abcdefgab'[:notes]}")) == pytest.approx(time, abs=1e-9)


@pytest.mark.parametrize("metre", ["6/8", "9/8", "12/8"])
@pytest.mark.parametrize("notes", [5, 7, 9])
def test_tuplets_of_5_7_and_9_take_the_time_of_three_in_compound_metre(notes, metre):
    # Source: section 4.13.
    lengths = durations(f"({notes}{'abcdefgab'[:notes]}", f"M:{metre}\nL:1/8\nK:C")
    assert sum(lengths) == pytest.approx(3, abs=1e-9)


@pytest.mark.parametrize("text", ["(3abc", "(3::abc", "(3:2abc", "(3:2:3abc", "(3 a b c"])
def test_the_forms_of_a_triplet_are_equivalent(text):
    # Source: section 4.13: (3, (3::, (3:2 and (3:2:3; spaces after it are ignored.
    assert durations(text + "d") == pytest.approx([2 / 3, 2 / 3, 2 / 3, 1])


def test_a_tuplet_may_count_other_notes_than_it_is_named_for():
    # Source: section 4.13: (3::2 is equivalent to (3:2:2; (3:2:2 G4c2 and (3:2:4 G2A2Bc.
    assert durations("(3::2 G4c2 d") == pytest.approx([8 / 3, 4 / 3, 1])
    assert durations("(3:2:4 G2A2Bc d") == pytest.approx([4 / 3, 4 / 3, 2 / 3, 2 / 3, 1])


def test_onsets_after_many_tuplets_are_exact():
    body = "(3abc (5abcde (7abcdefg " * 40 + "c"
    assert song_of(body).melody.onsets[-1] == 40 * 3


@given(st.lists(st.sampled_from(["(3abc", "A>B", "z2", "c/", "d//", "(6abcdef", "G3/2"])))
def test_notes_and_rests_follow_each_other_without_gap_or_overlap(pieces):
    melody = song_of(" ".join(["C", *pieces, "c"])).melody
    gaps = melody.onsets[1:] - (melody.onsets + melody.durations)[:-1]
    np.testing.assert_allclose(gaps, np.rint(gaps), atol=1e-9)  # a rest is a quarter note
    assert (gaps > -1e-9).all()


@pytest.mark.parametrize(
    ("metre", "eighths"),
    [
        ("2/4", 0.5),
        ("3/8", 0.5),
        ("5/8", 0.5),
        ("3/4", 1),
        ("6/8", 1),
        ("4/4", 1),
        ("C", 1),
        ("C|", 1),
        ("none", 1),
    ],
)
def test_the_unit_note_is_a_sixteenth_below_three_quarters_else_an_eighth(metre, eighths):
    # Source: section 3.1.7: 2/4 = 0.5 gives 1/16; 4/4, 6/8 and 3/4 give 1/8, like C, C|, none.
    assert durations("A", f"M:{metre}\nK:C") == [eighths]


def test_without_a_metre_the_unit_note_is_an_eighth():
    # Source: sections 3.1.6 (no M: means free metre) and 3.1.7.
    song = song_of("A", "K:C")
    assert song.metre.is_free
    assert song.melody.durations.tolist() == [0.5]


def test_an_empty_unit_note_field_says_nothing():
    assert durations("A", "M:2/4\nL:\nK:C") == [0.5]


def test_a_change_of_metre_in_the_tune_leaves_the_unit_note():
    # Source: section 3.1.7.
    assert durations("A8|[M:2/4]A4|", "M:4/4\nK:C") == [8, 4]


def test_a_change_of_unit_note_holds_from_there_on():
    # Source: section 3.2.
    assert durations("A [L:1/4] A\nL:1/16\nA") == [1, 2, 0.5]


def test_rests_move_the_notes_after_them():
    # Source: section 4.5: z and x rests, Z and X of whole measures.
    assert song_of("z2 A x A|Z2|A").melody.onsets.tolist() == [1, 2, 2.5 + 8]


def test_a_rest_of_several_measures_counts_them():
    # Source: section 4.5: Z4|CD EF|GA Bc is musically equivalent to z4|z4|z4|z4|CD EF|GA Bc.
    header = "M:2/4\nL:1/8\nK:C"
    short, long = song_of("Z4|CD EF|GA Bc|", header), song_of("z4|z4|z4|z4|CD EF|GA Bc|", header)
    assert short.melody.onsets.tolist() == long.melody.onsets.tolist()
    assert short.measures.numbers.tolist() == long.measures.numbers.tolist() == [1, 2, 3, 4, 5, 6]


@pytest.mark.parametrize("length", ["0", "/0", "999999999", "9" * 5000, "/99999999"])
def test_an_impossible_length_is_refused_with_its_measure(length):
    reason = reason_of_failure(f"X:1\nM:4/4\nL:1/4\nK:C\nCDEF|A{length}")
    assert "measure 2" in reason


def test_a_rest_of_countless_measures_is_refused():
    assert "999999 measures" in reason_of_failure("X:1\nM:4/4\nK:C\nA|Z999999|")

"""Licks typed as tab: techniques, fingers and simultaneous notes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.errors import QueryError
from melodex.model.tuning import OPEN_G
from melodex.parsing.lick_tab import lick_from_tab


def notes_of(text):
    hands = lick_from_tab(text).hands
    assert hands is not None
    return hands.notes


def played(text):
    return [
        (note.onset, note.string, note.fret, note.left_hand, note.finger) for note in notes_of(text)
    ]


def test_a_lick_of_strings_and_frets_keeps_them():
    assert played("4:0 3:2:q 5:0") == [(0, 4, 0, "", ""), (0.5, 3, 2, "", ""), (1.5, 5, 0, "", "")]


@pytest.mark.parametrize(
    ("second", "how"),
    [("3:h4", "hammer-on"), ("3:p0", "pull-off"), ("3:s4", "slide"), ("3:s0", "slide")],
)
def test_a_letter_before_the_fret_says_how_it_is_reached(second, how):
    assert [note[3] for note in played(f"3:2 {second}")] == ["", how]


def test_a_choke_needs_no_note_before_it():
    assert [note[3] for note in played("2:c8 1:0")] == ["choke", ""]


def test_a_letter_behind_the_fret_is_the_finger():
    assert [note[4] for note in played("3:0T 2:0I 1:0M 5:0")] == ["T", "I", "M", ""]


def test_notes_joined_by_a_plus_sound_together_and_the_highest_is_the_melody():
    lick = lick_from_tab("3:2 3:h3+1:0M:q 5:0")
    assert lick.melody.pitches.tolist() == [57, 62, 67]
    assert lick.melody.onsets.tolist() == [0, 0.5, 1.5]
    assert played("3:2 3:h3+1:0M:q 5:0")[1:3] == [
        (0.5, 1, 0, "", "M"),
        (0.5, 3, 3, "hammer-on", ""),
    ]


def test_a_slur_may_pass_over_notes_of_other_strings():
    assert played("3:2 5:0 3:h4")[2][3] == "hammer-on"


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("4:0 3:h2", "'3:h2' is a hammer-on, and the note before it on string 3 is not on a lower"),
        ("3:2 3:h2", "not on a lower fret"),
        ("3:2 3:p4", "not on a higher fret"),
        ("3:2 3:s2", "not on another fret"),
        ("3:0+3:2 1:0", "has two notes on string 3"),
        ("3:0 3:x2", "'3:x2' is not a string and fret"),
        ("3:0:q+1:0 2:0", "'3:0:q' is not a string and fret"),
        ("3:0+ 2:0", "'' is not a string and fret"),
        ("3:0 +1:0:q", "'' is not a string and fret"),
    ],
)
def test_what_no_hand_can_play_is_refused_with_a_next_step(text, problem):
    with pytest.raises(QueryError, match=problem.replace("+", r"\+")) as refused:
        lick_from_tab(text)
    assert refused.value.next_step


@given(
    st.lists(
        st.lists(
            st.tuples(st.integers(1, 4), st.integers(0, 22)), min_size=1, unique_by=lambda n: n[0]
        ),
        min_size=2,
        max_size=12,
    )
)
def test_a_lick_sounds_what_its_strings_and_frets_sound(together):
    text = " ".join("+".join(f"{string}:{fret}" for string, fret in word) for word in together)
    pitches = [max(OPEN_G.pitch(*note) for note in word) for word in together]
    assert lick_from_tab(text).melody.pitches.tolist() == pitches
    assert [(note.string, note.fret) for note in notes_of(text)] == [
        note for word in together for note in sorted(word)
    ]

"""Two aligned melodies, with the differences in words."""

from hypothesis import given
from hypothesis import strategies as st

from melodex.parsing.lick_text import lick_from_names
from melodex.report.aligned_text import aligned_lines
from tests.strategies import melody_of, song_of

LICK = lick_from_names("G4 A4 B4 D5")


def test_equal_notes_stand_above_each_other_without_a_word():
    song = song_of(melody_of(60, 67, 69, 71, 74))
    lines = aligned_lines(LICK, song, [(0, 1), (1, 2), (2, 3), (3, 4)], transposition=0)
    assert lines == [
        "measure 1        2",
        "lick    G4 A4 B4 D5",
        "song    G4 A4 B4 D5",
    ]


def test_a_different_note_is_marked_after_transposition():
    song = song_of(melody_of(62, 64, 65, 69))
    lines = aligned_lines(LICK, song, [(0, 0), (1, 1), (2, 2), (3, 3)], transposition=-5)
    assert lines[3].split() == ["1", "lower"]


def test_notes_that_one_side_lacks_are_called_added_and_left_out():
    song = song_of(melody_of(67, 72, 71, 74))
    lines = aligned_lines(LICK, song, [(0, 0), (2, 2), (3, 3)], transposition=0)
    assert lines[1].split() == ["lick", "G4", "A4", "-", "B4", "D5"]
    assert lines[2].split() == ["song", "G4", "-", "C5", "B4", "D5"]
    assert lines[3].split() == ["left", "out", "added"]


def test_one_note_matched_by_two_is_called_split_and_two_by_one_joined():
    song = song_of(melody_of(67, 67, 69))
    lines = aligned_lines(LICK, song, [(0, 0), (0, 1), (1, 2), (2, 2)], transposition=0)
    assert "split" in lines[3]
    assert "joined" in lines[3]


@given(width=st.integers(20, 90))
def test_no_line_is_wider_than_the_limit_and_no_note_is_lost(width):
    song = song_of(melody_of(67, 69, 71, 74, 67, 69, 71, 74))
    long_lick = lick_from_names("G4 A4 B4 D5 G4 A4 B4 D5")
    pairs = [(note, note) for note in range(8)]
    lines = aligned_lines(long_lick, song, pairs, transposition=0, width=width)
    assert max(map(len, lines)) <= width
    assert sum(len(line.split()) - 1 for line in lines if line.startswith("lick")) == 8

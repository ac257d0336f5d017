import pytest

from tests.parsing.abc.abc_examples import song_of

# Sources in this file are sections of the ABC music standard 2.1, December 2011.
HEADER = "M:4/4\nL:1/4\nK:C"
STRICT = "I:abc-version 2.1\n" + HEADER


def sung(body, header=HEADER):
    return [(syllable.note, syllable.text) for syllable in song_of(body, header).lyrics]


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("wa-ter-wheel", [(0, "wa-"), (1, "ter-"), (2, "wheel")]),
        ("wa-ter--wheel", [(0, "wa-"), (1, "ter-"), (3, "wheel")]),
        ("wa-ter -wheel", [(0, "wa-"), (1, "ter"), (3, "wheel")]),
        ("gate__ swings", [(0, "gate"), (3, "swings")]),
        ("in~the~lane", [(0, "in the lane")]),
        ("a * b", [(0, "a"), (2, "b")]),
        (r"half\-way up", [(0, "half-way"), (1, "up")]),
        ("1.~Old brown goat", [(0, "1. Old"), (1, "brown"), (2, "goat")]),
        ("1. Old brown goat", [(0, "Old"), (1, "brown"), (2, "goat")]),
        ("goat 2 3 goat", [(0, "goat"), (1, "2"), (2, "3"), (3, "goat")]),
        ("one two three four five", [(0, "one"), (1, "two"), (2, "three"), (3, "four")]),
    ],
)
def test_syllables_are_aligned_with_their_notes(words, expected):
    # Source: section 5.1, the table of signs; 5.3 for numbers. "ter -wheel" is on the notes of
    # "ter--wheel".
    assert sung(f"CDEF|\nw:{words}") == expected


def test_a_bar_sign_moves_to_the_next_measure():
    # Source: section 5.1: | advances to the next bar, and is ignored where syllables suffice.
    assert sung("CDEF|GABc|\nw:one | two") == [(0, "one"), (4, "two")]
    assert sung("CD EF|GABc|\nw:a b c d | e") == [(0, "a"), (1, "b"), (2, "c"), (3, "d"), (4, "e")]


def test_rests_and_grace_notes_have_no_syllables():
    # Source: section 5.1.
    assert sung("C z {d}E F|\nw:one two three") == [(0, "one"), (1, "two"), (2, "three")]


def test_tied_notes_are_separate_for_words():
    # Source: section 5.1; the melody joins tied notes, so the first of their words is kept.
    assert sung("C-C D|\nw:one _ two") == [(0, "one"), (1, "two")]


def test_words_of_two_lines_may_follow_both():
    # Source: section 5.1: equivalent under ABC 2.1.
    apart = "c A F D|\nw: low the mill wheel\nE C D E|\nw: turns in the rain"
    together = "c A F D|\nE C D E|\nw: low the mill wheel turns in the rain"
    assert sung(apart, STRICT) == sung(together, STRICT)
    assert len(sung(together, STRICT)) == 8


def test_an_empty_field_skips_a_line():
    # Source: section 5.1.
    body = "c A F D|\nw: low the mill wheel\nE E E E|\nw:\nE C D C|\nw: turns in the rain"
    assert [note for note, _ in sung(body, STRICT)] == [0, 1, 2, 3, 8, 9, 10, 11]


def test_older_files_align_words_with_the_line_above():
    # Source: section 10.6: the latest line under ABC 2.0, the first without words under 2.1.
    body = "EGAB|\nBAGE|\negab|]\nw:wheels turn slow-ly"
    assert [note for note, _ in sung(body)] == [8, 9, 10, 11]
    assert [note for note, _ in sung(body, STRICT)] == [0, 1, 2, 3]


def test_the_first_of_several_verses_is_kept():
    # Source: section 5.2: adjacent fields are verses.
    assert sung("CDEF|\nw:one two\nw:eins zwei") == [(0, "one"), (1, "two")]


def test_a_field_may_be_continued():
    # Source: section 3.3, the two excerpts that are equivalent; comments may stand between.
    body = "gf|e2dc B2A2|B2G2 E2D2|.G2.G2 GABc|d4 B2\nw: Sa-ys my au-l' wan to your aul' wan,"
    whole = sung(f"{body} Will~ye come to the Wa-x-ies dar-gle?")
    assert sung(f"{body}\n% comment\n+:Will~ye come to the Wa-x-ies dar-gle?") == whole
    assert whole[10] == (10, "Will ye")


def test_words_after_the_tune_are_not_aligned():
    # Source: section 5: W: is printed separately below.
    assert sung("CDEF|\nW:one two") == []

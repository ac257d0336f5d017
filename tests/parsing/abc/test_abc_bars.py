import pytest

from melodex.parsing.abc.abc_parts import MOST_PARTS
from tests.parsing.abc.abc_examples import song_of

# Sources in this file are sections of the ABC music standard 2.1, December 2011.
HEADER = "M:4/4\nL:1/4\nK:C"


def played(body, header=HEADER):
    """Return the stretches played, in measures of four quarter notes from the start."""
    return (song_of(body, header).sections / 4).tolist()


def lines(body):
    return [(line.onset / 4, line.style, line.ending) for line in song_of(body, HEADER).bar_lines]


def test_plain_bar_lines_are_not_kept_apart():
    assert lines("CDEF|CDEF|") == []


@pytest.mark.parametrize(
    ("bar", "style"),
    [
        ("||", "double"),
        ("|]", "final"),
        ("[|", "double"),
        ("|:", "repeat start"),
        (":|", "repeat end"),
        ("::", "repeat both"),
        ("|[|", "double"),
        ("[|:::", "repeat start"),
    ],
)
def test_bar_lines_have_their_meaning(bar, style):
    # Source: section 4.8, table; the last two are variants found in real files.
    assert lines(f"CDEF{bar}CDEF|") == [(1, style, "")]


@pytest.mark.parametrize("bar", ["[|]", ".|", "|"])
def test_dotted_and_invisible_bar_lines_part_measures(bar):
    # Source: section 4.8.
    assert song_of(f"CDEF{bar}CDEF|", HEADER).measures.numbers.tolist() == [1, 2]
    assert lines(f"CDEF{bar}CDEF|") == []


@pytest.mark.parametrize("bar", ["::", ":|:", ":||:", ":| |:"])
def test_the_ways_to_end_and_start_a_repeat_are_equivalent(bar):
    # Source: section 4.8: ::, :|: and :||: are equivalent, short for :| followed by |:.
    assert played(f"|:CDEF{bar}GABc:|") == [[0, 1], [0, 2], [1, 2]]


def test_a_section_may_be_marked_to_be_played_three_times():
    # Source: section 4.8.
    assert played("|::CDEF::|") == played("|::CDEF:|") == [[0, 1]] * 3


def test_a_repeat_end_without_a_start_goes_back_to_the_double_bar():
    # Source: section 4.8, recommendation for developers.
    assert played("CDEF||GABc:|") == [[0, 2], [1, 2]]


@pytest.mark.parametrize(
    "body",
    [
        "|:CDEF|1GABc:|2cBAG|]",
        "|:CDEF|[1 GABc:|[2 cBAG|]",
        "|:CDEF|[1GABc:|\n[2cBAG||",
        "CDEF|[1 GABc :|[2 cBAG|",
    ],
)
def test_first_and_second_endings(body):
    # Source: section 4.9: |: may be missing, and |1 is short for |[1.
    assert played(body) == [[0, 2], [0, 1], [2, 3]]


def test_variant_endings_are_played_on_the_passes_that_they_list():
    # Source: section 4.10, [1,3 and [2,4 in four passes.
    assert played("CDEF|[1,3 GABc:|[2,4 cBAG|]") == [[0, 2], [0, 1], [2, 3]] * 2
    assert played("CDEF|[1-3 GABc:|[4 cBAG|]") == [[0, 2]] * 3 + [[0, 1], [2, 3]]


def test_an_ending_stands_on_its_bar_line():
    assert lines("CDEF|1GABc:|2cBAG|]") == [
        (1, "ending", "1"),
        (2, "repeat end", "2"),
        (3, "final", ""),
    ]


def test_the_old_book_habits_of_repeat_signs_are_understood():
    # Shapes in the bundled collections: an invisible bar carries a fermata; |:| ends a tune.
    assert played("CDEF[|]:|") == played("CDEF |:|") == played("CDEF :]") == [[0, 1]] * 2


def test_pickup_is_measure_zero_and_the_halves_of_a_measure_share_a_number():
    song = song_of("G|CDEF|CDE:|G|CDEF|CDE:|", HEADER)
    assert song.measures.numbers.tolist() == [0, 1, 2, 2, 3, 4]
    assert song.melody.measures.tolist() == [0, *[1] * 4, *[2] * 4, *[3] * 4, *[4] * 3]
    assert song.melody.beat_strengths[[0, 1, 5, 8, 9]].tolist() == [0.25, 1, 1, 0.25, 1]


def test_second_ending_begins_a_measure_of_its_own():
    song = song_of("CDEF|1CD:|2EF|]", HEADER)
    assert song.measures.numbers.tolist() == [1, 2, 3]
    assert song.melody.beat_strengths.tolist() == [1, 0.25, 0.5, 0.25, 1, 0.25, 1, 0.25]


def test_countless_repeats_are_cut_short_and_remarked():
    song = song_of("|" + ":" * 5000 + "CDEF" + ":" * 5000 + "|", HEADER)
    assert len(song.sections) <= 16
    assert "repeats" in song.remarks[0]


def test_the_order_of_parts_is_followed():
    # Source: section 3.1.9.
    body = "P:A\nCDEF|\nP:B\nGABc|"
    assert played(body, f"P:ABBA\n{HEADER}") == [[0, 2], [1, 2], [0, 1]]
    assert played(body, f"P:(AB)2\n{HEADER}") == [[0, 2]] * 2


def test_parts_are_played_with_their_own_repeats():
    # Source: section 13.1, where the parts of P:(AB)2(AC)2A have repeats.
    assert played("[P:A]CDEF:|\n[P:B]GABc:|", f"P:ABA\n{HEADER}") == [
        *[[0, 1], [0, 2], [1, 2]],
        *[[0, 1]] * 2,
    ]


@pytest.mark.parametrize("order", ["A", "Modern Version."])
def test_a_name_in_the_header_or_an_order_without_parts_leaves_the_music_as_it_is(order):
    assert played("CDEF|GABc|", f"P:{order}\n{HEADER}") == [[0, 2]]


@pytest.mark.parametrize("order", ["A99999999", "((((A99)99)99)99)99", "A" + "9" * 400, "A9999B"])
def test_an_order_of_very_many_parts_is_cut_short_and_remarked(order):
    song = song_of("P:A\nCDEF|\nP:B\nGABc|\nP:A\nC4|", f"P:{order}\n{HEADER}")
    assert len(song.sections) == MOST_PARTS
    assert any("too many repeats" in remark for remark in song.remarks)


def test_an_order_of_unmarked_parts_is_not_followed_and_remarked():
    song = song_of("P:A\nCDEF|", f"P:AB\n{HEADER}")
    assert song.sections.tolist() == [[0, 4]]
    assert "AB" in song.remarks[0]


def test_a_metre_changes_between_bar_lines():
    # Source: section 3.2.
    song = song_of("GBd g2d|edB A2B|[M:9/8] GAB dBA G2|]", "M:6/8\nL:1/8\nK:C")
    assert [(str(change.metre), change.onset) for change in song.metre_changes] == [("9/8", 6)]
    other = song_of("GBd g2d|edB A2B|\\\nM:9/8\nGAB dBA G2|]", "M:6/8\nL:1/8\nK:C")
    assert other.metre_changes == song.metre_changes
    assert other.melody.pitches.tolist() == song.melody.pitches.tolist()

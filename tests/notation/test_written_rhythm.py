"""Note values, ties, tuplets and beams of a measure."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from melodex.model.metre import Metre
from melodex.notation.metre_weights import beats_of
from melodex.notation.written_rhythm import TimeSpan, beamed, written_rhythm

COMMON, JIG = Metre(4, 4), Metre(6, 8)


def spans_of(*lengths, begin=Fraction(0)):
    """Return consecutive sounds; a negative length is a rest."""
    spans = []
    for number, length in enumerate(lengths):
        end = begin + abs(Fraction(length))
        spans.append(TimeSpan(begin, end, number if length > 0 else None))
        begin = end
    return spans


def written(*lengths, metre=COMMON, begin=Fraction(0)):
    return written_rhythm(spans_of(*lengths, begin=begin), beats_of(metre))


def values(rhythm):
    return [
        (piece.value.name + "." * piece.value.dots, piece.sound, run.tuplet)
        for run in rhythm.runs
        for piece in run.pieces
    ]


def test_a_note_that_has_no_value_of_its_own_is_two_tied_ones():
    plain = (1, 1)
    assert values(written(Fraction(5, 2), Fraction(3, 2))) == [
        ("half", 0, plain),
        ("eighth", 0, plain),
        ("quarter.", 1, plain),
    ]


def test_three_in_the_time_of_two_are_a_tuplet():
    rhythm = written(
        1,
        Fraction(1, 3),
        Fraction(1, 3),
        Fraction(1, 3),
        Fraction(2, 3),
        Fraction(2, 3),
        Fraction(2, 3),
    )
    assert [run.tuplet for run in rhythm.runs] == [(1, 1), (3, 2), (3, 2)]
    assert [name for name, _, _ in values(rhythm)] == ["quarter", *["eighth"] * 3, *["quarter"] * 3]
    assert not rhythm.is_rounded


def test_a_note_tied_out_of_a_triplet_is_cut_at_the_beat():
    rhythm = written(Fraction(1, 3), Fraction(1, 3), 1, Fraction(1, 3), 2)
    sounds = [[piece.sound for piece in run.pieces] for run in rhythm.runs]
    assert sounds == [[0, 1, 2], [2, 3], [4]]
    assert not rhythm.is_rounded


def test_a_pickup_may_be_a_part_of_a_triplet():
    rhythm = written(Fraction(1, 3), Fraction(1, 3), begin=Fraction(10, 3))
    assert not rhythm.is_rounded
    assert [run.tuplet for run in rhythm.runs] == [(3, 2)]


def test_a_rhythm_without_notation_is_rounded_and_says_so():
    rhythm = written(Fraction(7, 22), Fraction(1, 2), Fraction(70, 22))
    assert rhythm.is_rounded
    assert {sound for _, sound, _ in values(rhythm)} == {0, 1, 2}


def test_eighths_are_beamed_by_the_half_measure_and_shorter_notes_by_the_beat():
    eighths = written(*[Fraction(1, 2)] * 8)
    assert [len(group) for group in beamed(eighths.runs[0].pieces, beats_of(COMMON))] == [4, 4]
    mixed = written(
        Fraction(1, 4), Fraction(1, 4), Fraction(1, 2), Fraction(1, 2), Fraction(1, 2), 2
    )
    assert [len(group) for group in beamed(mixed.runs[0].pieces, beats_of(COMMON))] == [3, 2, 1]
    jig = written(*[Fraction(1, 2)] * 6, metre=JIG)
    assert [len(group) for group in beamed(jig.runs[0].pieces, beats_of(JIG))] == [3, 3]


_BINARY = st.sampled_from(
    [Fraction(1, 4), Fraction(1, 2), Fraction(3, 4), Fraction(1), Fraction(3, 2), Fraction(2)]
)
_TRIPLET = st.sampled_from(
    [
        [Fraction(1, 3)] * 3,
        [Fraction(2, 3), Fraction(1, 3)],
        [Fraction(2, 3)] * 3,
        [Fraction(1, 6)] * 6,
    ]
)
_MEASURES = st.lists(_BINARY.map(lambda length: [length]) | _TRIPLET, min_size=1, max_size=8)


@given(parts=_MEASURES, metre=st.sampled_from([COMMON, Metre(3, 4), Metre(2, 2)]))
def test_written_values_begin_and_end_where_the_notes_do(parts, metre):
    spans = spans_of(*[length for part in parts for length in part])
    rhythm = written_rhythm(spans, beats_of(metre))
    assert not rhythm.is_rounded
    pieces = [piece for run in rhythm.runs for piece in run.pieces]
    for span in spans:
        own = [piece for piece in pieces if piece.sound == span.sound]
        assert own[0].begin == span.begin
        assert sum(piece.value.length for piece in own) == span.end - span.begin

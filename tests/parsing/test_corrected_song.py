"""A corrected song equals the song read from a correct file."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.errors import QueryError
from melodex.model.correction import Correction
from melodex.model.key import Key
from melodex.model.metre import FREE_METRE, Metre
from melodex.parsing.abc.abc_reader import read_abc
from melodex.parsing.corrected_song import corrected_song
from tests.strategies import metres, songs

RIGHT = "X:1\nT:Slow Ferry\nM:3/4\nL:1/4\nK:C\n"
WRONG = RIGHT.replace("3/4", "4/4")


def read(text):
    """Read one ABC tune."""
    (song,) = read_abc(text, "tune.abc").songs
    return song


def _measures(song):
    numbers = zip(song.measures.onsets.tolist(), song.measures.numbers.tolist(), strict=True)
    notes = zip(song.melody.measures.tolist(), song.melody.beat_strengths.tolist(), strict=True)
    return str(song.metre), list(numbers), list(notes)


@pytest.mark.parametrize(
    ("wrong", "right", "correction"),
    [
        ("CDEF|GABc|cBAG|", "CDE|FGA|Bcc|BAG|", Correction(metre=Metre(3, 4))),
        ("CDEF|GABc|cBA|", "C|DEF|GAB|ccB|A|", Correction(metre=Metre(3, 4), pickup=1.0)),
        ("CDE|FGA|Bcc|", "CDE|FGA|Bcc|", Correction(metre=Metre(3, 4))),
        ("|:CDE:|FGAB|c4|", "|:CDE:|FGA|Bc2-|c2|", Correction(metre=Metre(3, 4))),
        # A part's pickup fills its last measure, and both halves have the same number.
        ("CDEF|GA:|BAGF|ED|", "C|DEF|GA:|B|AGF|ED|", Correction(metre=Metre(3, 4), pickup=1.0)),
    ],
)
def test_the_measures_are_those_of_the_same_notes_written_rightly(wrong, right, correction):
    corrected = corrected_song(read(WRONG + wrong), correction)
    assert _measures(corrected) == _measures(read(RIGHT + right))


def test_a_pickup_alone_moves_the_bar_lines():
    corrected = corrected_song(read(RIGHT + "CDE|FGA|B|"), Correction(pickup=1.0))
    assert _measures(corrected) == _measures(read(RIGHT + "C|DEF|GAB|"))
    assert _measures(corrected_song(corrected, Correction(pickup=0.0))) == _measures(
        read(RIGHT + "CDE|FGA|B|")
    )


def test_free_metre_keeps_the_bar_lines():
    song = read(RIGHT + "CDE|FGA|")
    corrected = corrected_song(song, Correction(metre=FREE_METRE))
    assert corrected.metre.is_free
    np.testing.assert_array_equal(corrected.measures.onsets, song.measures.onsets)


def test_title_and_key_change_nothing_else():
    song = read(RIGHT + "CDE|FGA|")
    corrected = corrected_song(song, Correction(title="Slow Fairy", key=Key("A", "minor")))
    assert (corrected.title, str(corrected.key)) == ("Slow Fairy", "A minor")
    assert _measures(corrected) == _measures(song)


def test_a_pickup_as_long_as_a_measure_is_refused():
    with pytest.raises(QueryError, match="not shorter than a measure of 3/4"):
        corrected_song(read(RIGHT + "CDE|FGA|"), Correction(pickup=3.0))


def test_a_pickup_without_a_metre_is_refused():
    song = replace(read(RIGHT + "CDE|FGA|"), metre=FREE_METRE)
    with pytest.raises(QueryError, match="without a metre has no pickup"):
        corrected_song(song, Correction(pickup=1.0))


@given(song=songs(), metre=metres(), part=st.floats(0, 0.99))
def test_notes_and_the_order_of_playing_stay_and_measures_number_every_note(song, metre, part):
    pickup = part * float(metre.measure_length)
    corrected = corrected_song(song, Correction(metre=metre, pickup=pickup))
    np.testing.assert_array_equal(corrected.melody.onsets, song.melody.onsets)
    np.testing.assert_array_equal(corrected.melody.pitches, song.melody.pitches)
    np.testing.assert_array_equal(corrected.sections, song.sections)
    assert set(corrected.melody.measures.tolist()) <= set(corrected.measures.numbers.tolist())
    assert (corrected.melody.beat_strengths > 0).all()

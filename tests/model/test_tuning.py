"""Banjo tunings: pitches of the strings, and how frets are counted."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.errors import QueryError
from melodex.model.tuning import (
    NAMED_TUNINGS,
    OPEN_G,
    BanjoTuning,
    tuning_named,
    tuning_of_pitches,
    with_capo,
)

TUNINGS = st.sampled_from(NAMED_TUNINGS)


# Strings 5 to 1. Common practice, no source.
@pytest.mark.parametrize(
    ("name", "spelled", "pitches"),
    [
        ("open G", "gDGBD", (67, 50, 55, 59, 62)),
        ("double C", "gCGCD", (67, 48, 55, 60, 62)),
        ("G modal", "gDGCD", (67, 50, 55, 60, 62)),
        ("open D", "f#DF#AD", (66, 50, 54, 57, 62)),
        ("C", "gCGBD", (67, 48, 55, 59, 62)),
    ],
)
def test_a_tuning_is_found_by_its_name_and_by_its_notes(name, spelled, pitches):
    assert tuning_named(name) == tuning_named(spelled)
    assert tuning_named(name).open_strings[::-1] == pitches
    assert str(tuning_named(name)) == spelled


# Common practice, no source.
@pytest.mark.parametrize(
    ("string", "fret", "open_string"), [(4, 5, 3), (3, 4, 2), (2, 3, 1), (1, 5, 5)]
)
def test_in_open_g_a_fret_sounds_the_next_open_string(string, fret, open_string):
    assert OPEN_G.pitch(string, fret) == OPEN_G.pitch(open_string, 0)


# Common practice, no source: fret 7 on string 5 is two half-steps above open.
def test_the_short_string_is_numbered_as_the_neck_is():
    assert OPEN_G.pitch(5, 7) == OPEN_G.pitch(5, 0) + 2 == OPEN_G.pitch(1, 7)
    assert [fret for fret in range(8) if OPEN_G.has(5, fret)] == [0, 6, 7]


# Common practice, no source: hammer-on 2-3 and slide 2-4 on string 3, slide 2-5 and hammer-on 0-2
# on string 4.
@pytest.mark.parametrize(
    ("string", "from_fret", "to_fret", "sounds_like"),
    [(3, 2, 3, None), (3, 2, 4, 2), (4, 2, 5, 3), (4, 0, 2, None)],
)
def test_the_usual_moves_end_where_players_hear_them_end(string, from_fret, to_fret, sounds_like):
    assert OPEN_G.pitch(string, to_fret) - OPEN_G.pitch(string, from_fret) == to_fret - from_fret
    if sounds_like:
        assert OPEN_G.pitch(string, to_fret) == OPEN_G.pitch(sounds_like, 0)


# Common practice, no source: string 4 fret 2, string 2 fret 1, string 1 fret 2, the others open.
def test_the_move_to_the_c_chord_sounds_only_c_e_and_g():
    held = {5: 0, 4: 2, 3: 0, 2: 1, 1: 2}
    assert {OPEN_G.pitch(string, fret) % 12 for string, fret in held.items()} == {0, 4, 7}


@given(tuning=TUNINGS, capo=st.integers(0, 5), string=st.integers(1, 5))
def test_a_capo_raises_every_string_and_leaves_the_tab_as_it_is(tuning, capo, string):
    raised = with_capo(tuning, capo)
    for fret in range(17):
        assert raised.has(string, fret) == tuning.has(string, fret)
        if tuning.has(string, fret):
            assert raised.pitch(string, fret) == tuning.pitch(string, fret) + capo
    assert tuning_of_pitches(raised.open_strings) == raised


def test_a_capo_on_four_strings_alone_moves_the_short_strings_nut():
    # With a capo at fret 2, the neck's fret 5 is the third from it. Arithmetic.
    tuning = BanjoTuning("open G", OPEN_G.strings, capo=2)
    assert tuning.open_strings == (64, 61, 57, 52, 67)
    assert tuning.short_string_nut == 3
    assert tuning.pitch(5, 4) == 68


def test_the_short_string_alone_may_be_raised_to_a():
    tuning = BanjoTuning("open G", OPEN_G.strings, short_string_capo=7)
    assert tuning.pitch(5, 0) == 69
    assert tuning.pitch(5, 8) == 70
    assert not tuning.has(5, 7)


def test_the_neck_ends_at_fret_22_wherever_the_capo_is():
    assert OPEN_G.has(1, 22)
    assert not OPEN_G.has(1, 23)
    assert not with_capo(OPEN_G, 2).has(1, 21)


@pytest.mark.parametrize("name", ["ladder", "", "gDGB"])
def test_an_unknown_tuning_lists_those_that_are_known(name):
    with pytest.raises(QueryError, match="no tuning") as caught:
        tuning_named(name)
    assert "double C (gCGCD)" in caught.value.next_step


@pytest.mark.parametrize("capo", [-1, 17])
def test_a_capo_off_the_neck_is_refused(capo):
    with pytest.raises(QueryError, match="no neck"):
        tuning_named("open G", capo=capo)


@pytest.mark.parametrize("pitches", [(), (64, 59, 55, 50, 45, 40), (64, 59, 55, 50, 45)])
def test_a_guitar_is_no_banjo(pitches):
    assert tuning_of_pitches(pitches) is None


def test_open_strings_without_a_name_are_a_tuning_of_their_own():
    tuning = tuning_of_pitches((64, 59, 55, 52, 67))
    assert tuning is not None
    assert tuning.pitch(1, 3) == 67

"""The phrases that two melodies share, each once, and those that one repeats."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.phrases.shared import FEWEST_NOTES, shared_by
from tests.strategies import melodies, melody_of, transposed

FIGURE = [60, 64, 62, 67, 65, 69]  # a shape that neither bridge has
BRIDGE, OTHER_BRIDGE = [72, 71, 70, 69, 68, 66, 64], [50, 55, 51, 57, 52, 59, 53]
lines = melodies(max_notes=24, pitches=st.integers(60, 66))


def found(shared):
    return [
        (*(phrase.stretch.places), phrase.stretch.transposition, phrase.stretch.matched)
        for phrase in shared.phrases
    ]


def moved(figure, half_steps):
    return [pitch + half_steps for pitch in figure]


def test_a_figure_in_another_key_is_found_with_its_places():
    one = melody_of(*FIGURE, *BRIDGE)
    other = melody_of(*OTHER_BRIDGE, *moved(FIGURE, 5))
    shared = shared_by(one, other)
    assert found(shared) == [(range(6), range(7, 13), 5, 6)]
    assert shared.phrases[0].stretch.score == 1
    assert shared.in_one.nonzero()[0].tolist() == list(range(6))
    assert shared.in_other.nonzero()[0].tolist() == list(range(7, 13))


def test_a_figure_that_one_song_has_twice_is_listed_once_with_its_other_place():
    one = melody_of(*FIGURE, *BRIDGE, *moved(FIGURE, -3))
    other = melody_of(*OTHER_BRIDGE, *FIGURE)
    shared = shared_by(one, other)
    (phrase,) = shared.phrases
    places = [phrase.stretch.places[0], *phrase.again[0]]
    assert sorted(places, key=lambda place: place.start) == [range(6), range(13, 19)]
    assert phrase.again[1] == []
    assert int(shared.in_one.sum()) == 12


def test_a_song_with_itself_shows_each_later_place_of_its_phrases():
    # A A B A, the third A a tone higher.
    song = melody_of(*FIGURE, *FIGURE, *BRIDGE, *moved(FIGURE, 2))
    places = {(one.start, other.start) for one, other, *_ in found(shared_by(song, song))}
    starts = {start for pair in places for start in pair}
    assert starts == {0, 6, 19}
    assert len(places) == 2


def test_fewer_than_five_matched_notes_are_no_phrase():
    four = FIGURE[:4]
    assert shared_by(melody_of(*four), melody_of(*four)).phrases == ()
    assert FEWEST_NOTES == 5


def test_melodies_of_one_note_share_nothing():
    assert shared_by(melody_of(60), melody_of(60)).phrases == ()


def test_the_longest_phrase_comes_first():
    long, short = [*FIGURE, 64, 72, 66], [80, 75, 78, 73, 77, 71]
    one = melody_of(*short, *BRIDGE, *long)
    other = melody_of(*long, *OTHER_BRIDGE, *short)
    assert [matched for *_, matched in found(shared_by(one, other))] == [9, 6]


def test_a_longer_phrase_comes_first_even_if_it_matches_less_well():
    long, short = [60, 64, 62, 67, 65, 69, 64, 72, 66, 73], [80, 75, 78, 73, 77, 71, 79, 74, 81]
    varied = [*long[:3], long[3] - 1, *long[4:6], long[6] - 1, *long[7:]]
    one = melody_of(*short, *BRIDGE, *long)
    other = melody_of(*varied, *OTHER_BRIDGE, *short)
    phrases = shared_by(one, other).phrases
    assert [phrase.stretch.matched for phrase in phrases] == [10, 9]
    assert phrases[0].stretch.log_odds < phrases[1].stretch.log_odds


@pytest.mark.parametrize(("begins", "n_phrases"), [(4, 2), (3, 1)])
def test_a_place_of_which_half_is_new_makes_a_phrase_of_its_own(begins, n_phrases):
    line = [60, 67, 62, 70, 64, 73, 65, 76, 66, 79, 61, 81]
    # Of the first seven notes, four or three are new after the longer part.
    other = melody_of(*line[:7], 20, 110, 25, 105, *line[begins:])
    shared = shared_by(melody_of(*line), other)
    assert len(shared.phrases) == n_phrases
    assert shared.in_one.all()


@given(one=lines, other=lines)
def test_exchanging_the_songs_exchanges_the_sides(one, other):
    there, back = shared_by(one, other), shared_by(other, one)
    assert [(b, a, -shift, notes) for a, b, shift, notes in found(back)] == found(there)
    assert [p.again[::-1] for p in back.phrases] == [p.again for p in there.phrases]
    assert back.in_one.tolist() == there.in_other.tolist()
    assert back.in_other.tolist() == there.in_one.tolist()


@given(one=lines, other=lines, up=st.integers(-12, 12), first=st.booleans())
def test_transposing_a_song_changes_no_place(one, other, up, first):
    expected = [(a, b, notes) for a, b, _, notes in found(shared_by(one, other))]
    sides = (transposed(one, up), other) if first else (one, transposed(other, up))
    assert [(a, b, notes) for a, b, _, notes in found(shared_by(*sides))] == expected


@given(line=melodies(min_notes=5), up=st.integers(-12, 12))
def test_a_song_shares_all_of_itself_with_its_transposed_copy(line, up):
    shared = shared_by(line, transposed(line, up))
    assert shared.in_one.all()
    assert shared.phrases[0].stretch.places == (range(len(line)), range(len(line)))


CARRIED = [55, 59, 57, 62, 60, 55]


def in_half_notes(*pitches):
    return melody_of(
        *pitches,
        durations=[2] * len(pitches),
        beat_strengths=([1, 0.5] * len(pitches))[: len(pitches)],
    )


def in_a_roll():
    """Return a tab with the given notes on the beats of a roll."""
    rolled = melody_of(
        *(pitch for note in CARRIED for pitch in (note, 62, 67, 62)),
        durations=[0.5] * 24,
        beat_strengths=[1, 0.125, 0.25, 0.125, 0.5, 0.125, 0.25, 0.125] * 3,
    )
    return replace(rolled, strings=np.array([3, 1, 5, 1] * 6, np.int8))


def test_a_plain_phrase_is_found_inside_a_roll():
    (phrase,) = shared_by(in_half_notes(*CARRIED), in_a_roll()).phrases
    assert phrase.stretch.pairs.tolist() == [[note, 4 * note] for note in range(6)]
    assert 0 < phrase.stretch.score < 1


@pytest.mark.parametrize("after", [[], [41, 94] * 12], ids=["shorter", "longer"])
def test_exchanging_a_plain_song_and_a_roll_exchanges_the_form(after):
    plain, rolled = in_half_notes(*CARRIED, *after), in_a_roll()
    forms = [
        shared_by(*pair).phrases[0].stretch.form for pair in ((plain, rolled), (rolled, plain))
    ]
    assert forms == ["inside a roll", "melody of the roll"]


def test_exchanging_the_songs_exchanges_the_form():
    one = melody_of(
        *FIGURE, *BRIDGE, durations=[0.5] * 13, beat_strengths=[0.25, 0.125] * 6 + [0.25]
    )
    other = melody_of(*FIGURE, durations=[1.0] * 6, beat_strengths=[0.5, 0.25] * 3)
    forms = [shared_by(*pair).phrases[0].stretch.form for pair in ((one, other), (other, one))]
    assert forms == ["doubled", "halved"]

"""The form of a song, from the phrases that it repeats."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from melodex.phrases.form import form_of
from melodex.phrases.shared import shared_by
from tests.strategies import melodies, melody_of

FIGURE = [60, 64, 62, 67, 65, 69]
BRIDGE = [72, 71, 70, 69, 68, 66, 64]


def form(song):
    return form_of(shared_by(song, song).phrases, len(song))


def test_a_a_b_a_is_named_by_its_letters():
    song = melody_of(*FIGURE, *FIGURE, *BRIDGE, *(pitch + 2 for pitch in FIGURE))
    parts = form(song)
    assert [part.letter for part in parts] == ["A", "A", "B", "A"]
    assert [part.notes for part in parts] == [range(6), range(6, 12), range(12, 19), range(19, 25)]


def test_a_song_that_repeats_nothing_has_no_form():
    assert form(melody_of(*FIGURE)) == ()


@given(song=melodies(max_notes=40, pitches=st.integers(60, 66)))
def test_parts_follow_each_other_without_overlap_and_letters_rise(song):
    parts = form(song)
    assert all(before.notes.stop <= after.notes.start for before, after in pairwise(parts))
    new = list(dict.fromkeys(part.letter for part in parts))
    assert new == sorted(new)
    assert not parts or "A" in new

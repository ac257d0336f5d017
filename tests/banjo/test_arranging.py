"""Plain melodies arranged in rolls."""

from dataclasses import replace
from itertools import pairwise

import pytest

from melodex.banjo.arranging import APPROACHES, arrange
from melodex.banjo.roll_slots import ROLL_STRINGS, roll_named
from melodex.errors import MelodyError, QueryError
from melodex.features.rolls import PINCH, rolls_of
from melodex.model.key import Key, signature_of
from melodex.model.metre import FREE_METRE, Metre
from melodex.model.tuning import OPEN_G
from tests.songbook import TERMS, songs_of_book
from tests.strategies import melody_of, song_of
from tests.tabs import tab_of

PLAIN = [song for book in TERMS for song in songs_of_book(book).values() if not song.metre.is_free]
G_MAJOR = Key("G", "major", signature_of("G", "major"))
# Four measures of quarter notes and halves. Invented.
SLOW = song_of(
    melody_of(
        55, 59, 62, 59, 60, 64, 62, 57, 60, 59, 57, 55,
        durations=[1, 1, 1, 1, 1, 1, 2, 1, 1, 2, 2, 2],
    ),
    key=G_MAJOR,
)  # fmt: skip


def title_of(song):
    return song.title


def sounding(tab):
    return {(note.onset, tab.pitch(note)) for note in tab.notes}


@pytest.mark.parametrize("song", PLAIN, ids=title_of)
def test_every_melody_note_of_the_songbook_is_struck_where_it_stands(song):
    tab = arrange(song, simple=True)
    shifts = {
        int(min(p for at, p in sounding(tab) if at == onset)) - int(pitch)
        for onset, pitch in zip(song.melody.onsets[:1], song.melody.pitches[:1], strict=True)
    }
    (shift,) = shifts
    melody = zip(song.melody.onsets.tolist(), song.melody.pitches.tolist(), strict=True)
    assert {(onset, pitch + shift) for onset, pitch in melody} <= sounding(tab)


@pytest.mark.parametrize("song", PLAIN, ids=title_of)
def test_the_simple_form_has_the_right_hand_of_the_full_one(song):
    full, simple = arrange(song), arrange(song, simple=True)
    struck = [(note.onset, note.string, note.finger) for note in full.notes if not note.left_hand]
    assert struck == [(note.onset, note.string, note.finger) for note in simple.notes]
    assert not any(note.left_hand for note in simple.notes)


def test_a_hammered_or_slid_note_is_reached_on_its_string_from_the_fret_below():
    tab = arrange(SLOW)
    reached = [note for note in tab.notes if note.left_hand]
    assert reached
    for note in reached:
        fret, movement = APPROACHES[note.string, note.fret]
        before = [n for n in tab.notes if n.string == note.string and n.onset < note.onset][-1]
        assert (before.fret, note.left_hand) == (fret, movement)
        assert note.onset - before.onset == 0.25


@pytest.mark.parametrize("roll", ROLL_STRINGS)
def test_a_tune_of_long_notes_on_the_rolls_own_strings_is_that_roll(roll):
    first = 62 if roll == "backward" else 55  # the open first string, the open third
    song = song_of(melody_of(*[first] * 4, durations=[4] * 4), key=G_MAJOR)
    assert set(rolls_of(arrange(song, roll=roll)).values()) == {roll}


def test_between_melody_notes_no_string_is_struck_twice_in_a_row():
    for roll in (kind for kind in ROLL_STRINGS if kind != PINCH):
        tab = arrange(SLOW, roll=roll, simple=True)
        assert all(before.string != after.string for before, after in pairwise(tab.notes))


def test_the_melody_keeps_off_the_drone_and_the_drone_sounds():
    tab = arrange(song_of(melody_of(67, 64, 62, 67, durations=[2] * 4), key=G_MAJOR), simple=True)
    melody = [note for note in tab.notes if note.onset in (0, 2, 4, 6)]
    assert [note.string for note in melody] == [1, 1, 1, 1]
    assert any(note.string == 5 and note.fret == 0 for note in tab.notes)


def test_a_tune_in_another_key_is_moved_to_open_g_and_the_capo_is_told():
    in_a = song_of(melody_of(69, 73, 76, 81), key=Key("A", "major", signature_of("A", "major")))
    tab = arrange(in_a)
    assert str(tab.song.key) == "G major"
    assert any("capo at fret 2" in remark for remark in tab.remarks)
    assert not any("capo" in remark for remark in arrange(SLOW).remarks)


def test_a_minor_tune_comes_to_e_minor_and_a_dorian_one_to_a_dorian():
    for tonic, mode, comes_to in [("D", "minor", "E minor"), ("D", "dorian", "A dorian")]:
        song = song_of(melody_of(62, 65, 69), key=Key(tonic, mode, signature_of(tonic, mode)))
        assert str(arrange(song).song.key) == comes_to


def test_eighths_fill_four_four_and_sixteenths_two_four():
    # Common practice, no source: eight notes fill a measure of either.
    four = arrange(song_of(melody_of(55, durations=[4]), key=G_MAJOR), roll="forward")
    assert [note.onset for note in four.notes] == [step / 2 for step in range(8)]
    two = replace(song_of(melody_of(55, durations=[2]), key=G_MAJOR), metre=Metre(2, 4))
    tab = arrange(two, roll="forward")
    assert [note.onset for note in tab.notes] == [step / 4 for step in range(8)]


def test_a_pickup_of_melody_notes_stays_a_pickup():
    song = next(song for song in PLAIN if song.title == "Apples on the Sill")
    tab = arrange(song)
    assert tab.song.melody.measures[0] == 0
    assert tab.song.measures.numbers.tolist() == song.measures.numbers.tolist()


def test_the_arrangement_is_a_song_with_the_notes_of_its_tab():
    tab = arrange(SLOW)
    again = tab_of(tab.song)
    assert again.tuning == OPEN_G
    assert again.notes == tuple(replace(note, is_melody=False) for note in tab.notes)


def test_a_song_without_metre_cannot_be_rolled():
    with pytest.raises(MelodyError, match="has no metre") as caught:
        arrange(replace(SLOW, metre=FREE_METRE))
    assert caught.value.next_step


def test_an_unknown_roll_lists_those_that_are_known():
    assert roll_named("Forward Reverse") == "forward-reverse"
    with pytest.raises(QueryError, match="no roll called 'sausage'") as caught:
        roll_named("sausage")
    assert "alternating-thumb" in caught.value.next_step

"""Arrangements from the seventh fret up."""

import pytest
from hypothesis import given, settings

from melodex.banjo.arranger.arranging import arrange
from melodex.banjo.arranger.arranging_stages import STAGES
from melodex.errors import MelodyError
from tests.benchmarks.hands.checked_hands import counts_of
from tests.songbook import TERMS, songs_of_book
from tests.strategies import songs

PLAIN = [song for book in TERMS for song in songs_of_book(book).values() if not song.metre.is_free]


def title_of(song):
    return song.title


@pytest.mark.parametrize("song", PLAIN[::6], ids=title_of)
@pytest.mark.parametrize("stage", STAGES)
def test_up_the_neck_the_melody_sounds_above_the_drone_as_the_one_open_string(song, stage):
    tab = arrange(song, stage=stage, up_the_neck=True)
    assert counts_of(song, tab).melody_lost == 0
    fillers = [note for note in tab.notes if not note.is_melody]
    assert all(note.fret >= 7 for note in fillers if note.string < 5)
    assert all(note.fret == 0 for note in fillers if note.string == 5)
    melody = [note.fret for note in tab.notes if note.is_melody]
    assert sum(fret >= 7 for fret in melody) >= 0.8 * len(melody)


@pytest.mark.parametrize("song", PLAIN[:6], ids=title_of)
def test_up_the_neck_the_drone_goes_on(song):
    notes = arrange(song, up_the_neck=True).notes
    assert sum(note.string == 5 for note in notes) >= 0.05 * len(notes)


def test_the_title_says_that_it_lies_up_the_neck():
    assert arrange(PLAIN[0], up_the_neck=True).song.title.endswith("(arranged up the neck)")


@given(song=songs(max_notes=10))
@settings(max_examples=10)
def test_of_any_melody_every_note_sounds_up_the_neck_and_no_filler_takes_a_finger(song):
    try:
        tab = arrange(song, up_the_neck=True)
    except MelodyError:
        return  # it does not lie on the neck
    counts = counts_of(song, tab)
    assert (counts.melody_lost, counts.same_finger_by_filler, counts.half_step_fillers) == (0, 0, 0)

"""Composed licks on long notes, closing tags and opening measures."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

from melodex.banjo.arranger.arranging import arrange
from melodex.banjo.arranger.arranging_stages import STAGES
from melodex.banjo.arranger.composed_licks import FILLS, TAGS
from melodex.banjo.arranger.opening_roll import OPENED
from melodex.banjo.arranger.roll_patterns import ROLLS
from melodex.errors import MelodyError
from melodex.model.key import Key, signature_of
from melodex.model.metre import Metre
from melodex.model.song import BarLine, ChordSymbol, MeasureGrid
from tests.benchmarks.hands.checked_hands import counts_of
from tests.songbook import TERMS, songs_of_book
from tests.strategies import melody_of, song_of, songs

PLAIN = [song for book in TERMS for song in songs_of_book(book).values() if not song.metre.is_free]
G_MAJOR = Key("G", "major", signature_of("G", "major"))
STOCK = [
    [tuple((place.string, place.fret) for place in step.places) for step in lick.steps]
    for lick in (*FILLS, *TAGS)
]


def over(chord, *pitches, durations):
    """A melody in G over one chord."""
    song = song_of(melody_of(*pitches, durations=durations), key=G_MAJOR)
    return replace(song, chords=(ChordSymbol(0.0, chord),))


def strokes(tab, begin=0.0, end=np.inf):
    """Strings and frets, moment by moment, of a stretch."""
    onsets = sorted({note.onset for note in tab.notes if begin <= note.onset < end})
    return [
        tuple((note.string, note.fret) for note in tab.notes if note.onset == onset)
        for onset in onsets
    ]


def licks_in(played):
    """Count where a lick of the stock is played."""
    return sum(
        [set(step) for step in played[start : start + len(lick)]] == [set(step) for step in lick]
        for lick in STOCK
        for start in range(len(played))
    )


@pytest.mark.parametrize("lick", [*FILLS, *TAGS], ids=str)
def test_in_a_lick_no_finger_and_no_string_is_struck_twice_in_a_row(lick):
    for before, after in zip(lick.steps, lick.steps[1:], strict=False):
        assert not set(before.fingers) & set(after.fingers)
        if before.fingers and after.fingers:
            assert not {p.string for p in before.places} & {p.string for p in after.places}


@pytest.mark.parametrize("lick", [*FILLS, *TAGS], ids=str)
def test_the_left_hand_slurs_on_the_string_that_was_struck_within_its_reach(lick):
    frets = [place.fret for step in lick.steps for place in step.places if place.fret]
    assert max(frets) - min(frets) <= 3
    for before, after in zip(lick.steps, lick.steps[1:], strict=False):
        if not after.fingers:
            ((string, fret),), ((other, later),) = before.places, after.places
            assert string == other
            assert 0 < abs(later - fret) <= 2


def test_a_long_last_note_is_closed_by_a_tag_of_the_stock():
    tab = arrange(over("G", 55, 62, 59, 57, 55, durations=[1, 1, 1, 1, 4]))
    closing = strokes(tab, 8.0)
    tags = [lick for lick in STOCK if len(lick[-1]) > 1]
    assert any([set(s) for s in closing[-len(tag) :]] == [set(s) for s in tag] for tag in tags)


def test_a_long_note_over_d_seven_walks_up_into_the_g_that_follows():
    song = over("D7", 62, 57, 55, durations=[1, 3, 4])
    song = replace(song, chords=(ChordSymbol(0.0, "D7"), ChordSymbol(4.0, "G")))
    tab = arrange(song)
    assert strokes(tab, 6.0, 8.5)[-4:] == [((4, 0),), ((4, 2),), ((4, 4),), ((3, 0),)]


def test_a_long_note_over_c_is_filled_from_the_c_chord():
    tab = arrange(over("C", 64, 60, 64, durations=[1, 3, 4]))
    filled = strokes(tab, 4.0, 8.0)
    assert licks_in(filled) >= 1
    assert {pitch for moment in filled for pitch in moment} & {(2, 1), (1, 2), (4, 2)}


@pytest.mark.parametrize("stage", [stage for stage in STAGES if stage != "full"])
def test_only_the_full_stage_has_licks_and_an_opening(stage):
    song = over("G", 55, 59, 55, durations=[1, 3, 4])
    tab = arrange(song, stage=stage)
    assert OPENED not in tab.remarks
    assert not any(note.left_hand for note in tab.notes)
    assert tab.notes[0].onset == 0.0


@pytest.mark.parametrize("roll", ROLLS)
def test_a_named_roll_goes_on_through_long_notes(roll):
    tab = arrange(over("G", 55, 59, 55, durations=[1, 3, 4]), roll=roll)
    assert not any(note.left_hand for note in tab.notes)
    assert OPENED not in tab.remarks


def test_the_simple_form_has_only_licks_without_slurs():
    song = over("G", 55, 59, 55, durations=[1, 3, 4])
    assert any(note.left_hand for note in arrange(song).notes)
    assert not any(note.left_hand for note in arrange(song, simple=True).notes)


def test_licks_vary_from_one_long_note_to_the_next():
    song = over("G", *[62, 59] * 4, durations=[1, 3] * 4)
    fills = {tuple(strokes(arrange(song), at + 2.0, at + 4.0)) for at in (4.0, 8.0, 12.0)}
    assert len(fills) > 1


def test_the_songbooks_long_notes_are_filled():
    assert sum(licks_in(strokes(arrange(song))) for song in PLAIN[:8]) >= 16


@given(song=songs(max_notes=12))
@settings(max_examples=25)
def test_of_any_melody_every_note_sounds_whatever_fills_the_long_ones(song):
    try:
        tab = arrange(song)
    except MelodyError:
        return  # it does not lie on the neck
    counts = counts_of(song, tab)
    assert (counts.melody_lost, counts.half_step_fillers) == (0, 0)
    assert (counts.same_finger_by_filler, counts.same_string_by_filler) == (0, 0)


def test_a_tune_without_pickup_is_led_into_by_a_measure_of_rolls():
    song = over("G", 55, 59, 62, 59, durations=[1] * 4)
    tab = arrange(song)
    assert OPENED in tab.remarks
    assert tab.song.measures.numbers.tolist() == [0, 1]
    assert [note.onset for note in tab.notes if note.onset < 4] == [step / 2 for step in range(8)]
    assert not any(note.is_melody for note in tab.notes if note.onset < 4)
    assert tab.song.chords[0] == ChordSymbol(0.0, "G")


def test_a_tune_with_a_pickup_has_no_other_opening():
    song = next(song for song in PLAIN if song.title == "Apples on the Sill")
    tab = arrange(song)
    assert OPENED not in tab.remarks
    assert tab.notes[0].onset == song.melody.onsets[0]


def test_the_opening_is_played_once_where_the_tune_is_repeated():
    song = over("G", 55, 59, 62, 59, durations=[1] * 4)
    song = replace(
        song,
        sections=np.array([[0.0, 4.0], [0.0, 4.0]]),
        bar_lines=(BarLine(0.0, "repeat start"), BarLine(4.0, "repeat end")),
    )
    tab = arrange(song)
    assert tab.song.sections.tolist() == [[0.0, 8.0], [4.0, 8.0]]
    assert [line.onset for line in tab.song.bar_lines] == [4.0, 8.0]


def test_the_opening_of_a_waltz_has_six_notes():
    waltz = replace(
        song_of(melody_of(55, durations=[3]), key=G_MAJOR, sections=[(0, 3)]), metre=Metre(3, 4)
    )
    tab = arrange(waltz)
    assert len({note.onset for note in tab.notes if note.onset < 3}) == 6


def test_measures_of_rest_before_the_tune_are_rolled_too():
    song = song_of(melody_of(55, onsets=[4], durations=[4]), key=G_MAJOR)
    grid = MeasureGrid(np.array([0.0, 4.0]), np.array([1, 2], np.int32))
    song = replace(song, measures=grid, sections=np.array([[0.0, 8.0]]))
    tab = arrange(song)
    assert OPENED not in tab.remarks
    assert tab.notes[0].onset == 0.0

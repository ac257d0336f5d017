"""What fills the measures in each stage of an arrangement, and in waltzes and jigs."""

from dataclasses import replace

import numpy as np
import pytest

from melodex.banjo.arranger.arranging import arrange
from melodex.banjo.arranger.arranging_stages import STAGES, stage_named
from melodex.banjo.arranger.roll_patterns import ROLLS
from melodex.errors import QueryError
from melodex.features.playing.rolls import PINCH, rolls_of
from melodex.model.metre import Metre
from melodex.model.song import MeasureGrid
from melodex.model.tuning import OPEN_G
from tests.benchmarks.hands.checked_hands import Difficulty, difficulty_of
from tests.plain_songs import G_MAJOR, PLAIN, SLOW, title_of
from tests.strategies import melody_of, song_of


@pytest.mark.parametrize(("metre", "slots"), [(Metre(3, 4), 6), (Metre(6, 8), 6), (Metre(9, 8), 9)])
@pytest.mark.parametrize("roll", [kind for kind in ROLLS if kind != PINCH])
def test_waltz_and_jig_have_rolls_that_fill_the_measure_and_begin_anew(metre, slots, roll):
    length = float(metre.measure_length)
    song = song_of(melody_of(55, 55, durations=[length] * 2), key=G_MAJOR)
    grid = MeasureGrid(np.array([0.0, length]), np.array([1, 2], np.int32))
    numbered = replace(song.melody, measures=np.array([1, 2], np.int32))
    song = replace(song, metre=metre, measures=grid, melody=numbered)
    tab = arrange(song, roll=roll)
    finger = {1: "M", 2: "I", 3: "T", 4: "T", 5: "T"}
    fingers = [finger[note.string] for note in tab.notes]
    assert len({note.onset for note in tab.notes}) == len(fingers) == 2 * slots
    assert fingers[:slots] == fingers[slots:]


@pytest.mark.parametrize(
    ("metre", "rolls"),
    [
        (Metre(6, 8), {"forward", "backward"}),
        (Metre(3, 4), {"forward-reverse", "alternating-thumb"}),
    ],
)
def test_a_jig_is_rolled_in_threes_and_a_waltz_in_twos(metre, rolls):
    # Common practice, no source.
    onsets = np.arange(0.0, 12.0, 3.0)
    song = song_of(melody_of(55, 59, 62, 55, durations=[3] * 4), key=G_MAJOR)
    grid = MeasureGrid(onsets, np.arange(1, 5).astype(np.int32))
    numbered = replace(song.melody, measures=grid.numbers)
    song = replace(song, metre=metre, measures=grid, melody=numbered)
    heard = set(rolls_of(arrange(song, stage="roll")).values())
    assert len(heard & rolls) == 1
    assert heard <= rolls | {"none"}  # a melody note may be played by another finger


def test_a_waltz_is_pinched_on_two_and_three_and_a_jig_before_each_beat():
    # Common practice, no source: a bass note on the beat, and the chord after it.
    for metre, onsets in [(Metre(3, 4), [1.0, 2.0]), (Metre(6, 8), [1.0, 2.5])]:
        song = replace(song_of(melody_of(55, durations=[3]), key=G_MAJOR), metre=metre)
        tab = arrange(song, stage="pinches")
        times = [note.onset for note in tab.notes]
        assert sorted({onset for onset in times if times.count(onset) > 1}) == onsets


def test_in_a_tune_of_quarter_notes_the_weak_beats_are_pinched():
    tab = arrange(SLOW, stage="pinches")
    times = [note.onset for note in tab.notes]
    pinched = {onset for onset in times if times.count(onset) > 1}
    assert pinched
    assert {onset % 2 for onset in pinched} == {1.0}
    in_eighths = song_of(melody_of(*[55, 57, 59, 62] * 2, durations=[0.5] * 8), key=G_MAJOR)
    assert len(arrange(in_eighths, stage="pinches").notes) == 8


@pytest.mark.parametrize(
    ("metre", "pinched"), [(Metre(4, 4), 3.0), (Metre(3, 4), 2.0), (Metre(6, 8), 1.5)]
)
def test_a_long_last_note_is_rolled_to_the_last_beat_and_closed_by_a_pinch(metre, pinched):
    length = float(metre.measure_length)
    song = replace(song_of(melody_of(55, durations=[length]), key=G_MAJOR), metre=metre)
    notes = arrange(song).notes  # after an opening measure
    assert [note.onset - length for note in notes[-2:]] == [pinched, pinched]
    assert [note.onset + note.duration for note in notes[-2:]] == [2 * length, 2 * length]
    assert {OPEN_G.pitch(note.string, note.fret) % 12 for note in notes[-2:]} <= {7, 11, 2}


def test_each_stage_is_harder_than_the_one_before():
    tunes = [song for song in PLAIN if song.metre == Metre(4, 4)][:10]
    stages = [
        sum((difficulty_of(arrange(song, stage=stage)) for song in tunes), Difficulty())
        for stage in STAGES
    ]
    notes = [counted.notes / counted.measures for counted in stages]
    moves = [counted.left_hand_moves / counted.measures for counted in stages]
    changes = [counted.changes_of_roll for counted in stages]
    assert notes[:3] == sorted(set(notes[:3]))
    assert notes[3] >= 0.95 * notes[2]  # hammered notes and the last rest are not strokes
    assert moves == sorted(moves)
    assert moves[0] < moves[3]
    assert changes[:2] == [0, 0]
    assert changes[2] <= changes[3]


def test_a_stage_without_rolls_takes_none():
    assert stage_named("Melody", None) == "melody"
    with pytest.raises(QueryError, match="'pinches' has no roll"):
        stage_named("pinches", "forward")
    with pytest.raises(QueryError, match="no stage called 'encore'") as caught:
        stage_named("encore", None)
    assert "pinches" in caught.value.next_step


@pytest.mark.parametrize("song", PLAIN[:4], ids=title_of)
def test_every_stage_is_in_the_same_key(song):
    assert len({str(arrange(song, stage=stage).song.key) for stage in STAGES}) == 1

"""The checker of hands, on measures whose faults are known."""

from dataclasses import replace

import numpy as np
import pytest

from melodex.model.metre import Metre
from melodex.model.song import ChordSymbol, MeasureGrid
from melodex.model.tablature import Tab, TabNote
from melodex.model.tuning import OPEN_G
from tests.benchmarks.hands.checked_hands import counts_of, pitch_classes
from tests.strategies import melody_of, song_of

G = (ChordSymbol(0.0, "G"),)
# A whole note on the open third string, and a forward roll over it by hand.
PLAIN = replace(song_of(melody_of(55, durations=[4])), chords=G)
FORWARD = [(3, "T"), (2, "I"), (1, "M"), (5, "T"), (2, "I"), (1, "M"), (5, "T"), (1, "M")]


def tab_with(*changes, strokes=FORWARD, song=PLAIN):
    """The roll, with the strokes of some slots changed to (slot, string, fret, finger)."""
    notes = [
        TabNote(slot / 2, 0.5, string, 0, finger=finger)
        for slot, (string, finger) in enumerate(strokes)
    ]
    for slot, string, fret, finger in changes:
        notes[slot] = TabNote(slot / 2, 0.5, string, fret, finger=finger)
    return Tab(song, OPEN_G, tuple(notes))


def test_a_clean_roll_has_no_faults_and_is_heard():
    counts = counts_of(PLAIN, tab_with(), "forward")
    assert (counts.pairs, counts.same_finger, counts.same_string) == (7, 0, 0)
    assert (counts.fillers, counts.half_step_fillers, counts.melody_lost) == (7, 0, 0)
    assert (counts.roomy_measures, counts.rolls_heard) == (1, 1)


def test_another_roll_than_the_named_one_is_not_heard():
    assert counts_of(PLAIN, tab_with(), "backward").rolls_heard == 0


def test_a_roll_of_six_notes_is_heard_in_a_waltz():
    waltz = replace(
        song_of(melody_of(55, durations=[3]), sections=[(0, 3)]), chords=G, metre=Metre(3, 4)
    )
    counts = counts_of(waltz, tab_with(strokes=FORWARD[:6], song=waltz), "forward")
    assert (counts.short_roomy_measures, counts.short_rolls_heard) == (1, 1)
    assert (
        counts_of(waltz, tab_with(strokes=FORWARD[:6], song=waltz), "backward").short_rolls_heard
        == 0
    )


def test_a_tune_that_an_opening_delays_is_still_followed():
    later = replace(
        PLAIN,
        melody=melody_of(55, onsets=[4], durations=[4]),
        measures=MeasureGrid(np.array([0.0, 4.0]), np.array([0, 1], np.int32)),
        sections=np.array([[0.0, 8.0]]),
    )
    notes = tuple(replace(note, onset=note.onset + 4) for note in tab_with().notes)
    counts = counts_of(PLAIN, Tab(later, OPEN_G, notes), "forward")
    assert (counts.melody_lost, counts.rolls_heard) == (0, 1)


def test_a_finger_and_a_string_used_twice_are_a_fillers_fault_unless_both_notes_are_melody():
    twice = tab_with((1, 3, 0, "T"))
    counts = counts_of(PLAIN, twice)
    assert (counts.same_finger, counts.same_finger_by_filler) == (1, 1)
    assert (counts.same_string, counts.same_string_by_filler) == (1, 1)
    melody = replace(song_of(melody_of(55, 55, durations=[0.5, 3.5])), chords=G)
    counts = counts_of(melody, twice)
    assert (counts.same_finger, counts.same_finger_by_filler) == (1, 0)


def test_a_finger_may_come_back_after_more_than_an_eighth_note():
    halves = [replace(note, onset=note.onset * 2) for note in tab_with((1, 3, 0, "T")).notes]
    counts = counts_of(PLAIN, replace(tab_with(), notes=tuple(halves)))
    assert (counts.pairs, counts.same_finger) == (0, 0)


def test_a_note_of_the_left_hand_alone_is_no_stroke():
    slurred = [
        replace(note, left_hand="hammer-on", finger="") if note.onset == 0.5 else note
        for note in tab_with().notes
    ]
    assert counts_of(PLAIN, replace(tab_with(), notes=tuple(slurred))).pairs == 5


def test_a_filler_a_half_step_from_a_chord_tone_is_counted_and_the_drone_apart():
    # Over G: the first string's fret 1 sounds E flat, a half-step from D.
    assert counts_of(PLAIN, tab_with((2, 1, 1, "M"))).half_step_fillers == 1
    # Over D the open second string is none of its tones, yet a whole step or more from each;
    # the drone, struck twice, is a half-step from F sharp.
    over_d = replace(PLAIN, chords=(ChordSymbol(0.0, "D"),))
    counts = counts_of(over_d, tab_with(song=over_d))
    assert counts.half_step_drones == counts.half_step_fillers == 2


def test_a_melody_note_that_is_late_is_lost():
    late = replace(tab_with(), notes=tab_with().notes[1:])
    assert counts_of(PLAIN, late).melody_lost == 1


def test_the_shift_that_a_tab_states_is_allowed_for():
    higher = song_of(melody_of(57, durations=[4]))
    moved = replace(tab_with(), remarks=("Moved down by 2 half-steps to suit open G.",))
    assert counts_of(higher, moved).melody_lost == 0
    assert counts_of(higher, tab_with()).melody_lost == 1


@pytest.mark.parametrize(
    ("chord", "tones"),
    # By the spelling of triads and sevenths in any harmony textbook (from memory).
    [("G", {7, 11, 2}), ("Am", {9, 0, 4}), ("D7/A", {2, 6, 9, 0}), ("N.C.", set())],
)
def test_a_chord_symbol_is_spelled(chord, tones):
    assert pitch_classes(chord) == tones

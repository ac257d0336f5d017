"""Strings and frets by dynamic programming."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from melodex.banjo.fingered_tab import fingered_tab
from melodex.banjo.fingering import fingering
from melodex.banjo.fingering_settings import DOWN_THE_NECK, UP_THE_NECK
from melodex.banjo.hands import ways_to_sound
from melodex.banjo.moments import Moment, moments_of
from melodex.banjo.right_hand import FINGERS_OF_STRING
from melodex.errors import MelodyError
from melodex.model.melody import AttachedNotes
from melodex.model.tuning import NAMED_TUNINGS, OPEN_G, tuning_named
from tests.reference.slow_fingering import cheapest, total_cost
from tests.strategies import melody_of, song_of
from tests.tabs import fingered, rolled_songs

# Up to a fret a note has some twenty fingerings, so three notes are enough to try all.
HIGHEST = 7
SHORT = st.lists(
    st.tuples(
        st.integers(50, 69), st.sampled_from([0.25, 0.5, 1.0]), st.sampled_from(["", "slide"])
    ),
    min_size=1,
    max_size=3,
)


def moments(notes):
    onset = 0.0
    made: list[Moment] = []
    for pitch, duration, left_hand in notes:
        made.append(Moment(onset, duration, 1, (pitch,), (left_hand if made else "",)))
        onset += duration
    return made


def places(*pitches, durations=None, costs=DOWN_THE_NECK):
    tab = fingered_tab(song_of(melody_of(*pitches, durations=durations)), OPEN_G, costs)
    return [(note.string, note.fret) for note in tab.notes]


@settings(max_examples=25, deadline=None)
@given(notes=SHORT, costs=st.sampled_from([DOWN_THE_NECK, UP_THE_NECK]))
def test_no_other_fingering_of_a_short_melody_is_cheaper(notes, costs):
    line = moments(notes)
    chosen = fingering(line, OPEN_G, costs, highest_fret=HIGHEST)
    assert total_cost(line, chosen, costs) == pytest.approx(cheapest(line, OPEN_G, costs, HIGHEST))


@given(
    notes=st.lists(st.integers(50, 84), min_size=1, max_size=30),
    tuning=st.sampled_from(NAMED_TUNINGS),
)
def test_every_note_sounds_as_written_and_lies_within_reach(notes, tuning):
    tab = fingered(song_of(melody_of(*notes, durations=[0.5] * len(notes))), tuning)
    assert [tab.pitch(note) - 12 * tab.octaves for note in tab.notes] == notes
    for note in tab.notes:
        assert tuning.has(note.string, note.fret)
        assert note.finger in FINGERS_OF_STRING[note.string]


def test_open_strings_are_played_open_and_the_g_major_scale_lies_near_the_nut():
    assert places(50, 55, 59, 62, 67) == [(4, 0), (3, 0), (2, 0), (1, 0), (5, 0)]
    # Common practice, no source: the scale from the open third string.
    assert places(55, 57, 59, 60, 62, 64, 66, 67) == [
        (3, 0), (3, 2), (2, 0), (2, 1), (1, 0), (1, 2), (1, 4), (5, 0),
    ]  # fmt: skip


def test_up_the_neck_the_same_notes_lie_higher_on_lower_strings():
    low, high = places(62, 64, 66, 64), places(62, 64, 66, 64, costs=UP_THE_NECK)
    assert max(fret for _, fret in low) <= 4
    assert min(fret for _, fret in high) >= 5


def test_fingers_take_turns_in_a_fast_passage_where_two_strings_sound_alike():
    line = moments([(62, 0.25, ""), (62, 0.25, "")])
    chosen = fingering(line, OPEN_G, DOWN_THE_NECK)
    slow = fingering(moments([(62, 2.0, ""), (62, 2.0, "")]), OPEN_G, DOWN_THE_NECK)
    assert [hands.fingers for hands in slow] == ["M", "M"]
    assert len({hands.fingers for hands in chosen}) == 2


def test_a_hammered_note_stays_on_its_string_and_is_not_struck():
    # A hammer-on from fret 3 to fret 4 of string 3, which sounds string 2 open (common practice).
    line = moments([(58, 0.5, ""), (59, 0.5, "slide")])
    assert [hands.places[0] for hands in fingering(line, OPEN_G)] == [(3, 3), (3, 4)]
    assert fingering(line, OPEN_G)[1].fingers == ""


def test_a_pinch_takes_as_many_strings_and_fingers_as_notes():
    (hands,) = fingering([Moment(0, 1, 1, (67, 62, 55))], OPEN_G)
    assert hands.places == ((5, 0), (1, 0), (3, 0))
    assert sorted(hands.fingers) == ["I", "M", "T"]


def test_a_chord_that_no_hand_reaches_names_its_measure():
    assert ways_to_sound((50, 51), OPEN_G) == ()  # both on the fourth string alone
    with pytest.raises(MelodyError, match="measure 7") as caught:
        fingering([Moment(0, 1, 7, (51, 50))], OPEN_G)
    assert "leave notes out" in caught.value.next_step


def test_a_note_off_the_neck_names_its_measure_and_offers_octaves():
    low = song_of(melody_of(60, 60, 60, 60, 43, 55))
    with pytest.raises(
        MelodyError, match=r"Measure 2 .* 7 half-steps below the fourth string"
    ) as caught:
        moments_of(low, OPEN_G)
    assert "--octaves 1" in caught.value.next_step
    assert any("1 octave above" in remark for remark in fingered_tab(low, octaves=1).remarks)
    with pytest.raises(MelodyError) as caught:
        moments_of(low, OPEN_G, octaves=-1)
    assert "--octaves 1." in caught.value.next_step
    with pytest.raises(MelodyError, match="above the highest fret") as caught:
        moments_of(song_of(melody_of(90)), OPEN_G)
    assert "--octaves -1" in caught.value.next_step
    with pytest.raises(MelodyError) as caught:
        moments_of(song_of(melody_of(40, 90)), OPEN_G)
    assert "less range" in caught.value.next_step


def test_six_notes_together_are_too_many():
    tones = AttachedNotes(
        np.zeros(5, np.int32), np.array([64, 62, 59, 55, 50], np.int16),
        np.zeros(5, np.int8), np.full(5, -1, np.int8),
    )  # fmt: skip
    chord = replace(melody_of(67), chord_tones=tones)
    with pytest.raises(MelodyError, match="6 notes together"):
        moments_of(song_of(chord), OPEN_G)


def test_computed_places_agree_with_the_songbooks_hand_made_tab():
    # The goal is 80 in 100. What the hands are told beside the pitches (hammer-ons) is withheld.
    agreeing = total = 0
    for song in rolled_songs():
        tab = fingered_tab(replace(song, touches=()))
        by_hand = song.melody
        chosen = {(note.onset, note.string, note.fret) for note in tab.notes}
        written = zip(by_hand.onsets, by_hand.strings, by_hand.frets, strict=True)
        agreeing += sum((float(o), int(s), int(f)) in chosen for o, s, f in written)
        total += len(by_hand)
    assert agreeing / total > 0.9


def test_other_tunings_finger_other_places():
    tab = fingered_tab(song_of(melody_of(48, 60)), tuning_named("double C"))
    assert [(note.string, note.fret) for note in tab.notes] == [(4, 0), (2, 0)]


def test_a_pitch_that_is_hammered_stays_on_its_string_beside_one_that_is_struck():
    moments = [Moment(0, 1, 1, (62, 57)), Moment(0.5, 1, 1, (62, 59), ("", "hammer-on"))]
    before, after = fingering(moments, OPEN_G)
    assert after.fingers[1] == " "
    frets = {place.string: place.fret for place in before.places}
    string, fret = after.places[1]
    assert frets[string] < fret

"""Plain melodies arranged in rolls."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from melodex.banjo.arranger.arranging import arrange
from melodex.banjo.arranger.arranging_stages import STAGES
from melodex.banjo.arranger.roll_patterns import ROLLS, roll_named
from melodex.banjo.grips import drones_under, grip
from melodex.banjo.plain_melody import REDUCED
from melodex.errors import MelodyError, QueryError
from melodex.features.chords import chord_tones
from melodex.features.playing.rolls import PINCH, rolls_of
from melodex.model.key import Key, signature_of
from melodex.model.metre import FREE_METRE, Metre
from melodex.model.song import ChordSymbol
from melodex.model.tuning import OPEN_G
from tests.benchmarks.hands.checked_hands import Counts, counts_of
from tests.plain_songs import G_MAJOR, PLAIN, SLOW, title_of
from tests.strategies import melody_of, song_of, songs
from tests.tabs import rolled_songs, tab_of


@pytest.mark.parametrize("song", PLAIN[::3], ids=title_of)
@pytest.mark.parametrize("stage", STAGES)
def test_every_melody_note_of_the_songbook_sounds_where_it_stands(song, stage):
    assert counts_of(song, arrange(song, stage=stage)).melody_lost == 0


@pytest.mark.parametrize("roll", [None, *ROLLS])
def test_hands_take_turns_and_fillers_fit_the_chord(roll):
    counts = sum((counts_of(song, arrange(song, roll=roll)) for song in PLAIN[:8]), Counts())
    assert (counts.same_finger_by_filler, counts.same_string_by_filler) == (0, 0)
    assert counts.same_finger <= 0.005 * counts.pairs
    assert counts.half_step_fillers == 0
    assert counts.fillers > 0


@pytest.mark.parametrize("roll", ROLLS)
def test_a_named_roll_is_heard_wherever_the_melody_leaves_room(roll):
    counts = sum((counts_of(song, arrange(song, roll=roll), roll) for song in PLAIN[:8]), Counts())
    assert counts.rolls_heard >= 0.6 * counts.roomy_measures > 0


@given(song=songs(max_notes=12), roll=st.sampled_from(ROLLS))
@settings(max_examples=25)
def test_of_any_melody_every_note_sounds_and_no_filler_takes_its_neighbours_finger(song, roll):
    try:
        tab = arrange(song, roll=roll)
    except MelodyError:
        return  # off the neck
    counts = counts_of(song, tab)
    assert (counts.melody_lost, counts.same_finger_by_filler, counts.half_step_fillers) == (0, 0, 0)


def test_the_simple_form_is_struck_throughout():
    assert not any(
        note.left_hand for song in PLAIN[:6] for note in arrange(song, simple=True).notes
    )


@pytest.mark.parametrize("song", PLAIN[:6], ids=title_of)
def test_the_left_hand_sounds_only_steps_of_the_melody_on_one_string(song):
    tab = arrange(song)
    slurred = [note for note in tab.notes if note.left_hand]
    for note in slurred:
        before = [other for other in tab.notes if other.onset < note.onset][-1]
        melody = [n for n in tab.notes if n.onset == before.onset and n.string == note.string]
        assert [abs(one.fret - note.fret) for one in melody] in ([1], [2])
        assert (note.left_hand == "pull-off") == (melody[0].fret > note.fret)
        assert not melody[0].left_hand
        assert not note.finger


@pytest.mark.parametrize("roll", ROLLS)
def test_a_tune_of_long_notes_on_the_rolls_own_strings_is_that_roll(roll):
    first = 62 if roll == "backward" else 55  # the open first string, the open third
    song = song_of(melody_of(*[first] * 4, durations=[4] * 4), key=G_MAJOR)
    assert set(rolls_of(arrange(song, roll=roll)).values()) == {roll}


def test_between_melody_notes_no_string_is_struck_twice_in_a_row():
    for roll in (kind for kind in ROLLS if kind != PINCH):
        assert counts_of(SLOW, arrange(SLOW, roll=roll)).same_string == 0


def test_where_the_chord_changes_within_a_measure_the_fillers_change_with_it():
    chords = (ChordSymbol(0.0, "G"), ChordSymbol(2.0, "C"))
    song = replace(song_of(melody_of(55, durations=[4]), key=G_MAJOR), chords=chords)
    tab = arrange(song, stage="roll")
    second_half = {tab.pitch(note) % 12 for note in tab.notes if note.onset >= 2}
    assert second_half <= {0, 4, 7}  # the tones of C


@pytest.mark.parametrize(
    ("chord", "frets"),
    [
        # Strings 1 to 4. Common practice, no source.
        ("G", (0, 0, 0, 0)),
        ("C", (2, 1, 0, 2)),
        ("D7", (0, 1, 2, 0)),
        ("Em", (2, 0, 0, 2)),
        ("Am", (2, 1, 2, 2)),
        ("F", (3, 1, 2, 3)),
        ("E", (2, 0, 1, 2)),
        ("B7", (1, 0, 2, 1)),
    ],
)
def test_a_grip_at_the_nut_is_the_shape_that_beginners_learn(chord, frets):
    tones = chord_tones(chord) or frozenset()
    assert tuple(place.fret for place in grip(tones, 1) if place.string < 5) == frets


@pytest.mark.parametrize(
    ("chord", "position", "frets"),
    [
        # Barres, and the movable shape of F two frets up. Common practice, no source.
        ("A", 2, (2, 2, 2, 2)),
        ("B", 4, (4, 4, 4, 4)),
        ("C", 5, (5, 5, 5, 5)),
        ("G", 3, (5, 3, 4, 5)),
        ("Bm", 3, (4, 3, 4, 4)),
    ],
)
def test_up_the_neck_a_grip_is_a_barre_or_a_movable_shape(chord, position, frets):
    held = grip(chord_tones(chord) or frozenset(), position)
    fretted = {place.string: place.fret for place in held if place.fret}
    assert tuple(fretted[string] for string in (1, 2, 3, 4)) == frets


@pytest.mark.parametrize(
    ("chord", "drones"), [("G", True), ("C", True), ("Em", True), ("D7", False), ("E", False)]
)
def test_the_drone_sounds_under_chords_that_it_does_not_rub_against(chord, drones):
    assert drones_under(chord_tones(chord) or frozenset()) is drones


def test_a_melody_too_fast_for_the_named_roll_is_reported():
    running = song_of(melody_of(*[55, 57, 59, 60, 62, 60, 59, 57] * 2, durations=[0.5] * 16))
    (remark,) = (r for r in arrange(running, roll="forward").remarks if "too fast" in r)
    assert "measures 1-2" in remark
    assert not any("too fast" in remark for remark in arrange(SLOW, roll="forward").remarks)


def test_a_tune_in_rolls_is_reduced_to_its_melody_with_a_remark():
    plain = next(song for song in PLAIN if song.title == "Apples on the Sill")
    rolled = arrange(plain, simple=True).song
    tab = arrange(rolled, stage="melody")
    assert REDUCED in tab.remarks
    assert REDUCED not in arrange(plain).remarks
    assert len(tab.notes) < 0.7 * len(rolled.melody)
    on_beats = {
        (onset, pitch)
        for onset, pitch in zip(
            plain.melody.onsets.tolist(), plain.melody.pitches.tolist(), strict=True
        )
        if onset % 1 == 0
    }
    kept = on_beats & {(note.onset, tab.pitch(note)) for note in tab.notes}
    assert len(kept) >= 0.9 * len(on_beats)


@pytest.mark.parametrize("song", rolled_songs(), ids=title_of)
def test_the_songbooks_own_arrangements_are_reduced_before_they_are_arranged(song):
    assert REDUCED in arrange(song, stage="melody").remarks


def test_the_melody_keeps_off_the_drone_and_the_drone_sounds():
    tab = arrange(song_of(melody_of(67, 64, 62, 67, durations=[2] * 4), key=G_MAJOR), simple=True)
    melody = [note for note in tab.notes if note.onset in (0, 2, 4, 6)]
    assert all(any(note.string < 5 for note in melody if note.onset == at) for at in (0, 2, 4, 6))
    assert any(note.string == 5 and note.fret == 0 for note in tab.notes)


def test_a_tune_in_another_key_is_moved_to_open_g_and_the_capo_is_named():
    in_a = song_of(melody_of(69, 73, 76, 81), key=Key("A", "major", signature_of("A", "major")))
    tab = arrange(in_a)
    assert str(tab.song.key) == "G major"
    assert any("capo at fret 2" in remark for remark in tab.remarks)
    assert not any("capo" in remark for remark in arrange(SLOW).remarks)


def test_a_tune_too_wide_for_the_g_chord_is_played_from_a_lower_one():
    # In G the low C would have to move up an octave, and the high G with it to fret 17.
    tab = arrange(song_of(melody_of(48, 55, 59, 62, 67), key=G_MAJOR))
    assert str(tab.song.key) == "C major"
    assert any("played from the C chord" in remark for remark in tab.remarks)
    assert max(note.fret for note in tab.notes) <= 10


def test_a_tune_that_plays_as_well_from_g_stays_in_g():
    # From C it would reach the first string's fifth fret, from G its seventh.
    in_g = song_of(melody_of(62, 69, 67, 64, 62, 59, 55), key=G_MAJOR)
    for song in (
        in_g,
        replace(
            in_g,
            melody=replace(in_g.melody, pitches=in_g.melody.pitches + np.int16(5)),
            key=Key("C", "major", signature_of("C", "major")),
        ),
    ):
        assert str(arrange(song, stage="melody").song.key) == "G major"


def test_a_melody_wider_than_the_neck_is_refused():
    with pytest.raises(MelodyError, match="spans 40 half-steps") as caught:
        arrange(song_of(melody_of(40, 80), key=G_MAJOR))
    assert caught.value.next_step


def test_a_song_without_notes_is_refused():
    with pytest.raises(MelodyError, match="no notes to arrange"):
        arrange(song_of(melody_of(), key=G_MAJOR))


@pytest.mark.parametrize("mode", ["minor", "dorian"])
def test_a_tune_in_a_minor_mode_comes_to_the_signature_in_which_it_lies_lowest(mode):
    # D, F, A and high D: in E they are open strings and the second fret; in A they reach fret 7.
    song = song_of(
        melody_of(62, 65, 69, 74, 69, 65, 62), key=Key("D", mode, signature_of("D", mode))
    )
    tab = arrange(song, stage="melody")
    assert str(tab.song.key) == f"E {mode}"
    assert max(note.fret for note in tab.notes) <= 2
    assert not any("played from" in remark for remark in tab.remarks)


def test_a_tune_whose_tonic_is_g_is_played_from_the_g_chord_in_any_mode():
    key = Key("G", "mixolydian", signature_of("G", "mixolydian"))
    tab = arrange(song_of(melody_of(55, 59, 62, 65, 62, 59, 55), key=key))
    assert str(tab.song.key) == "G mixolydian"
    assert not any("played from" in remark for remark in tab.remarks)


def fast_pairs(tab):
    """Return melody notes of a tab that follow each other within an eighth."""
    line = [note for note in tab.notes if note.is_melody]
    return [(one, other) for one, other in pairwise(line) if other.onset - one.onset <= 0.5]


def test_a_hand_stays_up_the_neck_where_the_notes_between_lie_there_too():
    # High D, A, F#, D in eighths: one hand reaches them at frets 10 to 12, although the low ones
    # have places near the nut. Common practice, no source.
    key = Key("D", "major", signature_of("D", "major"))
    song = song_of(melody_of(*[74, 69, 66, 62] * 4, 74, durations=[0.5] * 17), key=key)
    fretted = [pair for pair in fast_pairs(arrange(song)) if all(note.fret for note in pair)]
    assert all(abs(one.fret - other.fret) <= 5 for one, other in fretted)


def test_a_filler_has_another_pitch_than_the_melody_note_before_it():
    tab = arrange(song_of(melody_of(55, 59, 62, 59, 55, 62, 59, 55), key=G_MAJOR), stage="roll")
    before = None
    for note in tab.notes:
        assert note.is_melody or tab.pitch(note) != before
        before = tab.pitch(note) if note.is_melody else None


@pytest.mark.parametrize(("tempo", "is_filled"), [(None, True), (100.0, True), (160.0, False)])
def test_a_dotted_note_is_filled_where_the_fingers_have_time_for_it(tempo, is_filled):
    dotted = melody_of(55, 57, 59, 62, 59, 57, 55, 59, durations=[0.75, 0.25] * 4)
    tab = arrange(replace(song_of(dotted, key=G_MAJOR), tempo=tempo), stage="roll")
    fills = {note.onset for note in tab.notes} & {0.5, 1.5, 2.5}
    assert bool(fills) is is_filled


def test_an_arrangements_own_song_remembers_which_notes_carry_the_melody():
    tab = arrange(SLOW)
    marked = [touch for touch in tab.song.touches if touch.is_melody]
    assert len(marked) == len(SLOW.melody)


def test_eighths_fill_four_four_and_sixteenths_two_four():
    # Common practice, no source: eight notes fill a measure of either.
    four = song_of(melody_of(55, durations=[4]), key=G_MAJOR)
    tab = arrange(four, roll="forward")
    assert [note.onset for note in tab.notes] == [step / 2 for step in range(8)]
    two = replace(song_of(melody_of(55, durations=[2]), key=G_MAJOR), metre=Metre(2, 4))
    tab = arrange(two, roll="forward")
    assert [note.onset for note in tab.notes] == [step / 4 for step in range(8)]


def test_a_pickup_of_melody_notes_stays_a_pickup():
    song = next(song for song in PLAIN if song.title == "Apples on the Sill")
    tab = arrange(song)
    assert tab.song.melody.measures[0] == 0
    assert tab.song.measures.numbers.tolist() == song.measures.numbers.tolist()


def test_the_arrangement_is_a_song_with_the_notes_of_its_tab():
    tab = arrange(SLOW, stage="roll")
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

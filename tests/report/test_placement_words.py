"""The reasons for a place, in words."""

from melodex.model.results.placement import LickFit
from melodex.report.placement_words import reasons_in_words


def fit(**changes):
    sides = {
        "chord_notes": 0.75,
        "key_notes": 1.0,
        "room": 0.1,
        "likeness": 0.6,
        "leap_in": -2,
        "leap_out": 0,
        "hand_in": 0,
        "hand_out": 0,
        "transposition": 5,
        "octaves": 0,
    }
    return LickFit(**sides | changes)


def reasons(chords=("G", "D7"), *, chords_estimated=False, **changes):
    return reasons_in_words(fit(**changes), chords, chords_estimated=chords_estimated)


def test_reasons_for_a_lick_in_place_of_melody_are_in_order():
    assert reasons() == (
        "75% of it are notes of the chords G D7.",
        "It could replace the melody there: likeness 0.60 of 1.",
        "The melody goes down 2 half-steps into it, on the same note out of it.",
        "It is moved up 5 half-steps.",
    )


def test_a_fill_says_how_much_the_song_waits():
    assert "The song rests, or holds or repeats a note, 70% of the time: a fill." in reasons(
        room=0.7
    )


def test_an_octave_is_never_moved_silently():
    assert reasons(transposition=17, octaves=1)[-1] == (
        "It is moved up 17 half-steps, an octave higher than the song there, to stay on the neck."
    )


def test_a_lick_that_only_sounds_an_octave_from_where_it_is_written_keeps_its_notes():
    assert reasons(transposition=-12)[-1] == "It keeps its own notes, an octave down."
    assert reasons(transposition=24)[-1] == "It keeps its own notes, 2 octaves up."


def test_what_speaks_against_a_place_is_listed():
    told = reasons(("C",), chords_estimated=True, key_notes=0.8, likeness=0.1, hand_in=1)
    assert told[:3] == (
        "75% of it are notes of the chord C, estimated from the melody.",
        "20% of it is outside the song's scale.",
        "It replaces another melody: likeness 0.10 of 1.",
    )
    assert "The left hand leaps into it, 1 fret past its reach." in told


def test_at_the_ends_of_a_song_nothing_is_joined():
    told = reasons((), leap_in=None, leap_out=None, transposition=0)
    assert told == (
        "No chord is known there.",
        "It could replace the melody there: likeness 0.60 of 1.",
        "It keeps its own pitch.",
    )


def test_changes_of_strings_and_slurs_are_listed():
    assert "It keeps its strings and frets." in reasons(hands_kept="strings and frets")
    moved = "on other frets; an open fifth string stays the drone."
    assert f"It keeps its strings, {moved}" in reasons(hands_kept="strings")
    told = reasons(hands_kept="drone at most", slurs_struck=1)
    assert "It gets a new fingering throughout; an open fifth string stays the drone." in told
    assert "1 slur cannot be kept: no string has both notes, and the second is struck." in told


def test_another_metre_is_listed():
    told = reasons_in_words(fit(), ("G",), chords_estimated=False, form="note values halved")
    assert "The song has another metre: note values halved." in told

import numpy as np
import pytest

from melodex.errors import MelodyError
from melodex.model.metre import Metre
from melodex.model.song import MetreChange
from melodex.parsing.measures import list_measures
from melodex.parsing.melody_line import AttachedNote, WrittenVoice, melody_line


def voice_of(*notes, **more):
    """Build a voice from (onset, duration, pitch, tied) each."""
    onsets, durations, pitches, ties = map(list, zip(*notes, strict=True))
    return WrittenVoice(onsets, durations, pitches, ties, **more)


def line(voice, bar_lines=(4.0, 8.0)):
    return melody_line(voice, list_measures(bar_lines, 12.0, [MetreChange(0.0, Metre(4, 4))]))


def test_tied_notes_become_one_note_across_the_bar_line():
    voice = voice_of((2.0, 2.0, 60, True), (4.0, 1.0, 60, False), (5.0, 1.0, 62, False))
    melody = line(voice).melody
    assert melody.pitches.tolist() == [60, 62]
    assert melody.durations.tolist() == [3, 1]
    assert melody.measures.tolist() == [1, 2]
    assert melody.beat_strengths.tolist() == [0.5, 0.25]


def test_a_chain_of_ties_becomes_one_note():
    notes = [(float(n), 1.0, 60, True) for n in range(5)]
    assert line(voice_of(*notes)).melody.durations.tolist() == [5]


def test_a_tie_between_different_pitches_joins_nothing():
    # Source: ABC 2.1, section 4.11: ties connect two successive notes of the same pitch.
    assert len(line(voice_of((0.0, 1.0, 60, True), (1.0, 1.0, 62, False))).melody) == 2


def test_a_tie_into_a_rest_joins_nothing():
    assert len(line(voice_of((0.0, 1.0, 60, True), (2.0, 1.0, 60, False))).melody) == 2


def test_what_is_attached_follows_its_note_when_ties_are_joined():
    voice = voice_of(
        (0.0, 1.0, 64, True),
        (1.0, 1.0, 64, False),
        (2.0, 1.0, 67, False),
        chord_tones=[AttachedNote(0, 60), AttachedNote(1, 60), AttachedNote(2, 62)],
        grace_notes=[AttachedNote(2, 69, 1, 7)],
        phrase_ends=[1, 2],
    )
    melody, note_of_written = line(voice)
    assert note_of_written.tolist() == [0, 0, 1]
    assert melody.chord_tones.notes.tolist() == [0, 1]
    assert melody.chord_tones.pitches.tolist() == [60, 62]
    assert melody.grace_notes.notes.tolist() == [1]
    assert melody.grace_notes.strings.tolist() == [1]
    assert melody.grace_notes.frets.tolist() == [7]
    assert melody.phrase_ends.tolist() == [0, 1]


def test_strings_and_frets_are_kept_and_marked_unknown_where_the_source_has_none():
    notes = ((0.0, 1.0, 60, False), (1.0, 1.0, 62, False))
    assert line(voice_of(*notes)).melody.strings.tolist() == [0, 0]
    assert line(voice_of(*notes)).melody.frets.tolist() == [-1, -1]
    given = line(voice_of(*notes, strings=[2, 1], frets=[1, 0])).melody
    assert given.strings.tolist() == [2, 1]
    assert given.frets.tolist() == [1, 0]


def test_notes_out_of_order_are_refused():
    with pytest.raises(MelodyError, match="does not begin after"):
        line(voice_of((1.0, 1.0, 60, False), (0.0, 1.0, 62, False)))


def test_no_notes_make_an_empty_melody():
    melody = line(WrittenVoice()).melody
    assert len(melody) == 0
    assert melody.onsets.dtype == np.float64

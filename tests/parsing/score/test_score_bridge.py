"""MIDI to songs."""

import pytest

from melodex.model.metre import FREE_METRE, Metre
from tests.parsing.score.hand_scores import midi, song_from

QUARTER = 480


def line(*pitches: int, length: int = QUARTER) -> list[tuple[int, int, int]]:
    return [(place * length, length, pitch) for place, pitch in enumerate(pitches)]


def test_midi_gives_notes_metre_and_measures(tmp_path):
    song = song_from(tmp_path, midi(line(67, 69, 71, 72, 74), metre=(4, 4)), "tune.mid")
    assert song.melody.pitches.tolist() == [67, 69, 71, 72, 74]
    assert song.melody.onsets.tolist() == [0, 1, 2, 3, 4]
    assert song.melody.measures.tolist() == [1, 1, 1, 1, 2]
    assert (song.metre, song.key, song.tuning) == (Metre(4, 4), None, ())


def test_midi_without_a_metre_has_none_and_says_how_its_measures_are_counted(tmp_path):
    song = song_from(tmp_path, midi(line(67, 69, 71, 72, 74)), "tune.mid")
    assert song.metre == FREE_METRE
    assert song.melody.measures.tolist() == [1, 1, 1, 1, 2]
    assert song.remarks == ("The file states no metre; its measures are counted as if in 4/4.",)


def test_a_midi_note_across_a_bar_line_is_one_note(tmp_path):
    notes = [(3 * QUARTER, 2 * QUARTER, 67), (5 * QUARTER, QUARTER, 69)]
    song = song_from(tmp_path, midi(notes, metre=(4, 4)), "tune.mid")
    assert song.melody.onsets.tolist() == [3, 5]
    assert song.melody.durations.tolist() == [2, 1]


def test_overlapping_midi_notes_make_one_line(tmp_path):
    notes = [(0, 2 * QUARTER, 60), (QUARTER, 2 * QUARTER, 64), (2 * QUARTER, QUARTER, 67)]
    song = song_from(tmp_path, midi(notes, metre=(4, 4)), "tune.mid")
    assert song.melody.pitches.tolist() == [60, 64, 67]
    assert song.melody.onsets.tolist() == [0, 1, 2]
    assert song.melody.durations.tolist() == [1, 1, 1]


def test_midi_played_by_hand_is_rounded_to_sixteenths(tmp_path):
    notes = [(7, 230, 67), (236, 245, 69), (484, 470, 71)]
    song = song_from(tmp_path, midi(notes, metre=(4, 4)), "tune.mid")
    assert song.melody.onsets.tolist() == [0, 0.5, 1]


@pytest.mark.parametrize(
    ("names", "pitch"), [(["Flute", "Bass"], 72), (["Bass", "Banjo"], 48), (["", "Melody"], 48)]
)
def test_the_midi_track_named_for_the_tune_is_read_else_the_first(tmp_path, names, pitch):
    content = midi(line(72, 74), line(48, 50), metre=(2, 4), names=names)
    assert song_from(tmp_path, content, "tune.mid").melody.pitches[0] == pitch

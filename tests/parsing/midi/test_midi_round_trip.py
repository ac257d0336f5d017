"""Tunes written as MIDI by other libraries, exactly or as a player would, and read back."""

from itertools import pairwise

import numpy as np
import pytest

from tests.parsing.midi.midi_files import (
    Note,
    bundled_tunes,
    file_of,
    in_a_row,
    metre,
    moved,
    notes_of,
    song_of_midi,
    tempo_of,
    track,
    written_by_music21,
)

THIRD, SIXTH, FIFTH, EIGHTH = 1 / 3, 1 / 6, 1 / 5, 1 / 8
RHYTHMS = {
    "thirty-seconds": in_a_row(*[EIGHTH] * 16, 1, *[EIGHTH] * 8, 1),
    "sixteenths and thirty-seconds": in_a_row(*[0.25, EIGHTH, EIGHTH] * 12, 2),
    "sixty-fourths": in_a_row(*[1 / 16] * 32, 2),
    "dotted sixteenths": in_a_row(*[0.375, EIGHTH] * 10, 1),
    "dotted eighths": in_a_row(*[0.75, 0.25] * 8, *[0.25, 0.75] * 4),
    "double dotted eighths": in_a_row(*[0.875, EIGHTH] * 8),
    "triplet eighths": in_a_row(*[THIRD] * 12, 1, 1, 1, 1),
    "triplet quarters": in_a_row(*[2 / 3] * 6, 0.5, 0.5, 1, 1, 1),
    "triplet sixteenths": in_a_row(*[SIXTH, SIXTH, SIXTH, 0.5] * 6, 2),
    "sextuplets": in_a_row(*[SIXTH] * 24, 1, 1, 1, 1),
    "triplets beside sixteenths": in_a_row(*[THIRD, THIRD, THIRD, 0.25, 0.25, 0.5] * 6),
    "swing eighths": in_a_row(*[2 / 3, THIRD] * 16),
    "swing with eighths left out": in_a_row(*[2 / 3, THIRD, 1, 2 / 3, THIRD] * 5),
    "quintuplets": in_a_row(*[FIFTH] * 10, 1, 1, *[FIFTH] * 5, 1),
    "notes across bar lines": in_a_row(3, 2, 2, 1.5, 1.5, 3, 2.5, 0.5),
    "rests of all lengths": in_a_row(1, -1, 0.5, -0.5, 0.25, -0.25, 0.75, -0.75, 1, -2, 2),
    "a rest before the first note": in_a_row(-3, 1, 1, 1, 1, 1, 4),
    "triplets with rests": in_a_row(*[THIRD, -THIRD, THIRD] * 5, 1, *[-THIRD, THIRD, THIRD] * 3),
    "one note": in_a_row(2),
    "notes of many measures": in_a_row(16, 8, -8, 4, 12),
}
TEMPI = (60, 80, 100, 120, 140)  # quarter notes a minute


def rounded(notes):
    """Return notes without float rounding."""
    return [Note(round(note.onset, 6), round(note.duration, 6), note.pitch) for note in notes]


@pytest.mark.parametrize("rhythm", RHYTHMS)
def test_a_rhythm_that_music21_wrote_is_read_back_equal(rhythm):
    song = song_of_midi(written_by_music21(RHYTHMS[rhythm]))
    assert rounded(notes_of(song.melody)) == rounded(RHYTHMS[rhythm])
    assert song.remarks == ()


def test_130_bundled_tunes_that_music21_wrote_are_read_back_equal():
    tunes = bundled_tunes(130)
    different = [
        tune.title
        for tune, notes in tunes
        if rounded(notes_of(song_of_midi(written_by_music21(notes)).melody)) != rounded(notes)
    ]
    assert (len(tunes), different) == (130, [])


@pytest.mark.parametrize("division", [24, 48, 96, 120, 192, 220, 384, 960, 1000, 10080, 32767])
@pytest.mark.parametrize("rhythm", ["thirty-seconds", "sextuplets", "swing eighths"])
def test_a_rhythm_is_read_back_equal_from_any_usual_division(division, rhythm):
    content = file_of(track(RHYTHMS[rhythm], metre(4, 4), division=division), division=division)
    song = song_of_midi(content)
    assert rounded(notes_of(song.melody)) == rounded(RHYTHMS[rhythm])
    assert song.remarks == ()


@pytest.mark.parametrize("division", [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 17, 23])
def test_a_coarse_division_preserves_the_values_that_it_has_ticks_for(division):
    values = [value for value in (1, 0.5, 0.25) if value * division == round(value * division)]
    notes = in_a_row(*[value for value in values for _ in range(8 * round(1 / value))])
    song = song_of_midi(file_of(track(notes, metre(4, 4), division=division), division=division))
    assert rounded(notes_of(song.melody)) == rounded(notes)


@pytest.mark.parametrize("division", [11, 13, 17, 23, 25, 31, 101])
def test_values_between_the_ticks_of_a_division_are_the_simplest_that_round_to_them(division):
    notes = in_a_row(*[0.5, 0.5, 0.25, 0.25, 0.25, 0.25, 1] * 6)
    song = song_of_midi(file_of(track(notes, metre(4, 4), division=division), division=division))
    assert rounded(notes_of(song.melody)) == rounded(notes)


def read_as_played(a_minute, *, drawn=12):
    """Count notes, correct onsets and correct lengths, over tunes moved by 20 ms."""
    counts = np.zeros(3, dtype=np.int64)
    for seed, (_, notes) in enumerate(bundled_tunes(drawn, shortest=0.25)):
        played = moved(notes, 0.02, a_minute, seed)
        content = file_of(track(played, tempo_of(a_minute), metre(4, 4)))
        lengths = {
            round(note.onset, 6): note.duration for note in notes_of(song_of_midi(content).melody)
        }
        read = [lengths.get(round(note.onset, 6)) for note in notes]
        right = [
            length is not None and abs(length - note.duration) < 1e-6
            for length, note in zip(read, notes, strict=True)
        ]
        counts += (len(notes), sum(length is not None for length in read), sum(right))
    return counts


@pytest.mark.parametrize("a_minute", TEMPI)
def test_notes_moved_by_20_ms_are_read_as_they_were_meant(a_minute):
    notes, onsets, lengths = read_as_played(a_minute)
    assert onsets >= 0.95 * notes
    assert lengths >= 0.9 * notes


@pytest.mark.parametrize("a_minute", TEMPI)
def test_swing_moved_by_20_ms_is_read_as_triplets_and_not_as_dotted_notes(a_minute):
    swing = in_a_row(*[2 / 3, THIRD] * 32)
    played = moved(swing, 0.02, a_minute, seed=7)
    song = song_of_midi(file_of(track(played, tempo_of(a_minute), metre(4, 4))))
    right = sum(
        abs(onset - note.onset) < 1e-6
        for onset, note in zip(song.melody.onsets, swing, strict=True)
    )
    assert right >= 0.95 * len(swing)


def recorded(notes, a_minute, seed):
    """Return notes as recorded at 120 a minute, MIDI's default tempo."""
    played = moved(notes, 0.02, a_minute, seed)
    stretch = 120 / a_minute
    return [
        note._replace(onset=1.3 + note.onset * stretch, duration=note.duration * stretch)
        for note in played
    ]


def test_a_recording_that_ignores_the_files_tempo_is_read_by_its_own_beats():
    # The beat may be found at half or double speed, or dotted; steps are compared by their ratio.
    right = total = 0
    for seed, (_, notes) in enumerate(bundled_tunes(12, shortest=0.25)):
        a_minute = float(np.random.default_rng(seed).uniform(70, 110))
        read = song_of_midi(file_of(track(recorded(notes, a_minute, seed), metre(4, 4))))
        if len(read.melody) != len(notes):
            continue
        steps = np.diff(read.melody.onsets)
        meant = np.array([after.onset - before.onset for before, after in pairwise(notes)])
        ratios = (0.5, 2 / 3, 1, 1.5, 2)
        right += max(int((np.abs(steps * ratio - meant) < 1e-6).sum()) for ratio in ratios)
        total += len(meant)
    assert right >= 0.9 * total


def test_a_tempo_that_was_estimated_is_stated_in_the_song_and_in_a_remark():
    notes = in_a_row(*[1, 0.5, 0.5, 1, 1, 0.25, 0.25, 0.5, 1, 2] * 6)
    song = song_of_midi(file_of(track(recorded(notes, 93.0, seed=3), metre(4, 4))))
    assert song.tempo == pytest.approx(93, abs=1)
    assert any("at about 93 quarter notes a minute" in remark for remark in song.remarks)
    assert rounded(notes_of(song.melody)) == rounded(notes)

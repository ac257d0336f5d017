"""Songs as written, each note once, on a bundled book with repeats and endings."""

import numpy as np
import pytest

from melodex.alignment.written_notes import WholeSongs, whole_songs
from melodex.features.note_kinds import stepped_log_durations
from melodex.index.song_arrays import join_performances, perform
from tests.bundled import bundled_songs

SONGS = bundled_songs("ryansMammoth")[::20]


@pytest.fixture(scope="module")
def whole() -> WholeSongs:
    return whole_songs(join_performances([perform(song.melody, song.sections) for song in SONGS]))


def notes_of(whole, number):
    return slice(whole.first_notes[number], whole.first_notes[number + 1])


def test_every_note_stands_once_in_the_order_written(whole):
    for number, song in enumerate(SONGS):
        assert whole.pitches[notes_of(whole, number)].tolist() == song.melody.pitches.tolist()


def test_kinds_say_each_notes_beat_and_duration(whole):
    for number, song in enumerate(SONGS):
        kinds = whole.note_kinds[notes_of(whole, number)]
        strengths = song.melody.beat_strengths
        assert whole.kinds.strengths[kinds] == pytest.approx(strengths, abs=0.001)
        assert whole.kinds.log_durations[kinds] == pytest.approx(
            stepped_log_durations(song.melody.durations)
        )


def test_joined_kinds_are_those_of_the_note_before_as_written_also_after_an_ending(whole):
    repeated = sum(len(song.sections) > 1 for song in SONGS)
    assert repeated > len(SONGS) / 2
    for number, song in enumerate(SONGS):
        joined = whole.joined_kinds[notes_of(whole, number)][1:]
        durations = song.melody.durations
        assert whole.kinds.log_durations[joined] == pytest.approx(
            stepped_log_durations(durations[1:] + durations[:-1])
        )
        strengths = song.melody.beat_strengths[:-1]
        assert whole.kinds.strengths[joined] == pytest.approx(strengths, abs=0.001)
        assert not np.any(whole.kinds.carries_melody[joined])

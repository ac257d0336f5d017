"""Songs as written, each note once, on a bundled book with repeats and endings."""

from dataclasses import fields

import numpy as np
import pytest

import melodex
from melodex.alignment.written_notes import (
    WHOLE_SONGS_FILE,
    WholeSongs,
    kept_whole_songs,
    whole_songs,
)
from melodex.features.note_kinds import stepped_log_durations
from melodex.index.blocks import load_blocks
from melodex.index.song_arrays import join_performances, perform
from tests.bundled import bundled_songs
from tests.songbook import SONGBOOK

SONGS = bundled_songs("ryansMammoth")[::20]


@pytest.fixture
def songbook(tmp_path):
    """A catalogue of the songbook's autumn term."""
    with melodex.open_catalogue(tmp_path / "songs.db") as catalogue:
        melodex.add_songs(catalogue, [SONGBOOK / "autumn_term.abc"])
        yield catalogue


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


def assert_equal(whole, other):
    for field in fields(whole):
        one, two = getattr(whole, field.name), getattr(other, field.name)
        for array, same in zip(one, two, strict=True):
            np.testing.assert_array_equal(array, same, strict=True)


def test_songs_as_written_are_kept_beside_the_arrays_and_mapped_again(songbook):
    blocks = load_blocks(songbook)
    made = kept_whole_songs(blocks)
    (path,) = songbook.path.with_name(songbook.path.name + ".arrays").glob(f"*/{WHOLE_SONGS_FILE}")
    modified = path.stat().st_mtime_ns
    mapped = kept_whole_songs(blocks)
    assert_equal(whole_songs(blocks.songs), made)
    assert_equal(made, mapped)
    assert path.stat().st_mtime_ns == modified
    assert not made.pitches.flags.writeable
    assert not mapped.pitches.flags.writeable


def test_damaged_songs_as_written_are_made_again(songbook):
    blocks = load_blocks(songbook)
    made = kept_whole_songs(blocks)
    (path,) = songbook.path.with_name(songbook.path.name + ".arrays").glob(f"*/{WHOLE_SONGS_FILE}")
    content = bytearray(path.read_bytes())
    content[-100] ^= 1
    path.write_bytes(content)
    assert_equal(made, kept_whole_songs(blocks))

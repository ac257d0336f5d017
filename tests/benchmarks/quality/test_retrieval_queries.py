"""The queries of the retrieval benchmark: what a change changes, and what a roll holds."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.model.lick import Lick
from melodex.model.metre import Metre
from tests.benchmarks.quality import retrieval_changes as changes
from tests.benchmarks.quality.retrieval_changes import CHANGES, Passage
from tests.benchmarks.quality.retrieval_queries import cut_passage, passage_of
from tests.benchmarks.quality.retrieval_rolls import (
    DRONE,
    OPEN_STRINGS,
    can_be_rolled,
    rolled,
    strings_withheld,
)
from tests.songbook import TERMS, songs_of_book

SONGS = [song for term in TERMS for song in songs_of_book(term).values()]
ROLLABLE = [song for song in SONGS if can_be_rolled(song)]


@st.composite
def passages(draw):
    count = draw(st.integers(5, 16))
    pitches = draw(st.lists(st.integers(55, 79), min_size=count, max_size=count))
    values = draw(
        st.lists(st.sampled_from([0.25, 0.5, 0.75, 1.0, 1.5, 2.0]), min_size=count, max_size=count)
    )
    position = draw(st.sampled_from([0.0, 1.0, 2.5, -0.5]))
    onsets = np.cumsum([0.0, *values])[:-1].tolist()
    scale = frozenset(pitch % 12 for pitch in pitches)
    return Passage(
        tuple(pitches), tuple(onsets), tuple(values), Metre(4, 4), position, scale
    )  # fmt: skip


seeds = st.integers(0, 2**32 - 1)


def changed(name, passage, seed):
    return CHANGES[name](passage, np.random.default_rng(seed))


def sounding(passage, grid=1 / 24):
    """The pitch heard at each point of a fine grid, from the first onset to the last end."""
    end = passage.onsets[-1] + passage.durations[-1]
    times = np.arange(passage.onsets[0], end - grid / 2, grid) + grid / 2
    return np.array(passage.pitches)[np.searchsorted(passage.onsets, times, side="right") - 1]


@given(passage=passages(), seed=seeds, name=st.sampled_from(sorted(CHANGES)))
def test_a_change_depends_on_nothing_but_its_seed_and_leaves_a_lick(passage, seed, name):
    once, again = changed(name, passage, seed), changed(name, passage, seed)
    assert once == again
    assert once != passage
    assert len(once) >= changes.FEWEST_LEFT
    assert isinstance(once.lick("changed"), Lick)


@given(passage=passages(), seed=seeds)
def test_dropping_the_pickup_leaves_the_later_notes_in_their_places_in_the_measure(passage, seed):
    left = changed("pickup dropped", passage, seed)
    dropped = len(passage) - len(left)
    assert 1 <= dropped < changes.FEWEST_LEFT
    assert left.pitches == passage.pitches[dropped:]
    whole, rest = passage.lick("whole").melody, left.lick("rest").melody
    np.testing.assert_array_equal(rest.beat_strengths, whole.beat_strengths[dropped:])


def test_dropping_the_pickup_begins_with_the_first_full_measure():
    passage = Passage(
        (62, 64, 67, 69, 71, 67), (0, 0.5, 1, 2, 3, 4), (0.5, 0.5, 1, 1, 1, 1),
        Metre(4, 4), -1.0, frozenset({2}),
    )  # fmt: skip
    left = changes.drop_pickup(passage, np.random.default_rng(0))
    assert (left.pitches, left.position) == ((67, 69, 71, 67), 0.0)


@given(passage=passages(), seed=seeds)
def test_splitting_strikes_more_notes_and_changes_nothing_that_sounds(passage, seed):
    split = changed("notes split", passage, seed)
    assert len(split) > len(passage)
    assert set(passage.onsets) < set(split.onsets)
    np.testing.assert_array_equal(sounding(split), sounding(passage))


@given(passage=passages(), seed=seeds)
def test_joining_strikes_fewer_notes_and_none_anew(passage, seed):
    joined = changed("notes joined", passage, seed)
    assert len(passage) * 2 / 3 <= len(joined) < len(passage)
    before = {(onset, pitch) for onset, _, pitch in passage.notes()}
    assert {(onset, pitch) for onset, _, pitch in joined.notes()} < before
    assert sum(joined.durations) == sum(passage.durations)


@given(passage=passages(), seed=seeds)
def test_passing_notes_belong_to_the_scale_and_fall_between_the_notes_kept(passage, seed):
    filled = changed("passing notes", passage, seed)
    kept = {(onset, pitch) for onset, _, pitch in passage.notes()}
    notes = {(onset, pitch) for onset, _, pitch in filled.notes()}
    assert kept < notes
    added = notes - kept
    assert all(pitch % 12 in passage.scale for _, pitch in added)
    assert all(passage.onsets[0] < onset < passage.onsets[-1] for onset, _ in added)
    assert sum(filled.durations) == sum(passage.durations)


@given(passage=passages(), seed=seeds)
def test_an_octave_shift_moves_a_third_of_the_notes_at_most_and_by_one_octave(passage, seed):
    moved = np.array(changed("some notes an octave off", passage, seed).pitches)
    steps = moved - np.array(passage.pitches)
    assert set(steps[steps != 0]) in ({12}, {-12})
    assert np.count_nonzero(steps) <= max(len(passage) / 3, 1)
    assert len(set(np.diff(changed("all notes an octave off", passage, seed).pitches)
                   - np.diff(passage.pitches))) == 1  # fmt: skip


@given(passage=passages(), seed=seeds)
def test_a_wrong_note_is_one_note_at_most_a_minor_third_away(passage, seed):
    steps = np.array(changed("one wrong note", passage, seed).pitches) - passage.pitches
    assert np.count_nonzero(steps) == 1
    assert np.abs(steps).max() <= 3


@given(passage=passages(), seed=seeds)
def test_halving_undoes_doubling_and_keeps_every_pitch(passage, seed):
    doubled = changed("values doubled", passage, seed)
    assert doubled.pitches == passage.pitches
    assert doubled.durations == tuple(2 * value for value in passage.durations)
    assert changed("values halved", doubled, seed) == passage


@pytest.mark.parametrize("song", SONGS, ids=lambda song: song.title)
def test_a_passage_keeps_the_beat_strengths_that_its_song_has(song):
    rng = np.random.default_rng(1)
    found = [cut for _ in range(20) if (cut := cut_passage(song, 8, rng))]
    assert found
    for first, passage in found:
        expected = song.melody.beat_strengths[first : first + 8]
        np.testing.assert_array_equal(passage.lick("").melody.beat_strengths, expected)
        intervals = np.diff(song.melody.pitches[first : first + 8])
        np.testing.assert_array_equal(np.diff(passage.pitches), intervals)


@pytest.mark.parametrize("song", ROLLABLE, ids=lambda song: song.title)
def test_an_arrangement_in_rolls_holds_the_whole_melody_moved_into_one_key(song):
    melody = rolled(song, np.random.default_rng(2)).melody
    places = np.searchsorted(melody.onsets, song.melody.onsets)
    np.testing.assert_array_equal(melody.onsets[places], song.melody.onsets)
    assert len(set((melody.pitches[places] - song.melody.pitches).tolist())) == 1
    np.testing.assert_array_equal(melody.beat_strengths[places], song.melody.beat_strengths)
    np.testing.assert_array_equal(melody.measures[places], song.melody.measures)


@pytest.mark.parametrize("song", ROLLABLE, ids=lambda song: song.title)
def test_an_arrangement_in_rolls_states_the_key_it_was_moved_to(song):
    arrangement = rolled(song, np.random.default_rng(2))
    first = np.searchsorted(arrangement.melody.onsets, song.melody.onsets[0])
    up = int(arrangement.melody.pitches[first]) - int(song.melody.pitches[0])
    assert arrangement.key is not None
    assert song.key is not None
    assert arrangement.key.mode == song.key.mode
    assert (arrangement.key.tonic_pitch_class - song.key.tonic_pitch_class - up) % 12 == 0


@pytest.mark.parametrize("song", ROLLABLE, ids=lambda song: song.title)
def test_an_arrangement_in_rolls_can_be_played_and_mostly_is_filler(song):
    melody = rolled(song, np.random.default_rng(3)).melody
    opened = [OPEN_STRINGS[string] for string in melody.strings.tolist()]
    np.testing.assert_array_equal(melody.pitches, opened + melody.frets)
    assert melody.frets.min() >= 0
    is_filler = ~np.isin(melody.onsets, song.melody.onsets)
    assert is_filler.mean() > 1 / 4
    assert (melody.strings[is_filler] == DRONE).any()
    struck_twice = melody.strings[1:] == melody.strings[:-1]
    assert not (struck_twice & (is_filler[1:] | is_filler[:-1])).any()


def test_withholding_the_strings_changes_nothing_else():
    arrangement = rolled(ROLLABLE[0], np.random.default_rng(4))
    withheld = strings_withheld(arrangement)
    assert not withheld.melody.strings.any()
    assert set(withheld.melody.frets.tolist()) == {-1}
    for name in ("pitches", "onsets", "durations", "beat_strengths"):
        expected = getattr(arrangement.melody, name)
        np.testing.assert_array_equal(getattr(withheld.melody, name), expected)


def test_a_passage_can_be_asked_for_in_another_key():
    song = SONGS[0]
    plain, moved = passage_of(song, slice(0, 6)), passage_of(song, slice(0, 6), shift=3)
    expected = tuple(pitch + 3 for pitch in plain.pitches)
    assert moved == replace(plain, pitches=expected, scale=moved.scale)
    assert moved.scale == {(pitch + 3) % 12 for pitch in plain.scale}

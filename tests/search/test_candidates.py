"""Stage 1 of the search: exact, in any key, ties by id."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.features.intervals import clipped_intervals
from melodex.features.skeleton import Texture
from melodex.parsing.lick_numbers import lick_from_notes
from melodex.search import candidates
from melodex.search.candidates import Steps, cheapest_songs, songs_to_align
from tests.blocks_of_songs import blocks_of
from tests.reference.slow_subsequence_dtw import subsequence_dtw_twin

pitches = st.integers(24, 103)
book = st.lists(st.lists(pitches, min_size=1, max_size=25), min_size=1, max_size=90)
lick = st.lists(pitches, min_size=2, max_size=14)
steps_of_both_kinds = pytest.mark.parametrize("steps", list(Steps))


def query_of(notes):
    return clipped_intervals(np.array(notes, np.int16)).astype(np.int32)


def found(songs, notes, steps, *, limit=None, allowed=None):
    blocks = blocks_of(*songs)
    which = np.ones(len(songs), np.bool_) if allowed is None else np.array(allowed)
    candidates = cheapest_songs(blocks, query_of(notes), steps=steps, allowed=which, limit=limit)
    return [(candidate.cost, candidate.song) for candidate in candidates]


def full_computation(songs, notes, steps):
    costs = [
        subsequence_dtw_twin(query_of(notes).tolist(), query_of(song).tolist(), steps)[1].min(
            initial=np.inf
        )
        for song in songs
    ]
    return sorted((cost, song) for song, cost in enumerate(costs) if np.isfinite(cost))


@steps_of_both_kinds
@given(songs=book, notes=lick, limit=st.one_of(st.none(), st.integers(1, 20)))
def test_the_songs_found_are_the_first_of_the_full_computation(steps, songs, notes, limit):
    expected = full_computation(songs, notes, steps)
    assert found(songs, notes, steps, limit=limit) == expected[:limit]


@steps_of_both_kinds
def test_costs_beyond_a_byte_are_exact(steps):
    zigzag = [60, 84] * 20
    falling_zigzag = [84, 60] * 20
    assert found([falling_zigzag[1:] * 2, [60] * 30], zigzag, steps) == full_computation(
        [falling_zigzag[1:] * 2, [60] * 30], zigzag, steps
    )
    assert found([[60] * 30], zigzag, steps)[0][0] > 255


@steps_of_both_kinds
@given(songs=book, notes=lick, up=st.integers(-24, 24))
def test_transposing_the_lick_changes_no_cost(steps, songs, notes, up):
    moved = [note + up for note in notes]
    assert found(songs, moved, steps) == found(songs, notes, steps)


@steps_of_both_kinds
@given(songs=book, notes=lick, up=st.integers(-24, 24))
def test_transposing_the_songs_changes_no_cost(steps, songs, notes, up):
    moved = [[note + up for note in song] for song in songs]
    assert found(moved, notes, steps) == found(songs, notes, steps)


@given(songs=book, notes=lick, data=st.data())
def test_only_songs_that_are_allowed_are_found(songs, notes, data):
    flags = st.lists(st.booleans(), min_size=len(songs), max_size=len(songs))
    allowed = data.draw(flags)
    every = found(songs, notes, Steps.HOLD)
    chosen = found(songs, notes, Steps.HOLD, limit=5, allowed=allowed)
    assert chosen == [(cost, song) for cost, song in every if allowed[song]][:5]


def test_songs_of_equal_cost_come_in_the_order_of_their_ids():
    songs = [[60, 62, 64, 60]] * 70 + [[60, 62, 64]] * 70
    assert found(songs, [67, 69, 71], Steps.SKIP, limit=140) == [(0, song) for song in range(140)]


def test_of_very_many_songs_the_likelier_half_is_aligned_and_of_few_all(monkeypatch):
    lick = lick_from_notes([60, 62, 64, 65], [0, 1, 2, 3], [1, 1, 1, 1])
    near, far = [60, 62, 64, 65, 67], [60, 72, 60, 72, 60]
    blocks = blocks_of(far, near, far, near)
    everything = np.ones(4, np.bool_)
    assert songs_to_align(blocks, lick, everything).tolist() == [0, 1, 2, 3]
    monkeypatch.setattr(candidates, "MOST_ALIGNED", 2)
    assert songs_to_align(blocks, lick, everything).tolist() == [1, 3]


def test_rolls_are_always_aligned_and_a_rolled_lick_with_all_songs(monkeypatch):
    monkeypatch.setattr(candidates, "MOST_ALIGNED", 1)
    blocks = blocks_of([60, 62, 64, 65, 67], [60, 72, 60, 72, 60], [60, 72, 60, 72, 60])
    blocks.songs.song_textures[2] = Texture.ROLLED
    lick = lick_from_notes([60, 62, 64, 65], [0, 1, 2, 3], [1, 1, 1, 1])
    everything = np.ones(3, np.bool_)
    assert 2 in songs_to_align(blocks, lick, everything)
    eighths = [n / 2 for n in range(16)]
    rolled = lick_from_notes([55, 59, 62, 67, 59, 62, 67, 62] * 2, eighths, [0.5] * 16)
    assert songs_to_align(blocks, rolled, everything).tolist() == [0, 1, 2]

"""The compiled warping against its slow twin; the twin is checked against librosa."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.index.blocks import lay_side_by_side
from melodex.kernels import subsequence_dtw as dtw
from tests.reference.slow_subsequence_dtw import STEPS, subsequence_dtw_twin

MOVES = {"hold": dtw.HOLD_STEPS, "skip": dtw.SKIP_STEPS}
SCANS = {"hold": dtw.scan_hold, "skip": dtw.scan_skip}
OFFSET = 24
lines = st.lists(st.integers(-OFFSET, OFFSET), min_size=1, max_size=14)
books = st.lists(st.lists(st.integers(-OFFSET, OFFSET), max_size=25), max_size=150)


def lanes_of(songs):
    joined = np.array([interval for song in songs for interval in song], np.int8)
    return lay_side_by_side(joined, np.cumsum([0, *map(len, songs)], dtype=np.int64))


def scanned(songs, query, steps):
    lanes = lanes_of(songs)
    costs = np.empty(lanes.songs.shape, np.uint8)
    offset_query = (np.array(query) + OFFSET).astype(np.uint8)
    SCANS[steps](lanes.cells, lanes.starts, lanes.lengths, offset_query, costs)
    used = lanes.songs >= 0
    by_song = np.empty(len(songs), np.int64)
    by_song[lanes.songs[used]] = costs[used]
    return by_song.tolist()


def least_cost(query, song, steps):
    return subsequence_dtw_twin(query, song, steps)[1].min(initial=np.inf)


@pytest.mark.parametrize("steps", STEPS)
@given(songs=books, query=lines)
def test_64_songs_side_by_side_cost_what_each_costs_alone_up_to_255(steps, songs, query):
    expected = [min(255, least_cost(query, song, steps)) for song in songs]
    assert scanned(songs, query, steps) == expected


@pytest.mark.parametrize("steps", STEPS)
def test_a_cost_beyond_a_byte_stays_at_255_and_does_not_wrap_round(steps):
    assert scanned([[24] * 40], [-24] * 12, steps) == [255]


@pytest.mark.parametrize("steps", STEPS)
@given(songs=st.lists(lines, min_size=1, max_size=8), query=lines)
def test_32_bits_hold_the_full_cost_of_every_song(steps, songs, query):
    joined = np.array([interval for song in songs for interval in song], np.int8)
    first = np.cumsum([0, *map(len, songs)], dtype=np.int64)
    costs = dtw.exact_costs(
        joined,
        first,
        np.arange(len(songs), dtype=np.int32),
        np.array(query, np.int32),
        MOVES[steps],
    )
    expected = [min(dtw.UNREACHABLE, least_cost(query, song, steps)) for song in songs]
    assert costs.tolist() == expected


@pytest.mark.parametrize("steps", STEPS)
@given(query=lines, song=lines)
def test_the_path_back_moves_by_allowed_steps_and_costs_what_its_end_says(steps, query, song):
    total = dtw.accumulated_costs(np.array(query, np.int32), np.array(song, np.int32), MOVES[steps])
    end = int(total[-1].argmin())
    if total[-1, end] >= dtw.UNREACHABLE:
        return  # the song is too short for these steps
    path = dtw.warping_path(total, end, MOVES[steps])
    assert path[0, 0] == 0
    assert path[-1].tolist() == [len(query) - 1, end]
    assert set(map(tuple, np.diff(path, axis=0).tolist())) <= set(STEPS[steps])
    assert total[-1, end] == sum(abs(query[i] - song[j]) for i, j in path)


@given(
    costs=st.lists(st.integers(0, 255), min_size=1, max_size=200),
    limit=st.integers(1, 30),
    data=st.data(),
)
def test_the_songs_kept_are_the_first_of_all_sorted_by_cost_then_number(costs, limit, data):
    empty = -len(costs) % dtw.LANES
    lanes = np.array([0] * empty + costs, np.uint8).reshape(-1, dtw.LANES)
    songs = np.array([-1] * empty + list(range(len(costs))), np.int32).reshape(-1, dtw.LANES)
    allowed = np.array(data.draw(st.lists(st.booleans(), min_size=len(costs), max_size=len(costs))))
    kept = dtw.lowest(lanes, songs, allowed, limit)
    expected = sorted((cost, song) for song, cost in enumerate(costs) if allowed[song])[:limit]
    assert [(int(code) >> 32, int(code) & 0xFFFFFFFF) for code in kept] == expected

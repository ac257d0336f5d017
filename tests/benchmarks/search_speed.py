"""Stage 1 against peers on the bundled collections, in one run.

Run: python -m tests.benchmarks.search_speed

Every peer gets the same query and the same songs (clipped intervals, as played) in the form it
likes best, prepared beforehand. Where a peer has the same cost, its answers are compared too.
"""

from functools import partial

import numpy as np
from dtaidistance import dtw as dtai
from tslearn.metrics import dtw_subsequence_path

from melodex.index.blocks import Blocks, load_blocks
from melodex.search.candidates import Steps, cheapest_songs
from tests.benchmarks.measuring import bundled_catalogue, median_seconds
from tests.reference.librosa_costs import librosa_cost

QUERY_INTERVALS, TOP, SEED = 11, 20, 20261125
FAR = 1 << 14  # half-steps; beyond any cost here, and FAR * songs fits 32 bits


def long_enough(blocks: Blocks, length: int) -> list[int]:
    """List the songs with as many intervals as the query.

    librosa exchanges query and song where the song is the shorter one; such songs are left out.
    """
    lengths = np.diff(blocks.songs.first_intervals)
    return np.flatnonzero(lengths >= length).tolist()


def librosa_costs(query, songs, steps):
    return [librosa_cost(query, song, steps.moves) for song in songs]


def row_vectorised_costs(query, songs):
    """Steps (1,1), (1,0), (0,1): one numpy pass a row over all songs in one line.

    Along a row, D[j] = P[j] + min over k <= j of (reached[k] - P[k - 1]) with P the running sum of
    the row's local costs: a running minimum, which numpy has.
    """
    line = np.concatenate(songs).astype(np.int32)
    lengths = np.array([len(song) for song in songs])
    begins = np.cumsum(lengths) - lengths
    # Each song lies so far below the one before that no minimum runs on from song to song.
    apart = np.repeat(np.arange(len(songs), dtype=np.int32), lengths) * -FAR
    row = np.abs(query[0] - line)
    diagonal, local, summed = np.empty_like(row), np.empty_like(row), np.empty_like(row)
    for wanted in query[1:]:
        diagonal[1:] = row[:-1]
        diagonal[begins] = FAR // 2
        np.minimum(row, diagonal, out=row)
        np.abs(np.subtract(line, wanted, out=local), out=local)
        np.cumsum(local, out=summed)
        np.subtract(summed, apart, out=diagonal)
        np.add(np.subtract(row, diagonal, out=row), local, out=row)
        np.add(np.minimum.accumulate(row, out=row), diagonal, out=row)
    return np.minimum.reduceat(row, begins)


def dtaidistance_costs(query, songs):
    query = query.astype(float)
    return [
        dtai.warping_paths_fast(
            query, song.astype(float), psi=[0, 0, len(song), len(song)], inner_dist="euclidean"
        )[0]
        for song in songs
    ]


def tslearn_costs(query, songs):
    return [dtw_subsequence_path(query.astype(float), song.astype(float))[1] for song in songs]


def costs_by_song(candidates):
    return {candidate.song: candidate.cost for candidate in candidates}


def same_costs(ours, numbers, theirs):
    wrong = [n for n, cost in zip(numbers, theirs, strict=True) if ours.get(n, np.inf) != cost]
    assert not wrong, f"{len(wrong)} songs cost something else, first {wrong[0]}"


def main() -> None:
    """Print a table of seconds and ratios."""
    blocks = load_blocks(bundled_catalogue())
    numbers = long_enough(blocks, QUERY_INTERVALS)
    songs = [blocks.songs.intervals_of(number) for number in numbers]
    rng = np.random.default_rng(SEED)
    source = songs[rng.integers(len(songs))]
    query = source[:QUERY_INTERVALS]
    everything = np.ones(len(blocks.song_ids), np.bool_)

    def ours(steps, limit=TOP):
        return cheapest_songs(blocks, query, steps=steps, allowed=everything, limit=limit)

    print(f"{len(blocks.song_ids)} songs, {len(blocks.songs.intervals)} intervals as played")
    hold, skip = (median_seconds(partial(ours, steps)) for steps in Steps)
    peers = {
        "librosa, hold": (lambda: librosa_costs(query, songs, Steps.HOLD), hold, 1),
        "librosa, skip": (lambda: librosa_costs(query, songs, Steps.SKIP), skip, 1),
        "row-vectorised numpy, hold": (lambda: row_vectorised_costs(query, songs), hold, 7),
        "dtaidistance, hold": (lambda: dtaidistance_costs(query, songs), hold, 1),
        "tslearn (squared cost), hold": (lambda: tslearn_costs(query, songs), hold, 1),
    }
    print(f"{'melodex, hold, top 20':32} {1e3 * hold:9.2f} ms")
    print(f"{'melodex, skip, top 20':32} {1e3 * skip:9.2f} ms")
    for name, (task, own, repeats) in peers.items():
        seconds = median_seconds(task, repeats)
        print(f"{name:32} {1e3 * seconds:9.2f} ms, {seconds / own:7.0f} times ours")
    everywhere = {steps: costs_by_song(ours(steps, limit=None)) for steps in Steps}
    for steps in Steps:
        same_costs(everywhere[steps], numbers, librosa_costs(query, songs, steps))
    same_costs(everywhere[Steps.HOLD], numbers, row_vectorised_costs(query, songs))
    same_costs(everywhere[Steps.HOLD], numbers, dtaidistance_costs(query, songs))
    print("The answers agree with librosa, numpy and dtaidistance, which have the same cost.")


if __name__ == "__main__":
    main()

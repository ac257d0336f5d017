"""Stage 1 against peers on the bundled collections, in one run.

Run: python -m tests.benchmarks.search_speed

Every peer gets the same query and the same songs (clipped intervals, as played) in the form it
likes best, prepared beforehand. Where a peer has the same cost, its answers are compared too.
"""

import librosa
import numpy as np
from dtaidistance import dtw as dtai
from tslearn.metrics import dtw_subsequence_path

from melodex.index.blocks import Blocks, load_blocks
from melodex.search.candidates import Steps, closest_songs
from tests.benchmarks.measuring import bundled_catalogue, median_seconds

QUERY_INTERVALS, TOP, SEED = 11, 20, 20261125
FAR = 1 << 20  # keeps one song's running minimum out of the next one's


def songs_long_enough(blocks: Blocks, length: int) -> list[np.ndarray]:
    """librosa exchanges query and song where the song is the shorter one; such songs are left."""
    songs = [blocks.songs.intervals_of(song) for song in range(len(blocks.song_ids))]
    return [song for song in songs if len(song) >= length]


def librosa_costs(query, songs, steps):
    moves = np.array(steps.moves)
    return [
        librosa.sequence.dtw(
            query[np.newaxis].astype(float), song[np.newaxis].astype(float),
            metric="cityblock", subseq=True, backtrack=False, step_sizes_sigma=moves,
        )[-1].min()
        for song in songs
    ]  # fmt: skip


def row_vectorised_costs(query, songs):
    """Steps (1,1), (1,0), (0,1): one numpy pass a row over all songs in one line.

    Along a row, D[j] = P[j] + min over k <= j of (reached[k] - P[k - 1]) with P the running sum of
    the row's local costs: a running minimum, which numpy has.
    """
    line = np.concatenate(songs)
    lengths = np.array([len(song) for song in songs])
    begins = np.cumsum(lengths) - lengths
    apart = np.repeat(np.arange(len(songs), dtype=np.int64), lengths) * -FAR
    row = np.abs(query[0] - line).astype(np.int64)
    for wanted in query[1:]:
        local = np.abs(wanted - line).astype(np.int64)
        summed = np.cumsum(local)
        diagonal = np.roll(row, 1)
        diagonal[begins] = FAR // 2
        reached = np.minimum(row, diagonal) - (summed - local) + apart
        row = np.minimum.accumulate(reached) - apart + summed
    return np.minimum.reduceat(row, begins)


def dtaidistance_costs(query, songs):
    query = query.astype(float)
    return [
        dtai.warping_paths_fast(
            query, song.astype(float), psi=[0, 0, len(song), len(song)], inner_dist="euclidean"
        )[1][-1, 1:].min()
        for song in songs
    ]


def tslearn_costs(query, songs):
    return [dtw_subsequence_path(query.astype(float), song.astype(float))[1] for song in songs]


def main() -> None:
    """Print a table of seconds and ratios."""
    blocks = load_blocks(bundled_catalogue())
    songs = songs_long_enough(blocks, QUERY_INTERVALS)
    rng = np.random.default_rng(SEED)
    source = songs[rng.integers(len(songs))]
    query = source[:QUERY_INTERVALS]
    everything = np.ones(len(blocks.song_ids), np.bool_)

    def ours(steps, limit=TOP):
        return closest_songs(blocks, query, steps=steps, allowed=everything, limit=limit)

    print(f"{len(blocks.song_ids)} songs, {len(blocks.songs.intervals)} intervals as played")
    hold, skip = (median_seconds(lambda steps=steps: ours(steps)) for steps in Steps)
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
    for steps in Steps:
        mine = sorted(candidate.cost for candidate in ours(steps, limit=None))
        theirs = sorted(cost for cost in librosa_costs(query, songs, steps) if np.isfinite(cost))
        assert mine[: len(theirs) // 2] == theirs[: len(theirs) // 2], "librosa disagrees"
    own = sorted(candidate.cost for candidate in ours(Steps.HOLD, limit=None))[:1000]
    assert own == sorted(row_vectorised_costs(query, songs).tolist())[:1000], "numpy disagrees"
    assert own == sorted(dtaidistance_costs(query, songs))[:1000], "dtaidistance disagrees"
    print("The answers agree with librosa, numpy and dtaidistance, which have the same cost.")


if __name__ == "__main__":
    main()

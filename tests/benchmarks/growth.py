"""Stage 1 at 10 thousand, 100 thousand and 1 million songs.

Run: python -m tests.benchmarks.growth

The books are enlarged from the real songs: each copy has one interval in eight moved by a
half-step, so that no two copies cost the same. The yardstick is one pass of ``numpy.sum`` over the
same bytes seen as 64-bit integers, the memory's own pace.
"""

from functools import partial

import numpy as np

from melodex.features.intervals import LARGEST_INTERVAL
from melodex.index.blocks import Blocks, Lanes, lay_side_by_side, load_blocks
from melodex.kernels import subsequence_dtw as dtw
from tests.benchmarks.measuring import bundled_catalogue, median_seconds

SIZES = (10_000, 100_000, 1_000_000)
QUERY_INTERVALS, TOP, SEED = 11, 20, 20261125


def enlarged(blocks: Blocks, size: int, rng: np.random.Generator) -> Lanes:
    """Lay out as many songs as wanted, drawn from the real ones and slightly changed."""
    chosen = rng.integers(len(blocks.song_ids), size=size)
    begins = blocks.songs.first_intervals
    lengths = (begins[1:] - begins[:-1])[chosen]
    first = np.cumsum([0, *lengths], dtype=np.int64)
    within = np.arange(first[-1]) - np.repeat(first[:-1], lengths)
    intervals = blocks.songs.intervals[np.repeat(begins[chosen], lengths) + within].copy()
    moved = rng.random(len(intervals)) < 1 / 8
    intervals[moved] += rng.choice(np.array([-1, 1], np.int8), moved.sum())
    return lay_side_by_side(np.clip(intervals, -LARGEST_INTERVAL, LARGEST_INTERVAL), first)


def main() -> None:
    """Print milliseconds and multiples of a memory pass."""
    blocks = load_blocks(bundled_catalogue())
    rng = np.random.default_rng(SEED)
    query = blocks.songs.intervals_of(int(rng.integers(len(blocks.song_ids))))[:QUERY_INTERVALS]
    offset_query = (query + LARGEST_INTERVAL).astype(np.uint8)
    for size in SIZES:
        lanes = enlarged(blocks, size, rng)
        costs = np.empty(lanes.songs.shape, np.uint8)
        allowed = np.ones(size, np.bool_)
        words = lanes.cells[: len(lanes.cells) // 8 * 8].view(np.int64)
        memory = median_seconds(partial(np.sum, words))
        for name, scan in (("hold", dtw.scan_hold), ("skip", dtw.scan_skip)):

            def search(scan=scan, lanes=lanes, costs=costs, allowed=allowed):
                scan(lanes.cells, lanes.starts, lanes.lengths, offset_query, costs)
                return dtw.lowest(costs, lanes.songs, allowed, TOP)

            seconds = median_seconds(search)
            print(
                f"{size:9} songs, {len(lanes.cells) / 1e6:6.1f} MB, {name}: "
                f"{1e3 * seconds:8.2f} ms, {seconds / memory:5.1f} times numpy.sum"
            )


if __name__ == "__main__":
    main()

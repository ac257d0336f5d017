"""Stage 1 of a search: preselect songs by exact dynamic time warping of the lick on all of them."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from melodex.features.intervals import LARGEST_INTERVAL, clipped_intervals
from melodex.features.skeleton import Texture, sounds_rolled
from melodex.index.blocks import Blocks
from melodex.kernels import subsequence_dtw as dtw
from melodex.model.lick import Lick

MOST_ALIGNED = 20_000  # songs; with more, stage 1 preselects
# Share of the songs kept, those of least cost. For 132 licks varied as players vary them, half of
# the songs contained 97 % of stage 2's best matches and 87 % of its first ten; a fifth 89 and 65 %;
# see tests/benchmarks/candidates_needed.py. For rolled songs it was 44 %, so these are always
# aligned.
CANDIDATE_SHARE = 0.5


class Steps(StrEnum):
    """The steps allowed on the warping path."""

    HOLD = "hold"  # one interval may match several: (1,1), (1,0), (0,1)
    SKIP = "skip"  # an interval of either side may be skipped: (1,1), (1,2), (2,1)

    @property
    def moves(self) -> NDArray[np.int64]:
        """Shape (n_moves, 2): intervals of the lick and of the song that each step advances by."""
        return dtw.HOLD_STEPS if self is Steps.HOLD else dtw.SKIP_STEPS


@dataclass(frozen=True, slots=True)
class Candidate:
    """A song, and the lowest cost of the lick anywhere in it, in half-steps."""

    song: int  # index in the blocks
    cost: int


def cheapest_songs(
    blocks: Blocks,
    query: NDArray[np.int32],
    *,
    steps: Steps,
    allowed: NDArray[np.bool_],
    limit: int | None,
) -> list[Candidate]:
    """Return the songs of least cost, best first, ties by song id.

    The result is exact: the same as that of the full computation for every song.

    Parameters
    ----------
    query : shape (n,), int32
        The lick's intervals within +-LARGEST_INTERVAL; n >= 1.
    allowed : shape (n_songs,), bool
        The songs to search.
    limit : int or None
        Maximum number of songs; None for all that are long enough for the lick.
    """
    lanes = blocks.lanes
    costs = np.empty(lanes.songs.shape, np.uint8)
    scan = dtw.scan_hold if steps is Steps.HOLD else dtw.scan_skip
    scan(
        lanes.cells, lanes.starts, lanes.lengths, (query + LARGEST_INTERVAL).astype(np.uint8), costs
    )
    wanted = int(allowed.sum()) if limit is None else min(limit, int(allowed.sum()))
    if not wanted:
        return []
    if limit is None:
        coded = _all_in_order(costs, lanes.songs, allowed)
    else:
        coded = dtw.lowest(costs, lanes.songs, allowed, wanted)
    found = [Candidate(int(code & 0xFFFFFFFF), int(code >> 32)) for code in coded]
    exact = [candidate for candidate in found if candidate.cost < dtw.SATURATED]
    if len(exact) == len(found):
        return found
    saturated = lanes.songs[(costs == dtw.SATURATED) & (lanes.songs >= 0)]
    saturated = np.sort(saturated[allowed[saturated]])
    return exact + _saturated_songs(blocks, query, steps, saturated)[: wanted - len(exact)]


def _all_in_order(
    costs: NDArray[np.uint8], songs: NDArray[np.int32], allowed: NDArray[np.bool_]
) -> NDArray[np.int64]:
    """Encode every allowed song as ``lowest`` does; sorting is faster than inserting all."""
    used = (songs >= 0) & allowed[songs]
    return np.sort((costs[used].astype(np.int64) << 32) + songs[used])


def _saturated_songs(
    blocks: Blocks, query: NDArray[np.int32], steps: Steps, songs: NDArray[np.int32]
) -> list[Candidate]:
    """Compute in 32 bits costs that overflowed the byte lanes; skip songs that cannot match."""
    arrays = blocks.songs
    costs = dtw.exact_costs(arrays.intervals, arrays.first_intervals, songs, query, steps.moves)
    order = np.argsort(costs, kind="stable")
    return [
        Candidate(int(songs[place]), int(costs[place]))
        for place in order
        if costs[place] < dtw.UNREACHABLE
    ]


def songs_to_align(blocks: Blocks, lick: Lick, allowed: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Return the songs to align: all, or of very many the best half by stage 1.

    Stage 1 does not find melodies inside rolls, so rolled songs are always included, and for a
    rolled lick all songs.

    Parameters
    ----------
    allowed : shape (n_songs,), bool
        The songs to search.

    Returns
    -------
    shape (n,), int64
        Song numbers, ascending; songs without notes are left out.
    """
    sounding = np.diff(blocks.songs.first_notes) > 0
    songs = np.flatnonzero(allowed & sounding)
    if len(songs) <= MOST_ALIGNED or sounds_rolled(lick.melody):
        return songs
    query = clipped_intervals(lick.melody.pitches).astype(np.int32)
    ordered = cheapest_songs(blocks, query, steps=Steps.HOLD, allowed=allowed, limit=None)
    wanted = max(MOST_ALIGNED, round(CANDIDATE_SHARE * len(songs)))
    is_chosen = blocks.songs.song_textures >= Texture.ROLLED
    is_chosen[[candidate.song for candidate in ordered[:wanted]]] = True
    return songs[is_chosen[songs]]

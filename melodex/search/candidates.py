"""Stage 1: the songs that hold something like a lick, by exact time warping of all of them."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from melodex.features.intervals import LARGEST_INTERVAL, clipped_intervals
from melodex.features.skeleton import Texture, sounds_rolled
from melodex.index.blocks import Blocks
from melodex.kernels import subsequence_dtw as dtw
from melodex.model.lick import Lick

MOST_ALIGNED = 20_000  # songs; above, stage 1 proposes
# Of the songs, those of least cost. Of 132 licks changed as players change them half of the songs
# held 97 of 100 first answers of stage 2 and 87 of its first ten; a fifth held 89 and 65; see
# tests/benchmarks/candidates_needed.py. Of rolled ones they held 44: rolls are always aligned.
CANDIDATE_SHARE = 0.5


class Steps(StrEnum):
    """How the warping path may move on in lick and song."""

    HOLD = "hold"  # one interval may answer several: (1,1), (1,0), (0,1)
    SKIP = "skip"  # an interval of either may be left out: (1,1), (1,2), (2,1)

    @property
    def moves(self) -> NDArray[np.int64]:
        """Shape (n_moves, 2): intervals of the lick and of the song that a move passes."""
        return dtw.HOLD_STEPS if self is Steps.HOLD else dtw.SKIP_STEPS


@dataclass(frozen=True, slots=True)
class Candidate:
    """A song and the least cost of the lick anywhere in it, in half-steps."""

    song: int  # number in the blocks
    cost: int


def closest_songs(
    blocks: Blocks,
    query: NDArray[np.int32],
    *,
    steps: Steps,
    allowed: NDArray[np.bool_],
    limit: int | None,
) -> list[Candidate]:
    """Find the songs of least cost, best first, ties by song id.

    Exact: equal to the full computation for every song.

    Parameters
    ----------
    query : shape (n,), int32
        The lick's intervals within +-LARGEST_INTERVAL; n >= 1.
    allowed : shape (n_songs,), bool
        The songs that count.
    limit : int or None
        How many songs at most; None for all that the lick fits into.
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
    """Code every allowed song as ``lowest`` does; sorting all beats inserting all."""
    used = (songs >= 0) & allowed[songs]
    return np.sort((costs[used].astype(np.int64) << 32) + songs[used])


def _saturated_songs(
    blocks: Blocks, query: NDArray[np.int32], steps: Steps, songs: NDArray[np.int32]
) -> list[Candidate]:
    """Compute in 32 bits what the byte lanes could not hold; songs that cannot match are left."""
    arrays = blocks.songs
    costs = dtw.exact_costs(arrays.intervals, arrays.first_intervals, songs, query, steps.moves)
    order = np.argsort(costs, kind="stable")
    return [
        Candidate(int(songs[place]), int(costs[place]))
        for place in order
        if costs[place] < dtw.UNREACHABLE
    ]


def songs_worth_aligning(
    blocks: Blocks, lick: Lick, allowed: NDArray[np.bool_]
) -> NDArray[np.int64]:
    """Choose the songs that are aligned: all, or of very many the likelier half by stage 1.

    Stage 1 does not hear what is inside a roll: rolled songs, and all songs for a rolled lick, are
    always chosen.

    Parameters
    ----------
    allowed : shape (n_songs,), bool
        The songs that count.

    Returns
    -------
    shape (n,), int64
        Song numbers, rising; songs without notes are left out.
    """
    sounding = np.diff(blocks.songs.first_notes) > 0
    songs = np.flatnonzero(allowed & sounding)
    if len(songs) <= MOST_ALIGNED or sounds_rolled(lick.melody):
        return songs
    query = clipped_intervals(lick.melody.pitches).astype(np.int32)
    ordered = closest_songs(blocks, query, steps=Steps.HOLD, allowed=allowed, limit=None)
    wanted = max(MOST_ALIGNED, round(CANDIDATE_SHARE * len(songs)))
    is_chosen = blocks.songs.song_textures >= Texture.ROLLED
    is_chosen[[candidate.song for candidate in ordered[:wanted]]] = True
    return songs[is_chosen[songs]]

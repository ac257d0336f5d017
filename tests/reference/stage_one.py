"""Stage 1 compared with librosa, song by song."""

import numpy as np

from melodex.index.blocks import Blocks
from melodex.search.candidates import Steps, cheapest_songs
from tests.reference.librosa_costs import librosa_cost

LENGTHS = range(4, 16)  # intervals


def disagreements(blocks: Blocks, *, licks: int, seed: int) -> tuple[int, list[str]]:
    """Warp licks cut from the songs themselves onto all songs at least as long, both ways.

    Returns
    -------
    int
        The number of costs compared.
    list of str
        Those that differ.
    """
    rng = np.random.default_rng(seed)
    songs = [blocks.songs.intervals_of(song) for song in range(len(blocks.song_ids))]
    every_song = np.ones(len(songs), np.bool_)
    compared, wrong = 0, []
    for lick in range(licks):
        query = _cut(songs, int(rng.choice(LENGTHS)), rng)
        for steps in Steps:
            found = cheapest_songs(blocks, query, steps=steps, allowed=every_song, limit=None)
            costs = {candidate.song: candidate.cost for candidate in found}
            for number, song in enumerate(songs):
                if len(song) < len(query):
                    continue
                expected = librosa_cost(query, song, steps.moves)
                compared += 1
                if costs.get(number, np.inf) != expected:
                    wrong.append(f"lick {lick}, {steps}, {blocks.song_ids[number]}: {expected}")
    return compared, wrong


def _cut(songs: list[np.ndarray], length: int, rng: np.random.Generator) -> np.ndarray:
    while True:
        song = songs[rng.integers(len(songs))]
        if len(song) >= length:
            first = int(rng.integers(len(song) - length + 1))
            return song[first : first + length]

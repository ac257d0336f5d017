"""Find songs that are alike as a whole: versions of one tune, or the same tune twice."""

import numpy as np

from melodex.alignment.whole_song import WholeSongScores
from melodex.alignment.written_notes import WholeSongs, kept_whole_songs
from melodex.finder.nearest_songs import SCORE_DIGITS
from melodex.finder.teaching.versions import version_pairs
from melodex.index.blocks import load_blocks
from melodex.index.store import Catalogue
from melodex.lessons.overlap import Overlap
from melodex.model.results.audit import NearDuplicate
from melodex.significance.chance_of_songs import (
    SongChance,
    chance_of_songs,
    songs_expected_by_chance,
)


def near_duplicates(catalogue: Catalogue, overlap: Overlap) -> list[NearDuplicate]:
    """List the pairs of songs that are versions of one tune, the most alike first.

    Parameters
    ----------
    overlap : Overlap
        What the songs teach each other.

    Raises
    ------
    CatalogueError
        If the catalogue's derived arrays cannot be written.
    """
    blocks, material = load_blocks(catalogue), overlap.material
    number_of = {song: number for number, song in enumerate(blocks.song_ids)}
    numbers = np.array([number_of[song] for song in material.songs], np.int64)
    compared = kept_whole_songs(blocks)
    versions = list(version_pairs(overlap, compared, numbers))
    if not versions:
        return []
    model = chance_of_songs(blocks)
    pairs = [
        NearDuplicate(
            song_a=material.songs[one],
            title_a=material.titles[one],
            song_b=material.songs[other],
            title_b=material.titles[other],
            score=round(score, SCORE_DIGITS),
            expected_by_chance=_expected_either_way(
                model, (int(numbers[one]), int(numbers[other])), score, compared
            ),
            transposition=transposition,
        )
        for one, other, score, transposition in versions
    ]
    return sorted(pairs, key=lambda pair: (-pair.score, pair.song_a, pair.song_b))


def _expected_either_way(
    model: SongChance | None, pair: tuple[int, int], score: float, compared: WholeSongs
) -> float | None:
    """Return the greater of the chance levels of two songs, each compared with the other."""
    levels: list[float] = []
    for song, other in (pair, pair[::-1]):
        found = WholeSongScores(
            np.array([other]), np.array([score], np.float32), np.zeros(1, np.int32)
        )
        expected = songs_expected_by_chance(model, song, compared, found) if model else None
        levels += [] if expected is None else expected.tolist()
    return max(levels, default=None)

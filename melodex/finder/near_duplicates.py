"""Find songs that are alike as wholes: versions of one tune, or the same tune twice."""

import numpy as np

from melodex.alignment.whole_song import WholeSongScores, most_alike
from melodex.alignment.written_notes import WholeSongs, kept_whole_songs
from melodex.finder.nearest_songs import SCORE_DIGITS
from melodex.index.blocks import load_blocks
from melodex.index.store import Catalogue
from melodex.model.audit import NearDuplicate
from melodex.model.material import Material
from melodex.significance.chance_of_songs import (
    SongChance,
    chance_of_songs,
    songs_expected_by_chance,
)

# Of 235 pairs of bundled tunes that were judged to be versions of one 147 score more, of 118 that
# only share a title none (the highest .09), of 10,000 picked at random two
# (tests/benchmarks/near_duplicates.py); so do the songbook's ten arrangements in rolls with their
# plain tunes (.57 and more), and a warm-up with the tune whose first part it is.
ALIKE = 0.35


def near_duplicates(catalogue: Catalogue, material: Material) -> list[NearDuplicate]:
    """List the pairs of songs whose whole melodies score more than ``ALIKE``, the most alike first.

    Parameters
    ----------
    material : Material
        The songs, gathered with their versions. Such pairs make songs versions of one tune, so
        only versions are compared.

    Raises
    ------
    CatalogueError
        If the catalogue's derived arrays cannot be written.
    """
    blocks = load_blocks(catalogue)
    number_of = {song: number for number, song in enumerate(blocks.song_ids)}
    numbers = np.array([number_of[song] for song in material.songs], np.int64)
    tunes = np.array(material.tunes, np.int64)
    with_versions = np.flatnonzero(np.bincount(tunes, minlength=1)[tunes] > 1)
    if not len(with_versions):
        return []
    compared, model = kept_whole_songs(blocks), chance_of_songs(blocks)
    pairs: list[NearDuplicate] = []
    for place in with_versions.tolist():
        versions = with_versions[(tunes[with_versions] == tunes[place]) & (with_versions > place)]
        number = int(numbers[place])
        found = most_alike(number, compared, numbers[versions], limit=None, above=ALIKE)
        for other, score, transposition in zip(
            found.songs.tolist(), found.scores.tolist(), found.transpositions.tolist(), strict=True
        ):
            version = int(np.searchsorted(numbers, int(other)))
            pairs.append(
                NearDuplicate(
                    song_a=material.songs[place],
                    title_a=material.titles[place],
                    song_b=material.songs[version],
                    title_b=material.titles[version],
                    score=round(score, SCORE_DIGITS),
                    expected_by_chance=_expected_either_way(
                        model, (number, other), score, compared
                    ),
                    transposition=transposition,
                )
            )
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
        told = songs_expected_by_chance(model, song, compared, found) if model else None
        levels += [] if told is None else told.tolist()
    return max(levels, default=None)

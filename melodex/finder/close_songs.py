"""Find which songs of a list are close to each other as whole melodies."""

from collections.abc import Sequence

import numpy as np

from melodex.alignment.whole_song import most_alike
from melodex.alignment.written_notes import kept_whole_songs
from melodex.finder.nearest_songs import SCORE_DIGITS, chance_levels
from melodex.index.blocks import load_blocks
from melodex.index.store import Catalogue
from melodex.model.results.coincidence import is_likely_coincidence
from melodex.model.results.phrase import ClosePair


def close_songs(catalogue: Catalogue, songs: Sequence[str], *, above: float) -> list[ClosePair]:
    """Compare every two songs of a list; return the pairs that are not likely coincidence.

    Parameters
    ----------
    songs : sequence of str
        Ids; those that the catalogue does not have are ignored.
    above : float
        Only pairs with a higher score; a higher value is faster.

    Returns
    -------
    list of ClosePair
        The closest first; ties by ids.

    Raises
    ------
    CatalogueError
        If the catalogue's derived arrays cannot be written.
    """
    blocks = load_blocks(catalogue)
    compared = kept_whole_songs(blocks)
    number_of = {song: number for number, song in enumerate(blocks.song_ids)}
    numbers = sorted({number_of[song] for song in songs if song in number_of})
    pairs: list[ClosePair] = []
    for index, number in enumerate(numbers[:-1]):
        found = most_alike(
            number, compared, np.array(numbers[index + 1 :]), limit=None, above=above
        )
        if not len(found.songs):
            continue
        levels = chance_levels(blocks, number, compared, found)
        others: list[int] = found.songs.tolist()
        scores: list[float] = found.scores.tolist()
        pairs += [
            ClosePair(
                blocks.song_ids[number],
                blocks.song_ids[other],
                round(score, SCORE_DIGITS),
                level,
            )
            for other, score, level in zip(others, scores, levels, strict=True)
            if not is_likely_coincidence(level)
        ]
    return sorted(pairs, key=lambda pair: (-pair.score, pair.song_a, pair.song_b))

"""Find the songs most like a song."""

import numpy as np

from melodex.alignment.whole_song import WholeSongScores, most_alike
from melodex.alignment.written_notes import WholeSongs, kept_whole_songs
from melodex.finder.collection.chosen_songs import chosen_songs
from melodex.finder.row_limit import row_limit
from melodex.index.blocks import Blocks, load_blocks
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.results.phrase import NearSong
from melodex.significance.chance_of_songs import chance_of_songs, songs_expected_by_chance

SCORE_DIGITS = 4  # beyond these a score tells nothing


def nearest_songs(
    catalogue: Catalogue,
    song: str,
    *,
    limit: int | None = 20,
    which: SongFilter = EVERY_SONG,
) -> list[NearSong]:
    """Find the songs whose whole melody is most like a song's, in any key, best first.

    Parameters
    ----------
    song : str
        An id or an unambiguous part of a title; the song itself is not listed.
    limit : int or None
        How many songs at most; None for all.
    which : SongFilter
        The songs to choose from.

    Raises
    ------
    QueryError
        If the limit is less than 1.
    SongNotFoundError
        If no song, or several, answer to the name.
    UnknownValueError
        If no song has a value of the filter.
    CatalogueError
        If the catalogue's derived arrays cannot be written.
    """
    limit = row_limit(limit)
    song_id = catalogue.resolve(song)
    blocks = load_blocks(catalogue)
    titles = dict(catalogue.titles())
    chosen = frozenset(chosen_songs(catalogue, which)) - {song_id}
    selected = np.flatnonzero([other in chosen for other in blocks.song_ids])
    number = blocks.song_ids.index(song_id)
    compared = kept_whole_songs(blocks)
    found = most_alike(number, compared, selected, limit=limit)
    levels = _chance_levels(blocks, number, compared, found)
    numbers: list[int] = found.songs.tolist()
    return [
        NearSong(
            song=blocks.song_ids[other],
            title=titles[blocks.song_ids[other]],
            score=round(max(0.0, score), SCORE_DIGITS),
            expected_by_chance=level,
            transposition=transposition,
        )
        for other, score, transposition, level in zip(
            numbers,
            found.scores.tolist(),
            found.transpositions.tolist(),
            levels,
            strict=True,
        )
        if blocks.song_ids[other] in titles  # else removed since the arrays were opened
    ]


def _chance_levels(
    blocks: Blocks, song: int, songs: WholeSongs, found: WholeSongScores
) -> list[float | None]:
    """Return the chance level of each song found; None where the catalogue has too few songs."""
    model = chance_of_songs(blocks)
    levels = songs_expected_by_chance(model, song, songs, found) if model else None
    return [None] * len(found.songs) if levels is None else levels.tolist()

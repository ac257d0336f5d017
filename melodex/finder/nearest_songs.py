"""Find the songs most like a song."""

import numpy as np

from melodex.alignment.whole_song import most_alike, whole_songs
from melodex.index.blocks import load_blocks
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.phrase import NearSong

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
    SongNotFoundError
        If no song, or several, answer to the name.
    CatalogueError
        If the catalogue's derived arrays cannot be written.
    """
    song_id = catalogue.resolve(song)
    blocks = load_blocks(catalogue)
    titles = dict(catalogue.titles())
    chosen = frozenset(catalogue.song_ids(which)) - {song_id}
    asked = np.flatnonzero([other in chosen for other in blocks.song_ids])
    number = blocks.song_ids.index(song_id)
    found = most_alike(number, whole_songs(blocks.songs), asked, limit=limit)
    return [
        NearSong(
            song=blocks.song_ids[other],
            title=titles[blocks.song_ids[other]],
            score=round(max(0.0, float(score)), SCORE_DIGITS),
            expected_by_chance=None,
            transposition=int(transposition),
        )
        for other, score, transposition in zip(
            found.songs, found.scores, found.transpositions, strict=True
        )
        if blocks.song_ids[other] in titles  # else removed since the arrays were opened
    ]

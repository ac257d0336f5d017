"""Find the songs that move as a shape does."""

import numpy as np

from melodex.finder.row_limit import row_limit
from melodex.finder.searched_songs import searched_songs
from melodex.index.blocks import load_blocks
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.results.match import ShapeMatch
from melodex.parsing.shape_text import shape_from_text
from melodex.search.shapes import best_places, moves_followed, stretches
from melodex.significance.chance_of_shapes import songs_by_chance

FORM = "shape"
SCORE_DIGITS = 4


def find_shape(
    catalogue: Catalogue,
    text: str,
    *,
    limit: int | None = 20,
    which: SongFilter = EVERY_SONG,
    all_places: bool = False,
) -> list[ShapeMatch]:
    """Find the songs that move as a shape does, best first; ties by song id.

    Parameters
    ----------
    text : str
        Moves between commas: "step up, leap up, same, step down long".
    limit : int or None
        How many songs at most; None for every song that is long enough.
    which : SongFilter
        The songs to search.
    all_places : bool
        Whether to return every place in a song that follows as many moves as its best; otherwise
        only the first such place of each song.

    Raises
    ------
    QueryError
        If the text is not a shape, or the limit is less than 1.
    UnknownValueError
        If no song has a value of the filter.
    """
    limit = row_limit(limit)
    shape = shape_from_text(text)
    blocks = load_blocks(catalogue)
    songs, n_moves = blocks.songs, len(shape.moves)
    searched = searched_songs(catalogue, blocks, which)
    followed = moves_followed(shape, songs)
    counts, best = stretches(followed, songs)
    expected = songs_by_chance(followed, songs, searched)
    titles = dict(catalogue.titles())
    long_enough = np.flatnonzero(searched & (best >= 0))
    best_first = long_enough[np.argsort(-best[long_enough], kind="stable")][:limit]
    matches: list[ShapeMatch] = []
    for song in map(int, best_first):
        song_id = blocks.song_ids[song]
        if song_id not in titles:
            continue  # removed since the arrays were opened
        places = best_places(counts, songs, song, n_moves)
        matches += [
            ShapeMatch(
                song=song_id,
                title=titles[song_id],
                first_measure=place.measures[0],
                last_measure=place.measures[-1],
                measures=place.measures,
                transposition=None,
                score=round(int(best[song]) / n_moves, SCORE_DIGITS),
                cost=None,
                expected_by_chance=float(expected[best[song]]),
                form=FORM,
                alignment=tuple(enumerate(place.notes)),
                places=len(places),
            )
            for place in (places if all_places else places[:1])
        ]
    return matches

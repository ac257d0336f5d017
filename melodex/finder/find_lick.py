"""Find the songs that use a lick."""

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.best_songs import score_best
from melodex.alignment.passage import PassageScores, passages_of, score_of_itself
from melodex.features.intervals import clipped_intervals
from melodex.finder.row_limit import row_limit
from melodex.finder.searched_songs import searched_songs
from melodex.index.blocks import Blocks, load_blocks
from melodex.index.store import Catalogue
from melodex.kernels.subsequence_dtw import HOLD_STEPS, UNREACHABLE, exact_costs
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.lick import Lick
from melodex.model.results.match import Match
from melodex.search.candidates import songs_to_align
from melodex.search.places import written_places
from melodex.significance.chance import chance_of, expected_by_chance

SCORE_DIGITS = 4  # further digits are noise


def find_lick(
    catalogue: Catalogue,
    lick: Lick,
    *,
    limit: int | None = 20,
    which: SongFilter = EVERY_SONG,
    all_places: bool = False,
) -> list[Match]:
    """Find the songs that use a lick, in any key, best first; ties by song id.

    Parameters
    ----------
    lick : Lick
        Two notes or more.
    limit : int or None
        How many songs at most; None for every song that is long enough.
    which : SongFilter
        The songs to search.
    all_places : bool
        Whether to return every place in a song that scores as well as its best, or nearly;
        otherwise only the first such place of each song.

    Raises
    ------
    QueryError
        If the limit is less than 1.
    UnknownValueError
        If no song has a value of the filter.
    CatalogueError
        If the catalogue's derived arrays cannot be written.
    """
    limit = row_limit(limit)
    blocks = load_blocks(catalogue)
    searched = searched_songs(catalogue, blocks, which)
    selected = songs_to_align(blocks, lick, searched)
    found = score_best(lick.melody, blocks.songs, selected, lick.key, limit=limit)
    titles = dict(catalogue.titles())
    best_first = np.argsort(-found.ranking, kind="stable")[:limit]
    costs = _costs(blocks, lick, found.songs[best_first])
    levels = _chance_levels(blocks, found, selected, n_searched=int(searched.sum()))
    of_itself = score_of_itself(lick.melody)
    matches: list[Match] = []
    indices: list[int] = best_first.tolist()
    for index, cost in zip(indices, costs, strict=True):
        song = int(found.songs[index])
        song_id = blocks.song_ids[song]
        if song_id not in titles:
            continue  # removed since the arrays were opened
        passages = passages_of(found, index, blocks.songs)
        places = written_places(blocks.songs, song, passages)
        best = max((passage.score for passage in passages), default=0.0)
        score = round(max(0.0, best / of_itself), SCORE_DIGITS)
        listed = places if all_places else places[:1]
        matches += [
            Match(
                song=song_id,
                title=titles[song_id],
                first_measure=place.measures[0],
                last_measure=place.measures[-1],
                measures=place.measures,
                transposition=place.transposition,
                score=score,
                cost=cost,
                expected_by_chance=levels[index],
                form=place.form,
                alignment=place.alignment,
                places=len(places),
            )
            for place in listed
        ]
    return matches


def _costs(blocks: Blocks, lick: Lick, songs: NDArray[np.int64]) -> list[int | None]:
    query = clipped_intervals(lick.melody.pitches).astype(np.int32)
    arrays = blocks.songs
    numbers = songs.astype(np.int32)
    costs = exact_costs(arrays.intervals, arrays.first_intervals, numbers, query, HOLD_STEPS)
    return [int(cost) if cost < UNREACHABLE else None for cost in costs]


def _chance_levels(
    blocks: Blocks, found: PassageScores, aligned: NDArray[np.int64], *, n_searched: int
) -> list[float | None]:
    """Return the chance level of each song found; None where the catalogue is too small for one."""
    model = chance_of(blocks)
    levels = None
    if model:
        levels = expected_by_chance(
            model, found, blocks.songs, aligned=aligned, n_searched=n_searched
        )
    return [None] * len(found.songs) if levels is None else levels.tolist()

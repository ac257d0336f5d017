"""Find the songs that use a lick."""

import numpy as np
from numpy.typing import NDArray

from melodex.features.intervals import clipped_intervals
from melodex.index.blocks import Blocks, load_blocks
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.lick import Lick
from melodex.model.match import Match
from melodex.search.candidates import Candidate, Steps, closest_songs
from melodex.search.places import Place, cheapest_places


def find_lick(
    catalogue: Catalogue,
    lick: Lick,
    *,
    limit: int | None = 20,
    which: SongFilter = EVERY_SONG,
    steps: Steps = Steps.HOLD,
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
    steps : Steps
        How the time warping may move on.
    all_places : bool
        A match for each place in a song where the lick is found at its least cost; else one for
        each song, its first such place.

    Raises
    ------
    CatalogueError
        If the catalogue's derived arrays cannot be written.
    """
    blocks = load_blocks(catalogue)
    query = clipped_intervals(lick.melody.pitches).astype(np.int32)
    allowed = _allowed_songs(catalogue, blocks, which)
    candidates = closest_songs(blocks, query, steps=steps, allowed=allowed, limit=limit)
    titles = dict(catalogue.titles())
    matches: list[Match] = []
    for candidate in candidates:
        song_id = blocks.song_ids[candidate.song]
        if song_id not in titles:
            continue  # removed since the arrays were opened
        places = cheapest_places(blocks.songs, candidate.song, query, lick.melody.pitches, steps)
        told = places if all_places else places[:1]
        matches += [
            _match(song_id, titles[song_id], candidate, place, len(places)) for place in told
        ]
    return matches


def _allowed_songs(catalogue: Catalogue, blocks: Blocks, which: SongFilter) -> NDArray[np.bool_]:
    if which == EVERY_SONG:
        return np.ones(len(blocks.song_ids), np.bool_)
    chosen = frozenset(catalogue.song_ids(which))
    return np.array([song_id in chosen for song_id in blocks.song_ids], np.bool_)


def _match(song_id: str, title: str, candidate: Candidate, place: Place, places: int) -> Match:
    return Match(
        song=song_id,
        title=title,
        first_measure=place.measures[0],
        last_measure=place.measures[-1],
        measures=place.measures,
        transposition=place.transposition,
        score=None,
        cost=candidate.cost,
        expected_by_chance=None,
        form="as written",
        alignment=place.alignment,
        places=places,
    )

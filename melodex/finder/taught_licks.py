"""The licks that songs of a catalogue teach: those kept by name, then those that recur."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from melodex.features.as_played import runs_of_measures
from melodex.finder.recurring_licks import licks_among
from melodex.index.blocks import Blocks, load_blocks
from melodex.index.kept_licks import kept_licks
from melodex.index.store import Catalogue
from melodex.model.lick import Lick
from melodex.model.recurring import RecurringLick
from melodex.phrases.families import places_of_lick
from melodex.search.places import written_places

# A larger catalogue's licks are not looked for: those that recur in the songs in question are.
LARGEST_CATALOGUE = 500  # songs
MOST_LICKS = 500  # the songbook's 57 songs have 18
MOSTLY = 0.5  # of a lick's places, that are a kept lick's: then it is that one


@dataclass(frozen=True, slots=True)
class TaughtLick:
    """A lick by its name and its places."""

    name: str
    measures: int  # that it is long
    places: frozenset[tuple[str, int, int]]  # song, first and last measure as written


def recurring_places(
    catalogue: Catalogue, songs: Sequence[str]
) -> tuple[tuple[str, ...], NDArray[np.int32], NDArray[np.int32]]:
    """Find where the licks that are kept, or that recur, stand in some songs.

    Returns
    -------
    names : tuple of str
        Of the licks.
    lengths : shape (n_licks,), int32
        In measures, 1 or more.
    places : shape (n_places, 4), int32
        The song's place in ``songs``, the lick, its first and its last measure there; rising.
    """
    number_of = {song: number for number, song in enumerate(songs)}
    licks = _licks_taught(catalogue, songs)
    places = sorted(
        (number_of[song], lick, first, last)
        for lick, taught in enumerate(licks)
        for song, first, last in taught.places
        if song in number_of
    )
    return (
        tuple(lick.name for lick in licks),
        np.array([lick.measures for lick in licks], np.int32),
        np.array(places, np.int32).reshape(-1, 4),
    )


def _licks_taught(catalogue: Catalogue, songs: Sequence[str]) -> list[TaughtLick]:
    blocks = load_blocks(catalogue)
    if len(blocks.song_ids) <= LARGEST_CATALOGUE:
        asked = np.arange(len(blocks.song_ids))
    else:
        chosen = frozenset(songs)
        asked = np.array([n for n, song in enumerate(blocks.song_ids) if song in chosen], np.int64)
    kept = [_kept(name, lick, blocks, asked) for name, lick in kept_licks(catalogue)]
    names = {lick.name for lick in kept}
    covered = {place for lick in kept for place in lick.places}
    recurring = (
        _recurring(record)
        for record, _ in licks_among(catalogue, blocks, asked, limit=MOST_LICKS)
        if record.lick not in names
    )
    new = [lick for lick in recurring if len(lick.places & covered) <= MOSTLY * len(lick.places)]
    return [*kept, *new]


def _kept(name: str, lick: Lick, blocks: Blocks, asked: NDArray[np.int64]) -> TaughtLick:
    places = {
        (blocks.song_ids[number], *run)
        for number, passages in places_of_lick(lick.melody, blocks.songs, asked)
        for place in written_places(blocks.songs, number, list(passages))
        for run in runs_of_measures(place.measures)  # two across a repeat's seam
    }
    return TaughtLick(name, len(np.unique(lick.melody.measures)), frozenset(places))


def _recurring(record: RecurringLick) -> TaughtLick:
    places = {
        (occurrence.song, *run)
        for occurrence in record.occurrences
        for run in runs_of_measures(occurrence.measures)
    }
    return TaughtLick(record.lick, record.measures, frozenset(places))

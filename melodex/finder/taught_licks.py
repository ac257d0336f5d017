"""The licks that songs of a catalogue teach: those kept by name, then those that recur."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from melodex.finder.lick_names import kept_places, listed_places
from melodex.finder.lick_places import LickPlace
from melodex.finder.recurring_licks import licks_among
from melodex.index.blocks import load_blocks
from melodex.index.store import Catalogue

# A larger catalogue's licks are not looked for: those that recur in the songs in question are.
LARGEST_CATALOGUE = 500  # songs
MOST_LICKS = 500  # the songbook's 57 songs have 18


@dataclass(frozen=True, slots=True)
class TaughtLick:
    """A lick by its name and its places."""

    name: str
    measures: int  # that it is long
    places: frozenset[LickPlace]


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
        The song's place in ``songs``, the lick, its first and its last measure there; ascending.
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
    kept = kept_places(catalogue, blocks, asked)
    names = {each.name for each in kept}
    recurring = [
        TaughtLick(record.name, record.measures, listed_places(record))
        for record, _ in licks_among(catalogue, blocks, asked, limit=MOST_LICKS)
        if record.name not in names
    ]
    return [
        *(
            TaughtLick(name, len(np.unique(lick.melody.measures)), places)
            for name, lick, places in kept
        ),
        *recurring,
    ]

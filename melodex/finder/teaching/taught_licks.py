"""The licks that songs of a catalogue teach: those kept by name, then those that recur."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from melodex.finder.lick_names import KeptPlaces, kept_places
from melodex.finder.recurring_licks import licks_among
from melodex.index.blocks import Blocks, load_blocks
from melodex.index.store import Catalogue

# In a larger catalogue, only the songs in question are searched for recurring licks.
LARGEST_CATALOGUE = 500  # songs
MOST_LICKS = 500  # the songbook's 57 songs have 18


@dataclass(frozen=True, slots=True)
class TaughtLick:
    """A lick by its name, and where it occurs."""

    name: str
    is_kept: bool  # the teacher has named it
    places: frozenset[tuple[str, int, int]]  # song, first and last note of its melody


def taught_licks(
    catalogue: Catalogue, songs: Sequence[str], *, recurring_in: Sequence[str]
) -> list[TaughtLick]:
    """Find the licks that songs teach.

    Parameters
    ----------
    songs : sequence of str
        Ids of those in which kept licks are searched for.
    recurring_in : sequence of str
        Those searched for recurring licks; in a small catalogue, all songs are searched.
    """
    blocks = load_blocks(catalogue)
    kept = kept_places(catalogue, blocks, _numbers(blocks, songs))
    names = {each.name for each in kept}
    is_small = 0 < len(blocks.song_ids) <= LARGEST_CATALOGUE
    selected = _numbers(blocks, blocks.song_ids if is_small and recurring_in else recurring_in)
    recurring = licks_among(catalogue, blocks, selected, limit=MOST_LICKS) if len(selected) else []
    return [
        *(TaughtLick(each.name, True, _places_of(each)) for each in kept),
        *(
            TaughtLick(
                record.name,
                False,
                frozenset((at.song, *run) for at in record.occurrences for run in at.note_runs),
            )
            for record, _ in recurring
            if record.name not in names
        ),
    ]


def _places_of(kept: KeptPlaces) -> frozenset[tuple[str, int, int]]:
    return frozenset(
        (song, *run) for song, places in kept.songs for place in places for run in place.note_runs
    )


def _numbers(blocks: Blocks, songs: Iterable[str]) -> NDArray[np.int64]:
    chosen = frozenset(songs)
    numbers = [number for number, song in enumerate(blocks.song_ids) if song in chosen]
    return np.array(numbers, np.int64)

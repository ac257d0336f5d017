"""Names of licks: the one the teacher gave, else the place where the lick occurs."""

from collections.abc import Container, Sequence
from itertools import count
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.finder.lick_places import LickPlace, places_of, stretches_of
from melodex.index.blocks import Blocks
from melodex.index.kept_licks import kept_licks
from melodex.index.store import Catalogue
from melodex.model.lick import Lick
from melodex.model.results.recurring import RecurringLick
from melodex.search.places import Place

MOSTLY = 0.5  # above this share of its places, a recurring lick is the kept lick found there


class KeptPlaces(NamedTuple):
    """A lick that the teacher has named, and where it occurs."""

    name: str
    lick: Lick
    songs: tuple[tuple[str, list[Place]], ...]

    @property
    def places(self) -> frozenset[LickPlace]:
        """The measures where it occurs."""
        return frozenset(
            stretch
            for song, places in self.songs
            for place in places
            for stretch in stretches_of(song, place.measures)
        )


def kept_places(
    catalogue: Catalogue, blocks: Blocks, selected: NDArray[np.int64]
) -> list[KeptPlaces]:
    """Return the kept licks, sorted by name, and where they occur in the selected songs.

    Parameters
    ----------
    selected : shape (n_selected,)
        The songs' numbers, ascending.
    """
    return [
        KeptPlaces(name, lick, tuple(places_of(lick.melody, blocks, selected)))
        for name, lick in kept_licks(catalogue)
    ]


def listed_places(record: RecurringLick) -> frozenset[LickPlace]:
    """Return where a recurring lick occurs."""
    return frozenset(
        stretch
        for place in record.occurrences
        for stretch in stretches_of(place.song, place.measures)
    )


def kept_as(record: RecurringLick, kept: Sequence[KeptPlaces]) -> str | None:
    """Return the name under which a recurring lick is kept; None if it is not."""
    places = listed_places(record)
    shares = [(len(places & each.places) / len(places), each.name) for each in kept]
    share, name = max(shares, key=lambda shared: shared[0], default=(0.0, ""))
    return name if share > MOSTLY else None


def name_by_place(record: RecurringLick, given: Container[str]) -> str:
    """Return a name not taken yet: the song and measures, if need be with beats or a number.

    Parameters
    ----------
    record : RecurringLick
        Named by its song and measures.
    """
    beats = (record.first_beat, record.last_beat)
    if record.name not in given:
        return record.name
    name = record.name
    if None not in beats:
        name += ", from beat {:g} to beat {:g}".format(*beats)
    numbered = (f"{name} ({number})" for number in count(2))
    return name if name not in given else next(each for each in numbered if each not in given)

"""A neck as a table of places that can be picked."""

from typing import NamedTuple

from melodex.model.tuning import BanjoTuning
from melodex.notation.note_names import note_name

LAST_FRET = 12  # above it a beginner's lick does not go; typed tab can
DOTS = frozenset({3, 5, 7, 10, 12})  # marked on the neck. Common practice, no source.


class Place(NamedTuple):
    """A string and a fret, and what sounds there."""

    string: int  # 1 to 5
    fret: int
    note: str


class NeckString(NamedTuple):
    """A string with its frets from the nut on; None where it has none."""

    string: int
    name: str
    places: tuple[Place | None, ...]


def fretboard_of(tuning: BanjoTuning) -> list[NeckString]:
    """Lay the neck out as a player sees it in tab: string 1 first."""
    return [
        NeckString(
            string,
            name,
            tuple(
                Place(string, fret, note_name(tuning.pitch(string, fret)))
                if tuning.has(string, fret)
                else None
                for fret in range(LAST_FRET + 1)
            ),
        )
        for string, name in enumerate(tuning.string_names, start=1)
    ]

"""Lick: a short melody to search for, and its origin."""

from dataclasses import dataclass

from melodex.errors import QueryError
from melodex.model.key import Key
from melodex.model.melody import Melody
from melodex.model.metre import FREE_METRE, Metre
from melodex.model.song import ChordSymbol
from melodex.model.tablature import TabNote

FEWEST_NOTES = 2
# Search time is proportional to it. 32 measures of six eighths are a whole jig; anything longer is
# a song, and songs are compared with `near` and `shared`.
MOST_NOTES = 200


@dataclass(frozen=True, slots=True)
class LickHands:
    """How a lick is played, if its source says so: every note, including pinches and drone."""

    notes: tuple[TabNote, ...]  # onsets relative to the melody's; sorted by onset, then string
    open_strings: tuple[int, ...]  # MIDI pitch, string 1 first, capo included


@dataclass(frozen=True, slots=True, eq=False)
class Lick:
    """A short melody of one voice, and how it is played.

    Searches compare only ``melody``.

    Raises
    ------
    QueryError
        If it has fewer than two notes or more than ``MOST_NOTES``.
    """

    melody: Melody
    came_from: str  # the user's input: a text, a file, or a song and its measures
    metre: Metre = FREE_METRE
    key: Key | None = None  # None if not stated
    remarks: tuple[str, ...] = ()  # how ambiguities of its text or file were resolved
    hands: LickHands | None = None  # None if the source has no five-string tab
    chords: tuple[ChordSymbol, ...] = ()  # those stated; onsets relative to the melody's

    def __post_init__(self) -> None:
        if len(self.melody) < FEWEST_NOTES:
            raise QueryError(
                "The lick is empty."
                if not len(self.melody)
                else "A lick of one note matches every song.",
                "give two notes or more; with six or more, coincidences are rare.",
            )
        if len(self.melody) > MOST_NOTES:
            raise QueryError(
                f"A lick of {len(self.melody):,} notes is too long: a search takes time in "
                "proportion to its notes.",
                f"give at most {MOST_NOTES} notes; to compare whole songs, use near or shared.",
            )

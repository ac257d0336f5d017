"""Lick: a short melody that is looked for, and where it comes from."""

from dataclasses import dataclass

from melodex.errors import QueryError
from melodex.model.key import Key
from melodex.model.melody import Melody
from melodex.model.metre import FREE_METRE, Metre
from melodex.model.song import ChordSymbol
from melodex.model.tablature import TabNote

FEWEST_NOTES = 2
# A search takes time in proportion to it. 32 measures of six eighths are a jig played through;
# what is longer is a song, and songs are compared with `near` and `shared`.
MOST_NOTES = 200


@dataclass(frozen=True, slots=True)
class LickHands:
    """How a lick is played where its source says so: every note, pinches and drone included."""

    notes: tuple[TabNote, ...]  # onsets counted as the melody's; by onset, then by string
    open_strings: tuple[int, ...]  # MIDI pitch, string 1 first, capo included


@dataclass(frozen=True, slots=True, eq=False)
class Lick:
    """A short melody of one voice, and how it is played.

    Searches compare ``melody`` alone.

    Raises
    ------
    QueryError
        If it has fewer than two notes or more than ``MOST_NOTES``.
    """

    melody: Melody
    came_from: str  # what the user gave: a text, a file, or a song and its measures
    metre: Metre = FREE_METRE
    key: Key | None = None  # where it is stated
    remarks: tuple[str, ...] = ()  # how it was read where its text or file leaves that open
    hands: LickHands | None = None  # None where the source has no five-string tab
    chords: tuple[ChordSymbol, ...] = ()  # where they are stated; onsets counted as the melody's

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

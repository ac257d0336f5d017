"""Song: one tune as written in its source."""

from dataclasses import dataclass, field

import numpy as np

from melodex._types import Beats, Measures
from melodex.model.key import Key
from melodex.model.melody import Melody
from melodex.model.metre import FREE_METRE, Metre


@dataclass(frozen=True, slots=True)
class MetreChange:
    """A metre that applies from ``onset`` (quarter notes from the start) on."""

    onset: float
    metre: Metre


@dataclass(frozen=True, slots=True)
class ChordSymbol:
    """A chord stated above the music ("G", "D7"), from ``onset`` on."""

    onset: float
    text: str


@dataclass(frozen=True, slots=True)
class BarLine:
    """A bar line at ``onset`` that is not a single thin line."""

    onset: float
    style: str  # "repeat start", "repeat end", "repeat both", "double", "final" or "ending"
    ending: str = ""  # the number or list of numbers of an ending that begins here: "1", "1,3"


@dataclass(frozen=True, slots=True)
class Syllable:
    """A syllable sung to one note of the melody."""

    note: int
    text: str


@dataclass(frozen=True, slots=True)
class Touch:
    """How one note on one string is played, if the source says so."""

    note: int  # index of the melody note, or of that with this chord tone
    string: int
    left_hand: str = ""  # as in ``TabNote``
    finger: str = ""  # right-hand finger, "T", "I" or "M"; "" if not stated
    is_melody: bool = False  # whether it is marked as melody inside a roll


@dataclass(frozen=True, slots=True)
class Source:
    """The place where a song was read."""

    file: str  # path as given by the user, or "essenFolksong/altdeu10.abc" for a bundled one
    tune: str = ""  # the tune's number in a book of several
    line: int | None = None  # where the tune begins, counted from 1


@dataclass(frozen=True, slots=True, eq=False)
class MeasureGrid:
    """The measures of a song: onset and number of each."""

    onsets: Beats  # shape (n_measures,), quarter notes from the start
    numbers: Measures  # shape (n_measures,), as written; a pickup is 0

    def __post_init__(self) -> None:
        for name in ("onsets", "numbers"):
            private_copy = getattr(self, name).copy()
            private_copy.setflags(write=False)
            object.__setattr__(self, name, private_copy)


@dataclass(frozen=True, slots=True, eq=False)
class Song:
    """A tune as written, with everything stated in its source.

    ``sections`` has shape (n_sections, 2): stretches of the written music (start, end, in quarter
    notes) in the order in which they are played through repeats and endings.
    """

    title: str
    melody: Melody
    measures: MeasureGrid
    sections: Beats
    source: Source
    other_titles: tuple[str, ...] = ()
    collection: str = ""
    key: Key | None = None
    metre: Metre = FREE_METRE
    metre_changes: tuple[MetreChange, ...] = ()  # after the first
    tempo: float | None = None  # quarter notes a minute
    chords: tuple[ChordSymbol, ...] = ()
    bar_lines: tuple[BarLine, ...] = ()
    lyrics: tuple[Syllable, ...] = ()
    tuning: tuple[int, ...] = ()  # MIDI pitch of open strings, string 1 first, capo included
    touches: tuple[Touch, ...] = ()  # by note, then by string
    remarks: tuple[str, ...] = field(default=())  # the reader's remarks, a sentence each

    def __post_init__(self) -> None:
        private_copy = np.array(self.sections, dtype=np.float64).reshape(-1, 2)
        private_copy.setflags(write=False)
        object.__setattr__(self, "sections", private_copy)

"""Placement: where a lick fits into another song, and why."""

from dataclasses import dataclass
from typing import Literal

ROOM_OF_A_FILL = 0.5  # share of a place. Common practice, no source.
PlacementKind = Literal["fill", "in place of melody"]
AS_WRITTEN = "as written"  # the lick is counted as in its own metre
# What is kept of the lick's strings and frets: it has none; both; its strings with other frets;
# neither.
HandsKept = Literal["none stated", "strings and frets", "strings", "drone at most"]


@dataclass(frozen=True, slots=True)
class LickFit:
    """Arguments for and against a place; shares are 0 to 1."""

    chord_notes: float  # share of the lick, by length and beat, that belongs to the chords there
    key_notes: float  # share of the lick that belongs to the song's scale
    room: float  # share of the place in which the song rests, or holds or repeats a note
    likeness: float  # similarity of the lick to the melody there; 1 is identical
    leap_in: int | None  # half-steps from the song's note before; None at the start of the song
    leap_out: int | None  # half-steps to the song's note after; None at the end of the song
    hand_in: int  # frets the left hand must shift to reach the lick, beyond its four fingers
    hand_out: int  # the same from the lick onwards
    transposition: int  # half-steps from the lick as given; up is positive
    octaves: int  # octaves of it that only serve to stay on the neck
    own_chord: float = 1.0  # share of the lick over its own chord, transposed with it
    passes_own_chord: bool = False  # transposed although the song has its own chord
    hands_kept: HandsKept = "none stated"
    slurs_struck: int = 0  # slurs turned into strokes because no string has both notes
    strains: bool = False  # whether the left hand stretches or leaps off the lick's own frets
    finger_twice: bool = False  # whether a right-hand finger plays twice in quick succession

    @property
    def kind(self) -> PlacementKind:
        """Whether the lick fills a held note or rest, or replaces melody."""
        is_fill = self.room >= ROOM_OF_A_FILL and self.room > self.likeness
        return "fill" if is_fill else "in place of melody"


@dataclass(frozen=True, slots=True)
class Placement:
    """A place for a lick in a song, as returned by `place`."""

    first_measure: int  # as written; a pickup is 0
    last_measure: int
    fit: float  # 0 to 1; defined in the README
    kind: PlacementKind
    chords: tuple[str, ...]
    chords_estimated: bool  # estimated from the melody, because the song has none
    transposition: int  # half-steps from the lick as given
    form: str  # how it is counted there: "as written", "note values halved", ...
    tab: str  # these measures with the lick, five lines a system
    replaces: str  # these measures before
    because: tuple[str, ...]  # sentences

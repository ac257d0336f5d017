"""Placement: where a lick fits into another song, and why."""

from dataclasses import dataclass
from typing import Literal

ROOM_OF_A_FILL = 0.5  # share of a place. Common practice, no source.
PlacementKind = Literal["fill", "in place of melody"]
AS_WRITTEN = "as written"  # how a song counts a lick of its own metre
# What a lick keeps of the strings and frets that it comes with: it has none; both; its strings,
# with other frets; neither.
HandsKept = Literal["none stated", "strings and frets", "strings", "drone at most"]


@dataclass(frozen=True, slots=True)
class LickFit:
    """What speaks for a place and against it; shares are 0 to 1."""

    chord_notes: float  # share of the lick, by length and beat, that belongs to the chords there
    key_notes: float  # share of it that belongs to the song's scale
    room: float  # share of the place in which the song rests, or holds or repeats a note
    likeness: float  # of the lick to the melody that stands there; 1 is the same
    leap_in: int | None  # half-steps from the song's note before; None where the song begins
    leap_out: int | None  # half-steps to the song's note behind; None where the song ends
    hand_in: int  # frets that the left hand moves to reach the lick, beyond its four fingers
    hand_out: int  # the same from the lick on
    transposition: int  # half-steps from the lick as given up to the one placed
    octaves: int  # octaves of it that only keep the lick on the neck
    own_chord: float = 1.0  # share of it over the chord that it was played over, moved with it
    passes_own_chord: bool = False  # whether it is moved though the song has its chord as it is
    hands_kept: HandsKept = "none stated"
    slurs_struck: int = 0  # slurs that had to be struck because no string has both notes
    strains: bool = False  # whether the left hand stretches or leaps where the lick left its frets
    finger_twice: bool = False  # whether a finger of the right hand plays twice in a row, fast

    @property
    def kind(self) -> PlacementKind:
        """Whether the lick fills a held note or rest, or takes the place of a melody."""
        is_fill = self.room >= ROOM_OF_A_FILL and self.room > self.likeness
        return "fill" if is_fill else "in place of melody"


@dataclass(frozen=True, slots=True)
class Placement:
    """A place for a lick in a song, as an answer tells it."""

    first_measure: int  # as written, a pickup is 0
    last_measure: int
    fit: float  # 0 to 1; defined in the README
    kind: PlacementKind
    chords: tuple[str, ...]
    chords_estimated: bool  # from the melody, because the song states none
    transposition: int  # half-steps from the lick as given
    form: str  # how it is counted there: "as written", "note values halved", ...
    tab: str  # these measures with the lick, five lines a system
    replaces: str  # these measures as they were
    because: tuple[str, ...]  # a sentence each

"""Tab: a song as strings and frets."""

from dataclasses import dataclass, field

from melodex.model.song import Song
from melodex.model.tuning import BanjoTuning

# How the left hand sounds a note from the one before on its string, without a stroke of the right.
REACHED_BY_LEFT_HAND = ("hammer-on", "pull-off", "slide")
CHOKE = "choke"  # the note is struck, and its string pushed sideways to raise the pitch
CHOKE_HALF_STEPS = 1  # the rise, or slightly more. Common practice, no source.


@dataclass(frozen=True, slots=True)
class TabNote:
    """A note on a string; notes with equal onsets sound together."""

    onset: float  # quarter notes from the start of the music
    duration: float  # quarter notes, above 0
    string: int  # 1 to 5
    fret: int  # counted as in ``BanjoTuning``
    left_hand: str = ""  # one of ``REACHED_BY_LEFT_HAND``, or ``CHOKE``
    finger: str = ""  # right-hand finger, "T", "I" or "M"; "" if unknown or not struck
    # Whether it is known to be melody inside a roll; does not affect what is played.
    is_melody: bool = field(default=False, compare=False)

    @property
    def is_struck(self) -> bool:
        """Whether the right hand strikes it."""
        return self.left_hand not in REACHED_BY_LEFT_HAND


@dataclass(frozen=True, slots=True, eq=False)
class Tab:
    """A song as played on the banjo.

    ``song`` has title, key, chords, metre and bar lines; ``notes`` are what sounds.
    """

    song: Song
    tuning: BanjoTuning
    notes: tuple[TabNote, ...]  # sorted by onset, then string
    remarks: tuple[str, ...] = ()  # what was assumed, moved or left out, a sentence each
    cautions: tuple[str, ...] = ()  # passages that strain the hands, a sentence each
    octaves: int = 0  # octaves from the song's notes up to these

    def pitch(self, note: TabNote) -> int:
        """Return the MIDI pitch of a note of this tab."""
        return self.tuning.pitch(note.string, note.fret)

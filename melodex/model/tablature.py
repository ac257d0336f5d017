"""Tab: a song as strings and frets."""

from dataclasses import dataclass, field

from melodex.model.song import Song
from melodex.model.tuning import BanjoTuning

# How the left hand reaches a note from the one before it on its string; the right does not strike.
REACHED_BY_LEFT_HAND = ("hammer-on", "pull-off", "slide")
CHOKE = "choke"  # a note that is struck, and its string pushed sideways so that the pitch rises
CHOKE_HALF_STEPS = 1  # that it rises by, or a little more. Common practice, no source.


@dataclass(frozen=True, slots=True)
class TabNote:
    """One note on one string; notes of one onset sound together."""

    onset: float  # quarter notes from the start of the music
    duration: float  # quarter notes, above 0
    string: int  # 1 to 5
    fret: int  # as ``BanjoTuning`` counts
    left_hand: str = ""  # one of ``REACHED_BY_LEFT_HAND``, or ``CHOKE``
    finger: str = ""  # of the right hand, "T", "I" or "M"; "" where unknown or not struck
    # Whether it is known to carry the melody inside a roll; what is played is the same either way.
    is_melody: bool = field(default=False, compare=False)

    @property
    def is_struck(self) -> bool:
        """Whether the right hand sounds it."""
        return self.left_hand not in REACHED_BY_LEFT_HAND


@dataclass(frozen=True, slots=True, eq=False)
class Tab:
    """A song as it lies under the hands.

    The song gives title, key, chords, metre and bar lines; what sounds is in ``notes``.
    """

    song: Song
    tuning: BanjoTuning
    notes: tuple[TabNote, ...]  # by onset, then by string
    remarks: tuple[str, ...] = ()  # what was assumed, moved or left out, a sentence each
    cautions: tuple[str, ...] = ()  # where it strains the hands, a sentence each
    octaves: int = 0  # by which the notes lie above those of the song

    def pitch(self, note: TabNote) -> int:
        """Return the MIDI pitch that a note of this tab sounds."""
        return self.tuning.pitch(note.string, note.fret)

"""Tab: a song as strings and frets."""

from dataclasses import dataclass, field

from melodex.model.song import Song
from melodex.model.tuning import BanjoTuning


@dataclass(frozen=True, slots=True)
class TabNote:
    """One note on one string; notes of one onset sound together."""

    onset: float  # quarter notes from the start of the music
    duration: float  # quarter notes, above 0
    string: int  # 1 to 5
    fret: int  # as ``BanjoTuning`` counts
    left_hand: str = ""  # how it is reached on its string: "hammer-on", "pull-off", "slide"
    finger: str = ""  # of the right hand, "T", "I" or "M"; "" where unknown or not struck
    # Whether it is known to carry the melody inside a roll; what is played is the same either way.
    is_melody: bool = field(default=False, compare=False)


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

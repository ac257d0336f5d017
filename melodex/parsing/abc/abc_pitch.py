"""The sounding pitch of ABC notes: key signature, accidentals in force, ties, clef."""

from melodex.model.key import Key
from melodex.model.melody import HIGHEST_MIDI_NOTE, LOWEST_MIDI_NOTE
from melodex.parsing.abc.abc_error import AbcError
from melodex.parsing.abc.abc_tokens import Note

OCTAVE = 12
_NATURAL_OF_LETTER = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}

# Which notes an accidental applies to until the end of the bar. Source: ABC 2.1, section 11.3.
REACH_NONE, REACH_OCTAVE, REACH_PITCH = "not", "octave", "pitch"
REACHES = frozenset({REACH_NONE, REACH_OCTAVE, REACH_PITCH})


class PitchReader:
    """Tracks the accidentals in force while a voice is read.

    Parameters
    ----------
    key : Key or None
        None for no key signature.
    octaves : int
        How far the clef or ``octave=`` moves the notes.
    reach : str
        One of ``REACHES``.
    """

    def __init__(self, key: Key | None, octaves: int, reach: str) -> None:
        self.set_reach(reach)
        self._held: dict[int, int] = {}  # in force, by pitch class or by the natural
        self._tied: dict[int, int] = {}  # accidentals that ties carry over from the note before
        self._tying: dict[int, int] = {}
        self._sounding: dict[int, int] = {}  # accidentals of the notes sounding now, by the natural
        self._latest: dict[int, int] = {}  # the same for the notes that sounded last
        self.set_octaves(octaves)
        self.set_key(key)

    def set_key(self, key: Key | None) -> None:
        """Apply a key signature from here on."""
        self._signature = [0] * OCTAVE
        for letter, shift in key.signature if key else ():
            self._signature[_NATURAL_OF_LETTER[letter]] = shift

    def set_octaves(self, octaves: int) -> None:
        """Shift the notes from here on by whole octaves."""
        self._shift = octaves * OCTAVE

    def set_reach(self, reach: str) -> None:
        """Change how far accidentals reach from here on."""
        self._reach = reach

    def end_bar(self) -> None:
        """Cancel the accidentals of the measure."""
        self._held.clear()

    def sounding(self, note: Note, *, tied: bool = False) -> int:
        """Return the MIDI number of a note.

        A note tied to one before the bar line keeps its accidental (common practice, no source).
        ``tied`` says whether this note is itself tied to the next.
        """
        natural = note.natural
        degree = natural % OCTAVE
        accidental = note.accidental
        if accidental is None:
            accidental = self._tied.get(natural)
            if accidental is None:
                slot = natural if self._reach == REACH_OCTAVE else degree
                accidental = self._held.get(slot, self._signature[degree])
        elif self._reach != REACH_NONE:
            self._held[natural if self._reach == REACH_OCTAVE else degree] = accidental
        self._sounding[natural] = accidental
        if tied:
            self._tying[natural] = accidental
        pitch = natural + accidental + self._shift
        if not LOWEST_MIDI_NOTE <= pitch <= HIGHEST_MIDI_NOTE:
            raise AbcError(
                f"a note is {pitch - 60:+d} half-steps from middle C, outside MIDI's -60 to +67"
            )
        return pitch

    def end_note(self) -> None:
        """Move on to the next note or rest."""
        if self._tying or self._tied:
            self._tied, self._tying = self._tying, {}
        self._latest, self._sounding = self._sounding, {}

    def tie_latest(self) -> None:
        """Tie the latest note or chord to the next one, after it has ended."""
        self._tied = dict(self._latest)
